"""Finds the words that say a day: "yesterday", "last Friday", "the 10th of May", "3/4".

Whole phrases that are not simple go to dateparser, which is never given more than the words already claimed
as a day, and is loaded only when there is such a phrase.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from functools import lru_cache

from bot.language.text.figures import ORDINALS, Item
from bot.language.times.days import MONTHS, WEEKDAYS, Day, word_at

_PARTS = {
    "morning": "am", "am": "am", "breakfast": "am", "afternoon": "pm", "evening": "pm", "night": "pm", "pm": "pm",
    "tonight": "pm", "lunch": "noon", "arvo": "pm", "eve": "pm",
}  # fmt: skip


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


_ASKS_DATE = frozenset(
    ["on", "until", "by", "from", "since", "due", "collecting", "colecting", "before", "for", "wanted", "dated",
     "of", "after", "laid"]
)  # fmt: skip


_SIT = frozenset(["i", "he", "she", "we", "they", "it", "just", "and", "who", "fish", "cat", "dog", "she's"])


# The words a day phrase may begin with; it may begin with a number, too.
_OPENS = frozenset(
    ["today", "today's", "tonight", "tonight's", "this", "yesterday", "yesterday's", "last", "tomorrow", "tomorrow's",
     "day", "night", "evening", "past", "next", "coming", "previous", "weekend", "weekend's", "the", "on", "since", "a",
     "one", "in", "end", *WEEKDAYS, *MONTHS]
)  # fmt: skip


def day_at(items: list[Item], at: int, sent: dt.datetime, day_first: bool) -> tuple[int, Day] | None:
    """A day phrase that begins here: how many items, and the day."""
    word = word_at(items, at)
    if word not in _OPENS and items[at].num is None:
        return None
    after, third = word_at(items, at + 1), word_at(items, at + 2)
    before = word_at(items, at - 1)
    part2 = _PARTS.get(after, "")
    if word == "today" or word == "today's":
        return (2, Day(0, part=part2)) if part2 else (1, Day(0))
    if word == "tonight" or word == "tonight's":
        return 1, Day(0, part="pm")
    if word == "this" and after in ("morning", "afternoon", "evening", "am", "pm", "arvo"):
        return 2, Day(0, part=_PARTS[after])
    if word == "yesterday" or word == "yesterday's":
        return (2, Day(-1, part=part2)) if part2 else (1, Day(-1))
    if word == "last" and after in ("night", "evening"):
        return 2, Day(-1, part="pm")
    if word == "tomorrow" or word == "tomorrow's":
        return (2, Day(1, part=part2, future=True)) if part2 else (1, Day(1, future=True))
    if word == "day" and after == "before" and third == "yesterday":
        return 3, Day(-2)
    if word in ("night", "evening") and after == "before" and third == "last":
        return 3, Day(-2, part="pm")
    if word == "day" and after == "after" and third == "tomorrow":
        return 3, Day(2, future=True)
    if word == "last" and after == "week" and third in WEEKDAYS:
        return 3, Day(weekday=WEEKDAYS[third], which="last week")
    if word in ("this", "last", "past", "next", "coming", "previous") and after in (
        "week",
        "month",
        "year",
        "spring",
        "summer",
        "winter",
        "fall",
        "autumn",
    ):
        if word == "next" and after == "week":
            return 2, Day(7, future=True, vague=True)
        return 2, Day(vague=True)
    if word == "this" and after == "weekend":
        return 2, Day(weekday=5, which="next" if sent.weekday() < 5 else "", future=sent.weekday() < 5)
    if word in ("weekend", "weekend's") or (word in ("the", "this", "next") and after == "weekend"):
        size = 2 if after == "weekend" else 1
        return size, Day(weekday=5, which="")
    if (
        word in ("last", "next", "this", "on", "since")
        and after in WEEKDAYS
        and not (after in ("sat", "sun") and third in ("in", "with"))
    ):
        which = word if word in ("last", "next", "this") else ""
        size = 2
        found = Day(weekday=WEEKDAYS[after], which=which)
        return _weekday_tail(items, at, size, found)
    if word in WEEKDAYS:
        if word in ("sat", "sun") and (
            (before in _SIT and not (before == "and" and word_at(items, at - 2) in WEEKDAYS))
            or before in ("the", "in", "full")
            or (
                word == "sat"
                and not before.isdigit()
                and after in ("on", "there", "down", "with", "at", "in", "and", "next")
                and not (after == "and" and third in WEEKDAYS)
            )
        ):
            return None
        if word == "wed" and before in ("got", "be", "newly"):
            return None
        return _weekday_tail(items, at, 1, Day(weekday=WEEKDAYS[word]))
    if word in ("the", "on") and items[at + 1 : at + 2] and (day := _ordinal(items, at + 1)):
        size, number = day
        if word_at(items, at + 1 + size) == "of" and word_at(items, at + 2 + size) in MONTHS:
            return _month_day(items, at, 3 + size, number, word_at(items, at + 2 + size), sent, day_first)
        if word_at(items, at + 1 + size) in MONTHS:
            return _month_day(items, at, 2 + size, number, word_at(items, at + 1 + size), sent, day_first)
        if word_at(items, at + 1 + size) in (
            "time",
            "one",
            "tank",
            "tub",
            "pull",
            "egg",
            "batch",
            "mop",
            "change",
            "feeding",
            "feed",
            "gen",
            "generation",
            "fry",
            "culture",
            "hatch",
            "pair",
            "male",
            "female",
        ):
            return None
        if items[at + 1].num is None and number < 4:
            return None
        return 1 + size, Day(monthday=number)
    ordinal = _ordinal(items, at)
    if ordinal and items[at].num is not None:
        size, number = ordinal
        nxt = word_at(items, at + size)
        if nxt == "of" and word_at(items, at + size + 1) in MONTHS:
            return _month_day(items, at, size + 2, number, word_at(items, at + size + 1), sent, day_first)
        if nxt in MONTHS:
            return _month_day(items, at, size + 1, number, nxt, sent, day_first)
    num = items[at].whole
    if (
        num is not None
        and 1 <= num <= 31
        and after in MONTHS
        and (after not in ("may", "mar", "march", "sun", "jan") or third != "be")
    ):
        if after == "may" and not (before in _ASKS_DATE or third == "" or not third.isalpha()):
            return None
        return _month_day(items, at, 2, num, after, sent, day_first)
    apart = word == "sep" and third in (">", "to", "into", "in", "from")  # "sep 1 > t15": one was set apart
    if word in MONTHS and not apart and (day := _ordinal(items, at + 1, bare=True)):
        size, number = day
        if (
            word in ("may", "mar", "march")
            and items[at + 1].num is not None
            and size == 1
            and third in ("eggs", "fish", "fry")
        ):
            return None
        return _month_day(items, at, 1 + size, number, word, sent, day_first)
    if (
        num is not None
        and after == "/"
        and word_at(items, at + 2).isdigit()
        and items[at + 1].glued
        and items[at + 2].glued
    ):
        return _slashed(items, at, num, sent, day_first)
    if (
        num is not None
        and after == "-"
        and re.fullmatch(r"\d\d", items[at].raw)
        and at + 2 < len(items)
        and re.fullmatch(r"\d\d", items[at + 2].raw)
        and items[at + 1].glued
        and items[at + 2].glued
        and "0" in (items[at].raw[0], items[at + 2].raw[0])
        and word_at(items, at - 1) != "-"
        and word_at(items, at + 3) != "-"
    ):  # 02-04
        dashed = numeric_date(num, items[at + 2].whole or 0, None, day_first, sent.date())
        if dashed:
            return 3, Day(date=dashed)
    if num is not None and after in ("days", "day") and third == "back":
        return 3, Day(-num)
    if num is not None and after in ("nights", "night", "mornings") and third in ("ago", "back"):
        return 3, Day(-num, part="pm" if after.startswith("night") else "am")
    if num is not None and after in ("days", "day", "weeks", "week") and third == "ago":
        return _by_parser(items, at, 3, sent, day_first, False)
    if word in ("a", "one") and after in ("week", "day") and third == "ago":
        return _by_parser(items, at, 3, sent, day_first, False)
    if (
        word == "in"
        and (items[at + 1].num is not None if at + 1 < len(items) else False)
        and third in ("days", "day", "weeks", "week", "month", "months")
    ):
        return _by_parser(items, at, 3, sent, day_first, True)
    if word == "in" and after in ("a",) and third in ("week", "fortnight", "month"):
        return _by_parser(items, at, 3, sent, day_first, True)
    if word == "end" and after == "of" and third in ("the", "month"):
        size = 4 if third == "the" else 3
        if word_at(items, at + size - 1) == "month":
            return size, Day(end_of_month=True, future=True)
    if num is not None and num > 1900 and after == "-" and at + 4 < len(items) and items[at + 4].whole is not None:
        try:
            return 5, Day(date=dt.date(num, int(items[at + 2].num or 0), int(items[at + 4].num or 0)))
        except ValueError:
            return None
    return None


_COUNTED_OF = frozenset(["eyed", "hatched", "fertile", "alive", "survived"])


_DID = frozenset(
    ["bought", "sold", "pulled", "moved", "hatched", "fed", "found", "collected", "counted", "lost", "got"]
)


def _slashed(items: list[Item], at: int, num: int, sent: dt.datetime, day_first: bool) -> tuple[int, Day] | None:
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
    elif at == 0 and word_at(items, 3) in _DID:
        pass  # a diary's date: 3/4 bought
    elif num < second <= 5 and word_at(items, at - 1) not in _ASKS_DATE and word_at(items, at - 1) not in WEEKDAYS:
        return None  # a fraction: 1/3 of the water
    elif num < second <= 5 and word_at(items, at + 3) in ("of", "wc", "water", "change", "cup", "tsp", "tbsp"):
        return None
    found = numeric_date(num, second, year, day_first, sent.date())
    return (size, Day(date=found)) if found else None


def _ordinal(items: list[Item], at: int, bare: bool = False) -> tuple[int, int] | None:
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


def _month_day(
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
    ordinal = _ordinal(items, at + size + skip)
    if (
        ordinal
        and (skip or items[at + size].num is not None)
        and word_at(items, at + size + skip + ordinal[0]) not in MONTHS
    ):
        return size + skip + ordinal[0], replace(day, monthday=ordinal[1])
    return size, day
