"""The round: when each chore is due by the clock, what was done and put off, and the list in walking order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import zip_longest

from shared.due.house_rules import Routine
from shared.due.rules import Spot, clock_time
from shared.due.tasks import TASKS, TWO_HOURS, DueTask, HatchWindow, tasks_said, telling_words
from shared.due.timetable import Clock, Rhythm, Slot
from shared.events import TaskPutOff
from shared.ledger.standing import Holding, Standing

# What in the record ticks a task off. Whoever changes an egg tub's water has looked in and picked the white ones out.
TICKED_BY: Mapping[str, tuple[str, ...]] = {
    "egg_water": ("water",),
    "check_hatch": ("look",),
    "pick_eggs": ("pick", "water"),
    "pull_mop": ("pull", "mop", "peat:collect", "peat:bag"),
    "collect_peat": ("pull", "mop", "peat:collect", "peat:bag"),
    "fry_water": ("water",),
    "water_change": ("water",),
    "fry_feed": ("feed",),
    "feed": ("feed",),
    "test_water": ("test:ammonia",),
    "service": ("service:filter",),
    "draw_water": (),  # only by saying so
}
# Chores noted with what they were done with; of these no due task asks but for those named.
_BY_THE_WAY = {"feed": ("feed:brine shrimp",), "test": ("test:ammonia",), "dose": ()}
_DONE_TOO = {"check_hatch": ("egg_water",), "pick_eggs": ("egg_water",)}
WATER = frozenset({"egg_water", "fry_water", "water_change"})
_STARTS_FRESH = frozenset({"egg_water", "check_hatch", "pick_eggs", "fry_water"})
LOOKED_AHEAD_DAYS = 60  # a chore switched off for longer is found again when its day comes


@dataclass(frozen=True)
class PutOff:
    """A task put off at `said` until `until` (both UTC)."""

    tasks: tuple[str, ...]
    words: str
    place: str | None
    batch: str | None
    said: dt.datetime
    until: dt.datetime


@dataclass
class Round:
    """Everything a round needs: how the room stands, its routine, the clock, and what was done or put off."""

    standing: Standing
    routine: Routine
    clock: Clock
    windows: Mapping[str, HatchWindow] = field(default_factory=dict)
    found: list[tuple[dt.datetime, DueTask]] = field(default_factory=list)  # with its moment in UTC

    def __post_init__(self) -> None:
        self.done: dict[str, dict[str, dt.datetime]] = {}
        for place, chores in self.standing.chores.items():
            for what, chore in chores.items():
                kind, more, _ = what.partition(":")
                if not chore.times or (more and kind in _BY_THE_WAY and what not in _BY_THE_WAY[kind]):
                    continue
                if kind == "service":
                    what = "service:filter" if any(w in what for w in ("filter", "sponge", "floss")) else what
                self._tick(place, what, chore.times[-1].astimezone(dt.UTC))
        self.said_done: dict[str, dict[str, dt.datetime]] = {}
        # “rinse the filter” reminded of and done is that one thing, not every filter in the room
        self.own_words = {str(getattr(k.event, "text", "")) for k in self.standing.reminders}
        for name, at in self.standing.done.items():
            words, _, where = name.rpartition("|")
            if not where and words in self.own_words:
                continue
            for task in tasks_said(words, bool(where)):
                for spot in self._meant_places(words, where):
                    kept = self.said_done.setdefault(task, {})
                    kept[spot] = max(kept.get(spot, at), at).astimezone(dt.UTC)
        self.put_off = [
            self._put_off(k.event, k.said) for k in self.standing.put_off if isinstance(k.event, TaskPutOff)
        ]
        self.put_off_tasks = {t for p in self.put_off for t in p.tasks}
        self.at_place: dict[str, list[Holding]] = {}
        for holding in self.standing.holdings.values():
            if not holding.counted or holding.count > 0:
                self.at_place.setdefault(holding.place, []).append(holding)
        # whose water is changed by the hour, and when by the day, for what must stand ready the day before
        self.water_by_hour: list[tuple[str, Spot, Rhythm]] = []
        self.water_by_day: list[tuple[Spot, dt.datetime]] = []
        self._slots: dict[tuple[dt.date, tuple[dt.time, ...]], list[Slot]] = {}

    @cached_property
    def all_done(self) -> list[tuple[str, dt.datetime]]:
        """What was said to be done, in which words, and when last."""
        return [(key.rpartition("|")[0], at) for key, at in self.standing.done.items()]

    def done_in(self, word: str) -> list[tuple[str, dt.datetime]]:
        """Of that, what was said with this telling word."""
        return self._by_word.get(word, [])

    @cached_property
    def _by_word(self) -> dict[str, list[tuple[str, dt.datetime]]]:
        found: dict[str, list[tuple[str, dt.datetime]]] = {}
        for words, at in self.all_done:
            for word in telling_words(words):
                found.setdefault(word, []).append((words, at))
        return found

    def _tick(self, place: str, what: str, at: dt.datetime) -> None:
        kept = self.done.setdefault(place, {})
        if what not in kept or kept[what] < at:
            kept[what] = at

    def _meant_places(self, words: str, where: str) -> list[str]:
        """Where a done task's words put it: the place or batch said, or the cultures it names."""
        if where:
            return [where]
        return self._cultures_in(words) or [""]

    def _put_off(self, event: TaskPutOff, said: dt.datetime) -> PutOff:
        """Until when: the day and hour said; without an hour the morning, without a day the next that fits."""
        said = said.astimezone(dt.UTC)
        day = event.date or self.clock.local(said).date()
        time = clock_time(event.time) if event.time else None
        until = self.clock.moment(day, time or self.routine.time("morning_at"))
        if event.date is None and until <= said:
            until = self.clock.moment(day + dt.timedelta(days=1), time or self.routine.time("morning_at"))
        placed = bool(event.place or event.batch)
        tasks = () if not placed and event.task in self.own_words else tasks_said(event.task, placed)
        return PutOff(tasks, event.task, event.place, event.batch, said, until)

    # ---- what was done, what was put off

    def last_done(self, task: str, place: str, batches: Sequence[str] = ()) -> dt.datetime | None:
        """When a task was last done there, by whatever ticks it off (UTC)."""
        chores = self.done.get(place, {})
        times = [chores[w] for w in TICKED_BY.get(task, ()) if w in chores]
        if self.said_done:
            for named in (task, *_DONE_TOO.get(task, ())):
                said = self.said_done.get(named)
                if said:
                    times += [said[w] for w in ("", place, *batches) if w in said]
        return max(times, default=None)

    def last_put_off(self, task: str, spot: Spot, answered: dt.datetime | None) -> PutOff | None:
        """How a task there was put off last, unless it was `answered` since: done, or the fish new."""
        if task not in self.put_off_tasks:
            return None
        fits = [
            p
            for p in self.put_off
            if task in p.tasks
            and p.said <= self.clock.now
            and (answered is None or answered < p.said)
            and (not p.place or p.place == spot.place)
            and (not p.batch or p.batch in spot.batches)
            and (not (named := self._cultures_in(p.words)) or spot.place in named)
        ]
        return max(reversed(fits), key=lambda p: p.said) if fits else None  # of one minute the last

    def _cultures_in(self, words: str) -> list[str]:
        return [name for name in self.standing.cultures if name.casefold() in words.casefold()]

    # ---- when

    def daily(
        self,
        task: str,
        spot: Spot,
        since: dt.datetime,
        done: dt.datetime | None,
        extra: tuple[dt.time, HatchWindow] | None = None,
    ) -> tuple[list[dt.datetime], Rhythm]:
        """When a chore with hours of the day is due there, and its rhythm; an `extra` hour counts within a window."""
        clock, routine, now = self.clock, self.routine, self.clock.now
        since = since.astimezone(dt.UTC)
        if task in _STARTS_FRESH:
            done = max(done, since) if done else since
        rhythm = routine.rhythm(task, spot, clock.today, now)
        if rhythm.every > 1:
            return self.interval(task, spot, since, done)
        if task in WATER:
            self.water_by_hour.append((task, spot, rhythm))
        touched = routine.touched(task, spot)

        def slots_on(day: dt.date) -> list[Slot]:
            times = routine.rhythm(task, spot, day, now).times if touched else rhythm.times
            if touched and (routine.is_off(task, spot, day, now) or self._not_up(task, spot, day, since, done)):
                return []
            if extra and times:
                more = () if touched and routine.is_off(task, spot, day, now, extra[0]) else (extra[0],)
                times = tuple(sorted({*times, *more}))
            slots = self._slots.get((day, times))
            if slots is None:
                slots = self._slots[day, times] = clock.slots(day, times)
            if extra:
                usual = rhythm.times if not touched else routine.rhythm(task, spot, day, now).times
                slots = [s for s in slots if s.time in usual or extra[1].open_at(s.at)]
            if touched:
                slots = [s for s in slots if s.at > now or self._stood_then(task, spot, s, extra)]
            return slots

        times = [s.at for s in clock.unmet(slots_on, since, done)]
        if touched and routine.is_off(task, spot, clock.today, now):
            times = [t for t in times if t > now]  # nor is yesterday's wanted on a day it is off
        return self.moved(task, spot, times, max(done, since) if done else since, daily=True), rhythm

    def _stood_then(self, task: str, spot: Spot, slot: Slot, extra: tuple[dt.time, HatchWindow] | None) -> bool:
        """Whether a slot gone by was one by what had been said then: nothing is late under a later rule."""
        then = self.routine.rhythm(task, spot, slot.day, slot.at)
        if self.routine.is_off(task, spot, slot.day, slot.at):
            return False
        return slot.time in then.times or bool(extra and slot.time == extra[0])

    def interval(
        self, task: str, spot: Spot, since: dt.datetime, done: dt.datetime | None, key: str = ""
    ) -> tuple[list[dt.datetime], Rhythm]:
        """When a chore of every so many days is next due there (at most one moment), and its rhythm."""
        clock, routine, now = self.clock, self.routine, self.clock.now
        base = max(since.astimezone(dt.UTC), done or since).astimezone(dt.UTC)
        due = self._due_by(task, spot, base, key, now)
        rhythm = routine.rhythm(task, spot, clock.local(due).date() if due else clock.today, now, key)
        times = self._as_put_off(task, spot, [due] if due else [], base)
        if task in WATER:
            self.water_by_day += [(spot, at) for at in times]
        return [t for t in times if t < clock.horizon], rhythm

    def _not_up(self, task: str, spot: Spot, day: dt.date, since: dt.datetime, done: dt.datetime | None) -> bool:
        """Whether a chore came round only every so many days on that day, and its days were not up."""
        rhythm = self.routine.rhythm(task, spot, day, self.clock.now)
        return rhythm.every > 1 and self.clock.next_day(max(since, done or since), rhythm) > day

    def _due_by(self, task: str, spot: Spot, base: dt.datetime, key: str, asof: dt.datetime) -> dt.datetime | None:
        """The moment an interval is up by what had been said at `asof`; nothing is late under a later rule."""
        clock, routine = self.clock, self.routine
        if not routine.touched(task, spot):
            rhythm = routine.rhythm(task, spot, clock.today, asof, key)
            return clock.moment(clock.next_day(base, rhythm), rhythm.times[0]) if rhythm.times else None
        day = self._free_day(task, spot, self._day_up(task, spot, base, key, asof), asof)
        if day is None:
            return None
        due = clock.moment(day, routine.rhythm(task, spot, day, asof, key).times[0])
        changed = routine.changed(task, spot, asof)
        if changed and base < changed and due < changed:
            was_due = self._due_by(task, spot, base, key, changed - dt.timedelta(seconds=1))
            return min(was_due, changed) if was_due else changed
        return due

    def _day_up(self, task: str, spot: Spot, base: dt.datetime, key: str, asof: dt.datetime) -> dt.date | None:
        """The first day on which the days since `base` have reached what is in force on that day."""
        clock, routine = self.clock, self.routine
        begun = clock.local(base).date()
        last = max(begun, clock.today) + dt.timedelta(days=clock.days + LOOKED_AHEAD_DAYS)
        days = [begun, *routine.turns(task, spot, asof, begun, last)]
        for first, turned in zip_longest(days, days[1:]):
            rhythm = routine.rhythm(task, spot, first, asof, key)
            if not rhythm.times:
                continue
            day = max(first, clock.next_day(base, rhythm))
            while day.weekday() not in rhythm.weekdays:
                day += dt.timedelta(days=1)
            if turned is None or day < turned:
                return day
        return None

    def _free_day(self, task: str, spot: Spot, day: dt.date | None, asof: dt.datetime) -> dt.date | None:
        """That day, or the next on which the task is not switched off; never one gone by while it is off today."""
        today = self.clock.local(asof).date()
        if day and day < today and self.routine.is_off(task, spot, today, asof):
            day = today
        for _ in range(LOOKED_AHEAD_DAYS):
            if day is None or not self.routine.is_off(task, spot, day, asof):
                return day
            day += dt.timedelta(days=1)
        return None

    def moved(
        self, task: str, spot: Spot, times: list[dt.datetime], answered: dt.datetime | None, *, daily: bool = False
    ) -> list[dt.datetime]:
        """The moments with a putting off applied that nothing answered since, those beyond the days asked left out."""
        return [t for t in self._as_put_off(task, spot, times, answered, daily) if t < self.clock.horizon]

    def _as_put_off(
        self, task: str, spot: Spot, times: list[dt.datetime], answered: dt.datetime | None, daily: bool = False
    ) -> list[dt.datetime]:
        put_off = self.last_put_off(task, spot, answered)
        if put_off and times:
            until = put_off.until
            if not daily:
                # a day given to one place holds, sooner or later; “skip the mops today” brings none forward
                times = [until if put_off.place or put_off.batch else max(t, until) for t in times]
            elif any(t < until for t in times):
                times = sorted({until, *(t for t in times if t >= until)})
                gone = [t for t in times if t <= self.clock.now]
                times = [*gone[-1:], *(t for t in times if t > self.clock.now)]
        return times

    # ---- noting

    def add(
        self,
        task: str,
        spot: Spot,
        times: Sequence[dt.datetime],
        why: str,
        how: str | None = None,
        *,
        window: HatchWindow | None = None,
        first: bool = False,
        text: str | None = None,
        whole_day: bool = False,
        grace: dt.timedelta = TWO_HOURS,
    ) -> None:
        """Note a task for each moment it is due."""
        clock = self.clock
        if not times:
            return
        batch = next(iter(spot.batches)) if len(spot.batches) == 1 else None
        line = next(iter(spot.lines)) if len(spot.lines) == 1 else None
        told = self.routine.touched(task, spot)
        for at in times:
            local = clock.local(at)
            person = None
            if told:
                day = max(local.date(), clock.today)  # what is late is whose it is today
                person = self.routine.person(task, spot, day, local.time(), clock.now)
                asked = self.routine.for_person
                if person and asked and person.casefold() != asked.casefold():
                    continue
            late_from = clock.end_of(at) - at if whole_day else grace
            cannot_wait = first or (window is not None and window.open_at(max(at, clock.now)))
            found = DueTask(task, spot.place, batch, line, local, why, how, cannot_wait, text, person, late_from)
            self.found.append((at, found))

    def since_words(self, done: dt.datetime | None, since: dt.datetime, verb: str) -> str:
        """When it was last done, in few words."""
        if done is not None:
            return f"last {verb} {self.clock.day_name(done)}"
        return f"not {verb} since {self.clock.day_name(since)}"


def plain_number(value: float) -> str:
    """A number without needless noughts."""
    return f"{value:g}"


def often(rhythm: Rhythm) -> str:
    """How often a chore comes round, in words."""
    if rhythm.every > 1:
        return f"every {plain_number(round(rhythm.every, 1))} days"
    count = len(rhythm.times)
    return {1: "daily", 2: "twice a day"}.get(count, f"{count} times a day")


@lru_cache(maxsize=4096)
def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """Names in the order a person walks: tank 2 before tank 10."""
    parts: list[tuple[int, int, str]] = []
    for word in name.casefold().split():
        parts.append((0, int(word), "") if word.isdecimal() else (1, 0, word))
    return tuple(parts)


def in_walking_order(round_: Round) -> list[DueTask]:
    """What cannot wait first, then by chore, by place; quarantine tanks last of all."""
    order = {task: i for i, task in enumerate(TASKS)}
    apart = {p.name for p in round_.standing.places.values() if p.role == "quarantine"}

    def step(noted: tuple[dt.datetime, DueTask]) -> tuple[object, ...]:
        at, due = noted
        turn = 0 if due.first else 2 if due.place in apart else 1
        return turn, order[due.task], natural(due.place or ""), due.batch or "", at, due.text or ""

    return [due for _, due in sorted(round_.found, key=step)]
