"""Courses of treatment: what goes into a tank by the label, every so many days, until a day or until it is ended.

A course is kept as a standing word on the tank (`setting`, what `course`): its value is the dose ("1 tbsp salt",
"2 ppm levamisole every 7 days", "salt at 08:00,20:00"), `from` its first day and `to` its last;
"stopped: salt" ends the salt there.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from shared.due.rounds import Round
from shared.due.rules import Spot
from shared.due.tasks import TWO_HOURS, tasks_said
from shared.due.timetable import EARLY
from shared.events import RoutineSet
from shared.husbandry.doses import substance_of
from shared.ledger.standing import Standing

COURSE = "course"
STOPPED = "stopped: "
DOSE_OF = "dose of "  # how a dose that is due is called, in its own words
_EVERY = re.compile(r" every (\d+) days$")
_HOURS = re.compile(r" at (\d\d:\d\d(?:,\d\d:\d\d)*)$")
_DOSE = re.compile(
    r"^(?:(?P<amount>\d+(?:\.\d+)?) )?(?:(?P<unit>tbsp|tsp|ml|g|mg|drop|ppm|mg/l|cup|leaf|tablet) )?(.+)$"
)


@dataclass(frozen=True)
class Course:
    """What goes into one place from `first` to `last`, every so many days; `dose` as said, without days and hours.

    `times`: at which hours of such a day (local); none where it only has its day.
    """

    place: str
    dose: str
    every_days: int
    first: dt.date
    last: dt.date
    said: dt.datetime
    times: tuple[dt.time, ...] = ()

    @property
    def substance(self) -> str:
        return parted(self.dose)[2]

    @property
    def days(self) -> list[dt.date]:
        """The days on which a dose goes in."""
        number = (self.last - self.first).days // self.every_days + 1
        return [self.first + dt.timedelta(days=n * self.every_days) for n in range(number)]

    def slots(self, said: dt.datetime) -> list[tuple[dt.date, dt.time]]:
        """Day and hour of each dose with an hour; those gone by when it was `said` (in the room's zone) are none."""
        return [
            (day, time)
            for day in self.days
            for time in self.times
            if (day, time) >= (said.date(), said.time().replace(second=0, microsecond=0))
        ]


def parted(dose: str) -> tuple[float | None, str | None, str]:
    """ "1 tbsp salt" as amount, unit and substance; amount and unit None where none was said."""
    hit = _DOSE.match(dose)
    if not hit:
        return None, None, dose
    return float(hit["amount"]) if hit["amount"] else None, hit["unit"], hit[3]


def course_value(dose: str, every_days: int, times: tuple[str, ...] = ()) -> str:
    """The value under which a course is kept; `times` as HH:MM."""
    hours = f" at {','.join(times)}" if times else ""
    return f"{dose}{hours}" if every_days == 1 else f"{dose}{hours} every {every_days} days"


def courses(standing: Standing) -> list[Course]:
    """Every course that was not ended, in the order said; one of a substance in a place, the one said last."""
    found: dict[tuple[str, str], Course] = {}
    for kept in standing.settings:
        event = kept.event
        if not isinstance(event, RoutineSet) or event.what != COURSE:
            continue
        value = str(event.value)
        if value.startswith(STOPPED):
            for place in event.spots:
                found.pop((place, value.removeprefix(STOPPED)), None)
        for course in courses_of(event, kept.said):
            found.pop((course.place, course.substance), None)
            found[course.place, course.substance] = course
    return list(found.values())


def courses_of(event: RoutineSet, said: dt.datetime) -> list[Course]:
    """The courses one such word began, a place each; none where it is no course or ended one."""
    first, last, value = _day(event.from_), _day(event.to), str(event.value)
    if event.what != COURSE or value.startswith(STOPPED) or first is None or last is None or last < first:
        return []
    every = int(hit[1]) if (hit := _EVERY.search(value)) else 1
    dose = _EVERY.sub("", value)
    hours = _HOURS.search(dose)
    times = tuple(dt.time.fromisoformat(t) for t in hours[1].split(",")) if hours else ()
    return [Course(p, _HOURS.sub("", dose), max(1, every), first, last, said, times) for p in event.spots]


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
        batches = frozenset(h.group for h in holdings) & round_.standing.batches.keys()
        spot = Spot(course.place, kept.kind if kept else "", batches, frozenset(h.line for h in holdings))
        if routine.is_off("treat", spot, clock.today, clock.now):
            continue
        text = f"{DOSE_OF}{course.dose}"
        known = [given(round_.standing, course), _told(round_.standing, course.place, text)]
        done = max((t.astimezone(dt.UTC) for t in known if t), default=None)
        said, morning = course.said.astimezone(dt.UTC), routine.time("morning_at", clock.now)
        if course.times:
            _by_the_hour(round_, course, spot, text, done, said)
            continue
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


def _by_the_hour(
    round_: Round, course: Course, spot: Spot, text: str, done: dt.datetime | None, said: dt.datetime
) -> None:
    """Doses that have their hour: done from two hours before, or a third of the gap where that is less, they count."""
    clock = round_.clock
    times = [clock.moment(*slot) for slot in course.slots(clock.local(said))]
    early = counted_early(times)
    left = [at for at in times if done is None or done < at - early]
    gone = [at for at in left if at <= clock.now]
    for at in [*gone[-1:], *(at for at in left if at > clock.now)]:
        why = f"dose {times.index(at) + 1} of {len(times)}, last {_short(clock.local(times[-1]).date())}"
        late = "; a missed dose is not made up by a double one" if clock.now - at > TWO_HOURS else ""
        moved = round_.moved("treat", spot, [at], max(done, said) if done else said, daily=True)
        round_.add("treat", spot, moved, why, f"as the label says{late}", text=text)


def counted_early(times: Sequence[dt.datetime]) -> dt.timedelta:
    """So long before its hour a dose given counts for it."""
    return min([EARLY, *((at - before) / 3 for before, at in pairwise(times))])


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
