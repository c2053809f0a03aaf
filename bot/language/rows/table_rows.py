"""The heading of a list or table and its rows: which topic, places, days and numbers each holds, and nothing else."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from dataclasses import dataclass, field

from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.names import Names
from bot.language.times.days import Clock, Day

_MARKS = frozenset([":", "=", ">", "-", "*", "+", "|", "/", ",", "·", "~", "--", ".", ";", "(", ")", "[", "]"])
_FILLER = frozenset(
    ["in", "on", "from", "was", "had", "gave", "at", "is", "x", "eggs", "egg", "fry", "the", "of", "had", "has", "only", "finally", "again", "ok", "about", "total", "left", "now", "ones", "tank", "tub", "mop",
     "for", "and", "got", "reads", "still", "good", "dead", "bad", "white", "alive", "fish", "drops", "drop", "juvs", "day", "&", "out", "to"]
)  # fmt: skip
_NAMING = frozenset(["in", "tank", "tanks", "tub", "tubs", "mop", "mops", "for"])
_NONE = frozenset(["none", "nothing", "nil", "zero", "nada", "zip", "zilch"])
# What a heading may be about, by the signs in it; the first that fits is taken.
_TOPICS: tuple[tuple[str, tuple[str, ...], tuple[str, ...], tuple[str, ...]], ...] = (
    ("bad_eggs", ("bad", "bad_weak"), (), ("duds",)),
    ("eyed", ("eyed",), (), ()),
    ("hatch", ("hatch",), (), ()),
    ("death", ("dead", "lost"), (), ("deaths", "losses")),
    ("headcount", ("count",), (), ("counts", "heads", "numbers", "census")),
    ("pull", ("pull", "laid"), ("mop", "eggs"), ()),
)


@dataclass
class Row:
    """What a row under a heading gives."""

    day: Day | None = None
    clock: Clock | None = None
    pairs: list[tuple[str | None, list[Tag]]] = field(default_factory=list)  # a place or batch and its numbers
    none: bool = False


@dataclass
class Heading:
    """What the rows under it are about."""

    topic: str = ""
    quantities: list[str] = field(default_factory=list)
    spots: list[str] = field(default_factory=list)
    day: Day | None = None
    clock: Clock | None = None
    substance: str | None = None


def heading_of(tags: list[Tag], teller: Teller) -> Heading | None:
    """What is listed and of where and when, as a heading says it; None when it says anything else."""
    out = Heading()
    words = {t.word for t in tags}
    if len(tags) > 14 or any(t.says("guard") or t.note in ("muted", "quoted") for t in tags):
        return None
    cues = {c for t in tags for c in t.senses.get("cue", ())}
    nouns = {c for t in tags for c in t.senses.get("noun", ())}
    quantities = [t.one("quantity") or "" for t in tags if t.says("quantity")]
    if quantities:
        out.topic, out.quantities = "measure", quantities
    elif any(t.says("unit", "drop") or t.says("substance") for t in tags):
        out.topic = "dose"
        out.substance = next((t.one("substance") for t in tags if t.says("substance")), None)
    else:
        for topic, signs, its, plain in _TOPICS:
            if cues & set(signs) or nouns & set(its) or words & set(plain):
                out.topic = topic
                break
    others = cues & {
        "sold",
        "bought",
        "hold",
        "release",
        "feed",
        "wc",
        "move",
        "topoff",
        "newplace",
        "close",
        "remind",
        "fix",
        "undo",
    }
    if others or any(t.says("food") for t in tags):
        return None
    if any(t.kind in ("amount", "pct", "money", "vol") for t in tags):
        return None
    for n, tag in enumerate(tags):
        if tag.kind == "place":
            if not tag.value:
                return None
            out.spots.extend(tag.value)
        elif tag.kind == "batch":
            if tag.value is None:
                return None
            out.spots.append(tag.value)
        elif tag.kind == "num":
            place = _place_of(tag, teller.names)
            if place is None or n == 0 or tags[n - 1].word not in (*_NAMING, "counted", "tested", "pulled"):
                return None
            out.spots.append(place)
        elif tag.kind == "day" and not tag.value.vague:
            out.day = tag.value
        elif tag.kind == "clock":
            out.clock = tag.value
    return out


def _place_of(tag: Tag, names: Names) -> str | None:
    """The one place a bare number or letter names."""
    key = str(int(tag.value)) if tag.kind == "num" and tag.value == int(tag.value) and tag.low is None else tag.word
    its = names.by_id.get(key, ())
    return its[0] if len(its) == 1 else None


def row_of(tags: list[Tag], head: Heading, names: Names) -> Row | None:
    """The day, places and numbers of a row; None when it holds anything else."""
    out = Row()
    hidden = False
    wanted = max(1, len(head.quantities))
    numbers = [t for t in tags if t.kind in ("num", "deg", "amount") and t.low is None]
    lead = sum(1 for t in tags if t.kind in ("place", "batch")) == 0 and not any(
        len(t.word) == 1 and t.word.isalpha() and _place_of(t, names) for t in tags[:3]
    )
    nothing = sum(1 for t in tags if t.word in _NONE)
    bare = lead and len(numbers) + nothing == wanted + 1 and (not head.spots or not any(t.kind == "day" for t in tags))
    counted = bare and head.topic != "measure" and len(numbers) == 2
    flipped = counted and tags[tags.index(numbers[1]) - 1].word in ("in", "from", "off")  # "1 in 3"
    for n, tag in enumerate(tags):
        if tag.word == "(":
            hidden = True
        elif tag.word == ")":
            hidden = False
        elif hidden:
            if tag.kind in ("num", "place", "batch", "pct", "deg", "amount") or tag.senses.get("cue"):
                return None
        elif tag.kind == "day":
            if out.day is not None and out.pairs:
                return None
            out.day = tag.value
        elif tag.kind == "clock":
            out.clock = tag.value
        elif tag.kind == "place":
            if len(tag.value) != 1:
                return None
            out.pairs.append((tag.value[0], []))
        elif tag.kind == "batch":
            if tag.value is None:
                return None
            out.pairs.append((tag.value, []))
        elif tag.kind in ("num", "deg") or (tag.kind == "amount" and head.topic == "dose"):
            if tag.low is not None or tag.approx:
                return None
            if bare and tag is numbers[0] and not out.pairs and tag.kind == "num":
                place = _place_of(numbers[1] if flipped else tag, names)
                if place is None:
                    return None
                out.pairs.append((place, [tag] if flipped else []))
                continue
            if flipped:
                continue
            if not out.pairs:
                out.pairs.append((None, []))
            out.pairs[-1][1].append(tag)
        elif tag.word in _NONE:
            if out.pairs and not out.pairs[-1][1]:
                out.pairs[-1][1].append(Tag("num", 0.0, tag.at, tag.upto, tag.word))
            else:
                out.none = True
        elif tag.says("quantity") and len(head.quantities) == 1 and tag.one("quantity") == head.quantities[0]:
            continue
        elif (
            len(tag.word) == 1
            and tag.word.isalpha()
            and tag.kind in ("word", "lex")
            and n <= 2
            and not out.pairs
            and (place := _place_of(tag, names))
        ):
            out.pairs.append((place, []))
        elif tag.word in _MARKS or tag.word in _FILLER or tag.kind == "sep" or tag.kind == "line":
            continue
        else:
            return None
    if not out.pairs and not out.none:
        return None
    if any(len(numbers) != wanted for _, numbers in out.pairs):
        return None
    if any(place is None for place, _ in out.pairs) and (
        len(head.spots) != 1 or len(out.pairs) != 1 or (out.day is None and out.clock is None)
    ):
        return None
    return out
