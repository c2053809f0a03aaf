"""Days and clock times as said: kept as data, and only then set against the time a note was sent."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from bot.language.text.figures import Item

WEEKDAYS = {
    "monday": 0, "mon": 0, "tuesday": 1, "tue": 1, "tues": 1, "wednesday": 2, "wed": 2, "weds": 2, "thursday": 3, "thu": 3, "thurs": 3, "thur": 3, "friday": 4, "fri": 4,
    "saturday": 5, "sat": 5, "sunday": 6, "sun": 6,
}  # fmt: skip
for _w in list(WEEKDAYS):
    WEEKDAYS[_w + "'s"] = WEEKDAYS[_w]
    if len(_w) > 5:
        WEEKDAYS[_w + "s"] = WEEKDAYS[_w]
MONTHS = {m: n for n, ms in enumerate(("january jan", "february feb", "march mar", "april apr", "may", "june jun", "july jul", "august aug", "september sept sep", "october oct", "november nov", "december dec"), 1) for m in ms.split()}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Day:
    """A day as said: so many days from the sending, a weekday, or a date; `part` morning or evening."""

    offset: int | None = None
    weekday: int | None = None
    which: str = ""  # last, last week, next, next week, this; "week on": a week after the next
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
            if self.which == "next week":
                return today + dt.timedelta(days=7 - today.weekday() + self.weekday)
            if self.which == "week on":
                return today + dt.timedelta(days=((self.weekday - today.weekday()) % 7 or 7) + 7)
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


def word_at(items: list[Item], at: int) -> str:
    return items[at].word if 0 <= at < len(items) else ""
