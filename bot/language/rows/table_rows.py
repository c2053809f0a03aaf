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
    reading = _RowReading(tags, head, names)
    row = reading.row
    if not all(reading.take(n) for n in range(len(tags))) or not (row.pairs or row.none):
        return None
    if any(len(numbers) != reading.wanted for _, numbers in row.pairs):
        return None
    if any(place is None for place, _ in row.pairs):
        dated = row.day is not None or row.clock is not None
        return row if dated and len(head.spots) == 1 and len(row.pairs) == 1 else None
    return row


class _RowReading:
    """A row as it is read, tag by tag."""

    def __init__(self, tags: list[Tag], head: Heading, names: Names) -> None:
        self.tags, self.head, self.names = tags, head, names
        self.row = Row()
        self.hidden = False  # between brackets
        self.wanted = max(1, len(head.quantities))
        self.numbers = [t for t in tags if t.kind in ("num", "deg", "amount") and t.low is None]
        self.bare = self._leads_with_a_bare_place()
        two = self.bare and len(self.numbers) == 2
        # "1 in 3"
        turns = ("in",) if head.topic == "measure" else ("in", "from", "off")
        self.flipped = two and tags[tags.index(self.numbers[1]) - 1].word in turns

    def _leads_with_a_bare_place(self) -> bool:
        """Whether one number more stands in the row than is wanted of it, and names the place."""
        tags, head = self.tags, self.head
        if any(t.kind in ("place", "batch") for t in tags):
            return False
        if any(len(t.word) == 1 and t.word.isalpha() and _place_of(t, self.names) for t in tags[:3]):
            return False
        nothing = sum(1 for t in tags if t.word in _NONE)
        dated = bool(head.spots) and any(t.kind == "day" for t in tags)
        return len(self.numbers) + nothing == self.wanted + 1 and not dated

    def take(self, n: int) -> bool:
        """Read one tag; False where a row of this table cannot hold it."""
        tag, row = self.tags[n], self.row
        if tag.word in ("(", ")"):
            self.hidden = tag.word == "("
            return True
        if self.hidden:
            told = tag.kind in ("num", "place", "batch", "pct", "deg", "amount") or tag.senses.get("cue")
            return not told
        if tag.kind == "day":
            first = row.day is None or not row.pairs
            row.day = tag.value
            return first
        if tag.kind == "clock":
            row.clock = tag.value
            return True
        if tag.kind in ("place", "batch"):
            return self._place(tag)
        if tag.kind in ("num", "deg") or (tag.kind == "amount" and self.head.topic == "dose"):
            return self._number(tag)
        if tag.word in _NONE:
            self._none(tag)
            return True
        return self._names_what_is_read(tag) or self._letter(n) or tag.kind in ("sep", "line") or tag.word in _PASSED

    def _place(self, tag: Tag) -> bool:
        if tag.kind == "place" and len(tag.value) == 1:
            self.row.pairs.append((tag.value[0], []))
        elif tag.kind == "batch" and tag.value is not None:
            self.row.pairs.append((tag.value, []))
        else:
            return False
        return True

    def _number(self, tag: Tag) -> bool:
        pairs = self.row.pairs
        if tag.low is not None or tag.approx:
            return False
        if self.bare and tag is self.numbers[0] and not pairs and tag.kind == "num":
            place = _place_of(self.numbers[1] if self.flipped else tag, self.names)
            pairs.append((place, [tag] if self.flipped else []))
            return place is not None
        if not self.flipped:
            if not pairs:
                pairs.append((None, []))
            pairs[-1][1].append(tag)
        return True

    def _none(self, tag: Tag) -> None:
        """ "None" is a nought where a number is still to come, else a row without any."""
        pairs = self.row.pairs
        if pairs and not pairs[-1][1]:
            pairs[-1][1].append(Tag("num", 0.0, tag.at, tag.upto, tag.word))
        else:
            self.row.none = True

    def _names_what_is_read(self, tag: Tag) -> bool:
        its = self.head.quantities
        return tag.says("quantity") and len(its) == 1 and tag.one("quantity") == its[0]

    def _letter(self, n: int) -> bool:
        """Whether a row is led by the letter of its place."""
        tag = self.tags[n]
        if n > 2 or self.row.pairs or len(tag.word) != 1 or not tag.word.isalpha() or tag.kind not in ("word", "lex"):
            return False
        place = _place_of(tag, self.names)
        if place:
            self.row.pairs.append((place, []))
        return place is not None


_PASSED = frozenset([*_MARKS, *_FILLER])
