"""Dates: in figures, by the day of a month, and those that only dateparser can work out."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from bot.language.text.figures import ORDINALS, Item
from bot.language.times.days import MONTHS, WEEKDAYS, Day, word_at

ASKS_DATE = frozenset(
    ["on", "until", "by", "from", "since", "due", "collecting", "colecting", "before", "for", "wanted", "dated",
     "of", "after", "laid"]
)  # fmt: skip
_COUNTED_OF = frozenset(["eyed", "hatched", "fertile", "alive", "survived"])
_DID = frozenset(
    ["bought", "sold", "pulled", "moved", "hatched", "fed", "found", "collected", "counted", "lost", "got"]
)


@lru_cache(maxsize=512)
def parsed(phrase: str, sent: dt.datetime, day_first: bool, ahead: bool) -> dt.date | None:
    """A day phrase by dateparser, set against the time of sending."""
    import dateparser

    found = dateparser.parse(
        phrase,
        languages=["en"],
        settings={
            "RELATIVE_BASE": sent.replace(tzinfo=None),
            "DATE_ORDER": "DMY" if day_first else "MDY",
            "PREFER_DATES_FROM": "future" if ahead else "past",
        },
    )
    return found.date() if found else None


def numeric_date(first: int, second: int, year: int | None, day_first: bool, today: dt.date) -> dt.date | None:
    """A date in figures; an impossible month decides against the room's usual order."""
    orders = [(second, first), (first, second)] if day_first else [(first, second), (second, first)]
    for month, day in orders:
        if not 1 <= month <= 12:
            continue
        try:
            if year is not None:
                return dt.date(year + 2000 if year < 100 else year, month, day)
            near = [dt.date(today.year + shift, month, day) for shift in (-1, 0, 1)]
            return min(near, key=lambda d: abs((d - today).days))
        except ValueError:
            continue
    return None


_AHEAD_OF = frozenset(["until", "till", "til", "by", "for"])
_SOON = 120  # days; what is kept for somebody is seldom kept for longer; common practice, no source


def _is_soon(date: dt.date | None, today: dt.date) -> bool:
    return date is not None and 0 <= (date - today).days <= _SOON


def _opens(items: list[Item], at: int) -> bool:
    return at == 0 or word_at(items, at - 1) in (".", "\n", ";", "·")


def slashed(items: list[Item], at: int, num: int, sent: dt.datetime, day_first: bool) -> tuple[int, Day] | None:
    second = items[at + 2].whole
    if second is None or second == 0 or num == 0:
        return None
    size, year = 3, None
    if word_at(items, at + 3) == "/" and word_at(items, at + 4).isdigit():
        year, size = items[at + 4].whole, 5
        if len(items[at + 4].raw) not in (2, 4):
            return None  # "mops 2/3/5": tanks
    elif num <= second and word_at(items, at - 1) in _COUNTED_OF:
        return None  # eleven of the twenty-four
    elif (at == 0 and word_at(items, 3) in _DID) or (_opens(items, at) and word_at(items, at + 3) == ":"):
        pass  # a diary's date: "3/4 bought", "3/4:"
    elif num < second <= 5 and word_at(items, at - 1) not in ASKS_DATE and word_at(items, at - 1) not in WEEKDAYS:
        return None  # a fraction: 1/3 of the water
    elif num < second <= 5 and word_at(items, at + 3) in ("of", "wc", "water", "change", "cup", "tsp", "tbsp"):
        return None
    found = numeric_date(num, second, year, day_first, sent.date())
    if year is None and word_at(items, at - 1) in _AHEAD_OF and not _is_soon(found, sent.date()):
        other = numeric_date(num, second, year, not day_first, sent.date())  # "hold until 2/4" said in March
        found = other if _is_soon(other, sent.date()) else found
    return (size, Day(date=found)) if found else None


def ordinal_at(items: list[Item], at: int, bare: bool = False) -> tuple[int, int] | None:
    """A day of the month: "10th", "tenth", "twenty first" (or a bare number where only a day can stand)."""
    if at >= len(items):
        return None
    num = items[at].whole
    if num is not None and 1 <= num <= 31:
        if word_at(items, at + 1) in ("st", "nd", "rd", "th") and items[at + 1].glued:
            return 2, num
        if items[at].spelled and num in (20, 30) and 1 <= ORDINALS.get(word_at(items, at + 1), 0) <= 9:
            return 2, num + ORDINALS[word_at(items, at + 1)]
        return (1, num) if bare else None
    word = items[at].word
    if word in ORDINALS:
        return 1, ORDINALS[word]
    if word == "thirtieth":
        return 1, 30
    return None


def month_day(
    items: list[Item], at: int, size: int, day: int, month: str, sent: dt.datetime, day_first: bool
) -> tuple[int, Day] | None:
    if not 1 <= day <= 31:
        return None
    year = items[at + size].whole if at + size < len(items) else None
    if year is not None and 2000 <= year <= 2100:
        size += 1
    else:
        year = None
    try:
        if year is not None:
            return size, Day(date=dt.date(year, MONTHS[month], day))
        today = sent.date()
        near = [dt.date(today.year + shift, MONTHS[month], day) for shift in (-1, 0, 1)]
        return size, Day(date=min(near, key=lambda d: abs((d - today).days)))
    except ValueError:
        return None
