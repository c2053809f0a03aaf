"""Courses of treatment in a keeper's words: an entry read back, and how they stand in a tank."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from bot import sentences as say
from shared.due.courses import STOPPED, given, running
from shared.events import RoutineSet
from shared.ledger.standing import Standing


def told_of_course(event: RoutineSet, today: dt.date) -> str:
    """A course's event in a few words."""
    where, value = say.places(event.spots), str(event.value)
    if value.startswith(STOPPED):
        return f"{where}: course of {value.removeprefix(STOPPED)} ended"
    last = f", until {say.day(dt.date.fromisoformat(event.to), today)}" if event.to else ""
    return f"{where}: course of {value.replace(',', ' and ')}{last}"


def course_lines(standing: Standing, place: str, now: dt.datetime, zone: ZoneInfo) -> list[str]:
    """The treatments running in a place, a line each; `now` in the room's zone."""
    lines = []
    for course in running(standing, now, place):
        done = given(standing, course)
        local = done.astimezone(zone) if done else None
        last = f"; last given {say.moment(local, zone, now)}" if local and local.date() >= course.first else ""
        number = sum(d <= now.date() for d in course.days)
        kind = "day" if course.times else "dose"
        which = f"{kind} {number} of {len(course.days)}" if number else f"again {say.day(course.days[0], now.date())}"
        often = " a day" if course.every_days == 1 else f" every {course.every_days} days"
        if course.times:
            hours = say.listed(f"{t:%H:%M}" for t in course.times)
            often = f" at {hours}" + (often if course.every_days > 1 else "")
        until = f", until {say.day(course.days[-1], now.date())}"
        if len(course.days) == 1:
            often = until = ""
        lines.append(f"Treatment: {course.dose}{often}, {which}{until}{last}.")
    return lines
