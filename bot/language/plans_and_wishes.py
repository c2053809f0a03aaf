"""Keeps what did not happen out of the record: plans, wishes, conditions, what was forgotten or is still to come."""

from __future__ import annotations

import itertools
import re
from itertools import pairwise

from bot.language.days import Day
from bot.language.names import Names
from bot.language.scene import COUNTED, Part
from bot.language.tags import Tag

_SUBJECTS = frozenset(
    {"i", "we", "he", "she", "they", "it", "i've", "we've", "they're", "it's", "that's", "there", "there's", "he's",
     "she's", "nobody", "the"}
)  # fmt: skip


def guard(part: Part, names: Names) -> None:
    """Mute the signs of what did not happen."""
    tags = part.tags
    for n, (one, two) in enumerate(pairwise(tags)):
        if one.note == "inside" and two.senses.get("cue") and not (n and tags[n - 1].kind in ("frac", "num", "pct")):
            two.note = "muted"  # well-fed
    for one, two, three in zip(tags, tags[1:], tags[2:], strict=False):
        if (
            two.word == "last"
            and one.word in ("the", "since", "our", "my")
            and three.says("cue", "pull", "wc", "feed", "changed")
        ):
            three.note = "muted"  # "four days since the last pull"
    for n, tag in enumerate(tags):
        if tag.note == "quoted":
            part.muted = part.muted or "quoted"
        if not tag.senses.get("guard") and not tag.senses.get("hearsay"):
            continue
        if tag.word == "neither" and part.noun("eggs", "mop") and any(t.word == "nor" for t in tags):
            for other in tags:  # "neither 2 nor 3 had eggs": none in both
                if other.word in ("neither", "nor"):
                    other.word, other.senses = ("no" if other is tag else "and"), {}
            continue
        after = tags[n + 1] if n + 1 < len(tags) else None
        if tag.says("guard", "wish") and not (
            tag.word == "thought" and n > 0 and tags[n - 1].word in ("a", "my", "the")
        ):
            if tag.word in ("almost", "nearly", "supposed"):
                if (
                    after is not None
                    and after.senses.get("cue")
                    and tag.word != "supposed"
                    and not any(t.senses.get("cue") for t in tags[:n])
                ):
                    part.muted = part.muted or "wish"
                _mute(tags[n + 1 : n + 4])
            else:
                part.muted = part.muted or "wish"
        elif (
            tag.says("hearsay")
            and tag.word in ("said", "says", "told")
            and n
            and (
                tags[n - 1].kind == "person"
                or tags[n - 1].word in ("he", "she", "they", "label", "sign", "note", "book")
            )
        ):
            _mute(tags[n + 1 :])
            part.muted = part.muted or "hearsay"
        elif tag.says("guard", "if") and tag.word in ("if", "unless", "whether", "in case"):
            part.muted = part.muted or "if"
        elif tag.says("guard", "plan"):
            if after is None and tag.word in ("i'd", "i'll", "would", "will", "may", "can"):
                continue
            if (
                tag.word in ("i'd", "would")
                and after is not None
                and after.word in ("say", "guess", "call", "estimate", "reckon")
            ):
                continue
            if (tag.word in ("can", "could") and n and tags[n - 1].word == "you" and n <= 2) or (
                tag.word in ("can", "could") and after is not None and after.word == "you"
            ):
                continue
            if (
                tag.word in ("can", "could", "would")
                and after is not None
                and after.word
                in ("see", "tell", "hear", "feel", "only", "find", "count", "spot", "make", "reach", "get")
            ):
                continue
            if tag.word == "may" and after is not None and after.word == "have":
                _mute(tags[n + 1 :])
                continue
            if tag.word in ("to be", "expect", "expecting", "ready to") and (n == 0 or tags[n - 1].word == "had"):
                continue
            if (
                tag.word in ("let's", "lets")
                and after is not None
                and (after.word == "say" or after.word.startswith("go"))
            ):
                continue
            if after is not None and after.word == "have" and tag.word in ("should", "would", "could", "might", "must"):
                _mute(tags[n + 1 :])
                continue
            _mute(tags[n + 1 :], "plan")
            for later in tags[n + 1 :]:
                if later.kind in ("day", "clock") and not part.cues("hold"):
                    later.note = "muted"
            part.muted = part.muted or (
                "plan"
                if not any(
                    t.senses.get("cue") or t.word in ("wants", "want", "wanted", "asked", "ordered") for t in tags[:n]
                )
                else ""
            )
        elif tag.says("guard", "forgot") and any(
            t.word in ("say", "mention", "note", "log", "tell", "write", "record", "add", "report", "enter")
            for t in tags[n + 1 : n + 3]
        ):
            continue  # forgot to say, not to do
        elif tag.says("guard", "not") or tag.says("guard", "forgot"):
            if tag.word == "not" and n == 0 and not part.joiner:
                part.muted = part.muted or "not"
            if (
                tag.word
                in ("don't", "doesn't", "didn't", "did not", "does not", "dont", "doesnt", "didnt", "hasn't", "haven't")
                and after is not None
                and after.word in ("have", "lay", "laid", "give", "got", "get", "had", "show")
                and any(t.says("noun", "eggs") for t in tags[n + 2 : n + 4])
                and part.kind("place")
                and not part.kind("num")
            ):
                tag.word, tag.senses, after.word, after.senses = "no", {}, "", {}  # "tank 8 didn't have eggs"
                continue
            if (
                tag.word in ("no", "not")
                and after is not None
                and after.kind in ("num", "place", "pct", "frac", "money")
            ):
                if (
                    after.kind != "place"
                    and not any(t.kind == after.kind for t in tags[:n])
                    and not any(t.kind == after.kind and t is not after for t in tags[n + 2 :])
                ):
                    part.muted = part.muted or "not"
                continue
            if tag.word == "no" and after is not None and after.says("noun", "eggs", "fry", "fish"):
                continue
            if (
                tag.word == "not"
                and after is not None
                and after.says(
                    "cue",
                    "pull",
                    "wc",
                    "move",
                    "feed",
                    "dead",
                    "hatch",
                    "count",
                    "bad",
                    "changed",
                    "topoff",
                    "sold",
                    "bought",
                )
                and n <= 2
            ):
                part.muted = part.muted or "not"
            if tag.word == "no" and after is not None and after.senses.get("food"):
                part.muted = part.muted or "not"
            if tag.word == "without":
                _mute(tags[n + 1 : n + 3])
                continue
            _mute(tags[n + 1 : n + 6])
            if tag.says("guard", "forgot") or tag.word in (
                "didn't",
                "didnt",
                "haven't",
                "havent",
                "hasn't",
                "never",
                "didn't get to",
                "never got",
                "hadn't",
                "not yet",
                "forgot",
                "forgot to",
                "gave up",
                "couldn't",
                "couldnt",
                "no time",
                "skipped",
                "hadnt",
                "hasnt",
                "isn't",
                "wasn't",
                "weren't",
                "don't",
                "dont",
                "doesn't",
                "aren't",
                "won't",
                "can't",
                "cannot",
                "cant",
                "wont",
            ):
                part.muted = part.muted or "not"
    if any(t.says("item") for t in tags) and not any(t.kind == "line" or t.says("noun", *COUNTED) for t in tags):
        for tag in tags:
            if tag.says("cue", "bought") and not tag.says("cue", "pull"):
                tag.note = "muted"  # gear is bought, no fish came
    if any(t.kind == "deg" for t in tags):
        for tag in tags:
            if tag.word in ("down to", "is down to"):
                tag.note = "muted"  # the room down to 17 °C
    if any(
        t.kind == "day" and re.match(r"(last|past|previous) (year|month|spring|summer|winter|autumn|fall)", t.word)
        for t in tags
    ):
        part.muted = part.muted or "not"  # long ago: no entry of today's
    if any(t.word in ("due", "overdue", "missed") for t in tags) and not any(t.says("cue", "hold") for t in tags):
        _mute(tags)
    doing = next((n for n, t in enumerate(tags) if t.senses.get("cue")), None)
    if (
        doing is not None
        and tags[doing].word in _DOING
        and not any(
            t.word in ("was", "were", "been", "finished", "started", "done", "after", "while", "when", "from")
            for t in tags[:doing]
        )
        and any(
            t.kind == "day" and isinstance(t.value, Day) and t.value.weekday is not None and t.value.which != "last"
            for t in tags
        )
    ):
        part.muted = part.muted or "plan"  # "wetting B20 on Saturday"
    for n, tag in enumerate(tags):
        told = any(t.kind in ("num", "deg") for t in tags[n + 1 :]) or any(
            t.kind == "day" and t.word == "today" for t in tags
        )
        if tag.kind in ("day", "clock") and n and tags[n - 1].word in _TO_COME and not told:
            tag.note = "muted"
        if (
            tag.kind == "day"
            and isinstance(tag.value, Day)
            and tag.value.future
            and not tag.value.vague
            and tag.note != "muted"
            and not any(t.says("cue", "hold", "remind", "snooze") for t in tags)
        ):
            part.muted = part.muted or "plan"
        if tag.word in ("yet", "tomorrow") and n and tags[n - 1].senses.get("guard"):
            part.muted = part.muted or "plan"


_DOING = frozenset(
    ["wetting", "pulling", "moving", "changing", "collecting", "picking", "harvesting", "bagging", "selling"]
)


_TO_COME = frozenset(["retest", "recheck", "redo", "check", "test again", "next"])  # "… retest mon": a day to come


def _mute(tags: list[Tag], why: str = "") -> None:
    for tag in tags:
        if tag.senses.get("cue") and not tag.says("cue", "remind", "snooze", "hold", "release", "undo", "fix", "rule"):
            tag.note = "muted"


def carry_on(parts: list[Part]) -> None:
    """A plan or negation holds for the clauses joined on without a subject of their own."""
    for one, two in itertools.pairwise(parts):
        if (
            one.muted in ("wish", "if")
            and two.joiner in ("and", "or")
            and two.tags
            and two.tags[0].word not in _SUBJECTS
        ):
            two.muted = two.muted or one.muted
        if one.muted in ("plan", "if", "not") and two.joiner in ("and", "or", "then") and two.tags:
            first = two.tags[0]
            if first.kind == "lex" and first.says("cue") and first.word not in _SUBJECTS:
                two.muted = two.muted or one.muted
