"""Each chore: when it is due, what ticks it off, late, put off, changed and switched off."""

from __future__ import annotations

import datetime as dt

import pytest

from shared.due.due_list import due
from shared.due.tasks import TASKS, HatchWindow
from tests.routine.chore_table import CASES
from tests.routine.told import BREEDERS, EGGS, FRY, PAIR, ZONE, Told, new_room, of, tell, when


@pytest.mark.parametrize(
    ("task", "story", "ask", "want"),
    [(task, story, ask, want) for task, _, story, ask, want in CASES],
    ids=[f"{task}: {name}" for task, name, *_ in CASES],
)
def test_a_chore_is_due_when_it_should_be(task: str, story: tuple[Told, ...], ask: str, want: list[str]) -> None:
    assert of(task, tell(new_room(), story), ask) == want


@pytest.mark.parametrize(
    ("word", "spared"),
    [
        ("late", {"keep_apart", "thin_out", "few_left"}),  # a look at the numbers has no hour to be late against
        ("put off", set()),
        ("off", {"promised", "wet_peat"}),  # what has a date is switched off by taking it back
    ],
)
def test_the_table_leaves_no_task_out(word: str, spared: set[str]) -> None:
    for task in TASKS:
        names = " / ".join(name for told, name, *_ in CASES if told == task)
        assert word in names or task in spared, task
        assert any(want for told, _, _, _, want in CASES if told == task), task
        assert any(not want for told, _, _, _, want in CASES if told == task), task


WINDOW = {"B1": HatchWindow(when("10 05:00"), when("12 20:00"))}


@pytest.mark.parametrize(
    ("ask", "want"),
    [
        ("09 12:00", []),
        ("10 07:00", ["!tub A 10 06:30", "!tub A 10 18:30"]),
        ("11 17:00", ["!tub A 11 06:30 late"]),
        ("12 19:00", ["!tub A 12 18:30"]),
        ("13 07:00", ["tub A 13 06:30"]),
    ],
)
def test_while_fry_are_expected_eggs_are_looked_at_twice_and_first(ask: str, want: list[str]) -> None:
    assert of("check_hatch", tell(new_room(), EGGS), ask, windows=WINDOW) == want


def test_a_look_in_the_hatch_window_comes_before_all_else() -> None:
    room = tell(new_room(), (*EGGS, *FRY, *BREEDERS))
    tasks = due(room.standing, when("10 07:00"), ZONE, windows=WINDOW)
    assert [t.task for t in tasks][:3] == ["check_hatch", "check_hatch", "egg_water"]
    assert [t.first for t in tasks][:3] == [True, True, False]


def test_brine_shrimp_is_started_the_evening_before_fry_are_expected() -> None:
    room = tell(new_room(), (*EGGS, ("09 06:00", "culture", "brine shrimp")))
    window = {"B1": HatchWindow(when("12 05:00"), when("14 20:00"))}
    assert of("start_brine_shrimp", room, "10 12:00", windows=window) == []
    assert of("start_brine_shrimp", room, "11 12:00", windows=window) == ["brine shrimp 11 18:00"]


def test_the_walk_goes_chore_by_chore_place_by_place_and_quarantine_last() -> None:
    story = (
        *[("09 06:00", "tank", f"tank {n}", PAIR) for n in (10, 2, 1)],
        ("09 06:00", "tank", "tank 0", {"role": "quarantine"}),
        ("09 06:00", "arrived", "tank 0", "lampeye", 4),
        *EGGS,
    )
    tasks = due(tell(new_room(), story).standing, when("16 06:00"), ZONE)
    walked = list(dict.fromkeys((t.task, t.place) for t in tasks))
    tanks = ["tank 1", "tank 2", "tank 10"]
    assert walked == [
        *((t, "tub A") for t in ("egg_water", "check_hatch", "pick_eggs")),
        *(("pull_mop", p) for p in tanks),
        *(("feed", p) for p in tanks),
        *(("water_change", p) for p in tanks),
        ("draw_water", None),
        ("feed", "tank 0"),
        ("water_change", "tank 0"),
    ]


def test_a_week_ahead_lists_every_slot_once() -> None:
    room = tell(new_room(), (*EGGS, ("09 19:00", "water", "tub A")))
    found = of("egg_water", room, "09 20:00", days=7)
    assert found == [f"tub A {day:02} {hour}" for day in range(10, 16) for hour in ("06:30", "18:30")]


def test_each_task_says_why_and_how() -> None:
    story = (*BREEDERS, *EGGS, ("09 20:00", "pulled", "tank 3"), ("11 18:20", "water", "tub A"))
    tasks = due(tell(new_room(), story).standing, when("12 07:00"), ZONE)
    why = {t.task: t.why for t in tasks}
    how = {t.task: t.how or "" for t in tasks}
    assert why["pull_mop"] == "last pulled Mon, every 3 days"
    assert why["egg_water"] == "last changed yesterday 18:20, twice a day"
    assert why["feed"] == "not fed since Mon, twice a day"
    assert "3–5 drops of 3 % peroxide" in how["egg_water"]
    assert all(t.why for t in tasks)


def test_two_batches_a_fortnight_apart_are_kept_apart() -> None:
    story = (
        ("09 06:00", "tub", "tub E", {"role": "fry"}),
        ("09 06:00", "batch", "gardneri", "tub E", "fry", 9, {"hatched": dt.date(2026, 2, 20)}),
        ("10 06:00", "batch", "gardneri", "tub E", "fry", 9, {"hatched": dt.date(2026, 3, 8)}),
    )
    tasks = [t for t in due(tell(new_room(), story).standing, when("10 12:00"), ZONE) if t.task == "keep_apart"]
    assert [(t.batch, t.why) for t in tasks] == [("B2", "with B1: 16 days apart in age")]


def test_now_needs_a_zone_and_days_a_number() -> None:
    standing = new_room().standing
    with pytest.raises(ValueError, match="time zone"):
        due(standing, dt.datetime(2026, 3, 9, 12), ZONE)  # noqa: DTZ001
    with pytest.raises(ValueError, match="1 or more, not 0"):
        due(standing, when("09 12:00"), ZONE, days=0)


def test_nothing_is_due_in_a_room_without_fish() -> None:
    assert due(new_room().standing, when("24 12:00"), ZONE) == []


def test_asking_changes_nothing_and_more_days_take_nothing_away() -> None:
    assert len(CASES) > 150
    for _, name, story, ask, _ in CASES:
        now = when(ask)
        standing = tell(new_room(), story).standing_at(now)
        before = standing.model_dump_json()
        today = due(standing, now, ZONE)
        assert today == due(standing, now, ZONE), name
        assert all(task in due(standing, now, ZONE, days=4) for task in today), name
        assert standing.model_dump_json() == before, name
