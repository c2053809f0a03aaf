"""Numbers with what belongs to them: ranges, fractions, percents, money, volumes, doses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bot.language.tags.counts import is_counted, litres_of, unit_at
from bot.language.tags.places import place_at, size_at
from bot.language.tags.plain_words import CURRENCY_WORDS
from bot.language.tags.stock import batch_at, line_at
from bot.language.tags.tag import Marked, Tag
from bot.language.text.figures import FRACTIONS, Item
from bot.language.text.words import CURRENCY
from bot.language.times.days import Clock

# What may stand between a number and its spoon or drop: "two extra drops", "one level tablespoon".
_SIZED = frozenset(
    ["level", "heaped", "heaping", "rounded", "full", "scant", "big", "small", "extra", "more", "good", "generous",
     "fat", "tiny", "little", "large", "whole", "single", "additional"]
)  # fmt: skip
_ABOUT = frozenset(
    ["about", "~", "roughly", "maybe", "around", "approximately", "nearly", "almost", "circa", "say"]
)  # fmt: skip
_OUT = frozenset(["out", "drained", "swap", "swapped"])
_CHANGES = frozenset(["change", "changed", "wc", "water change", "pwc"])


@dataclass(slots=True)
class _Number:
    """A number on its way to being tagged, with as much of the note after it as belongs to it."""

    marked: Marked
    at: int
    value: float
    end: int
    low: float | None = None

    @property
    def item(self) -> Item:
        return self.marked.items[self.at]

    @property
    def before(self) -> str:
        return self.marked.w(self.at - 1)

    @property
    def after(self) -> str:
        return self.marked.w(self.end)

    @property
    def follows(self) -> Item | None:
        return self.next(0)

    def next(self, further: int) -> Item | None:
        """The item so many after the number."""
        n = self.end + further
        return self.marked.items[n] if n < len(self.marked.items) else None

    @property
    def glued_on(self) -> bool:
        return self.follows is not None and self.follows.glued

    def tag(self, kind: str, value: Any, end: int, **more: Any) -> Tag:
        return Tag(kind, value, self.at, end, self.item.raw.lower(), **more)


def number_at(marked: Marked, at: int) -> Tag | None:
    item = marked.items[at]
    number = _Number(marked, at, float(item.num or 0), at + 1)
    if item.spelled and number.value == 1 and number.after in ("third", "quarter", "half", "fifth"):
        return Tag("frac", FRACTIONS[number.after], at, at + 2, number.after)
    _decimal_comma(number)
    tag = _part_of_whole(number) or _place_of_its_role(number)
    if tag is not None:
        return tag
    if number.after in FRACTIONS and number.value <= 3 and item.spelled:
        return Tag("frac", number.value * FRACTIONS[number.after], at, number.end + 1, number.after)
    _span(number)
    _and_a_half(number)
    return (
        _vague(number)
        or _share_or_money(number)
        or _ordinal(number)
        or _times(number)
        or _time_of_day(number)
        or (size_at(marked, at, article=False) if number.low is None else None)
        or _with_unit(number)
        or number.tag(
            "num",
            number.value,
            number.end,
            low=number.low,
            approx=number.before in _ABOUT,
            note="spelled" if item.spelled else "",
        )
    )


def _decimal_comma(number: _Number) -> None:
    """ "7,4": a decimal mark where the room or the quantity is such that no list is meant."""
    marked, at = number.marked, number.at
    if number.after != "," or not number.glued_on or at + 2 >= len(marked.items):
        return
    tail = marked.items[at + 2]
    if not tail.glued or not tail.raw.isdigit() or len(tail.raw) > 2:
        return
    if marked.w(at + 3) == "," and marked.items[at + 3].glued and marked.w(at + 4) != ",":
        return
    if (number.before == "," and number.item.glued) or "." in number.item.raw:
        return
    if marked.names.metric or number.item.raw == "0" or _measured(number, len(tail.raw)):
        number.value = float(f"{number.item.raw}.{tail.raw}")
        number.end = at + 3


def _measured(number: _Number, decimals: int) -> bool:
    """Whether something is measured by a number with a comma: a pH, another reading, a length."""
    marked, value, unit = number.marked, number.value, number.marked.w(number.at + 3)
    last = marked.tags[-1] if marked.tags else None
    if decimals == 1:
        if 4 <= value < 10 and any(t.says("quantity", "ph") for t in marked.tags):
            return True
        if last is not None and last.says("quantity"):
            return True
        if value >= 10 and any(t.says("quantity") for t in marked.tags):
            return True
    if unit in ("cm", "inch", "inches") and not marked.is_id(number.item):
        return True
    said = last is not None and (last.word in ("about", "average") or last.kind in ("place", "batch"))
    return unit == "cm" and said


def _part_of_whole(number: _Number) -> Tag | None:
    """ "1/3", where it is no row of tanks ("mops 2/3/5")."""
    marked, at = number.marked, number.at
    row = (bool(marked.tags) and marked.tags[-1].says("noun", "mop")) or "/" in (number.before, marked.w(at + 3))
    if number.after != "/" or at + 2 >= len(marked.items) or not marked.items[at + 2].num or row:
        return None
    bottom = float(marked.items[at + 2].num or 1)
    if not number.glued_on or not 0 < number.value < bottom <= 8:
        return None
    return Tag("frac", 100 * number.value / bottom, at, at + 3, "/")


def _place_of_its_role(number: _Number) -> Tag | None:
    """ "quarantine 15": the place that has the role and the number."""
    marked = number.marked
    if not marked.tags or not marked.tags[-1].says("role") or number.item.whole is None:
        return None
    its = marked.names.by_id.get(str(number.item.whole), ())
    role = marked.tags[-1].one("role")
    if len(its) == 1 and role is not None and marked.names.place_of[its[0]].role == role:
        return number.tag("place", its, number.at + 1)
    return None


def _span(number: _Number) -> None:
    """ "between 3 and 5", "3-5", "3 to 5 eggs", "3 or 4": from the lower to the higher."""
    marked, other = number.marked, number.next(1)
    if other is None or other.num is None:
        return
    both = marked.is_id(number.item) and marked.is_id(other)
    if number.before == "between" and number.after == "and" and not both:
        number.low, number.value, number.end = number.value, float(other.num or 0), number.end + 2
        other = number.next(1)
        if other is None or other.num is None:
            return
    top = float(other.num or 0)
    if top > number.value and (_joined_to(number) or (number.after == "or" and not _either_place(number, other))):
        number.low, number.value, number.end = number.value, top, number.end + 2


def _joined_to(number: _Number) -> bool:
    marked, after, end = number.marked, number.after, number.end
    if after == "-":
        return number.glued_on
    if after in ("to", "or") and (is_counted(marked, end + 1) or unit_at(marked, end + 2)):
        return True
    of_tanks = len(marked.tags) > 1 and (marked.tags[-2].says("group") or marked.tags[-2].says("noun", "tank"))
    return after == "through" or (after == "to" and number.before == "from" and of_tanks)


def _either_place(number: _Number, other: Item) -> bool:
    """ "No eggs in 5 or 7", "2, 5 or 7": places and no span."""
    marked, at = number.marked, number.at
    if not (marked.is_id(number.item) and marked.is_id(other)):
        return False
    return number.before in ("in", "from", "on") or (
        number.before == "," and at > 1 and marked.is_id(marked.items[at - 2])
    )


def _and_a_half(number: _Number) -> None:
    """ "2 and a half", "1 1/2"."""
    marked, end, follows = number.marked, number.end, number.follows
    if number.after == "and" and marked.w(end + 1) in ("a", "1") and marked.w(end + 2) == "half":
        number.value, number.end = number.value + 0.5, end + 3
        return
    if follows is None or follows.num is None or marked.w(end + 1) != "/" or number.item.whole is None:
        return
    bottom = marked.items[end + 2].num if marked.w(end + 2) else None
    if bottom and float(follows.num or 0) < float(bottom) <= 8 and marked.items[end + 1].glued:
        number.value, number.end = number.value + float(follows.num or 0) / float(bottom), end + 3


def _vague(number: _Number) -> Tag | None:
    """ "30-odd", "thirty something", "20ish"."""
    if number.after == "-" and number.marked.w(number.end + 1) in ("something", "ish", "odd") and number.glued_on:
        return number.tag("num", number.value, number.end + 2, low=number.value, approx=True, note="vague")
    if number.after in ("ish", "something", "odd"):
        low = None if number.after == "ish" else number.value
        return number.tag("num", number.value, number.end + 1, approx=True, low=low)
    return None


def _share_or_money(number: _Number) -> Tag | None:
    marked, after, end = number.marked, number.after, number.end
    if after in ("%", "percent", "pct") or (after in ("pc", "perc") and number.marked.items[end].glued):
        return number.tag("pct", number.value, end + 1, low=number.low, approx=number.before in _ABOUT)
    if after == "per" and marked.w(end + 1) in ("cent", "scent", "sent"):
        return number.tag("pct", number.value, end + 2, low=number.low, approx=number.before in _ABOUT)
    other = number.next(1)
    if after in CURRENCY_WORDS or (after in CURRENCY and (other is None or other.num is None)):
        unit = CURRENCY_WORDS.get(after, CURRENCY.get(after, ""))
        return number.tag("money", number.value, end + 1, unit=unit)
    return None


def _ordinal(number: _Number) -> Tag | None:
    """ "the 4th"; and "3rd of t1 changed", which is a third."""
    marked, after, end = number.marked, number.after, number.end
    if after not in ("st", "nd", "rd", "th") or not number.glued_on:
        return None
    of_water = after in ("rd", "th") and number.value in (3, 4) and marked.w(end + 1) == "of"
    if of_water and end + 2 < len(marked.items) and (place_at(marked, end + 2) or marked.w(end + 2) == "the"):
        return number.tag("frac", 100 / number.value, end + 1)
    return number.tag("ordinal", number.value, end + 1)


def _times(number: _Number) -> Tag | None:
    """ "2x", "2 times", "wc x2"; but "10x b14" counts fish."""
    marked, end, value = number.marked, number.end, number.value
    if number.after == "x" and number.glued_on:
        fish = number.next(1) is not None and (batch_at(marked, end + 1) or line_at(marked, end + 1, exact=True))
        return number.tag("num" if fish else "times", value, end + 1)
    if number.after == "times":
        return number.tag("times", value, end + 1)
    if number.before != "x" or not number.item.glued:
        return None
    if marked.tags:
        marked.tags[-1].claimed = "x"
    done = any(t.says("cue", "wc", "feed", "changed") or t.says("food") for t in marked.tags[-3:])
    return number.tag("times", value, end) if value <= 6 and done else None


def _time_of_day(number: _Number) -> Tag | None:
    if not _is_time(number.marked, number.at):
        return None
    raw = number.item.raw
    return number.tag("clock", Clock(int(raw[:-2]), int(raw[-2:]), "24" if len(raw) == 4 else ""), number.end)


def _with_unit(number: _Number) -> Tag | None:
    marked, value, low, end = number.marked, number.value, number.low, number.end
    unit = unit_at(marked, end)
    if unit is None and marked.w(end) in _SIZED and (unit := unit_at(marked, end + 1)):
        end += 1  # one level tablespoon
    if not unit:
        return None
    size, sort, name = unit
    end += size
    if sort == "volume":
        litres = litres_of(marked, value, name)
        low_l = litres_of(marked, low, name) if low is not None else None
        return number.tag("vol", litres, end, low=low_l, approx=number.before in _ABOUT, unit=name)
    if sort == "length":
        scale = {"mm": 1.0, "cm": 10.0, "in": 25.4}[name]
        return number.tag("len", value * scale, end, low=low, unit=name)
    kind = {"degree": "deg", "unit": "amount"}.get(sort, "dur")
    return number.tag(kind, value, end, low=low, unit=name)


def fraction_at(marked: Marked, at: int) -> Tag | None:
    word, after, third = marked.w(at), marked.w(at + 1), marked.w(at + 2)
    if word == "a" and after == "quarter" and _says_the_hour(marked, at):
        return None
    if word in ("a", "one") and after in FRACTIONS and third != "dozen" and not (word == "one" and third == "of them"):
        return Tag("frac", FRACTIONS[after], at, at + 2, after)
    if inches := _inch_at(marked, at):
        return inches
    if word == "half" and after in ("a", "an") and (unit := unit_at(marked, at + 2)) and unit[1] == "unit":
        return Tag("amount", 0.5, at, at + 2 + unit[0], word, unit=unit[2])
    if (
        word == "half"
        and after in ("a", "an")
        and (unit := unit_at(marked, at + 2))
        and unit[1] == "volume"
        and unit[2] != "bucket"
    ):
        return Tag("vol", litres_of(marked, 0.5, unit[2]), at, at + 2 + unit[0], word, unit=unit[2])
    if (word == "third" and after in _OUT) or (word == "quarter" and after in _OUT | _CHANGES):
        return Tag("frac", FRACTIONS[word], at, at + 1, word)  # "8 third out"
    if word == "half":
        if after in ("an", "a", "hour", "dozen", "past", "way"):
            return None
        return Tag("frac", 50.0, at, at + 1, word)
    return None


def _says_the_hour(marked: Marked, at: int) -> bool:
    """Whether "a quarter to" goes on with an hour: "was a quarter to eight"; "fed a quarter to 11" does not."""
    hour = marked.items[at + 3] if at + 3 < len(marked.items) else None
    if hour is None or hour.whole is None or not 1 <= hour.whole <= 12 or marked.w(at + 2) not in _BY_THE_HOUR:
        return False
    return hour.spelled or marked.w(at + 2) == "past" or marked.w(at - 1) in _HOUR_FOLLOWS


_BY_THE_HOUR = frozenset(["to", "past", "till", "until"])
_HOUR_FOLLOWS = frozenset(["at", "about", "around", "since", "was", "it's", "by"])


def _inch_at(marked: Marked, at: int) -> Tag | None:
    """ "half an inch", "an inch and a half", "one inch": a length said in words."""
    words = [marked.w(at + n) for n in range(6)]
    if words[:3] == ["half", "an", "inch"]:
        return Tag("len", 12.7, at, at + 3, "half", unit="in")
    if words[:2] in (["an", "inch"], ["a", "inch"]):
        more = words[2:5] == ["and", "a", "half"]
        return Tag("len", 38.1 if more else 25.4, at, at + (5 if more else 2), "an inch", unit="in")
    return None


_AT_HOURS = ("wc", "feed", "done", "topoff", "wet", "start", "harvest", "gave")


def _is_time(marked: Marked, at: int) -> bool:
    """Whether three or four figures in a feeding, watering or round are a clock time: "powder 0700 mw 1230"."""
    raw = marked.items[at].raw
    if not (
        marked.tags
        and raw.isdigit()
        and len(raw) in (3, 4)
        and 500 <= int(raw) < 2400
        and int(raw[-2:]) < 60
        and int(raw[-2:]) % 5 == 0
    ):
        return False
    if marked.w(at + 1) in (
        "eggs",
        "egg",
        "ml",
        "l",
        "fry",
        "fish",
        "litres",
        "liters",
        "drops",
        "%",
        "ppm",
        "/",
        "-",
        "lumens",
    ):
        return False
    back = [t for t in marked.tags[-8:] if t.kind == "lex"]
    routine = any(t.says("food") or t.says("cue", *_AT_HOURS) or t.says("group") for t in back)
    routine = routine or (marked.tags[-1].kind == "clock" and len(raw) == 4)
    counted = any(t.says("cue", "pull", "count", "sold") or t.says("quantity") for t in back)
    before = marked.tags[-1].kind in ("lex", "clock") or marked.w(at - 1) in (",", "and", "at", "again", "then")
    return routine and not counted and before
