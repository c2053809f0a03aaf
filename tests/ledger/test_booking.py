"""Booking: which accounts an event moves, and what is asked first."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from shared.ledger.standing import out_of_balance
from shared.room import RoomCard
from tests.ledger.room import NOON, Room


@pytest.fixture
def room(card: RoomCard) -> Room:
    return Room(card)


def test_a_card_adds_up(room: Room) -> None:
    assert room.held("B22", "tub B", "eggs") == 52
    assert room.held("B14", "tank 13", "juveniles") == 84
    assert room.held("gardneri", "tank 3", "adults") is None
    assert list(out_of_balance(room.standing)) == []


def test_a_pull_opens_a_batch_laid_since_the_last_pull(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10, to="tub D")
    room.say(kind="pull", place="tank 3", count=40, hours=48)
    batch = room.standing.batches["B25"]
    assert (batch.laid_from, batch.laid_to) == (NOON, NOON + dt.timedelta(hours=48))
    assert batch.parents == ["tank 3"]
    assert room.held("B25", "", "eggs") == 40


def test_eggs_of_the_line_laid_within_three_days_join_the_tubs_batch(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10, to="tub D")
    room.say(kind="pull", place="tank 2", count=7, to="tub D", hours=40)
    assert room.held("B24", "tub D", "eggs") == 17
    assert room.standing.batches["B24"].laid_to == NOON + dt.timedelta(hours=40)


def test_older_eggs_of_the_line_are_asked_about(room: Room) -> None:
    told = room.say(kind="pull", place="tank 3", count=10, to="tub B")
    assert told.question and told.question.trouble == "join_or_apart"
    assert room.held("B24", "tub B", "eggs") == 10  # safe until answered
    room.choose(told, "with B22")
    assert room.held("B22", "tub B", "eggs") == 62
    assert room.standing.batches["B22"].laid_to == NOON
    assert list(out_of_balance(room.standing)) == []


def test_another_line_in_the_tub_is_warned_of(room: Room) -> None:
    told = room.say(kind="pull", place="tank 5", count=10, to="tub A")
    assert [n.remark for n in told.notices] == ["other_line"]
    assert room.held("B24", "tub A", "eggs") == 10


def test_fresh_eggs_set_into_a_tub_with_fresh_eggs_join_them(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10, to="tub D")
    room.say(kind="pull", place="tank 2", count=6, hours=1)
    room.say(kind="move", batch="B25", to="tub D", stage="eggs", hours=1)
    assert room.held("B24", "tub D", "eggs") == 16
    assert list(out_of_balance(room.standing)) == []


@pytest.mark.parametrize(
    ("raw", "trouble"),
    [
        ({"kind": "bad_eggs", "place": "tub B", "count": 60}, "too_many"),
        ({"kind": "death", "place": "tub E", "count": 45}, "too_many"),
        ({"kind": "move", "from": "tub E", "to": "tank 12", "count": 50}, "too_many"),
        ({"kind": "sale", "place": "tank 13", "count": 100}, "too_many"),
        ({"kind": "bad_eggs", "count": 2}, "where"),
        ({"kind": "hatch", "count": 2}, "where"),
        ({"kind": "move", "from": "tub E"}, "where"),
        ({"kind": "death", "line": "gardneri", "count": 1}, "which_group"),
        ({"kind": "headcount", "place": "tub E", "count": 26}, "difference"),
        ({"kind": "stock_in", "place": "tank 15", "count": 6}, "which_line"),
    ],
)
def test_what_cannot_be_placed_is_asked(room: Room, raw: dict[str, Any], trouble: str) -> None:
    before = room.standing.model_dump_json(include={"holdings"})
    told = room.say(**raw)
    assert told.question and told.question.trouble == trouble
    assert room.standing.model_dump_json(include={"holdings"}) == before


def test_more_than_stand_there_can_be_insisted_on(room: Room) -> None:
    told = room.say(kind="death", place="tub E", count=45)
    room.choose(told, "yes, 45")
    assert room.held("B19", "tub E", "fry") == 0
    tally = room.standing.batches["B19"].fish
    assert (tally.start, tally.died, tally.unaccounted) == (31, 45, -14)


def test_a_head_count_is_booked_as_it_is_explained(room: Room) -> None:
    told = room.say(kind="headcount", place="tub E", count=26)
    assert room.held("B19", "tub E", "fry") == 31
    room.choose(told, "5 unaccounted for")
    assert room.held("B19", "tub E", "fry") == 26
    assert room.standing.batches["B19"].fish.unaccounted == 5


def test_more_hatched_than_eggs_logged_is_found_without_a_question(room: Room) -> None:
    told = room.say(kind="hatch", place="tub C", count=30)
    assert told.question is None
    assert room.held("B23", "tub C", "fry") == 30
    assert room.standing.batches["B23"].eggs.unaccounted == -6


def test_fry_in_a_breeding_tank_start_a_batch_with_no_egg_count(room: Room) -> None:
    room.say(kind="hatch", place="tank 4", count=5)
    batch = room.standing.batches["B24"]
    assert (batch.line, batch.eggs.pulled, batch.laid_from) == ("clown killi", 0, None)
    assert room.held("B24", "tank 4", "fry") == 5


def test_moving_up_changes_the_stage_and_leaves_the_rest(room: Room) -> None:
    room.say(kind="move", from_="tub E", to="tank 12", count=28)
    assert (room.held("B19", "tank 12", "fry"), room.held("B19", "tub E", "fry")) == (28, 3)
    room.say(kind="move", batch="B17", to="tank 16")
    assert (room.held("B17", "tank 16", "fry"), room.held("B17", "tank 11", "fry")) == (60, 0)
    room.say(kind="move", from_="tank 16", to="tank 13", count=10)
    assert room.held("B17", "tank 13", "juveniles") == 10


def test_uncounted_breeders_keep_their_changes_until_the_first_count(room: Room) -> None:
    room.say(kind="death", place="tank 7", count=1, sex="female")
    assert room.held("boesemani", "tank 7", "adults") is None
    room.say(kind="headcount", place="tank 7", male=3, female=5)
    assert room.held("boesemani", "tank 7", "adults") == 8
    assert list(out_of_balance(room.standing)) == []


def test_the_sale_of_a_line_comes_from_its_young(room: Room) -> None:
    told = room.say(kind="sale", line="gardneri", count=6, price=30.0)
    assert told.question is None
    assert room.held("B14", "tank 13", "juveniles") == 78


def test_groups_mean_what_stands_there(room: Room) -> None:
    told = room.say(kind="water_change", places=["all egg tubs"], except_=["tub C"])
    assert [d.place for d in told.drafts] == ["tub A", "tub B"]
    told = room.say(kind="feed", places=["all fry"], food="microworms")
    assert [d.place for d in told.drafts] == ["tank 11", "tub E"]
