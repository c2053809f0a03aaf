"""A note cut into sentences and clauses, with what each clause forbids: plans, wishes, negations, other people's news."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from bot.language.days import Clock, Day
from bot.language.names import Names
from bot.language.tags import Tag

COUNTED = ("eggs", "fry", "juveniles", "adults", "male", "female", "pair", "trio", "fish")
_SPLIT_WORDS = frozenset(
    {
        "and",
        "then",
        "but",
        "so",
        "while",
        "because",
        "although",
        "though",
        "plus",
        "also",
        "whereas",
        "after",
        "before",
        "as",
    }
)
_SUBJECTS = frozenset(
    {
        "i",
        "we",
        "he",
        "she",
        "they",
        "it",
        "i've",
        "we've",
        "they're",
        "it's",
        "that's",
        "there",
        "there's",
        "he's",
        "she's",
        "nobody",
        "the",
    }
)
_SAMEABLE = frozenset(
    {"num", "place", "line", "clock", "pct", "vol", "size", "batch", "person", "culture", "deg", "frac"}
)
_OTHERS = frozenset(
    {
        "chap",
        "bloke",
        "fellow",
        "fella",
        "dude",
        "woman",
        "colleague",
        "coworker",
        "breeder",
        "neighbor",
        "neighbour",
        "neighbors",
        "cousin",
        "guy",
        "guys",
        "lady",
        "man",
        "friend",
        "friends",
        "club",
        "forum",
        "someone",
        "somebody",
        "people",
        "kid",
        "niece",
        "nephew",
        "sister",
        "brother",
        "video",
        "article",
        "book",
        "shop",
    }
)


@dataclass
class Part:
    """A clause: its tags without the joining word, which is kept as `joiner`."""

    tags: list[Tag]
    joiner: str = ""
    sentence: int = 0
    line: int = 0
    asks: bool = False  # the clause is a question
    before: Part | None = None  # the clause it follows in the sentence
    after: Part | None = None  # the clause that follows in the sentence
    muted: str = ""  # why nothing in it may be logged: wish, if, hearsay, quoted

    def cues(self, *values: str) -> list[Tag]:
        """The tags that say one of these signs, where nothing forbids them and nothing has claimed them."""
        return [t for t in self.tags if t.senses and not t.claimed and t.note != "muted" and t.says("cue", *values)]

    def has(self, *values: str) -> bool:
        return bool(self.cues(*values))

    def noun(self, *values: str) -> list[Tag]:
        return [t for t in self.tags if t.senses and t.note != "muted" and t.says("noun", *values)]

    def kind(self, *kinds: str) -> list[Tag]:
        return [t for t in self.tags if t.kind in kinds and t.note != "quoted"]

    def sense(self, sort: str) -> list[Tag]:
        return [t for t in self.tags if t.senses and t.says(sort) and t.note != "muted"]

    def words(self) -> set[str]:
        return {t.word for t in self.tags}

    def before_all(self) -> list[Part]:
        """This clause with those before it in its sentence, first to last."""
        out: list[Part] = [self]
        while out[0].before is not None:
            out.insert(0, out[0].before)
        return out

    def senses_cue(self) -> bool:
        return any(t.senses.get("cue") for t in self.tags)

    def text(self) -> str:
        return " ".join(t.word for t in self.tags)


@dataclass
class Sentence:
    """Clauses up to a stop."""

    parts: list[Part]
    tags: list[Tag]
    line: int
    stop: str = ""
    ask: bool = False

    def words(self) -> list[str]:
        return [w for t in self.tags for w in t.word.split()]

    def text(self) -> str:
        return " ".join(t.word for t in self.tags)


@dataclass
class Context:
    """What earlier clauses leave behind for later ones."""

    places: tuple[str, ...] = ()
    batch: str | None = None
    line: str | None = None
    kind: str = ""
    count: int | None = None
    day: Day | None = None
    clock: Clock | None = None
    quantity: str | None = None
    food: str | None = None
    substance: str | None = None
    event: dict[str, Any] | None = None
    header: bool = False  # the places come from a heading, not from an event
    sentence: int = -1
    values: dict[str, object] = field(default_factory=dict)


def sentences_of(tags: list[Tag], names: Names) -> list[Sentence]:
    """The note's sentences with their clauses; guards already set."""
    out: list[Sentence] = []
    current: list[Tag] = []
    line = 0
    for tag in tags:
        if tag.kind == "stop":
            if current:
                out.append(Sentence([], current, line, tag.word))
                current = []
            elif out and tag.word == "?":
                out[-1].stop = "?"
            if tag.word == "\n":
                line += 1
            continue
        current.append(tag)
    if current:
        out.append(Sentence([], current, line, ""))
    for number, sentence in enumerate(out):
        sentence.parts = list(_parts(sentence, number))
        for one, two in zip(sentence.parts, sentence.parts[1:], strict=False):
            one.after, two.before = two, one
        if sentence.stop == "?" and sentence.parts:
            sentence.parts[-1].asks = True
        for part in sentence.parts:
            _guard(part, names)
            if sentence.tags[0].word == "☐":
                part.muted = part.muted or "plan"
        _carry(sentence.parts)
        first = sentence.parts[0] if sentence.parts else None
        if (
            first is not None
            and len(first.tags) <= 3
            and first.muted == "plan"
            and any(t.kind == "day" and t.value.future for t in first.tags)
        ):
            for part in sentence.parts:  # "maybe tomorrow: …"
                part.muted = part.muted or "plan"
        if _unreal(sentence):
            for part in sentence.parts:
                part.muted = part.muted or "not"
        if _others(sentence, names):
            for part in sentence.parts:
                part.muted = part.muted or "hearsay"
    return out


def _like(a: Tag, b: Tag) -> bool:
    """Whether a comma or "and" between two tags only lists them."""
    if a.kind in _SAMEABLE and (
        a.kind == b.kind or {a.kind, b.kind} <= {"num", "place"} or {a.kind, b.kind} <= {"clock", "num"}
    ):
        return True
    return any(a.says(sort) and b.says(sort) for sort in ("food", "item"))


def _parts(sentence: Sentence, number: int) -> Iterator[Part]:
    tags = sentence.tags
    current: list[Tag] = []
    joiner = ""
    n = 0
    while n < len(tags):
        tag = tags[n]
        cut = False
        if (
            tag.word == "but"
            and any(t.says("group") for t in current)
            and n + 1 < len(tags)
            and tags[n + 1].kind in ("place", "num", "line", "batch")
        ):
            current.append(Tag("lex", "but", tag.at, tag.upto, "but", {"except": frozenset({"except"})}))
            n += 1
            continue
        if (
            tag.kind == "punct"
            and tag.word == "-"
            and tag.note not in ("minus", "inside")
            and current
            and (current[-1].kind in ("place", "batch") or current[-1].says("noun", "mop", "eggs"))
            and n + 1 < len(tags)
            and tags[n + 1].kind == "num"
        ):
            current.append(Tag("sep", ",", tag.at, tag.upto, ":"))  # "t7 mop - 9"
            n += 1
            continue
        if (
            tag.kind == "punct"
            and tag.note != "inside"
            and tag.word in (",", ":", "(", ")", "-", "+", "/", '"', "*", "=", ">")
        ):
            cut = True
        elif tag.kind == "word" and tag.word in _SPLIT_WORDS:
            cut = not (
                tag.word == "and"
                and current
                and current[-1].kind in ("lex", "num", "vol", "amount")
                and n + 1 < len(tags)
                and tags[n + 1].kind == "frac"
            )
        elif tag.kind == "word" and tag.word in ("who", "which", "where") and current:
            cut = True
        elif current and _opens(tag, tags, n) and len(current) > 1:
            yield Part(current, joiner, number, sentence.line)
            current, joiner = [tag], ""
            n += 1
            continue
        if cut:
            before = next((t for t in reversed(current) if t.kind not in ("punct",)), None)
            m = n + 1
            while m < len(tags) and tags[m].word in (",", "and", "&", "also", "then", "the", "a", "some", "maybe"):
                m += 1
            after = tags[m] if m < len(tags) else None
            listing = (
                before is not None
                and after is not None
                and tag.word in (",", "and", "plus", "+", "/", ":", "=", ">")
                and _like(before, after)
            )
            if (
                listing
                and after is not None
                and after.kind == "place"
                and len(current) > 1
                and current[-1].kind == "place"
                and current[-2].word in ("to", "into")
                and any(t.kind in ("num", "place") for t in current[:-2])
                and m + 1 < len(tags)
                and tags[m + 1].kind == "num"
            ):
                listing = False  # "A1 12 > B, A2 7 > C"
            if listing and tag.word == "," and after is not None and after.kind == "num" and tags[m - 1].word == "the":
                listing = False
            if listing and tag.word == "," and after is not None and after.kind == "num" and m + 1 < len(tags):
                nxt = tags[m + 1]
                listing = not (
                    (nxt.kind in ("word", "line") and nxt.word not in ("and", ",", "in", "each", "to", "for"))
                    or nxt.says("noun", *COUNTED)
                    or nxt.says("cue", "dead", "left", "bad", "bad_weak", "hatch", "eyed")
                    or nxt.word == "of them"
                )
            if (
                tag.word == ":"
                and before is not None
                and after is not None
                and (after.kind in ("place", "num", "batch", "line") or after.says("group"))
                and (before.says("food") or before.says("substance") or before.says("item"))
            ) or (
                tag.word == ":"
                and before is not None
                and after is not None
                and before.says("quantity")
                and after.kind == "len"
            ):
                listing = True  # "flake: 1, 2 and 3"
            if (
                tag.word == ":"
                and before is not None
                and after is not None
                and before.kind in ("place", "batch")
                and after.kind == "deg"
            ):
                listing = True  # "tank 1: 76F"
            if (
                tag.word in (":", "=")
                and before is not None
                and after is not None
                and before.kind == "num"
                and after.kind != "num"
            ):
                listing = False
            if listing or (tag.word in ("-", "/", "=", ">") and not _spaced(tag)):
                current.append(Tag("sep", ",", tag.at, tag.upto, tag.word))
                n += 1
                continue
            if current:
                yield Part(current, joiner, number, sentence.line)
                current = []
                joiner = tag.word
            elif joiner in ("", ",") or tag.word != ",":
                joiner = tag.word
            if tag.word in ("who", "which", "where"):
                current = [tag]
            n += 1
            continue
        current.append(tag)
        n += 1
    if current:
        yield Part(current, joiner, number, sentence.line)


_OPENERS = frozenset(
    [
        "i",
        "i'll",
        "i'm",
        "i've",
        "i'd",
        "we",
        "we've",
        "we'll",
        "they",
        "they're",
        "they've",
        "she",
        "he",
        "he's",
        "she's",
        "she'd",
        "it's",
        "there's",
    ]
)
_HANGS_ON = frozenset(
    [
        "which",
        "that",
        "what",
        "when",
        "if",
        "because",
        "how",
        "where",
        "who",
        "as",
        "since",
        "than",
        "while",
        "after",
        "before",
        "until",
        "like",
        "say",
        "says",
        "said",
        "think",
        "hope",
        "know",
        "and",
        "but",
        "so",
        "guess",
        "reckon",
        "till",
    ]
)


def _opens(tag: Tag, tags: list[Tag], n: int) -> bool:
    """Whether a new clause opens without a comma, as dictation leaves it: a subject, or "38 left"."""
    before = tags[n - 1]
    if tag.word in _OPENERS and tag.kind in ("word", "lex"):
        return (
            before.word not in _HANGS_ON
            and before.word
            not in (
                "do",
                "did",
                "does",
                "should",
                "can",
                "could",
                "will",
                "would",
                "shall",
                "must",
                "have",
                "am",
                "was",
                "were",
                "are",
            )
            and not before.says("guard")
            and before.word not in ("here", "morning", "one", "last", "time", "way", "thing", "only")
        )
    if (
        tag.word in ("when", "what", "how", "which")
        and n + 1 < len(tags)
        and tags[n + 1].word in ("was", "is", "did", "do", "does", "should", "many", "much", "long", "are", "will")
        and before.word not in _HANGS_ON
        and n >= 4
    ):
        return before.kind != "word" or before.word not in (
            "that's",
            "is",
            "see",
            "on",
            "out",
            "remember",
            "tell",
            "about",
            "at",
        )
    if (
        tag.word in ("is", "isn't")
        and n + 2 < len(tags)
        and tags[n + 1].word in ("that", "this", "it")
        and tags[n + 2].word
        in ("bad", "ok", "okay", "normal", "too", "safe", "enough", "dangerous", "high", "low", "good", "fine", "right")
    ):
        return True
    if (
        n > 2
        and (
            tag.word in ("put them in", "put those in", "put it in", "popped them in", "popped them into")
            or (tag.says("cue", "move", "put") and n + 1 < len(tags) and tags[n + 1].word in ("them", "those"))
        )
        and any(t.kind == "num" for t in tags[:n])
        and before.word not in ("i", "we", "and", "then", "to", "he", "she", "they", "just", "have", "i've", "also")
        and before.kind not in ("person", "punct")
    ):
        return True
    if tag.word in ("fed", "pulled", "changed", "topped off", "moved") and any(
        t.says("cue", "done", "wc") for t in tags[:n]
    ):
        return True
    if (
        tag.kind == "num"
        and n + 1 < len(tags)
        and tags[n + 1].says("cue", "bad", "bad_weak", "dead", "eyed", "hatch")
        and tags[n + 1].word not in ("clear", "hatch")
    ):
        return (
            any(t.kind == "num" and tags[i + 1].says("noun", *COUNTED) for i, t in enumerate(tags[:n]))
            and before.kind not in ("num", "place", "sep")
            and before.word not in ("in", "on", "at", "about", "say", "maybe", "with", "of")
        )
    if (
        tag.kind == "num"
        and n + 1 < len(tags)
        and tags[n + 1].says("cue", "left")
        and tags[n + 1].word not in ("present",)
    ):
        return (
            any(t.kind == "num" for t in tags[:n])
            and before.kind not in ("num", "place", "punct", "sep")
            and before.word not in ("in", "on", "at", "is", "are", "about", "say", "maybe", "with")
        )
    return False


def _unreal(sentence: Sentence) -> bool:
    """Whether a sentence itself asks not to be written down."""
    text = sentence.text()
    if any(
        words in text
        for words in ("i told you about", "told you about", "i mentioned", "you already have", "already logged")
    ):
        return True
    return any(
        f"{no} {verb}" in text
        for no in ("don't", "dont", "do not", "no need to")
        for verb in (
            "write that",
            "write this",
            "write it",
            "log",
            "record",
            "mark",
            "put that",
            "put it down",
            "count that",
            "note that",
            "save",
        )
    )


def _spaced(tag: Tag) -> bool:
    return tag.word == "-"


def _guard(part: Part, names: Names) -> None:
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


def _carry(parts: list[Part]) -> None:
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


def _others(sentence: Sentence, names: Names) -> bool:
    """Whether a sentence tells of somebody else's fish."""
    if any(t.word in ("movie", "film", "tv", "telly", "novel", "documentary", "podcast") for t in sentence.tags):
        return True
    tags = sentence.tags
    for n, tag in enumerate(tags[:-1]):
        if tag.kind == "person" and tag.value not in names.people:
            word = tags[n + 1]
            plain = n == 0 and tag.note == "guess" and word.kind in ("word", "punct")  # "Evaporation's shocking"
            if (tag.word.endswith("'s") or word.word == "'s") and not (
                plain or any(t.says("cue", "hold", "release", "sold") for t in tags)
            ):
                return True
            if (
                n == 0
                and word.kind == "lex"
                and word.says("cue", "lost", "dead", "hatch", "pull", "eyed", "crash")
                and not word.says("cue", "release")
            ):
                return True
    words = {t.word.removesuffix("'s") for t in tags[:6]}
    if (
        tags
        and tags[0].word in _OTHERS
        and len(tags) > 1
        and tags[1].word
        in ("at", "in", "from", "on", "down", "next", "over", "across", "i", "who", "lost", "had", "got")
    ):
        return not any(t.says("cue", "sold", "hold", "release", "bought") for t in tags)
    if words & _OTHERS and words & {"my", "a", "the", "his", "her", "some", "neighbor's", "their"}:
        joined = sentence.text().replace("'s", "")
        if any(f"{own} {who}" in joined for own in ("my", "a", "some") for who in _OTHERS):
            return not any(t.says("cue", "sold", "hold", "release", "bought") for t in tags)
    return False
