"""The room's settings in force: what the keeper has said about the routine, laid over the usual.

A setting for a batch goes before one for its tank, that before one for its line, that before one for the room; among
equals one for certain days or hours goes before one for all, and the newest last word counts.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from shared.due.rules import ROOM, Setting, Spot, clock_time, is_yes, number_of, plain, settings_of, times_in
from shared.due.tasks import TASKS
from shared.due.timetable import EVERY_DAY, Rhythm
from shared.due.usual import EVERY_DAYS, NEAR, PER_DAY, USUAL, Value
from shared.events import RoutineSet
from shared.ledger.standing import Standing

_NAMED = ("morning", "noon", "afternoon", "evening", "night")
_CLOCKS = frozenset({*(f"{name}_at" for name in _NAMED), "brine_shrimp_at"})
QUARTER = 15  # minutes
RESTS = ("rest", "sexes_apart")
COLLECTING = ("pull_mop", "collect_peat")
_FEEDINGS = {
    1: ("morning",),
    2: ("morning", "afternoon"),
    3: ("morning", "noon", "afternoon"),
    4: ("morning", "noon", "afternoon", "night"),
}
_WATERINGS = {1: ("morning",), 2: ("morning", "evening"), 3: ("morning", "noon", "evening")}


@dataclass(frozen=True)
class Routine:
    """The settings in force, and what they make of each chore. `for_person` sees that person's own exceptions."""

    settings: tuple[Setting, ...] = ()
    for_person: str | None = None
    _by_key: dict[str, list[Setting]] = field(default_factory=dict, repr=False, compare=False)
    _by_task: dict[str, list[Setting]] = field(default_factory=dict, repr=False, compare=False)
    _rests: list[Setting] = field(default_factory=list, repr=False, compare=False)
    _reach: dict[str, set[str | None]] = field(default_factory=dict, repr=False, compare=False)
    _usual_times: dict[str, dt.time] = field(default_factory=dict, repr=False, compare=False)
    _named: dict[dt.datetime | None, dict[str, dt.time]] = field(default_factory=dict, repr=False, compare=False)
    _usual: dict[tuple[str, str], Rhythm] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(cls, standing: Standing, *, for_person: str | None = None) -> Routine:
        """The routine a standing's settings make; the same setting set back to "default" is gone."""
        kept: list[Setting] = []
        rests: list[Setting] = []  # also those that are over: until then no eggs were looked for
        for entry in standing.settings:
            if not isinstance(entry.event, RoutineSet):
                continue
            for setting in settings_of(entry.event, entry.seq, entry.said.astimezone(dt.UTC)):
                over = isinstance(setting.value, str) and setting.value in ("default", "usual")
                if setting.key in RESTS:
                    rests.append(replace(setting, value=False) if over else setting)
                if over:
                    kept = [k for k in kept if k.scope != setting.scope or not k.about(setting.key)]
                else:
                    kept.append(setting)
        routine = cls(tuple(kept), for_person)
        routine._rests.extend(rests)
        for setting in kept:
            routine._by_key.setdefault(setting.key, []).append(setting)
        for setting in (*kept, *rests):
            for task in TASKS:
                rests_it = setting.key in RESTS and task in COLLECTING
                if setting.about(task) or setting.key in _CLOCKS or rests_it:
                    routine._by_task.setdefault(task, []).append(setting)
                    reached = setting.batch or setting.place or setting.line or ""
                    routine._reach.setdefault(task, set()).add(reached)
        return routine

    # ---- single values

    def value(self, key: str, spot: Spot = ROOM, day: dt.date | None = None, asof: dt.datetime | None = None) -> Value:
        """What is in force for `key` there: on that day, as far as had been said by `asof`; else the usual."""
        found = self._winner(key, spot, day, asof)
        return found.value if found else USUAL.get(key)

    def number(
        self,
        key: str,
        spot: Spot = ROOM,
        day: dt.date | None = None,
        asof: dt.datetime | None = None,
        *,
        any_weekday: bool = False,
    ) -> float:
        """A value as a number; 0 where it is switched off or says nothing countable."""
        if key not in self._by_key and NEAR.get(key) not in self._by_key:
            return number_of(USUAL.get(key))
        found = self._winner(key, spot, day, asof, any_weekday)
        if key in NEAR:
            general = self._winner(NEAR[key], spot, day, asof, any_weekday)
            if general and (general.place or general.batch) and (not found or general.rank > found.rank):
                found = general
        return number_of(found.value if found else USUAL.get(key))

    def time(self, key: str, asof: dt.datetime | None = None) -> dt.time:
        """A clock time of the room ("nightly_at", "quiet_from", "morning_at"), local."""
        if key not in self._by_key and key in self._usual_times:
            return self._usual_times[key]
        found = self._winner(key, ROOM, None, asof)
        said = clock_time(str(found.value)) if found else None
        usual = self._usual_times[key] = clock_time(str(USUAL.get(key))) or dt.time(6, 30)
        return said or usual

    @property
    def nightly_at(self) -> dt.time:
        return self.time("nightly_at")

    @property
    def quiet(self) -> tuple[dt.time, dt.time]:
        """Between when the bot keeps still, local; the first may be later than the second: over midnight."""
        return self.time("quiet_from"), self.time("quiet_to")

    def _winner(
        self, key: str, spot: Spot, day: dt.date | None, asof: dt.datetime | None, any_weekday: bool = False
    ) -> Setting | None:
        best: Setting | None = None
        for setting in self._by_key.get(key, ()):
            if (
                setting.value is not None
                and setting.fits(spot)
                and (asof is None or setting.since <= asof)
                and (
                    not setting.exception if not day else setting.runs_on(day) if any_weekday else setting.holds_on(day)
                )
                and (best is None or setting.rank > best.rank)
            ):
                best = setting
        return best

    # ---- chores

    def touched(self, task: str, spot: Spot) -> bool:
        """Whether anything was ever said about a task that may reach there; if not it runs as usual."""
        reach = self._reach.get(task)
        return reach is not None and not reach.isdisjoint(("", spot.place, *spot.batches, *spot.lines))

    def changed(self, task: str, spot: Spot, asof: dt.datetime) -> dt.datetime | None:
        """When something about a task there was last said."""
        return max(
            (s.since for s in self._by_task.get(task, ()) if s.fits(spot) and s.since <= asof),
            default=None,
        )

    def turns(self, task: str, spot: Spot, asof: dt.datetime, first: dt.date, last: dt.date) -> list[dt.date]:
        """The days between the first and the last, without the first, on which another setting may come to hold."""
        said = [s for s in self._by_task.get(task, ()) if (s.dated or s.season) and s.fits(spot) and s.since <= asof]
        return sorted({day for s in said for day in s.turns(first, last) if first < day <= last})

    def is_off(self, task: str, spot: Spot, day: dt.date, asof: dt.datetime, time: dt.time | None = None) -> bool:
        """Whether a task is switched off there that day; with `time`, at that hour."""
        if not self.touched(task, spot):
            return False
        if task in COLLECTING and self._at_rest(spot, day, asof):
            return True
        named = self.named_times(asof) if time else {}
        best: tuple[tuple[int, bool, bool, int], str] | None = None
        for setting in self._by_task.get(task, ()):
            if setting.key not in ("on", "off") or not setting.fits(spot) or setting.since > asof:
                continue
            if setting.person and setting.person.casefold() != (self.for_person or "").casefold():
                continue
            hourly = bool(setting.slot or setting.from_time or setting.to_time)
            if not setting.holds_on(day) or (hourly and (time is None or not setting.covers(time, named))):
                continue
            near, exception, seq = setting.rank
            best = (
                max(best, ((near, hourly, exception, seq), setting.key))
                if best
                else ((near, hourly, exception, seq), setting.key)
            )
        return best is not None and best[1] == "off"

    def _at_rest(self, spot: Spot, day: dt.date, asof: dt.datetime) -> bool:
        """Whether breeders there rest or stand with the sexes apart: no eggs are looked for."""
        for key in RESTS:
            said: list[Setting] = []
            for setting in self._rests:
                if setting.key == key and setting.fits(spot) and setting.since <= asof:
                    if not is_yes(setting.value):
                        said = [s for s in said if s.scope != setting.scope]
                    said.append(setting)
            holding = [s for s in said if s.holds_on(day)]
            if holding and is_yes(max(holding, key=lambda s: s.rank).value):
                return True
        return False

    def person(self, task: str, spot: Spot, day: dt.date, time: dt.time, asof: dt.datetime) -> str | None:
        """Whose task it is then, where the routine names somebody."""
        named = self.named_times(asof)
        fits = [
            s
            for s in self._by_task.get(task, ())
            if s.person and s.key != "off" and s.fits(spot) and s.since <= asof and s.holds_on(day)
            and s.covers(time, named)
        ]  # fmt: skip
        return max(fits, key=lambda s: s.rank).person if fits else None

    def named_times(self, asof: dt.datetime | None = None) -> dict[str, dt.time]:
        """The hours the room means by the parts of the day; asked once for each tank of a round, so kept."""
        found = self._named.get(asof)
        if found is None:
            names = ("morning", "noon", "afternoon", "evening", "night")
            found = self._named[asof] = {name: self.time(f"{name}_at", asof) for name in names}
        return found

    def rhythm(self, task: str, spot: Spot, day: dt.date, asof: dt.datetime, key: str = "") -> Rhythm:
        """How often a task comes round there by what had been said at `asof`; no times: not at all.

        `key` names the number where it is not the task's own (the nursery's, the peat box's).
        """
        if not self.touched(task, spot):
            usual = self._usual.get((task, key))
            if usual is None:
                usual = self._usual[task, key] = self._rhythm(task, spot, day, asof, key)
            return usual
        return self._rhythm(task, spot, day, asof, key)

    def _rhythm(self, task: str, spot: Spot, day: dt.date, asof: dt.datetime, key: str) -> Rhythm:
        named = self.named_times(asof)
        said = self._times_said(task, spot, day, asof, named)
        if task in PER_DAY:
            count = self.number(key or PER_DAY[task], spot, day, asof)
            if count <= 0:
                return Rhythm(())
            if count < 1:
                return Rhythm(said or (named["morning"],), 1 / count)
            times = said or _spread(task, round(count), named, self.time("brine_shrimp_at", asof))
            return Rhythm(tuple(t for t in times if not self.is_off(task, spot, day, asof, t)))
        every = self.number(key or EVERY_DAYS[task], spot, day, asof, any_weekday=True)
        if every <= 0:
            return Rhythm(())
        return Rhythm(said or (named["morning"],), max(1, every), self._weekdays(task, key, spot, day, asof))

    def _times_said(
        self, task: str, spot: Spot, day: dt.date, asof: dt.datetime, named: Mapping[str, dt.time]
    ) -> tuple[dt.time, ...]:
        """The hours a keeper gave a task himself, if any."""
        fits = [
            s
            for s in (*self._by_key.get(f"{task}_at", ()), *self._by_key.get(task, ()))
            if s.fits(spot) and s.since <= asof and s.holds_on(day) and times_in(s, named)
        ]
        return times_in(max(fits, key=lambda s: s.rank), named) if fits else ()

    def _weekdays(self, task: str, key: str, spot: Spot, day: dt.date, asof: dt.datetime) -> frozenset[int]:
        """The weekdays a task of every so many days was put on."""
        keys = {task, f"{task}_at", key or EVERY_DAYS[task], NEAR.get(key, "")}
        fits = [
            s
            for s in self._by_task.get(task, ())
            if s.key in keys and not s.person and s.fits(spot) and s.since <= asof and s.runs_on(day)
            and (key not in NEAR or s.key == key or s.place or s.batch)
        ]  # fmt: skip
        if not fits:
            return EVERY_DAY
        return max(fits, key=lambda s: (s.rank[0], s.seq)).weekdays

    # ---- to show

    def shown(self) -> dict[str, Any]:
        """The routine as plain data: the room's values, those that are not the usual, and what is more particular."""
        room = {key: self.value(key) for key in USUAL}
        plain_off = [s for s in self.settings if s.key in ("on", "off") and s.for_room]
        off: dict[str, bool] = {task: s.key == "off" for s in plain_off for task in s.tasks}
        return {
            "room": room,
            "changed": sorted(key for key, value in room.items() if value != USUAL[key]),
            "off": sorted(task for task, is_off in off.items() if is_off),
            "exceptions": [plain(s) for s in self.settings if not s.for_room or s.key not in (*USUAL, "on", "off")],
        }


def _spread(task: str, count: int, named: Mapping[str, dt.time], brine: dt.time) -> tuple[dt.time, ...]:
    """So many times over the day: the named ones where they suffice, else evenly from morning on."""
    if task == "start_brine_shrimp" and count == 1:
        return (brine,)
    if task == "draw_water" and count == 1:
        return (named["evening"],)
    feeding = task in ("fry_feed", "feed")
    usual = _FEEDINGS if feeding else _WATERINGS
    if count in usual:
        return tuple(named[n] for n in usual[count])
    begin, end = _minutes(named["morning"]), _minutes(named["night" if feeding else "evening"])
    count = min(count, 24)
    step = QUARTER if end - begin > 2 * QUARTER * count else 1  # hours that are easily kept in mind
    between = (begin + round((end - begin) * i / (count - 1) / step) * step for i in range(1, count - 1))
    return tuple(_clock(minutes) for minutes in (begin, *between, end))


def _minutes(time: dt.time) -> int:
    return time.hour * 60 + time.minute


def _clock(minutes: int) -> dt.time:
    return dt.time(minutes // 60 % 24, minutes % 60)
