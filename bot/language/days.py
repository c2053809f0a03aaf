"""Days and clock times: found as phrases, kept as data, and only then set against the time a note was sent.

Whole phrases that are not simple go to dateparser, which is never given more than the words already claimed
as a day, and is loaded only when there is such a phrase.
"""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, replace
from functools import lru_cache

from bot.language.figures import ORDINALS, Item

WEEKDAYS = {
    "monday": 0, "mon": 0, "tuesday": 1, "tue": 1, "tues": 1, "wednesday": 2, "wed": 2, "weds": 2, "thursday": 3, "thu": 3, "thurs": 3, "thur": 3, "friday": 4, "fri": 4,
    "saturday": 5, "sat": 5, "sunday": 6, "sun": 6,
}  # fmt: skip
for _w in list(WEEKDAYS):
    WEEKDAYS[_w + "'s"] = WEEKDAYS[_w]
    if len(_w) > 5:
        WEEKDAYS[_w + "s"] = WEEKDAYS[_w]
MONTHS = {m: n for n, ms in enumerate(("january jan", "february feb", "march mar", "april apr", "may", "june jun", "july jul", "august aug", "september sept sep", "october oct", "november nov", "december dec"), 1) for m in ms.split()}  # fmt: skip
_PARTS = {
    "morning": "am",
    "am": "am",
    "breakfast": "am",
    "afternoon": "pm",
    "evening": "pm",
    "night": "pm",
    "pm": "pm",
    "tonight": "pm",
    "lunch": "noon",
    "arvo": "pm",
    "eve": "pm",
}
NUMBERS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "twenty": 20,
    "twenty five": 25,
}


@dataclass(frozen=True, slots=True)
class Day:
    """A day as said: so many days from the sending, a weekday, or a date; `part` morning or evening."""

    offset: int | None = None
    weekday: int | None = None
    which: str = ""  # last, next, this
    date: dt.date | None = None
    monthday: int | None = None
    part: str = ""
    future: bool = False
    end_of_month: bool = False
    vague: bool = False  # a stretch (week, month, year), no day

    def on(self, sent: dt.datetime, ahead: bool = False) -> dt.date | None:
        """The date meant by a note sent then; `ahead` when the note speaks of what is to come."""
        today = sent.date()
        ahead = ahead or self.future
        if self.vague:
            return None
        if self.date is not None:
            return self.date
        if self.end_of_month:
            first = today.replace(day=28) + dt.timedelta(days=4)
            return first - dt.timedelta(days=first.day)
        if self.offset is not None:
            return today + dt.timedelta(days=self.offset)
        if self.monthday is not None:
            return _monthday(self.monthday, today, ahead, self.weekday)
        if self.weekday is not None:
            back = (today.weekday() - self.weekday) % 7
            if self.which == "last week":
                return today - dt.timedelta(days=today.weekday() + 7 - self.weekday)
            if self.which == "last":
                return today - dt.timedelta(days=back or 7)
            if self.which == "next":
                forth = (self.weekday - today.weekday()) % 7
                return today + dt.timedelta(days=forth or 7)
            if ahead:
                forth = (self.weekday - today.weekday()) % 7
                return today + dt.timedelta(days=forth)
            return today - dt.timedelta(days=back)
        return None


def _monthday(day: int, today: dt.date, ahead: bool, weekday: int | None) -> dt.date | None:
    found = []
    for shift in range(-1, 3):
        month = today.month - 1 + shift
        try:
            found.append(dt.date(today.year + month // 12, month % 12 + 1, day))
        except ValueError:
            continue
    if weekday is not None:
        fitting = [d for d in found if d.weekday() == weekday]
        found = fitting or found
    if ahead:
        later = [d for d in found if d >= today]
        return later[0] if later else None
    earlier = [d for d in found if d <= today]
    return earlier[-1] if earlier else None


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock time as said; `half` am or pm when that was said too."""

    hour: int
    minute: int = 0
    half: str = ""  # am, pm, 24
    ish: bool = False

    def options(self, part: str = "") -> list[tuple[int, int]]:
        """The times of day it may mean."""
        half = self.half or part
        if half == "24" or self.hour > 12 or self.hour == 0:
            return [(self.hour % 24, self.minute)]
        if half == "am":
            return [(self.hour % 12, self.minute)]
        if half == "pm":
            return [(self.hour % 12 + 12, self.minute)]
        return [(self.hour % 12, self.minute), (self.hour % 12 + 12, self.minute)]


Found = tuple[int, Day | Clock]


def _word(items: list[Item], at: int) -> str:
    return items[at].word if 0 <= at < len(items) else ""


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
    [
        "on",
        "until",
        "by",
        "from",
        "since",
        "due",
        "collecting",
        "colecting",
        "before",
        "for",
        "wanted",
        "dated",
        "of",
        "after",
        "laid",
    ]
)
_SIT = frozenset(["i", "he", "she", "we", "they", "it", "just", "and", "who", "fish", "cat", "dog", "she's"])


def day_at(items: list[Item], at: int, sent: dt.datetime, day_first: bool) -> tuple[int, Day] | None:
    """A day phrase that begins here: how many items, and the day."""
    word, after, third = _word(items, at), _word(items, at + 1), _word(items, at + 2)
    before = _word(items, at - 1)
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
            before in _SIT
            or before in ("the", "in", "full")
            or (word == "sat" and after in ("on", "there", "down", "with", "at", "in", "and", "next"))
        ):
            return None
        if word == "wed" and before in ("got", "be", "newly"):
            return None
        return _weekday_tail(items, at, 1, Day(weekday=WEEKDAYS[word]))
    if word in ("the", "on") and items[at + 1 : at + 2] and (day := _ordinal(items, at + 1)):
        size, number = day
        if _word(items, at + 1 + size) == "of" and _word(items, at + 2 + size) in MONTHS:
            return _month_day(items, at, 3 + size, number, _word(items, at + 2 + size), sent, day_first)
        if _word(items, at + 1 + size) in MONTHS:
            return _month_day(items, at, 2 + size, number, _word(items, at + 1 + size), sent, day_first)
        if _word(items, at + 1 + size) in (
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
        nxt = _word(items, at + size)
        if nxt == "of" and _word(items, at + size + 1) in MONTHS:
            return _month_day(items, at, size + 2, number, _word(items, at + size + 1), sent, day_first)
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
    if word in MONTHS and (day := _ordinal(items, at + 1, bare=True)):
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
        and _word(items, at + 2).isdigit()
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
        and _word(items, at - 1) != "-"
        and _word(items, at + 3) != "-"
    ):  # 02-04
        dashed = numeric_date(num, items[at + 2].whole or 0, None, day_first, sent.date())
        if dashed:
            return 3, Day(date=dashed)
    if num is not None and after in ("nights", "night", "mornings") and third == "ago":
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
        if _word(items, at + size - 1) == "month":
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
    if _word(items, at + 3) == "/" and _word(items, at + 4).isdigit():
        year, size = items[at + 4].whole, 5
    elif num <= second and _word(items, at - 1) in _COUNTED_OF:
        return None  # eleven of the twenty-four
    elif at == 0 and _word(items, 3) in _DID:
        pass  # a diary's date: 3/4 bought
    elif num < second <= 5 and _word(items, at - 1) not in _ASKS_DATE and _word(items, at - 1) not in WEEKDAYS:
        return None  # a fraction: 1/3 of the water
    elif num < second <= 5 and _word(items, at + 3) in ("of", "wc", "water", "change", "cup", "tsp", "tbsp"):
        return None
    found = numeric_date(num, second, year, day_first, sent.date())
    return (size, Day(date=found)) if found else None


def _ordinal(items: list[Item], at: int, bare: bool = False) -> tuple[int, int] | None:
    """A day of the month: "10th", "tenth", "twenty first" (or a bare number where only a day can stand)."""
    if at >= len(items):
        return None
    num = items[at].whole
    if num is not None and 1 <= num <= 31:
        if _word(items, at + 1) in ("st", "nd", "rd", "th") and items[at + 1].glued:
            return 2, num
        if items[at].spelled and num in (20, 30) and 1 <= ORDINALS.get(_word(items, at + 1), 0) <= 9:
            return 2, num + ORDINALS[_word(items, at + 1)]
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
    nxt = _word(items, at + size)
    if nxt in ("last", "of") and "week" in (_word(items, at + size + 1), _word(items, at + size + 2)):
        after = [_word(items, at + size + k) for k in range(3)]
        if after[:2] == ["last", "week"] or after == ["of", "last", "week"]:
            return size + (2 if nxt == "last" else 3), replace(day, which="last week")
    if nxt in ("morning", "am", "afternoon", "evening", "night", "pm", "arvo"):
        return size + 1, replace(day, part=_PARTS[nxt])
    skip = 1 if nxt in ("the",) else 2 if nxt == "," and _word(items, at + size + 1) == "the" else 0
    ordinal = _ordinal(items, at + size + skip)
    if (
        ordinal
        and (skip or items[at + size].num is not None)
        and _word(items, at + size + skip + ordinal[0]) not in MONTHS
    ):
        return size + skip + ordinal[0], replace(day, monthday=ordinal[1])
    return size, day


_AFTER_CLOCK = frozenset(
    [
        "eggs",
        "egg",
        "fry",
        "fish",
        "%",
        "percent",
        "gallons",
        "gallon",
        "gal",
        "litres",
        "liters",
        "l",
        "drops",
        "ml",
        "degrees",
        "°",
        "f",
        "c",
        "days",
        "weeks",
        "males",
        "females",
        "pairs",
        "pair",
        "eyed",
        "dead",
        "white",
        "percent",
        "tanks",
        "tubs",
        "mm",
        "cm",
        "ppm",
        "each",
        "of",
        "inch",
        "inches",
        "more",
        "left",
        "hatched",
    ]
)
_MINUTES = {"quarter": 15, "half": 30, "ten": 10, "10": 10, "five": 5, "5": 5, "twenty": 20, "20": 20}


def clock_at(items: list[Item], at: int) -> tuple[int, Clock] | None:
    """A clock time that begins here: how many items, and the time."""
    word, after, _third = _word(items, at), _word(items, at + 1), _word(items, at + 2)
    before = _word(items, at - 1)
    if word in ("noon", "midday"):
        return 1, Clock(12, 0, "24")
    if word == "midnight":
        return 1, Clock(0, 0, "24")
    if word in _MINUTES and after in ("past", "to", "after", "till", "until") and at + 2 < len(items):
        hour = items[at + 2].whole
        if (
            hour is not None
            and 1 <= hour <= 12
            and (after != "to" or word in ("quarter", "10", "5", "20"))
            and (after == "past" or word == "quarter" or before == "at")
        ):
            minute = _MINUTES[word]
            size, half = _half(items, at + 3)
            if after in ("to", "till", "until"):
                return 3 + size, Clock(hour - 1 or 12, 60 - minute, half)
            return 3 + size, Clock(hour, minute, half)
    if (
        word == "half"
        and before in ("at", "about", "around", "by")
        and at + 1 < len(items)
        and items[at + 1].whole in range(1, 13)
    ):
        size, half = _half(items, at + 2)
        if _word(items, at + 2) not in _AFTER_CLOCK:
            return 2 + size, Clock(items[at + 1].whole or 0, 30, half)  # "at half seven"
    num = items[at].num
    if num is None:
        return None
    whole = items[at].whole
    if whole is not None and after == ":" and at + 2 < len(items) and items[at + 1].glued and items[at + 2].glued:
        past = items[at + 2].whole
        if whole < 24 and past is not None and past < 60 and len(items[at + 2].raw) == 2:
            size, half = _half(items, at + 3)
            if not half and (whole > 12 or (len(items[at].raw) == 2 and items[at].raw[0] == "0")):
                half = "24"
            return 3 + size, Clock(whole, past, half)
        return None
    if whole is not None and 1 <= whole <= 12 and items[at].spelled and before in ("at", "around", "about", "by"):
        past = items[at + 1].whole if at + 1 < len(items) and items[at + 1].spelled else None
        if past is not None and past in (10, 15, 20, 25, 30, 35, 40, 45, 50, 55):  # "at two thirty"
            size, half = _half(items, at + 2)
            if _word(items, at + 2) not in _AFTER_CLOCK:
                return 2 + size, Clock(whole, past, half)
    if whole is not None and 1 <= whole <= 12:
        size, half = _half(items, at + 1)
        if (
            half == "am"
            and not items[at + 1].glued
            and at + 1 + size < len(items)
            and items[at + 1 + size].num is not None
            and _word(items, at + 2 + size) != ":"
        ):
            size = 0  # a row of readings: 11 am .25
        if size:
            return 1 + size, Clock(whole, 0, half)
        if after == "o'clock":
            return 2, Clock(whole)
        if after == "ish" and before in ("at", "around", "about", "@", "by"):
            return 2, Clock(whole, 0, ish=True)
    raw = items[at].raw
    opens_row = at == 0 or items[at - 1].word in ("\n", "·")
    if (
        re.fullmatch(r"\d{3,4}", raw)
        and 500 <= int(raw) < 2400
        and int(raw[-2:]) < 60
        and int(raw[-2:]) % 5 == 0
        and not 2000 <= int(raw) <= 2059
    ):
        alone = before in (",", "") and (after == "" or after in ("\n", "."))
        if (
            (opens_row and after.isalpha() and after not in _AFTER_CLOCK - {"fry", "egg", "tubs", "fish"})
            or (alone and len(raw) == 4 and at > 0)
            or (after == ":" and len(raw) == 4)
        ):
            return 1, Clock(
                int(raw[:-2]), int(raw[-2:]), "24" if len(raw) == 4 and (raw[0] == "0" or int(raw) >= 1300) else ""
            )
    if (
        re.fullmatch(r"\d{4}", raw)
        and int(raw[:2]) < 24
        and int(raw[2:]) < 60
        and not (2000 <= int(raw) <= 2059 and before not in ("at", "@"))
    ) and (raw[0] == "0" or before in ("at", "@", "until", "from", "by", "around", "since") or before in WEEKDAYS):
        return 1, Clock(int(raw[:2]), int(raw[2:]), "24")
    if re.fullmatch(r"\d{1,2}\.[0-5]\d", raw) and 1 <= num < 24:
        size, half = _half(items, at + 1)
        opens = (
            (at == 0 or items[at - 1].word in (".", "\n", "!", ";", "·"))
            and after.isalpha()
            and after not in (_AFTER_CLOCK - {"fry", "eggs", "egg", "fish", "tubs", "tanks"})
            and after not in ("ph", "temp", "in", "tank", "tub", "ammonia", "nitrite", "nitrate", "for", "on", "each")
        )
        if size or opens or before in ("at", "@", "around", "about"):
            said = raw.split(".")
            return 1 + size, Clock(int(said[0]), int(said[1]), half)
    return None


def _half(items: list[Item], at: int) -> tuple[int, str]:
    """am or pm after a number, however it is dotted."""
    word = _word(items, at)
    if word in ("am", "pm"):
        return 1, word
    if word in ("a", "p") and _word(items, at + 1) == "." and _word(items, at + 2) == "m":
        return (4 if _word(items, at + 3) == "." else 3), word + "m"
    if word in ("a", "p") and _word(items, at + 1) == "m" and items[at].glued:
        return 2, word + "m"
    if word in ("a", "p") and 0 <= at < len(items) and items[at].glued and _word(items, at + 1) != "'":
        return 1, word + "m"
    return 0, ""


_DAY_PARTS = frozenset(["morning", "evening", "night", "afternoon", "tonight", "am", "pm"])


def may_be_clock(items: list[Item], at: int) -> bool:
    """Whether "at 7" or "around 3" can only well be a clock time: nothing countable follows."""
    whole = items[at].whole
    if whole is None or not 1 <= whole <= 12 or _word(items, at + 1) == "past":
        return False
    if _word(items, at - 1) in ("about", "around", "like", "say") and at > 1 and _word(items, at - 2) in _DAY_PARTS:
        return _word(items, at + 1) not in _AFTER_CLOCK
    if _word(items, at - 1) not in ("at", "@", "around") and not (
        _word(items, at - 1) == "about" and _word(items, at - 2) == "at"
    ):
        return False
    return _word(items, at + 1) not in _AFTER_CLOCK and _word(items, at + 1) != "/"
