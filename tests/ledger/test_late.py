"""What is told late takes its place in time: sums stay, lay windows and first fry become what they would have been."""

from __future__ import annotations

import datetime as dt
import itertools
from typing import Any

import pytest

from shared.room import RoomCard
from tests.ledger.room import HOUR, NOON, Room


@pytest.fixture
def room(card: RoomCard) -> Room:
    return Room(card)


def test_a_late_pull_shortens_the_window_of_the_one_after(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10)
    room.say(kind="pull", place="tank 3", count=20, hours=96)
    assert room.standing.batches["B25"].laid_from == NOON
    room.say(kind="pull", place="tank 3", count=15, hours=48)
    batches = room.standing.batches
    assert (batches["B26"].laid_from, batches["B26"].laid_to) == (NOON, NOON + 48 * HOUR)
    assert (batches["B25"].laid_from, batches["B25"].laid_to) == (NOON + 48 * HOUR, NOON + 96 * HOUR)


@pytest.mark.parametrize("order", list(itertools.permutations([0, 48, 96])))
def test_lay_windows_do_not_depend_on_the_order_of_telling(room: Room, order: tuple[int, ...]) -> None:
    for hours in order:
        room.say(kind="pull", place="tank 3", count=hours + 1, hours=hours)
    windows = sorted((b.laid_from, b.laid_to) for b in room.standing.batches.values() if b.parents == ["tank 3"])
    assert windows[1:] == [(NOON, NOON + 48 * HOUR), (NOON + 48 * HOUR, NOON + 96 * HOUR)]


@pytest.mark.parametrize("raw", [{"kind": "mop", "place": "tank 3"}, {"kind": "pull", "place": "tank 3", "count": 0}])
def test_a_mop_seen_to_late_bounds_the_window_too(room: Room, raw: dict[str, Any]) -> None:
    room.say(kind="pull", place="tank 3", count=10)
    room.say(kind="pull", place="tank 3", count=20, hours=96)
    room.say(**raw, hours=70)
    assert room.standing.batches["B25"].laid_from == NOON + 70 * HOUR


def test_a_pull_of_another_tank_changes_nothing(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=20, hours=96)
    before = room.standing.batches["B24"].laid_from
    room.say(kind="pull", place="tank 2", count=20, hours=80)
    assert room.standing.batches["B24"].laid_from == before


def test_a_batch_of_two_pulls_keeps_the_earlier_window(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10, to="tub D")
    room.say(kind="pull", place="tank 3", count=10, to="tub D", hours=60)
    room.say(kind="mop", place="tank 3", hours=30)
    batch = room.standing.batches["B24"]
    assert batch.laid_from == NOON - dt.timedelta(days=3)
    assert [laying.begin for laying in batch.layings] == [NOON - dt.timedelta(days=3), NOON + 30 * HOUR]


SAID: list[tuple[float, dict[str, Any]]] = [
    (0, {"kind": "pull", "place": "tank 3", "count": 40, "to": "tub D"}),
    (30, {"kind": "bad_eggs", "place": "tub D", "count": 4}),
    (50, {"kind": "bad_eggs", "place": "tub D", "count": 2}),
    (300, {"kind": "hatch", "place": "tub D", "count": 12}),
    (310, {"kind": "death", "place": "tub D", "count": 1}),
]


@pytest.mark.parametrize("order", [(0, 1, 2, 3, 4), (0, 2, 1, 3, 4), (0, 3, 4, 2, 1), (0, 3, 1, 4, 2)])
def test_sums_do_not_depend_on_the_order_of_telling(room: Room, order: tuple[int, ...]) -> None:
    for n in order:
        hours, raw = SAID[n]
        room.say(hours=hours, **raw)
    batch = room.standing.batches["B24"]
    assert (batch.eggs.pulled, batch.eggs.bad, batch.eggs.hatched) == (40, 6, 12)
    assert (room.held("B24", "tub D", "eggs"), room.held("B24", "tub D", "fry")) == (22, 11)
    assert batch.fry_seen == NOON + 300 * HOUR
    assert batch.clear_until == NOON + 50 * HOUR


def test_bad_eggs_dated_before_the_eggs_were_set_are_still_taken_off(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=40, to="tub D")
    room.say(kind="bad_eggs", place="tub D", count=4, hours=-5)
    assert room.held("B24", "tub D", "eggs") == 36
    assert room.balances()


def test_of_two_batches_in_a_tub_a_late_note_means_the_one_that_was_there(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10, to="tub B", hours=240)
    told = room.say(kind="bad_eggs", place="tub B", count=2, hours=100)
    assert told.question is None
    assert room.held("B22", "tub B", "eggs") == 50


def test_eggs_bad_and_hatched_before_the_first_count_come_out_right(room: Room) -> None:
    room.say(kind="pull", place="tank 3", to="tub D")
    room.say(kind="bad_eggs", place="tub D", count=5, hours=20)
    room.say(kind="hatch", place="tub D", count=10, hours=300)
    assert room.held("B24", "tub D", "eggs") is None
    told = room.say(kind="headcount", place="tub D", stage="eggs", count=8, hours=301)
    assert told.question is None
    tally = room.standing.batches["B24"].eggs
    assert (room.held("B24", "tub D", "eggs"), tally.start, tally.bad, tally.hatched) == (8, 23, 5, 10)
    assert room.balances()


# ---- first fry, and the last look without


def test_a_look_told_late_narrows_when_fry_came(room: Room) -> None:
    room.say(kind="water_change", places=["tub B"], hours=10)
    room.say(kind="hatch", place="tub B", count=3, hours=100)
    batch = room.standing.batches["B22"]
    assert batch.clear_until == NOON + 10 * HOUR
    room.say(kind="water_change", places=["tub B"], hours=80)
    assert batch.clear_until == NOON + 80 * HOUR
    assert room.standing.past["gardneri"][0].clear_until == NOON + 80 * HOUR
    room.say(kind="water_change", places=["tub B"], hours=40)
    room.say(kind="water_change", places=["tub B"], hours=120)
    assert batch.clear_until == NOON + 80 * HOUR


def test_an_earlier_hatch_told_late_is_the_first(room: Room) -> None:
    room.say(kind="water_change", places=["tub B"], hours=10)
    room.say(kind="water_change", places=["tub B"], hours=60)
    room.say(kind="hatch", place="tub B", count=3, hours=100)
    room.say(kind="hatch", place="tub B", count=1, hours=40)
    batch = room.standing.batches["B22"]
    assert (batch.fry_seen, batch.clear_until) == (NOON + 40 * HOUR, NOON + 10 * HOUR)
    assert len(room.standing.past["gardneri"]) == 1


def test_looks_into_a_tub_before_the_eggs_were_laid_say_nothing(room: Room) -> None:
    room.say(kind="water_change", places=["tub D"], hours=-90)
    room.say(kind="pull", place="tank 3", count=5, to="tub D")
    room.say(kind="hatch", place="tub D", count=3, hours=300)
    assert room.standing.batches["B24"].clear_until is None


def test_fry_before_the_eggs_were_laid_are_asked_about(room: Room) -> None:
    room.say(kind="mop", place="tank 3", hours=-1)
    room.say(kind="pull", place="tank 3", count=10, to="tub D")
    told = room.say(kind="hatch", place="tub D", count=3, hours=-30)
    assert told.question and told.question.trouble == "before_laid"
    assert not told.drafts
    room.choose(told, "other eggs", hours=-30)
    assert room.held("B24", "tub D", "eggs") == 10
    assert room.held("B25", "tub D", "fry") == 3
    assert room.standing.batches["B24"].fry_seen is None
    assert room.balances()


def test_fry_before_bought_eggs_came_are_asked_about(room: Room) -> None:
    room.say(kind="stock_in", line="gardneri", place="tub D", stage="eggs", count=30)
    told = room.say(kind="hatch", place="tub D", count=3, hours=-1)
    assert told.question and told.question.trouble == "before_laid"
    assert room.say(kind="hatch", place="tub D", count=3, hours=1).question is None


def test_none_eyed_yet_is_not_eyed(room: Room) -> None:
    room.say(kind="eyed", place="tub B", count=0)
    assert room.standing.batches["B22"].eyed is None
    room.say(kind="eyed", place="tub B", count=20, hours=48)
    room.say(kind="eyed", place="tub B", hours=24)
    assert room.standing.batches["B22"].eyed == NOON + 24 * HOUR


def test_what_was_done_to_a_culture_last_is_not_undone_by_a_late_note(room: Room) -> None:
    room.say(kind="culture", culture="microworm 1", action="start", hours=10)
    room.say(kind="culture", culture="microworm 1", action="crash", hours=5)
    room.say(kind="culture", culture="microworm 1", action="feed", hours=30)
    room.say(kind="culture", culture="microworm 1", action="feed", hours=20)
    culture = room.standing.cultures["microworm 1"]
    assert (culture.crashed, culture.fed) == (None, NOON + 30 * HOUR)


def test_eggs_of_months_ago_do_not_join_those_of_today(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10, to="tub D")
    told = room.say(hours=-24 * 74, kind="pull", place="tank 3", count=6, to="tub D")
    assert told.drafts[0].batch == "B25"
