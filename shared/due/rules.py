"""What a keeper says about the routine, made plain: for what, where, on which days and hours, for whom, until when."""

from __future__ import annotations

import calendar
import datetime as dt
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from shared.due.tasks import TASKS, task_meant, tasks_meant
from shared.due.timetable import EVERY_DAY
from shared.due.usual import EVERY_DAYS, NEAR, PER_DAY, USUAL, Value
from shared.events import RoutineSet
from shared.ledger.standing import Standing

_SLOTS = {"midday": "noon", "lunch": "noon", "supper": "afternoon", "late": "night"}
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_GROUPS = {"all": "", "all tanks": "tank", "all tubs": "tub", "all egg tubs": "tub", "all fry tubs": "tub"}
_GROUPS |= {"all fry": "", "all adults": ""}
_NO = ("off", "no", "none", "stop", "never", "false")
_YES = ("on", "yes", "true")
_ALL = ("all", "everything", "")
# Every number that may decide how often a task comes.
_KEYS_OF = {
    task: frozenset({key, NEAR.get(key, key), *(near for near, general in NEAR.items() if general == key)})
    for table in (PER_DAY, EVERY_DAYS)
    for task, key in table.items()
}
_OF_YEAR = re.compile(r"^--(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$")
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
    season: tuple[tuple[int, int], tuple[int, int]] | None = None  # first and last day of each year, as month and day

    @property
    def scope(self) -> tuple[str | None, str, str | None, str | None]:
        return self.place, self.kind, self.batch, self.line

    @property
    def for_room(self) -> bool:
        """Whether it is for the whole room, every day and hour and everybody."""
        hourly = self.slot or self.from_time or self.to_time
        return self.scope == (None, "", None, None) and not (self.exception or hourly or self.person)

    def about(self, task: str) -> bool:
        """Whether it says anything about a task (or is the value of that name)."""
        return self.key in (task, f"{task}_at") or task in self.tasks or self.key in _KEYS_OF.get(task, ())

    @property
    def rank(self) -> tuple[int, bool, int]:
        near = 4 if self.batch else 3 if self.place else 2 if self.line else 1 if self.kind else 0
        return near, self.exception, self.seq

    @property
    def exception(self) -> bool:
        return self.weekdays != EVERY_DAY or self.dated or self.season is not None

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

    def runs_on(self, day: dt.date) -> bool:
        """Whether the day is within its dates and its season, whatever its weekday."""
        if self.season:
            first, last = self.season
            at = day.month, day.day
            if not (first <= at <= last if first <= last else at >= first or at <= last):
                return False
        return (self.first_day is None or day >= self.first_day) and (self.last_day is None or day <= self.last_day)

    def turns(self, first: dt.date, last: dt.date) -> Iterator[dt.date]:
        """The days between these, and near them, on which its dates or its season begin, or are over."""
        if self.first_day:
            yield self.first_day
        if self.last_day:
            yield self.last_day + dt.timedelta(days=1)
        if self.season:
            (month, day), (last_month, last_day) = self.season
            for year in range(first.year - 1, last.year + 1):
                # the 29th of February is the 1st of March where there is none
                yield dt.date(year, month, 1) + dt.timedelta(days=day - 1)
                in_month = calendar.monthrange(year, last_month)[1]
                yield dt.date(year, last_month, min(last_day, in_month)) + dt.timedelta(days=1)

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


def number_of(value: Value) -> float:
    """A setting's value as a number; 0 where it is none."""
    if isinstance(value, bool) or value is None:
        return 0.0
    try:
        return float(value)
    except ValueError:
        return 0.0


def is_yes(value: Value) -> bool:
    """Whether a setting's value switches something on."""
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


_OF_TASKS = ("off", "on", "stop", "start", "who", "person", "does")


def settings_of(event: RoutineSet, seq: int, said: dt.datetime) -> Iterable[Setting]:
    """One event's settings, one a place, at `said` (UTC). Words for nothing of ours change nothing."""
    key, value = event.what.strip().casefold().replace(" ", "_").replace("-", "_"), event.value
    if key.startswith("price_") or key == "course":
        return  # neither what fish cost nor what a tank is treated with is part of the routine
    if isinstance(value, str):
        value = value.strip() if key == "time_zone" else value.strip().casefold()
    of_year = _of_year(event.from_), _of_year(event.to)
    first, from_time = _day_or_time(event.from_)
    last, to_time = _day_or_time(event.to)
    if key == "quiet" and from_time and to_time:
        yield Setting("quiet_from", f"{from_time:%H:%M}", seq, said)
        yield Setting("quiet_to", f"{to_time:%H:%M}", seq, said)
        return
    tasks: frozenset[str] = frozenset()
    if key in ("rest", "sexes_apart"):
        value, until = _apart_until(value, said)
        last = until or last
    elif key in _OF_TASKS:
        tasks = _tasks_of(value, bool(event.spots or event.batch or event.line))
        if not tasks:
            return
        off = key in ("off", "stop") or (key == "on" and (value is False or value in _NO))
        key, value = ("off" if off else "on" if key in ("on", "start") else "who"), True
    else:
        key, value = _plain_key(key, value)
        if key in ("on", "off"):
            tasks, value = frozenset({str(value)}), True
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
            season=(of_year[0], of_year[1]) if of_year[0] and of_year[1] else None,
        )


def _apart_until(value: Value, said: dt.datetime) -> tuple[Value, dt.date | None]:
    """Whether it begins or ends, and its last day: told by the day after, or by so many days."""
    if until := _day(value):
        return True, until - dt.timedelta(days=1)
    if not isinstance(value, bool) and (days := number_of(value)) > 1:
        return True, said.date() + dt.timedelta(days=round(days) - 1)
    return True if value is None else value, None


def _tasks_of(value: Value, scoped: bool) -> frozenset[str]:
    """The tasks switched or given to somebody; all of them only where that was said, or where a place was."""
    if isinstance(value, str) and value not in (*_NO, *_YES, *_ALL):
        return frozenset(tasks_meant(value)[:1])
    return frozenset(TASKS) if scoped or value in _ALL else frozenset()


def _plain_key(key: str, value: Value) -> tuple[str, Value]:
    """A setting's key and value in the words of the usual routine; "off" or "on" with the task that is switched."""
    if key in ("water_changes_per_week", "changes_per_week"):
        number = number_of(value)
        return "water_change_days", 7 / number if number > 0 else 0
    if key not in USUAL and not key.endswith("_at") and (task := task_meant(key)):
        key = task
    if key in TASKS and (isinstance(value, bool) or value in (*_NO, *_YES)):
        return ("on" if value is True or value in _YES else "off"), key
    if key in TASKS and isinstance(value, (int, float)):
        return PER_DAY.get(key) or EVERY_DAYS.get(key) or key, value
    return key, value


def _day(value: Value) -> dt.date | None:
    try:
        return dt.date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None


def _of_year(text: str | None) -> tuple[int, int] | None:
    """A day of every year, written --MM-DD as ISO 8601 has it."""
    hit = _OF_YEAR.match(text or "")
    return (int(hit[1]), int(hit[2])) if hit else None


def _day_or_time(text: str | None) -> tuple[dt.date | None, dt.time | None]:
    return (None, None) if not text else (_day(text), clock_time(text))


def plain(setting: Setting) -> dict[str, Any]:
    """A setting as plain data, only what was said of it."""
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
    if setting.season:
        raw["season"] = setting.season
    for name in ("first_day", "last_day", "from_time", "to_time"):
        if getattr(setting, name):
            raw[name] = getattr(setting, name).isoformat()
    return raw


def spot_of(standing: Standing, place: str) -> Spot:
    """A place with all that stands in it, to ask what is in force there."""
    kept, held = standing.places.get(place), standing.at_place(place)
    return Spot(
        place,
        kept.kind if kept else "",
        frozenset(h.group for h in held if h.group in standing.batches),
        frozenset(h.line for h in held) or frozenset({kept.line} if kept and kept.line else ()),
    )
