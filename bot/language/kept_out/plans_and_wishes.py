"""Keeps what did not happen out of the record: plans, wishes, conditions, what was forgotten or is still to come."""

from __future__ import annotations

import itertools
import re
from itertools import pairwise

from bot.language.kept_out.denials import deny, mute, mute_part
from bot.language.scene import COUNTED, Part
from bot.language.tags import Tag
from bot.language.times.days import Day

_SUBJECTS = frozenset(
    {"i", "we", "he", "she", "they", "it", "i've", "we've", "they're", "it's", "that's", "there", "there's", "he's",
     "she's", "nobody", "the"}
)  # fmt: skip
_DOING = frozenset(
    ["wetting", "pulling", "moving", "changing", "collecting", "picking", "harvesting", "bagging", "selling"]
)
_TO_COME = frozenset(["retest", "recheck", "redo", "check", "test again", "next"])  # "… retest mon": a day to come
_CHORES = frozenset(
    ["feed", "change", "wc", "water change", "clean", "rinse", "squeeze", "top off", "top up", "pull", "harvest",
     "move"]
)  # fmt: skip
_SOON = re.compile(
    r"\b(?:in a (?:bit|while|minute|min|moment|sec|second)|after (?:work|dinner|lunch|tea|supper|school))$"
)
_AT = frozenset(["in", "on", "for", "tank", "tub", "and"])
_TONIGHT = frozenset(["tonight", "this evening"])
_IN_A_WHILE = frozenset(["later", "soon", "in a bit", *_TONIGHT])


_OUGHT = re.compile(
    r"\b(?:should|ought to|must|has to|have to|needs to|need to|wants to|supposed to|meant to) (?:be|stay|read|sit) "
    r"(?:kept )?(?:below|above|under|over|around|about|between|at least|at most|less|more|within|near)\b"
)


def guard(part: Part) -> None:
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
    for n, (one, two) in enumerate(pairwise(tags)):
        if one.word == "should be" and two.says("cue") and not two.says("cue", "left") and n:
            _plan(part, n)  # "the filter in 8 should be cleaned"
    _politely(tags)
    for n, tag in enumerate(tags):
        if tag.note == "quoted":
            mute_part(part, "quoted")
        if tag.senses.get("guard") or tag.senses.get("hearsay"):
            _heed(part, n)
    _not_an_event(part)
    _still_to_come(part)


_ORDERED = frozenset(
    ["keep", "hold", "reserve", "save", "put", "set", "note", "log", "record", "write", "mark", "promise"]
)


def _politely(tags: list[Tag]) -> None:
    """ "Can you keep 4 for Lena", "could you note that I fed 3": an order, and no plan."""
    words = [t.word for t in tags[:4]]
    if words[:1] and words[0] in ("can", "could", "will", "would") and words[1:2] == ["you"]:
        verb = words[3] if words[2:3] == ["please"] and len(words) > 3 else words[2] if len(words) > 2 else ""
        if verb in _ORDERED:
            tags[0].senses = {}


def _heed(part: Part, n: int) -> None:
    """What a word like "wish", "if", "will" or "not" forbids."""
    tags, tag = part.tags, part.tags[n]
    if tag.word == "neither" and part.noun("eggs", "mop") and any(t.word == "nor" for t in tags):
        for other in tags:  # "neither 2 nor 3 had eggs": none in both
            if other.word in ("neither", "nor"):
                other.word, other.senses = ("no" if other is tag else "and"), {}
        return
    thought = tag.word == "thought" and n > 0 and tags[n - 1].word in ("a", "my", "the")
    if tag.says("guard", "wish") and not thought:
        _wish(part, n)
    elif (
        tag.says("hearsay")
        and tag.word in ("said", "says", "told")
        and n
        and (tags[n - 1].kind == "person" or tags[n - 1].word in ("he", "she", "they", "label", "sign", "note", "book"))
    ):
        mute(tags[n + 1 :])
        mute_part(part, "hearsay")
    elif tag.says("guard", "if") and tag.word in ("if", "unless", "whether", "in case"):
        mute_part(part, "if")
    elif tag.says("guard", "plan"):
        _plan(part, n)
    elif tag.says("guard", "forgot") and any(
        t.word in ("say", "mention", "note", "log", "tell", "write", "record", "add", "report", "enter")
        for t in tags[n + 1 : n + 3]
    ):
        return  # forgot to say, not to do
    elif tag.says("guard", "not") or tag.says("guard", "forgot"):
        deny(part, n)


def _wish(part: Part, n: int) -> None:
    tags, tag = part.tags, part.tags[n]
    if tag.word not in ("almost", "nearly", "supposed"):
        mute_part(part, "wish")
        return
    after = tags[n + 1] if n + 1 < len(tags) else None
    if (
        after is not None
        and (after.senses.get("cue") or after.word.endswith("ed"))
        and tag.word != "supposed"
        and not any(t.senses.get("cue") for t in tags[:n])
    ):
        mute_part(part, "wish")
    mute(tags[n + 1 : n + 4])


def _plan(part: Part, n: int) -> None:
    tags, tag = part.tags, part.tags[n]
    after = tags[n + 1] if n + 1 < len(tags) else None
    next_word = after.word if after is not None else ""
    if _no_plan(tags, n, after):
        return
    if next_word == "have" and tag.word in ("may", "should", "would", "could", "might", "must"):
        mute(tags[n + 1 :])
        return
    if tag.word in ("let's", "lets") and (next_word == "say" or next_word.startswith("go")):
        return
    mute(tags[n + 1 :])
    for later in tags[n + 1 :]:
        if later.kind in ("day", "clock") and not part.cues("hold"):
            later.note = "muted"
    asked = ("wants", "want", "wanted", "asked", "ordered")
    if not any(t.senses.get("cue") or t.word in asked for t in tags[:n]):
        mute_part(part, "plan")


def _no_plan(tags: list[Tag], n: int, after: Tag | None) -> bool:
    """Whether a word of plans only colours what is told: "I'd say 40", "you can see eyes", "had to be"."""
    word = tags[n].word
    before = tags[n - 1].word if n else ""
    if after is None:
        return word in ("i'd", "i'll", "would", "will", "may", "can") or (
            (word in ("can", "could") and before == "you" and n <= 2)
            or (word in ("to be", "expect", "expecting", "ready to") and (n == 0 or before == "had"))
        )
    return (
        (word in ("i'd", "would") and after.word in ("say", "guess", "call", "estimate", "reckon"))
        or (word in ("can", "could") and ((before == "you" and n <= 2) or after.word == "you"))
        or (
            word in ("can", "could", "would")
            and after.word in ("see", "tell", "hear", "feel", "only", "find", "count", "spot", "make", "reach", "get")
        )
        or (word in ("to be", "expect", "expecting", "ready to") and (n == 0 or before == "had"))
        or (word == "to be" and n > 1 and tags[n - 2].word in ("turned", "turn", "turns", "proved", "proves"))
    )


def _long_before(tag: Tag) -> bool:
    return tag.word in ("before", "earlier") or (tag.kind == "day" and isinstance(tag.value, Day) and tag.value.vague)


def _goods(part: Part) -> bool:
    """Whether gear, salt or food was bought, and nothing done with it: "I bought salt and two new sponges"."""
    bought = [t for t in part.tags if (t.says("cue", "bought") and not t.says("cue", "pull")) or t.word == "ordered"]
    wares = any(t.says("item") or t.says("substance") or t.says("food") for t in part.tags)
    return (
        bool(bought)
        and wares
        and not part.kind("line", "place", "batch")
        and not part.noun("fish", "fry", "male", "female", "pair")
    )


_MANAGED = frozenset(["managed", "remembered", "got", "had", "able", "time", "round", "around"])


def _not_an_event(part: Part) -> None:
    """Words that sound like an event and are none in their company."""
    tags = part.tags
    if any(t.says("item") for t in tags) and not any(t.kind == "line" or t.says("noun", *COUNTED) for t in tags):
        for tag in tags:
            if tag.says("cue", "bought") and not tag.says("cue", "pull"):
                tag.note = "muted"  # gear is bought, no fish came
    for n, tag in enumerate(tags[1:], 1):
        if tag.word == "feed" and tags[n - 1].word == "to" and not _MANAGED & {t.word for t in tags[:n]}:
            tag.note = "muted"  # "took six fry out to feed the bows": what for
    if _goods(part):
        mute_part(part, "goods")
    if any(t.kind == "deg" for t in tags):
        for tag in tags:
            if tag.word in ("down to", "is down to"):
                tag.note = "muted"  # the room down to 17 °C
    if any(
        t.kind == "day" and re.match(r"(last|past|previous) (year|month|spring|summer|winter|autumn|fall)", t.word)
        for t in tags
    ):
        mute_part(part, "not")  # long ago: no entry of today's
    ordered = next((n for n, t in enumerate(tags[:3]) if t.word in ("ordered", "preordered")), None)
    if ordered is not None and not any(t.kind == "person" for t in tags[:ordered]):
        mute_part(part, "plan")  # "ordered 4 clowns from Max": they are still to come
    late = next((n for n, t in enumerate(tags) if t.word in ("due", "overdue", "missed")), None)
    if late is not None and not any(t.says("cue", "hold") for t in tags):
        done = any(t.senses.get("cue") and (t.word.endswith("ed") or t.word in ("fed", "did")) for t in tags[:late])
        if not done:
            mute(tags)
        if late and not done and tags[late].word != "missed" and not any(t.kind in ("pct", "vol") for t in tags):
            mute_part(part, "plan")  # "tank 2 is due for a sponge squeeze"
    if (
        tags[0].word in ("was", "were")
        and any(_long_before(t) for t in tags)
        and not any(t.senses.get("cue") for t in tags)
    ):
        mute_part(part, "not")  # "30 today, was 50 last week"
    if re.search(r"\b(?:i|we|they|he|she) used to\b", part.text()):
        mute_part(part, "not")  # of old
    if _OUGHT.search(part.text()):
        mute_part(part, "plan")  # what a reading ought to be


def _still_to_come(part: Part) -> None:
    """Days ahead make a plan of what is said of them."""
    tags = part.tags
    if for_later(tags):
        mute_part(part, "plan")
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
        mute_part(part, "plan")  # "wetting B20 on Saturday"
    for n, tag in enumerate(tags):
        if tag.kind in ("day", "clock") and n and tags[n - 1].word in _TO_COME:
            told = any(t.kind in ("num", "deg") for t in tags[n + 1 :])
            if not told and not any(t.kind == "day" and t.word == "today" for t in tags):
                tag.note = "muted"
        if (
            tag.kind == "day"
            and isinstance(tag.value, Day)
            and tag.value.future
            and not tag.value.vague
            and tag.note != "muted"
            and not any(t.says("cue", "hold", "remind", "snooze") for t in tags)
        ):
            mute_part(part, "plan")
        if tag.word in ("yet", "tomorrow") and n and tags[n - 1].senses.get("guard"):
            mute_part(part, "plan")


def for_later(tags: list[Tag]) -> bool:
    """ "Feed fry later", "tank 13 wc later": a chore named and not said to be done; "tonight" only of a bidding."""
    tags = tags[:-1] if len(tags) > 2 and [t.word for t in tags[-2:]] == ["later", "on"] else tags
    last = _SOON.search(" ".join(t.word for t in tags))
    if last is not None:
        before = last.start()
        kept = [t for n, t in enumerate(tags) if len(" ".join(w.word for w in tags[: n + 1])) <= before]
        tags = [*kept, Tag("word", "soon", tags[-1].at, tags[-1].upto, "soon")]
    if len(tags) < 2 or tags[-1].word not in _IN_A_WHILE or tags[-2].kind == "dur":
        return False
    if tags[-2].kind == "num" and not (len(tags) > 2 and (tags[-3].senses.get("cue") or tags[-3].word in _AT)):
        return False  # "3 later"; of "wc 7 later" the number is a tank
    doing = [t for t in tags if t.senses.get("cue") and t is not tags[-1] and t.note != "muted"]
    bidding = bool(doing) and doing[0] is tags[0] and tags[0].word != "wc"
    return bool(doing) and all(t.word in _CHORES for t in doing) and (bidding or tags[-1].word not in _TONIGHT)


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
        wares = any(t.says("item") or t.says("substance") or t.says("food") for t in two.tags)
        done = any(t.senses.get("cue") and not t.says("cue", "start") for t in two.tags)
        if one.muted == "goods" and two.joiner in ("and", ",") and wares and not done and not two.kind("place"):
            two.muted = two.muted or one.muted
        if one.muted in ("plan", "if", "not") and two.joiner in ("and", "or", "then") and two.tags:
            first = two.tags[0]
            if first.kind == "lex" and first.says("cue") and first.word not in _SUBJECTS:
                two.muted = two.muted or one.muted
