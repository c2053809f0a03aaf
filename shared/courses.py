"""Courses of treatment: what goes into a tank by the label, every so many days, until a day or until it is ended.

A course is kept as a standing word on the tank (`setting`, what `course`): its value is the dose ("1 tbsp salt",
"2 ppm levamisole every 7 days"), `from` its first day and `to` its last; "stopped: salt" ends the salt there.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from shared.doses import substance_of
from shared.events import RoutineSet
from shared.ledger import Standing
from shared.rounds import Round
from shared.rules import Spot
from shared.tasks import tasks_said

COURSE = "course"
STOPPED = "stopped: "
DOSE_OF = "dose of "  # how a dose that is due is called, in its own words
_EVERY = re.compile(r" every (\d+) days$")
_DOSE = re.compile(
    r"^(?:(?P<amount>\d+(?:\.\d+)?) )?(?:(?P<unit>tbsp|tsp|ml|g|mg|drop|ppm|mg/l|cup|leaf|tablet) )?(.+)$"
)


@dataclass(frozen=True)
class Course:
    """What goes into one place from `first` to `last`, every so many days; `dose` as said, without the days."""

    place: str
    dose: str
    every_days: int
    first: dt.date
    last: dt.date
    said: dt.datetime

    @property
    def substance(self) -> str:
        return parted(self.dose)[2]

    @property
    def days(self) -> list[dt.date]:
        """The days on which a dose goes in."""
        number = (self.last - self.first).days // self.every_days + 1
        return [self.first + dt.timedelta(days=n * self.every_days) for n in range(number)]


def parted(dose: str) -> tuple[float | None, str | None, str]:
    """ "1 tbsp salt" as amount, unit and substance; amount and unit None where none was said."""
    hit = _DOSE.match(dose)
    if not hit:
        return None, None, dose
    return float(hit["amount"]) if hit["amount"] else None, hit["unit"], hit[3]


def course_value(dose: str, every_days: int) -> str:
    """The value under which a course is kept."""
    return dose if every_days == 1 else f"{dose} every {every_days} days"


def courses(standing: Standing) -> list[Course]:
    """Every course that was not ended, in the order said; one of a substance in a place, the one said last."""
    found: dict[tuple[str, str], Course] = {}
    for kept in standing.settings:
        event = kept.event
        if not isinstance(event, RoutineSet) or event.what != COURSE:
            continue
        value = str(event.value)
        for place in event.spots:
            if value.startswith(STOPPED):
                found.pop((place, value.removeprefix(STOPPED)), None)
                continue
            first, last = _day(event.from_), _day(event.to)
            if first is None or last is None or last < first:
                continue
            every = int(hit[1]) if (hit := _EVERY.search(value)) else 1
            course = Course(place, _EVERY.sub("", value), max(1, every), first, last, kept.said)
            found.pop((place, course.substance), None)
            found[place, course.substance] = course
    return list(found.values())


def running(standing: Standing, now: dt.datetime, place: str | None = None) -> list[Course]:
    """The courses of a place, or of all, that are not over, or whose last dose waits; `now` in the room's zone."""
    found = []
    for course in courses(standing):
        last = given(standing, course)
        waits = last is None or last.astimezone(now.tzinfo).date() < course.days[-1]
        if place in (None, course.place) and (course.last >= now.date() or waits):
            found.append(course)
    return found


def given(standing: Standing, course: Course) -> dt.datetime | None:
    """When its substance last went in there, as far as logged."""
    times = [
        chore.times[-1]
        for what, chore in standing.chores.get(course.place, {}).items()
        if chore.times
        and what.startswith("dose:")
        and substance_of(what.removeprefix("dose:")) == substance_of(course.substance)
    ]
    return max(times, default=None)


def doses(round_: Round) -> None:
    """The doses of every course: the newest missed one and those to come. A missed one is not made up by a double."""
    clock, routine = round_.clock, round_.routine
    for course in courses(round_.standing):
        holdings = round_.at_place.get(course.place, [])
        kept = round_.standing.places.get(course.place)
        if kept and kept.closed:
            continue
        spot = Spot(course.place, kept.kind if kept else "", frozenset(h.group for h in holdings))
        if routine.is_off("treat", spot, clock.today, clock.now):
            continue
        text = f"{DOSE_OF}{course.dose}"
        known = [given(round_.standing, course), _told(round_.standing, course.place, text)]
        done = max((t.astimezone(dt.UTC) for t in known if t), default=None)
        said, morning = course.said.astimezone(dt.UTC), routine.time("morning_at", clock.now)
        days = [d for d in course.days if done is None or done < clock.moment(d, dt.time(0))]
        gone = [d for d in days if d <= clock.today]
        for day in [*gone[-1:], *(d for d in days if d > clock.today)]:
            at = max(clock.moment(day, morning), said) if day == course.first else clock.moment(day, morning)
            times = round_.moved("treat", spot, [at], max(done, said) if done else said)
            why = f"dose {course.days.index(day) + 1} of {len(course.days)}, last {_short(course.days[-1])}"
            if len(course.days) == 1:
                why = f"to be repeated, you said {clock.day_name(said)}"
            late = "; a missed dose is not made up by a double one" if day < clock.today else ""
            round_.add("treat", spot, times, why, f"as the label says{late}", text=text, whole_day=True)


def _told(standing: Standing, place: str, text: str) -> dt.datetime | None:
    """When a dose there was said to be done; what names another dose is not this one."""
    times = []
    for key, at in standing.done.items():
        words, _, where = key.rpartition("|")
        if where in ("", place) and (words == text or not words.startswith(DOSE_OF)):
            times += [at] if "treat" in tasks_said(words, bool(where)) else []
    return max(times, default=None)


def _short(day: dt.date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _day(text: str | None) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError:
        return None
