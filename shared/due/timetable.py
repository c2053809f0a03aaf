"""Hours and days of chores: local slots as moments, which slot still wants doing, and when an interval is up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

EARLY = dt.timedelta(hours=2)  # so long before its slot a chore done counts for it; house rule, no source
LOOK_BACK_DAYS = 8  # a routine for one weekday still has its newest slot within these
EVERY_DAY = frozenset(range(7))


@dataclass(frozen=True)
class Rhythm:
    """How often a chore comes round: at `times` (local) of a day, every so many days, on those weekdays (Monday 0)."""

    times: tuple[dt.time, ...]
    every: float = 1
    weekdays: frozenset[int] = EVERY_DAY


@dataclass(frozen=True)
class Slot:
    """One time of one day at which a chore is due; done from `counts_from` on, it counts as met. Both UTC."""

    at: dt.datetime
    counts_from: dt.datetime
    time: dt.time
    day: dt.date


@dataclass
class Clock:
    """The moment asked about, the room's zone, and the end of the days asked about."""

    now: dt.datetime  # UTC
    zone: ZoneInfo
    days: int
    _moments: dict[tuple[dt.date, dt.time], dt.datetime] = field(default_factory=dict)
    _locals: dict[dt.datetime, dt.datetime] = field(default_factory=dict)
    _names: dict[dt.datetime, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.today = self.now.astimezone(self.zone).date()
        self.horizon = self.moment(self.today + dt.timedelta(days=self.days), dt.time(0))

    def moment(self, day: dt.date, time: dt.time) -> dt.datetime:
        """The UTC moment of a local clock time: one jumped over comes as much later, of a repeated one the first."""
        found = self._moments.get((day, time))
        if found is None:
            found = dt.datetime.combine(day, time, self.zone).astimezone(dt.UTC)
            self._moments[day, time] = found
        return found

    def local(self, moment: dt.datetime) -> dt.datetime:
        found = self._locals.get(moment)
        if found is None:
            found = self._locals[moment] = moment.astimezone(self.zone)
        return found

    def slots(self, day: dt.date, times: Sequence[dt.time]) -> list[Slot]:
        """A day's slots; a chore counts from two hours before its slot, or a third of the gap where that is less."""
        if not times:
            return []
        before = self.moment(day - dt.timedelta(days=1), times[-1])
        found = []
        for time in times:
            at = self.moment(day, time)
            if at <= before:
                continue  # on the night the clock jumps, 02:00 and 03:00 are one
            found.append(Slot(at, at - min(EARLY, (at - before) / 3), time, day))
            before = at
        return found

    def unmet(
        self, slots_on: Callable[[dt.date], Sequence[Slot]], since: dt.datetime, done: dt.datetime | None
    ) -> list[Slot]:
        """The newest slot gone by, if it was not met, and the slots to come until the horizon.

        Slots before `since` do not count. A slot to come that doing the missed one now would meet as well is left out.
        """
        found: list[Slot] = []
        day = self.today
        for back in range(LOOK_BACK_DAYS):
            gone = [s for s in slots_on(day - dt.timedelta(days=back)) if s.at <= self.now]
            if gone:
                newest = gone[-1]
                if newest.at >= since and (done is None or done < newest.counts_from):
                    found.append(newest)
                break
        missed = bool(found)
        for ahead in range(self.days):
            for slot in slots_on(day + dt.timedelta(days=ahead)):
                if slot.at <= self.now or slot.at < since or (done is not None and done >= slot.counts_from):
                    continue
                if missed and slot.counts_from <= self.now:
                    continue
                found.append(slot)
        return found

    def next_day(self, base: dt.datetime, rhythm: Rhythm) -> dt.date:
        """The day an interval that began at `base` is up: counted in days of the calendar, halves by the clock."""
        local = self.local(base).replace(tzinfo=None)
        day = (local + dt.timedelta(days=rhythm.every)).date()
        if rhythm.weekdays != EVERY_DAY and rhythm.weekdays:
            # the first such weekday after the one before last would have been too early
            day = local.date() + dt.timedelta(days=1 + max(0, round(rhythm.every) - 7))
            while day.weekday() not in rhythm.weekdays:
                day += dt.timedelta(days=1)
        return day

    def end_of(self, moment: dt.datetime) -> dt.datetime:
        """Midnight after the local day of a moment, in UTC."""
        return self.moment(self.local(moment).date() + dt.timedelta(days=1), dt.time(0))

    def day_name(self, moment: dt.datetime) -> str:
        """A moment in few words as seen from now: "today 06:10", "yesterday 18:30", "Tue", "3 Mar"."""
        if moment not in self._names:
            self._names[moment] = self._day_name(moment)
        return self._names[moment]

    def span(self, first: dt.datetime, last: dt.datetime) -> str:
        """Two days as one window: "7–31 Mar", "28 Feb–3 Mar"."""
        one, other = self.local(first), self.local(last)
        month = "" if (one.year, one.month) == (other.year, other.month) else f" {one:%b}"
        return f"{one.day}{month}–{other.day} {other:%b}"

    def _day_name(self, moment: dt.datetime) -> str:
        local = self.local(moment)
        gone = (self.today - local.date()).days
        if gone == 0:
            return f"today {local:%H:%M}"
        if gone == 1:
            return f"yesterday {local:%H:%M}"
        if 1 < gone < 7:
            return f"{local:%a}"
        return f"{local.day} {local:%b}" + ("" if local.year == self.today.year else f" {local.year}")
