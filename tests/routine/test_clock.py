"""Slots are local clock times: on the nights the clock is changed, over years, and in any order of asking."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.due.due_list import due
from shared.due.tasks import NEVER, DueTask
from shared.due.timetable import Clock, Rhythm
from tests.routine.room import Room

CHICAGO, LONDON = ZoneInfo("America/Chicago"), ZoneInfo("Europe/London")
# the nights of 2026: spring and autumn (IANA tz database, as the system has it)
NIGHTS = [
    (CHICAGO, dt.date(2026, 3, 8), -1),
    (CHICAGO, dt.date(2026, 11, 1), 1),
    (LONDON, dt.date(2026, 3, 29), -1),
    (LONDON, dt.date(2026, 10, 25), 1),
]


def egg_room(zone: ZoneInfo, day: dt.date, at: str | None = None) -> Room:
    """A tub of eggs since two days before a night, its water changed the noon before."""
    room = Room(dt.datetime.combine(day - dt.timedelta(days=2), dt.time(7), zone))
    room.line("gardneri")
    room.tub("tub A")
    room.batch("gardneri", "tub A")
    if at:
        room.setting("egg_water_at", at)
    room.at(dt.datetime.combine(day - dt.timedelta(days=1), dt.time(20), zone)).water("tub A")
    return room


def waters(room: Room, now: dt.datetime, zone: ZoneInfo, days: int = 1) -> list[DueTask]:
    return [t for t in due(room.standing, now, zone, days=days) if t.task == "egg_water"]


@pytest.mark.parametrize(("zone", "day", "hours"), NIGHTS)
def test_the_morning_is_at_half_past_six_on_every_night(zone: ZoneInfo, day: dt.date, hours: int) -> None:
    evening = dt.datetime.combine(day - dt.timedelta(days=1), dt.time(21), zone)
    found = waters(egg_room(zone, day), evening, zone, days=2)
    assert [f"{t.due:%d %H:%M}" for t in found] == [f"{day:%d} 06:30", f"{day:%d} 18:30"]
    slept = found[0].due.astimezone(dt.UTC) - evening.astimezone(dt.UTC)
    assert slept == dt.timedelta(hours=9.5 + hours)


@pytest.mark.parametrize(("zone", "day", "hours"), NIGHTS)
def test_lateness_is_real_hours_over_the_change(zone: ZoneInfo, day: dt.date, hours: int) -> None:
    room = egg_room(zone, day)
    missed = dt.datetime.combine(day + dt.timedelta(days=1), dt.time(5), zone)
    room.at(dt.datetime.combine(day, dt.time(6, 30), zone)).water("tub A")
    (task, *_) = waters(room, missed, zone)
    assert task.late_by_hours(missed) == 10.5 and task.overdue(missed)
    evening = dt.datetime.combine(day - dt.timedelta(days=1), dt.time(23), zone)
    morning = dt.datetime.combine(day, dt.time(6), zone)
    assert DueTask("feed", "tank 1", None, None, evening, "").late_by_hours(morning) == 7 + hours


@pytest.mark.parametrize(
    ("zone", "day", "slot", "comes"),
    [(CHICAGO, NIGHTS[0][1], "02:30", "03:30"), (LONDON, NIGHTS[2][1], "01:30", "02:30")],
)
def test_an_hour_jumped_over_comes_an_hour_later(zone: ZoneInfo, day: dt.date, slot: str, comes: str) -> None:
    room = egg_room(zone, day, slot)
    evening = dt.datetime.combine(day - dt.timedelta(days=1), dt.time(21), zone)
    assert [f"{t.due:%H:%M}" for t in waters(room, evening, zone, days=2)] == [comes]


@pytest.mark.parametrize(("zone", "day", "slot"), [(CHICAGO, NIGHTS[1][1], "01:30"), (LONDON, NIGHTS[3][1], "01:30")])
def test_a_repeated_hour_comes_once(zone: ZoneInfo, day: dt.date, slot: str) -> None:
    room = egg_room(zone, day, slot)
    evening = dt.datetime.combine(day - dt.timedelta(days=1), dt.time(21), zone)
    (task,) = waters(room, evening, zone, days=2)
    assert (f"{task.due:%H:%M}", task.due.fold) == (slot, 0)
    first = dt.datetime.combine(day, dt.time(1, 30), zone)
    room.at(first).water("tub A")
    second = first.replace(fold=1, minute=45)
    assert second.astimezone(dt.UTC) - first.astimezone(dt.UTC) == dt.timedelta(hours=1, minutes=15)
    assert waters(room, second, zone) == []


def test_a_reminder_in_a_repeated_hour_comes_once() -> None:
    room = Room(dt.datetime(2026, 10, 28, 7, tzinfo=CHICAGO))
    room.remind("turn the lights", every_days=1, time="01:50")
    second = dt.datetime(2026, 11, 1, 1, 45, fold=1, tzinfo=CHICAGO)
    tasks = due(room.standing, second, CHICAGO)
    assert [(f"{t.due:%d %H:%M}", t.due.fold) for t in tasks] == [("01 01:50", 0)]
    assert tasks[0].late_by_hours(second) == pytest.approx(55 / 60)


def test_three_days_are_three_days_of_the_calendar() -> None:
    room = Room(dt.datetime(2026, 3, 6, 7, tzinfo=CHICAGO))
    room.line("gardneri")
    room.tank("tank 3", line="gardneri", male=1, female=1)
    room.at(dt.datetime(2026, 3, 6, 23, 30, tzinfo=CHICAGO)).pulled("tank 3")
    (task,) = [t for t in due(room.standing, dt.datetime(2026, 3, 9, 0, 30, tzinfo=CHICAGO), CHICAGO)
               if t.task == "pull_mop"]  # fmt: skip
    assert task.due == dt.datetime(2026, 3, 9, 6, 30, tzinfo=CHICAGO)


def test_what_has_only_a_day_is_late_when_the_day_is_over() -> None:
    due_at = dt.datetime(2026, 11, 1, 6, 30, tzinfo=CHICAGO)  # a day of 25 hours
    clock = Clock(due_at.astimezone(dt.UTC), CHICAGO, 1)
    task = DueTask("pull_mop", "tank 3", None, None, due_at, "", grace=clock.end_of(due_at) - due_at.astimezone(dt.UTC))
    assert not task.overdue(dt.datetime(2026, 11, 2, 0, 0, tzinfo=CHICAGO))
    assert task.overdue(dt.datetime(2026, 11, 2, 0, 1, tzinfo=CHICAGO))
    assert task.overdue(due_at + dt.timedelta(hours=3), after=dt.timedelta(hours=2))


def test_a_suggestion_is_never_late() -> None:
    task = DueTask("move_up", "tub E", "B1", None, dt.datetime(2026, 3, 1, tzinfo=CHICAGO), "", grace=NEVER)
    assert not task.overdue(dt.datetime(2036, 3, 1, tzinfo=CHICAGO))


_times = st.lists(st.times().map(lambda t: t.replace(second=0, microsecond=0)), min_size=1, max_size=6, unique=True)
_moments = st.datetimes(dt.datetime(2024, 1, 1), dt.datetime(2030, 1, 1))  # noqa: DTZ001


@settings(max_examples=80, deadline=None)
@given(_moments, _times, st.sampled_from([CHICAGO, LONDON]), st.integers(0, 6))
def test_what_is_done_at_a_slot_never_leaves_that_slot_due(
    moment: dt.datetime, times: list[dt.time], zone: ZoneInfo, index: int
) -> None:
    clock = Clock(moment.replace(tzinfo=dt.UTC), zone, 2)
    ordered = tuple(sorted(times))
    long_ago = clock.now - dt.timedelta(days=30)
    listed = clock.unmet(lambda d: clock.slots(d, ordered), long_ago, None)
    assert [s.at for s in listed] == sorted({s.at for s in listed})
    assert all(s.at < clock.horizon for s in listed)
    assert sum(s.at <= clock.now for s in listed) <= 1
    if listed:
        chosen = listed[index % len(listed)]
        left = clock.unmet(lambda d: clock.slots(d, ordered), long_ago, chosen.at)
        assert all(s.at > chosen.at for s in left)


@settings(max_examples=80, deadline=None)
@given(_moments, st.floats(1, 60), st.sampled_from([CHICAGO, LONDON]), st.sets(st.integers(0, 6)))
def test_an_interval_is_up_on_a_wanted_weekday_and_never_the_same_day(
    moment: dt.datetime, every: float, zone: ZoneInfo, weekdays: set[int]
) -> None:
    clock = Clock(moment.replace(tzinfo=dt.UTC), zone, 1)
    rhythm = Rhythm((dt.time(6, 30),), every, frozenset(weekdays or range(7)))
    day = clock.next_day(clock.now, rhythm)
    assert day > clock.today
    assert not weekdays or len(weekdays) == 7 or day.weekday() in weekdays
    assert (day - clock.today).days <= every + 7
