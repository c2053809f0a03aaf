"""The room's settings in force: what the keeper has said about the routine, laid over the usual.

A setting for a batch goes before one for its tank, that before one for its line, that before one for the room; among
equals one for certain days or hours goes before one for all, and the newest last word counts.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from shared.events import RoutineSet
from shared.ledger import Standing
from shared.tasks import TASKS, task_meant, tasks_meant
from shared.timetable import EVERY_DAY, Rhythm

Value: TypeAlias = float | int | str | bool | None

# All of these: common practice, no source.
USUAL: Mapping[str, Value] = {
    "egg_changes_per_day": 2,
    "hatch_looks_per_day": 1,
    "picks_per_day": 1,
    "fry_changes_per_day": 3,
    "fry_feeds_per_day": 4,
    "feeds_per_day": 2,
    "mop_every_days": 3,
    "peat_every_days": 7,
    "peat_look_days": 21,
    "water_change_days": 7,
    "grow_out_change_days": 3,
    "nursery_change_days": 1,
    "brine_shrimp_per_day": 1,
    "brine_shrimp_hours": 24,
    "culture_restart_days": 21,
    "culture_feed_days": 7,
    "ammonia_test_days": 7,
    "filter_days": 30,
    "thin_out_days": 7,
    "move_up_days": 10,
    "grow_out_days": 35,
    "apart_days": 14,
    "quarantine_days": 28,
    "adult_change_percent": 30,
    "nursery_change_percent": 25,
    "grow_out_change_percent": 40,
    "fry_per_litre_tub": 50,
    "fry_per_litre": 5,
    "juveniles_per_litre": 1,
    "light_hours": 12,
    "heater_c": None,
    "morning_at": "06:30",
    "noon_at": "12:30",
    "afternoon_at": "17:30",
    "evening_at": "18:30",
    "night_at": "21:00",
    "brine_shrimp_at": "18:00",
    "reminder_at": "09:00",
    "nightly_at": "21:00",
    "quiet_from": "22:00",
    "quiet_to": "06:00",
    "time_zone": None,
    "units": None,
}

# Which number says how often a task comes; and whether by the day or by the number of days.
PER_DAY = {
    "egg_water": "egg_changes_per_day",
    "check_hatch": "hatch_looks_per_day",
    "pick_eggs": "picks_per_day",
    "fry_water": "fry_changes_per_day",
    "fry_feed": "fry_feeds_per_day",
    "feed": "feeds_per_day",
    "start_brine_shrimp": "brine_shrimp_per_day",
}
EVERY_DAYS = {
    "pull_mop": "mop_every_days",
    "water_change": "water_change_days",
    "culture_restart": "culture_restart_days",
    "culture_feed": "culture_feed_days",
    "test_water": "ammonia_test_days",
    "service": "filter_days",
    "thin_out": "thin_out_days",
}
# For one tank or batch the general word will do: "feed tub E 5 times a day" is about its fry.
NEAR = {
    "fry_feeds_per_day": "feeds_per_day",
    "peat_every_days": "mop_every_days",
    "grow_out_change_days": "water_change_days",
    "nursery_change_days": "water_change_days",
}
_FEEDINGS = {
    1: ("morning",),
    2: ("morning", "afternoon"),
    3: ("morning", "noon", "afternoon"),
    4: ("morning", "noon", "afternoon", "night"),
}
_WATERINGS = {1: ("morning",), 2: ("morning", "evening"), 3: ("morning", "noon", "evening")}
_SLOTS = {"midday": "noon", "lunch": "noon", "supper": "afternoon", "late": "night"}
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_GROUPS = {"all": "", "all tanks": "tank", "all tubs": "tub", "all egg tubs": "tub", "all fry tubs": "tub"}
_GROUPS |= {"all fry": "", "all adults": ""}
_NO = ("off", "no", "none", "stop", "never", "false")
_YES = ("on", "yes", "true")
_CLOCK = re.compile(r"^([01]?\d|2[0-3])[:.]([0-5]\d)$")


@dataclass(frozen=True)
class Spot:
    """What a setting may be about: a place, its kind, the batches and lines in it."""

    place: str | None = None
    kind: str = ""
    batches: frozenset[str] = frozenset()
    lines: frozenset[str] = frozenset()


ROOM = Spot()


@dataclass(frozen=True)
class Setting:
    """One standing change, its words made plain. Without place, batch and line it is for the room."""

    key: str
    value: Value
    seq: int
    since: dt.datetime
    place: str | None = None
    kind: str = ""
    batch: str | None = None
    line: str | None = None
    tasks: frozenset[str] = frozenset()  # for on and off
    weekdays: frozenset[int] = EVERY_DAY
    slot: str | None = None
    person: str | None = None
    first_day: dt.date | None = None
    last_day: dt.date | None = None
    from_time: dt.time | None = None
    to_time: dt.time | None = None

    @property
    def scope(self) -> tuple[str | None, str, str | None, str | None]:
        return self.place, self.kind, self.batch, self.line

    @property
    def rank(self) -> tuple[int, bool, int]:
        near = 4 if self.batch else 3 if self.place else 2 if self.line else 1 if self.kind else 0
        return near, self.exception, self.seq

    @property
    def exception(self) -> bool:
        return self.weekdays != EVERY_DAY or self.dated

    @property
    def dated(self) -> bool:
        return self.first_day is not None or self.last_day is not None

    def fits(self, spot: Spot) -> bool:
        if self.batch:
            return self.batch in spot.batches
        if self.place:
            return self.place == spot.place
        if self.line:
            return self.line in spot.lines
        return not self.kind or self.kind == spot.kind

    def holds_on(self, day: dt.date) -> bool:
        return day.weekday() in self.weekdays and self.runs_on(day)

    def speaks_of(self, day: dt.date | None, any_weekday: bool) -> bool:
        """Whether it counts for that day; without a day only what holds every day does."""
        if day is None:
            return not self.exception
        return self.runs_on(day) if any_weekday else self.holds_on(day)

    def runs_on(self, day: dt.date) -> bool:
        """Whether the day is within its dates, whatever its weekday."""
        return (self.first_day is None or day >= self.first_day) and (self.last_day is None or day <= self.last_day)

    def covers(self, time: dt.time, named: Mapping[str, dt.time]) -> bool:
        """Whether this speaks of that hour: its slot, its hours, or all."""
        if self.slot:
            wanted = named.get(self.slot) or clock_time(self.slot)
            return wanted == time
        if self.from_time and self.to_time:
            if self.from_time <= self.to_time:
                return self.from_time <= time < self.to_time
            return time >= self.from_time or time < self.to_time
        if self.from_time:
            return time >= self.from_time
        return time < self.to_time if self.to_time else True


@dataclass(frozen=True)
class Routine:
    """The settings in force, and what they make of each chore. `for_person` sees that person's own exceptions."""

    settings: tuple[Setting, ...] = ()
    for_person: str | None = None
    _by_key: dict[str, list[Setting]] = field(default_factory=dict, repr=False, compare=False)
    _by_task: dict[str, list[Setting]] = field(default_factory=dict, repr=False, compare=False)
    _usual: dict[tuple[str, str], Rhythm] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(cls, standing: Standing, *, for_person: str | None = None) -> Routine:
        """The routine a standing's settings make; the same setting set back to "default" is gone."""
        kept: list[Setting] = []
        for entry in standing.settings:
            if not isinstance(entry.event, RoutineSet):
                continue
            for setting in settings_of(entry.event, entry.seq, entry.said.astimezone(dt.UTC)):
                if isinstance(setting.value, str) and setting.value in ("default", "usual"):
                    kept = [k for k in kept if (k.key, k.scope) != (setting.key, setting.scope)]
                else:
                    kept.append(setting)
        routine = cls(tuple(kept), for_person)
        for setting in kept:
            routine._by_key.setdefault(setting.key, []).append(setting)
        keys: dict[str, set[str]] = {t: {t, f"{t}_at"} for t in TASKS}
        for table in (PER_DAY, EVERY_DAYS):
            for task, key in table.items():
                keys[task] |= {key, *(n for n, general in NEAR.items() if general == key)}
        keys["fry_feed"] |= {"feeds_per_day"}
        for setting in kept:
            for task in TASKS:
                if setting.key in keys[task] or setting.key in _CLOCKS or task in setting.tasks:
                    routine._by_task.setdefault(task, []).append(setting)
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
        found = self._winner(key, spot, day, asof, any_weekday)
        if key in NEAR:
            general = self._winner(NEAR[key], spot, day, asof, any_weekday)
            if general and (general.place or general.batch) and (not found or general.rank > found.rank):
                found = general
        return _number(found.value if found else USUAL.get(key))

    def time(self, key: str, asof: dt.datetime | None = None) -> dt.time:
        """A clock time of the room ("nightly_at", "quiet_from", "morning_at"), local."""
        found = self._winner(key, ROOM, None, asof)
        said = clock_time(str(found.value)) if found else None
        return said or clock_time(str(USUAL.get(key))) or dt.time(6, 30)

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

    def touched(self, task: str) -> bool:
        """Whether anything was ever said about a task; if not it runs as usual everywhere."""
        return task in self._by_task

    def changed(self, task: str, spot: Spot, asof: dt.datetime) -> dt.datetime | None:
        """When something about a task there was last said."""
        return max(
            (s.since for s in self._by_task.get(task, ()) if s.fits(spot) and s.since <= asof),
            default=None,
        )

    def is_off(self, task: str, spot: Spot, day: dt.date, asof: dt.datetime, time: dt.time | None = None) -> bool:
        """Whether a task is switched off there that day; with `time`, at that hour."""
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

    def at_rest(self, spot: Spot, day: dt.date, asof: dt.datetime) -> bool:
        """Whether breeders there rest or stand with the sexes apart: no eggs are looked for."""
        return any(_yes(self.value(key, spot, day, asof)) for key in ("rest", "sexes_apart"))

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
        return {name: self.time(f"{name}_at", asof) for name in ("morning", "noon", "afternoon", "evening", "night")}

    def rhythm(self, task: str, spot: Spot, day: dt.date, asof: dt.datetime, key: str = "") -> Rhythm:
        """How often a task comes round there by what had been said at `asof`; no times: not at all.

        `key` names the number where it is not the task's own (the nursery's, the peat box's).
        """
        if not self.touched(task):
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
        return Rhythm(said or (named["morning"],), max(1, every), self._weekdays(task, key, spot, asof))

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

    def _weekdays(self, task: str, key: str, spot: Spot, asof: dt.datetime) -> frozenset[int]:
        """The weekdays a task of every so many days was put on."""
        keys = {task, f"{task}_at", key or EVERY_DAYS[task], NEAR.get(key, "")}
        fits = [
            s
            for s in self._by_task.get(task, ())
            if s.key in keys and not s.person and s.fits(spot) and s.since <= asof
            and (s.key != NEAR.get(key) or s.place or s.batch)
        ]  # fmt: skip
        if not fits:
            return EVERY_DAY
        return max(fits, key=lambda s: (s.rank[0], s.seq)).weekdays

    # ---- to show

    def shown(self) -> dict[str, Any]:
        """The routine as plain data: the room's values, which of them are not the usual, and every exception."""
        room = {key: self.value(key) for key in USUAL}
        return {
            "room": room,
            "changed": sorted(k for k, v in room.items() if v != USUAL[k]),
            "off": sorted({t for s in self.settings if s.key == "off" and s.scope == ROOM_SCOPE
                           and not s.exception and not s.slot for t in s.tasks
                           if self.is_off(t, ROOM, s.since.date(), max(x.since for x in self.settings))}),
            "exceptions": [_plain(s) for s in self.settings if s.scope != ROOM_SCOPE or s.exception or s.slot
                           or s.person or s.from_time or s.to_time],
        }  # fmt: skip


ROOM_SCOPE: tuple[str | None, str, str | None, str | None] = (None, "", None, None)
_CLOCKS = frozenset(f"{n}_at" for n in ("morning", "noon", "afternoon", "evening", "night", "brine_shrimp"))


def _plain(setting: Setting) -> dict[str, Any]:
    raw: dict[str, Any] = {"what": setting.key, "value": setting.value, "said": setting.since.isoformat()}
    for name in ("place", "batch", "line", "slot", "person"):
        if getattr(setting, name):
            raw[name] = getattr(setting, name)
    if setting.kind:
        raw["place"] = f"all {setting.kind}s"
    if setting.tasks:
        raw["tasks"] = sorted(setting.tasks)
    if setting.weekdays != EVERY_DAY:
        raw["weekdays"] = [_DAYS[d] for d in sorted(setting.weekdays)]
    for name in ("first_day", "last_day", "from_time", "to_time"):
        if getattr(setting, name):
            raw[name] = getattr(setting, name).isoformat()
    return raw


def _spread(task: str, count: int, named: Mapping[str, dt.time], brine: dt.time) -> tuple[dt.time, ...]:
    """So many times over the day: the named ones where they suffice, else evenly from morning on."""
    if task == "start_brine_shrimp" and count == 1:
        return (brine,)
    feeding = task in ("fry_feed", "feed")
    usual = _FEEDINGS if feeding else _WATERINGS
    if count in usual:
        return tuple(named[n] for n in usual[count])
    begin, end = _minutes(named["morning"]), _minutes(named["night" if feeding else "evening"])
    count = min(count, 24)
    return tuple(_clock(begin + round((end - begin) * i / (count - 1))) for i in range(count))


def _minutes(time: dt.time) -> int:
    return time.hour * 60 + time.minute


def _clock(minutes: int) -> dt.time:
    return dt.time(minutes // 60 % 24, minutes % 60)


def _number(value: Value) -> float:
    if isinstance(value, bool) or value is None:
        return 0.0
    try:
        return float(value)
    except ValueError:
        return 0.0


def _yes(value: Value) -> bool:
    return value not in (None, False, 0) and str(value).casefold() not in _NO


def clock_time(text: str) -> dt.time | None:
    """A clock time written HH:MM, or None."""
    found = _CLOCK.match(text.strip())
    return dt.time(int(found[1]), int(found[2])) if found else None


def times_in(setting: Setting, named: Mapping[str, dt.time]) -> tuple[dt.time, ...]:
    """The hours a setting gives: its value as a list of clock times or slot names, or its slot alone."""
    words = re.split(r"[,;\s]+|\band\b", setting.value) if isinstance(setting.value, str) else []
    if setting.slot and setting.value is None and not setting.person:
        words = [setting.slot]
    found = {t for w in words if w and (t := named.get(_SLOTS.get(w, w)) or clock_time(w))}
    return tuple(sorted(found))


def weekdays_in(words: str | None) -> frozenset[int]:
    """The weekdays named ("sat,sun", "weekends", "Mondays"), Monday 0; all where none is."""
    if not words:
        return EVERY_DAY
    plain = words.casefold()
    found = {i for i, day in enumerate(_DAYS) if re.search(rf"\b{day}", plain)}
    if "weekend" in plain:
        found |= {5, 6}
    if re.search(r"weekdays?|workdays?", plain):
        found |= {0, 1, 2, 3, 4}
    return frozenset(found) or EVERY_DAY


def settings_of(event: RoutineSet, seq: int, said: dt.datetime) -> Iterable[Setting]:
    """One event's settings, one a place: names and numbers made plain."""
    key, value = event.what.strip().casefold().replace(" ", "_").replace("-", "_"), event.value
    if isinstance(value, str):
        value = value.strip().casefold() if key not in ("time_zone",) else value.strip()
    if key in ("water_changes_per_week", "changes_per_week"):
        key, value = "water_change_days", (7 / n if (n := _number(value)) > 0 else 0)
    first, from_time = _day_or_time(event.from_)
    last, to_time = _day_or_time(event.to)
    if key == "quiet" and from_time and to_time:
        yield Setting("quiet_from", f"{from_time:%H:%M}", seq, said)
        yield Setting("quiet_to", f"{to_time:%H:%M}", seq, said)
        return
    tasks: frozenset[str] = frozenset()
    if key in ("rest", "sexes_apart") and (until := _day(value)):
        value, last = True, until - dt.timedelta(days=1)
    elif key in ("off", "on", "stop", "start"):
        tasks = frozenset(tasks_meant(value)[:1]) if isinstance(value, str) and value not in _NO + _YES else frozenset()
        if isinstance(value, str) and value not in (*_NO, *_YES, "", "all", "everything") and not tasks:
            return  # words for no chore of ours change nothing
        tasks, key = tasks or frozenset(TASKS), "off" if key in ("off", "stop") else "on"
        if value is False or (isinstance(value, str) and value in _NO and key == "on"):
            key = "off"
        value = True
    elif key in ("who", "person", "does") and isinstance(value, str) and (task := task_meant(value)):
        key, value = task, None
    elif key not in USUAL and not key.endswith("_at") and (task := task_meant(key)):
        key = task
    if key in TASKS and (value is False or value is True or (isinstance(value, str) and value in _NO + _YES)):
        tasks = frozenset({key})
        key, value = ("on" if value is True or value in _YES else "off"), True
    elif key in TASKS and isinstance(value, (int, float)):
        key = PER_DAY.get(key) or EVERY_DAYS.get(key) or key
    for place in event.spots or (None,):
        grouped = place in _GROUPS
        yield Setting(
            key=key,
            value=value,
            seq=seq,
            since=said,
            place=None if grouped else place,
            kind=_GROUPS[place] if place is not None and grouped else "",
            batch=event.batch,
            line=event.line,
            tasks=tasks,
            weekdays=weekdays_in(event.weekday),
            slot=_SLOTS.get(event.slot.casefold(), event.slot.casefold()) if event.slot else None,
            person=event.person,
            first_day=max((d for d in (first, event.date) if d), default=None),
            last_day=last,
            from_time=from_time,
            to_time=to_time,
        )


def _day(value: Value) -> dt.date | None:
    try:
        return dt.date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None


def _day_or_time(text: str | None) -> tuple[dt.date | None, dt.time | None]:
    return (None, None) if not text else (_day(text), clock_time(text))
