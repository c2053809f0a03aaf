"""Finds the words that say a time of day: "quarter past six", "at half seven", "0645"."""

from __future__ import annotations

import re

from bot.language.text.figures import Item
from bot.language.times.days import WEEKDAYS, Clock, word_at

_AFTER_CLOCK = frozenset(
    ["eggs", "egg", "fry", "fish", "%", "percent", "gallons", "gallon", "gal", "litres", "liters", "l", "drops",
     "ml", "degrees", "°", "f", "c", "days", "weeks", "males", "females", "pairs", "pair", "eyed", "dead", "white",
     "percent", "tanks", "tubs", "mm", "cm", "ppm", "each", "of", "inch", "inches", "more", "left", "hatched"]
)  # fmt: skip


_MINUTES = {"quarter": 15, "half": 30, "ten": 10, "10": 10, "five": 5, "5": 5, "twenty": 20, "20": 20}


_OPENS = frozenset(["noon", "midday", "midnight", *_MINUTES])  # or a number


_ABOUT = frozenset(["at", "around", "about", "@", "by"])
Found = tuple[int, Clock]  # how many items, and the time they say


class _Here:
    """Where a clock time may begin, with the words around."""

    def __init__(self, items: list[Item], at: int) -> None:
        self.items, self.at = items, at
        self.before, self.word, self.after = (word_at(items, at + n) for n in (-1, 0, 1))
        self.raw, self.whole = items[at].raw, items[at].whole

    def later(self, n: int) -> str:
        return word_at(self.items, self.at + n)

    def item(self, n: int) -> Item | None:
        return self.items[self.at + n] if self.at + n < len(self.items) else None

    def number(self, n: int) -> int | None:
        its = self.item(n)
        return its.whole if its is not None else None

    def half(self, n: int) -> tuple[int, str]:
        return _half(self.items, self.at + n)


def clock_at(items: list[Item], at: int) -> Found | None:
    """A clock time that begins here: how many items, and the time."""
    if items[at].num is None and word_at(items, at) not in _OPENS:
        return None
    here = _Here(items, at)
    found = _in_words(here)
    if found is not None or items[at].num is None:
        return found
    if here.whole is not None and here.after == ":" and here.item(2) and items[at + 1].glued and items[at + 2].glued:
        return _with_colon(here)
    return _of_an_hour(here) or _in_one_figure(here) or _with_point(here)


def _in_words(here: _Here) -> Found | None:
    """Noon, midnight, "quarter past six", "at half seven"."""
    if here.word in ("noon", "midday"):
        return 1, Clock(12, 0, "24")
    if here.word == "midnight":
        return 1, Clock(0, 0, "24")
    if here.word in _MINUTES and here.after in ("past", "to", "after", "till", "until"):
        hour = here.number(2)
        if hour is not None and 1 <= hour <= 12 and _surely_beside(here):
            size, half = here.half(3)
            if here.after in ("to", "till", "until"):
                return 3 + size, Clock(hour - 1 or 12, 60 - _MINUTES[here.word], half)
            return 3 + size, Clock(hour, _MINUTES[here.word], half)
    hour = here.number(1)
    if here.word == "half" and here.before in ("at", "about", "around", "by") and hour in range(1, 13):
        size, half = here.half(2)
        if here.later(2) not in _AFTER_CLOCK:
            return 2 + size, Clock(hour or 0, 30, half)
    return None


def _surely_beside(here: _Here) -> bool:
    """Whether "ten to six" is a time: "10 to 12" may be a span, "twenty to B" a move."""
    hour = here.item(2)
    spelled_to = here.after == "to" and here.items[here.at].spelled and hour is not None and hour.spelled
    if here.after == "to" and here.word not in ("quarter", "10", "5", "20") and not spelled_to:
        return False
    alone = here.before in (",", "-", "(", "") and here.later(3) in (",", ".", ")", "-", "")
    return here.after == "past" or here.word == "quarter" or here.before == "at" or (spelled_to and alone)


def _with_colon(here: _Here) -> Found | None:
    """ "6:45", "18:30"."""
    past, whole = here.number(2), here.whole or 0
    if whole >= 24 or past is None or past >= 60 or len(here.items[here.at + 2].raw) != 2:
        return None
    size, half = here.half(3)
    if not half and (whole > 12 or (len(here.raw) == 2 and here.raw[0] == "0")):
        half = "24"
    return 3 + size, Clock(whole, past, half)


def _of_an_hour(here: _Here) -> Found | None:
    """ "7 am", "6 30 pm", "two thirty" after "at", "6 o'clock", "at 7ish"."""
    whole = here.whole
    if whole is None or not 1 <= whole <= 12:
        return None
    if here.items[here.at].spelled and here.before in ("at", "around", "about", "by"):
        minutes = here.item(1)
        past = minutes.whole if minutes is not None and minutes.spelled else None
        if past is not None and past >= 10 and past % 5 == 0 and past < 60:
            size, half = here.half(2)
            if here.later(2) not in _AFTER_CLOCK:
                return 2 + size, Clock(whole, past, half)
    size, half = here.half(1)
    reading = here.item(1 + size)
    if half == "am" and not here.items[here.at + 1].glued and reading is not None and reading.num is not None:
        size = size if here.later(2 + size) == ":" else 0  # a row of readings: 11 am .25
    if size:
        return 1 + size, Clock(whole, 0, half)
    if here.after == "o'clock":
        return 2, Clock(whole)
    return (2, Clock(whole, 0, ish=True)) if here.after == "ish" and here.before in _ABOUT else None


def _in_one_figure(here: _Here) -> Found | None:
    """ "0645", "615a"; a year, a count and a reading of three figures are none."""
    raw, before, after, at = here.raw, here.before, here.after, here.at
    if not re.fullmatch(r"\d{3,4}", raw) or int(raw[-2:]) >= 60:
        return None
    year = 2000 <= int(raw) <= 2059
    hour, minute, four = int(raw[:-2]), int(raw[-2:]), len(raw) == 4
    if 500 <= int(raw) < 2400 and minute % 5 == 0 and not year:
        opens_row = at == 0 or here.items[at - 1].word in ("\n", "·")
        heads = opens_row and after.isalpha() and after not in _AFTER_CLOCK - {"fry", "egg", "tubs", "fish"}
        alone = before in (",", "") and after in ("", "\n", ".") and four and at > 0
        if heads or alone or (after == ":" and four):
            return 1, Clock(hour, minute, "24" if four and (raw[0] == "0" or int(raw) >= 1300) else "")
    told = before in ("at", "@", "until", "from", "by", "around", "since") or before in WEEKDAYS
    if four and hour < 24 and not (year and before not in ("at", "@")) and (raw[0] == "0" or told):
        return 1, Clock(hour, minute, "24")
    size, half = here.half(1)
    glued = here.item(1)
    return (1 + size, Clock(hour, minute, half)) if 1 <= hour <= 12 and size and glued and glued.glued else None


def _with_point(here: _Here) -> Found | None:
    """ "6.45" with am or pm, after "at", or heading a row; else it is a reading."""
    if not re.fullmatch(r"\d{1,2}\.[0-5]\d", here.raw) or not 1 <= float(here.raw) < 24:
        return None
    size, half = here.half(1)
    after = here.after
    opens = (
        (here.at == 0 or here.items[here.at - 1].word in (".", "\n", "!", ";", "·"))
        and after.isalpha()
        and after not in (_AFTER_CLOCK - {"fry", "eggs", "egg", "fish", "tubs", "tanks"})
        and after not in ("ph", "temp", "in", "tank", "tub", "ammonia", "nitrite", "nitrate", "for", "on", "each")
    )
    if not size and not opens and here.before not in ("at", "@", "around", "about"):
        return None
    hour, minute = here.raw.split(".")
    half = half or ("24" if hour[0] == "0" else "")  # "07.10"
    return 1 + size, Clock(int(hour), int(minute), half)


def _half(items: list[Item], at: int) -> tuple[int, str]:
    """am or pm after a number, however it is dotted."""
    word = word_at(items, at)
    if word in ("am", "pm"):
        return 1, word
    if word in ("a", "p") and word_at(items, at + 1) == "." and word_at(items, at + 2) == "m":
        return (4 if word_at(items, at + 3) == "." else 3), word + "m"
    if word in ("a", "p") and word_at(items, at + 1) == "m" and items[at].glued:
        return 2, word + "m"
    if word in ("a", "p") and 0 <= at < len(items) and items[at].glued and word_at(items, at + 1) != "'":
        return 1, word + "m"
    return 0, ""


_DAY_PARTS = frozenset(["morning", "evening", "night", "afternoon", "tonight", "am", "pm"])


def may_be_clock(items: list[Item], at: int) -> bool:
    """Whether "at 7" or "around 3" can only well be a clock time: nothing countable follows."""
    whole = items[at].whole
    if whole is None or not 1 <= whole <= 12 or word_at(items, at + 1) == "past":
        return False
    if word_at(items, at - 1) in ("about", "around", "like", "say") and at > 1 and word_at(items, at - 2) in _DAY_PARTS:
        return word_at(items, at + 1) not in _AFTER_CLOCK
    if word_at(items, at - 1) not in ("at", "@", "around") and not (
        word_at(items, at - 1) == "about" and word_at(items, at - 2) == "at"
    ):
        return False
    return word_at(items, at + 1) not in _AFTER_CLOCK and word_at(items, at + 1) != "/"
