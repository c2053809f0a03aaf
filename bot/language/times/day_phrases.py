"""Finds the words that say a day: "yesterday", "last Friday", "the 10th of May", "3/4".

Whole phrases that are not simple go to dateparser, which is never given more than the words already claimed
as a day, and is loaded only when there is such a phrase.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace

from bot.language.text.figures import Item
from bot.language.times.dates import ASKS_DATE, month_day, numeric_date, ordinal_at, parsed, slashed
from bot.language.times.days import MONTHS, WEEKDAYS, Day, word_at

_PARTS = {
    "morning": "am", "am": "am", "breakfast": "am", "afternoon": "pm", "evening": "pm", "night": "pm", "pm": "pm",
    "tonight": "pm", "lunch": "noon", "arvo": "pm", "eve": "pm",
}  # fmt: skip


_STRETCHES = frozenset(["week", "month", "year", "spring", "summer", "winter", "fall", "autumn"])
_NUMBERED = frozenset(
    ["time", "one", "tank", "tub", "pull", "egg", "batch", "mop", "change", "feeding", "feed", "gen", "generation",
     "fry", "culture", "hatch", "pair", "male", "female"]
)  # fmt: skip
_SIT = frozenset(["i", "he", "she", "we", "they", "it", "just", "and", "who", "fish", "cat", "dog", "she's"])


# The words a day phrase may begin with; it may begin with a number, too.
_OPENS = frozenset(
    ["today", "today's", "tonight", "tonight's", "this", "yesterday", "yesterday's", "last", "tomorrow", "tomorrow's",
     "lastnight", "day", "night", "evening", "past", "next", "coming", "previous", "weekend", "weekend's", "the", "on",
     "since", "a", "one", "in", "end", *WEEKDAYS, *MONTHS]
)  # fmt: skip


Found = tuple[int, Day]  # how many items, and the day they say


class _Here:
    """Where a day phrase may begin, with the words around."""

    def __init__(self, items: list[Item], at: int, sent: dt.datetime, day_first: bool) -> None:
        self.items, self.at, self.sent, self.day_first = items, at, sent, day_first
        self.word, self.after, self.third = (word_at(items, at + n) for n in range(3))
        self.before = word_at(items, at - 1)
        self.num = items[at].whole

    def later(self, n: int) -> str:
        return word_at(self.items, self.at + n)

    def glued(self, n: int) -> bool:
        return self.items[self.at + n].glued

    def in_month(self, size: int, day: int, month: str) -> Found | None:
        return month_day(self.items, self.at, size, day, month, self.sent, self.day_first)

    def by_parser(self, ahead: bool) -> Found | None:
        return _by_parser(self.items, self.at, 3, self.sent, self.day_first, ahead)


def day_at(items: list[Item], at: int, sent: dt.datetime, day_first: bool) -> Found | None:
    """A day phrase that begins here: how many items, and the day."""
    if word_at(items, at) not in _OPENS and items[at].num is None:
        return None
    here = _Here(items, at, sent, day_first)
    if (near := _near_today(here)) is not None:
        return near
    for begins, found in _PHRASES:
        if begins(here):
            return found(here)
    return None


def _near_today(here: _Here) -> Found | None:
    """Today, yesterday, tomorrow, the day before, a stretch of time, a weekend."""
    word, after, third = here.word, here.after, here.third
    part = _PARTS.get(after, "")
    if word in ("today", "today's"):
        return (2, Day(0, part=part)) if part else (1, Day(0))
    if word in ("tonight", "tonight's"):
        return 1, Day(0, part="pm")
    if word == "this" and after in ("morning", "afternoon", "evening", "am", "pm", "arvo"):
        return 2, Day(0, part=_PARTS[after])
    if word in ("yesterday", "yesterday's"):
        return (2, Day(-1, part=part)) if part else (1, Day(-1))
    if word == "last" and after in ("night", "evening", "night's", "nights", "evening's", "evenings"):
        return 2, Day(-1, part="pm")
    if word == "lastnight":
        return 1, Day(-1, part="pm")
    if word in ("tomorrow", "tomorrow's"):
        return (2, Day(1, part=part, future=True)) if part else (1, Day(1, future=True))
    if word == "day" and after == "before" and third == "yesterday":
        return 3, Day(-2)
    if word in ("night", "evening") and after == "before" and third == "last":
        return 3, Day(-2, part="pm")
    if word == "day" and after == "after" and third == "tomorrow":
        return 3, Day(2, future=True)
    if word == "last" and after == "week" and third in WEEKDAYS:
        return 3, Day(weekday=WEEKDAYS[third], which="last week")
    return _stretch(here)


def _stretch(here: _Here) -> Found | None:
    """ "Last week", "this month", a weekend."""
    word, after = here.word, here.after
    if word in ("this", "last", "past", "next", "coming", "previous") and after in _STRETCHES:
        return 2, Day(7, future=True, vague=True) if (word, after) == ("next", "week") else Day(vague=True)
    if word == "this" and after == "weekend":
        ahead = here.sent.weekday() < 5
        return 2, Day(weekday=5, which="next" if ahead else "", future=ahead)
    if word in ("weekend", "weekend's") or (word in ("the", "this", "next") and after == "weekend"):
        return 2 if after == "weekend" else 1, Day(weekday=5, which="")
    return None


def _opens_weekday(here: _Here) -> bool:
    sits = here.after in ("sat", "sun") and here.third in ("in", "with")
    return here.word in ("last", "next", "this", "on", "since") and here.after in WEEKDAYS and not sits


def _weekday_after(here: _Here) -> Found | None:
    which = here.word if here.word in ("last", "next", "this") else ""
    return _weekday_tail(here.items, here.at, 2, Day(weekday=WEEKDAYS[here.after], which=which))


def _weekday(here: _Here) -> Found | None:
    """A weekday by itself; "sat" and "sun" may be words, and "wed" is what couples do."""
    if (here.word in ("sat", "sun") and _no_day(here)) or (
        here.word == "wed" and here.before in ("got", "be", "newly")
    ):
        return None
    return _weekday_tail(here.items, here.at, 1, Day(weekday=WEEKDAYS[here.word]))


def _no_day(here: _Here) -> bool:
    before, after, listed = here.before, here.after, here.after == "and" and here.third in WEEKDAYS
    if before in _SIT and not (before == "and" and here.later(-2) in WEEKDAYS):
        return True
    if before in ("the", "in", "full"):
        return True
    goes_on = after in ("on", "there", "down", "with", "at", "in", "and", "next") and not listed
    return here.word == "sat" and not before.isdigit() and goes_on


def _opens_ordinal(here: _Here) -> bool:
    its = here.items[here.at + 1 : here.at + 2]
    return here.word in ("the", "on") and bool(its) and ordinal_at(here.items, here.at + 1) is not None


def _the_ordinal(here: _Here) -> Found | None:
    """ "The 4th", "on the 3rd of May"; "the 2nd tank" is no day."""
    size, number = ordinal_at(here.items, here.at + 1) or (0, 0)
    follows = here.later(1 + size)
    if follows == "of" and here.later(2 + size) in MONTHS:
        return here.in_month(3 + size, number, here.later(2 + size))
    if follows in MONTHS:
        return here.in_month(2 + size, number, follows)
    if follows in _NUMBERED or (here.items[here.at + 1].num is None and number < 4):
        return None
    return 1 + size, Day(monthday=number)


def _opens_ordinal_of_month(here: _Here) -> bool:
    return _ordinal_of_month(here) is not None


def _ordinal_of_month(here: _Here) -> Found | None:
    """ "4th of May", "4th May"."""
    ordinal = ordinal_at(here.items, here.at)
    if ordinal is None or here.items[here.at].num is None:
        return None
    size, number = ordinal
    if here.later(size) == "of" and here.later(size + 1) in MONTHS:
        return here.in_month(size + 2, number, here.later(size + 1))
    return here.in_month(size + 1, number, here.later(size)) if here.later(size) in MONTHS else None


def _opens_day_and_month(here: _Here) -> bool:
    may_be_a_word = here.after in ("may", "mar", "march", "sun", "jan") and here.third == "be"
    return here.num is not None and 1 <= here.num <= 31 and here.after in MONTHS and not may_be_a_word


def _day_and_month(here: _Here) -> Found | None:
    """ "4 May"; but "40 may hatch" is no date."""
    surely = here.before in ASKS_DATE or here.third == "" or not here.third.isalpha()
    return None if here.after == "may" and not surely else here.in_month(2, here.num or 0, here.after)


def _opens_month(here: _Here) -> bool:
    apart = here.word == "sep" and here.third in (">", "to", "into", "in", "from")  # "sep 1 > t15": one was set apart
    return here.word in MONTHS and not apart and ordinal_at(here.items, here.at + 1, bare=True) is not None


def _month_and_day(here: _Here) -> Found | None:
    """ "May 4"; but "may 4 eggs hatch" is no date."""
    size, number = ordinal_at(here.items, here.at + 1, bare=True) or (0, 0)
    counts = here.items[here.at + 1].num is not None and size == 1 and here.third in ("eggs", "fish", "fry")
    return None if here.word in ("may", "mar", "march") and counts else here.in_month(1 + size, number, here.word)


def _opens_slashed(here: _Here) -> bool:
    return here.num is not None and here.after == "/" and here.third.isdigit() and here.glued(1) and here.glued(2)


def _slashed_here(here: _Here) -> Found | None:
    return slashed(here.items, here.at, here.num or 0, here.sent, here.day_first)


def _opens_dashed(here: _Here) -> bool:
    return _dashed(here) is not None


def _dashed(here: _Here) -> Found | None:
    """ "02-04": two figures each, one of them with a nought."""
    if here.num is None or here.after != "-" or here.at + 2 >= len(here.items):
        return None
    first, last = here.items[here.at].raw, here.items[here.at + 2].raw
    if not re.fullmatch(r"\d\d", first) or not re.fullmatch(r"\d\d", last) or "0" not in (first[0], last[0]):
        return None
    if not here.glued(1) or not here.glued(2) or "-" in (here.before, here.later(3)):
        return None
    dashed = numeric_date(here.num, here.items[here.at + 2].whole or 0, None, here.day_first, here.sent.date())
    return (3, Day(date=dashed)) if dashed else None


def _opens_ago(here: _Here) -> bool:
    return here.num is not None and here.third in ("ago", "back") and _ago(here) is not None


def _ago(here: _Here) -> Found | None:
    """ "3 days ago", "2 nights back"."""
    days = -(here.num or 0)
    if here.after in ("days", "day") and here.third == "back":
        return 3, Day(days)
    if here.after in ("nights", "night", "mornings"):
        return 3, Day(days, part="pm" if here.after.startswith("night") else "am")
    return here.by_parser(False) if here.after in ("days", "day", "weeks", "week") and here.third == "ago" else None


def _opens_one_ago(here: _Here) -> bool:
    return here.word in ("a", "one") and here.after in ("week", "day") and here.third == "ago"


def _opens_in(here: _Here) -> bool:
    counted = here.at + 1 < len(here.items) and here.items[here.at + 1].num is not None
    return here.word == "in" and (
        (counted and here.third in ("days", "day", "weeks", "week", "month", "months"))
        or (here.after == "a" and here.third in ("week", "fortnight", "month"))
    )


def _opens_end(here: _Here) -> bool:
    of_month = here.third == "month" or (here.third == "the" and here.later(3) == "month")
    return here.word == "end" and here.after == "of" and of_month


def _end_of_month(here: _Here) -> Found | None:
    return 4 if here.third == "the" else 3, Day(end_of_month=True, future=True)


def _opens_written_out(here: _Here) -> bool:
    at = here.at
    whole = at + 4 < len(here.items) and here.items[at + 4].whole is not None
    return here.num is not None and here.num > 1900 and here.after == "-" and whole


def _written_out(here: _Here) -> Found | None:
    """ "2026-03-09"."""
    items, at = here.items, here.at
    try:
        return 5, Day(date=dt.date(here.num or 0, int(items[at + 2].num or 0), int(items[at + 4].num or 0)))
    except ValueError:
        return None


# What shows that a phrase of a kind begins, and what it says; the first that begins is the one it is.
_PHRASES: tuple[tuple[Callable[[_Here], bool], Callable[[_Here], Found | None]], ...] = (
    (_opens_weekday, _weekday_after),
    (lambda here: here.word in WEEKDAYS, _weekday),
    (_opens_ordinal, _the_ordinal),
    (_opens_ordinal_of_month, _ordinal_of_month),
    (_opens_day_and_month, _day_and_month),
    (_opens_month, _month_and_day),
    (_opens_slashed, _slashed_here),
    (_opens_dashed, _dashed),
    (_opens_ago, _ago),
    (_opens_one_ago, lambda here: here.by_parser(False)),
    (_opens_in, lambda here: here.by_parser(True)),
    (_opens_end, _end_of_month),
    (_opens_written_out, _written_out),
)


def _by_parser(
    items: list[Item], at: int, size: int, sent: dt.datetime, day_first: bool, ahead: bool
) -> tuple[int, Day] | None:
    phrase = " ".join(item.word for item in items[at : at + size]).replace("fortnight", "2 weeks").replace("a 2", "2")
    found = parsed(phrase, sent, day_first, ahead)
    return (size, Day(date=found, future=ahead)) if found else None


def _weekday_tail(items: list[Item], at: int, size: int, day: Day) -> tuple[int, Day]:
    """After a weekday: "morning", "am", "night", or "the 10th"."""
    nxt = word_at(items, at + size)
    if nxt in ("last", "of") and "week" in (word_at(items, at + size + 1), word_at(items, at + size + 2)):
        after = [word_at(items, at + size + k) for k in range(3)]
        if after[:2] == ["last", "week"] or after == ["of", "last", "week"]:
            return size + (2 if nxt == "last" else 3), replace(day, which="last week")
    if nxt in ("morning", "am", "afternoon", "evening", "night", "pm", "arvo"):
        return size + 1, replace(day, part=_PARTS[nxt])
    skip = 1 if nxt in ("the",) else 2 if nxt == "," and word_at(items, at + size + 1) == "the" else 0
    ordinal = ordinal_at(items, at + size + skip)
    if (
        ordinal
        and (skip or items[at + size].num is not None)
        and word_at(items, at + size + skip + ordinal[0]) not in MONTHS
    ):
        return size + skip + ordinal[0], replace(day, monthday=ordinal[1])
    return size, day
