"""Males, females and unsexed: only what is certain is kept, and never more of a sex than fish."""

from __future__ import annotations

from typing import Any

import pytest

from shared.room import RoomCard
from tests.ledger.room import Room, remarks


@pytest.fixture
def room(card: RoomCard) -> Room:
    """Three males, five females and two unsexed rainbowfish in tank 7; gardneri juveniles unsexed in tank 13."""
    room = Room(card)
    room.say(kind="headcount", place="tank 7", count=10, male=3, female=5)
    return room


@pytest.mark.parametrize(
    ("raw", "left"),
    [
        ({"kind": "sale", "count": 2, "male": 1, "female": 1}, (2, 4, 2)),  # a pair
        ({"kind": "sale", "count": 3, "male": 1, "female": 2}, (2, 3, 2)),  # a trio
        ({"kind": "sale", "male": 1, "female": 2}, (2, 3, 2)),
        ({"kind": "sale", "count": 4, "male": 1}, (1, 4, 1)),  # a male and three of whatever sex
        ({"kind": "death", "count": 1, "sex": "female"}, (3, 4, 2)),
        ({"kind": "death", "count": 4, "sex": "male"}, (0, 5, 1)),  # one of the unsexed was a male
        ({"kind": "death", "count": 2}, (3, 5, 0)),
        ({"kind": "death", "count": 3}, (2, 4, 1)),
        ({"kind": "death", "count": 7}, (0, 0, 3)),
        ({"kind": "headcount", "count": 10, "male": 4, "female": 6}, (4, 6, 0)),
        ({"kind": "headcount", "male": 4, "female": 6}, (4, 6, 0)),
        ({"kind": "headcount", "count": 10}, (3, 5, 2)),
        ({"kind": "headcount", "male": 4}, (4, 5, 1)),
        ({"kind": "headcount", "count": 12, "male": 4, "female": 5}, (4, 5, 3)),
        ({"kind": "headcount", "count": 6, "male": 2, "female": 4, "difference": "unaccounted"}, (2, 4, 0)),
        ({"kind": "stock_in", "line": "boesemani", "count": 4, "male": 2, "female": 2}, (5, 7, 2)),
        ({"kind": "stock_in", "line": "boesemani", "male": 1, "female": 1}, (4, 6, 2)),
    ],
)
def test_the_sexes_left_are_those_that_are_certain(room: Room, raw: dict[str, Any], left: tuple[int, ...]) -> None:
    told = room.say(place="tank 7", **raw)
    assert told.question is None
    assert room.sexes("boesemani", "tank 7") == left
    assert room.balances()


def test_fish_sold_without_a_word_of_their_sex_leave_the_least_that_is_certain(room: Room) -> None:
    told = room.say(kind="death", place="tank 7", count=3)
    notice = next(n for n in told.notices if n.remark == "sex_not_said")
    assert (notice.facts["male"], notice.facts["female"]) == room.sexes("boesemani", "tank 7")[:2] == (2, 4)


def test_moved_fish_take_their_sex_along(room: Room) -> None:
    room.say(kind="move", from_="tank 7", to="tank 15", male=1, female=2)
    assert room.sexes("boesemani", "tank 7") == (2, 3, 2)
    assert room.sexes("boesemani", "tank 15") == (1, 2, 0)
    room.say(kind="move", from_="tank 15", to="tank 7")
    assert room.sexes("boesemani", "tank 7") == (3, 5, 2)
    room.say(kind="move", from_="tank 7", to="tank 15")
    assert room.sexes("boesemani", "tank 15") == (3, 5, 2)


def test_a_pair_out_of_unsexed_juveniles_leaves_the_others_unsexed(room: Room) -> None:
    told = room.say(kind="sale", place="tank 13", count=2, male=1, female=1)
    assert told.question is None
    assert room.sexes("B14", "tank 13", "juveniles") == (0, 0, 82)


@pytest.mark.parametrize(
    "raw",
    [
        {"kind": "sale", "count": 2, "male": 2, "female": 1},
        {"kind": "headcount", "count": 7, "male": 3, "female": 5},
        {"kind": "stock_in", "line": "boesemani", "count": 1, "male": 1, "female": 1},
        {"kind": "move", "to": "tank 15", "count": 2, "male": 3},
    ],
)
def test_more_of_the_sexes_than_fish_is_asked(room: Room, raw: dict[str, Any]) -> None:
    told = room.say(**(raw | {"from_" if raw["kind"] == "move" else "place": "tank 7"}))
    assert told.question and told.question.trouble == "sexes"
    assert not told.drafts


def test_more_males_than_there_can_be_is_asked_and_can_be_insisted_on(room: Room) -> None:
    told = room.say(kind="death", place="tank 7", count=6, sex="male")
    assert told.question and told.question.trouble == "wrong_sex"
    assert room.sexes("boesemani", "tank 7") == (3, 5, 2)
    room.choose(told, "as said")
    assert room.sexes("boesemani", "tank 7") == (0, 4, 0)
    assert room.balances()


def test_males_counted_alone_do_not_make_an_estimate_a_count(room: Room) -> None:
    room.say(kind="move", from_="tank 7", to="tank 15", count=6, estimated=True)
    room.say(kind="headcount", place="tank 15", male=2)
    assert room.sexes("boesemani", "tank 15") == (2, 0, 4)
    assert room.standing.holdings["boesemani|tank 15|adults"].estimated


def test_a_count_short_of_one_sex_says_which_died(room: Room) -> None:
    room.say(kind="headcount", place="tank 7", male=4, female=6)
    told = room.say(kind="headcount", place="tank 7", male=3, female=6)
    assert told.question and told.question.trouble == "difference"
    room.choose(told, "1 died")
    assert room.sexes("boesemani", "tank 7") == (3, 6, 0)


def test_a_count_that_shifts_the_sexes_keeps_them_as_counted_once_explained(room: Room) -> None:
    told = room.say(kind="headcount", place="tank 7", male=4, female=4)
    room.choose(told, "2 died")
    assert room.sexes("boesemani", "tank 7") == (4, 4, 0)
    assert room.balances()


def test_breeders_nobody_counted_keep_the_sexes_that_came(room: Room) -> None:
    room.say(kind="stock_in", place="tank 3", line="gardneri", male=1, female=2)
    holding = room.standing.holdings["gardneri|tank 3|adults"]
    assert (holding.number, holding.male, holding.female) == (None, 1, 2)
    room.say(kind="death", place="tank 3", count=1)  # it may have been any of them
    assert (holding.male, holding.female) == (0, 1)
    assert "sex_not_said" not in remarks(room.say(kind="death", place="tank 3", count=1))
    room.say(kind="headcount", place="tank 3", male=2, female=4)
    assert room.sexes("gardneri", "tank 3") == (2, 4, 0)
    assert room.balances()
