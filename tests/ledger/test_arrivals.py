"""What comes in: fish, eggs and peat with their own dates; strays; estimates; batches split and merged; the medium."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from shared.hatching.forecast import forecast
from shared.room import RoomCard
from tests.ledger.room import DAY, NOON, Room, remarks


@pytest.fixture
def room(card: RoomCard) -> Room:
    return Room(card)


# ---- eggs and peat


def test_bought_eggs_are_a_batch_laid_nobody_knows_when(room: Room) -> None:
    told = room.say(kind="stock_in", line="gardneri", place="tub D", stage="eggs", count=30, source="a club")
    assert "no_lay_date" in remarks(told)
    batch = room.standing.batches["B24"]
    assert (batch.laid_from, batch.laid_to, batch.medium) == (None, NOON, "water")
    assert forecast(room.standing, "B24", NOON + 5 * DAY) is None
    assert batch.eggs.moved_in == 30


def test_their_laying_date_can_be_said_and_said_again(room: Room) -> None:
    room.say(kind="stock_in", line="gardneri", place="tub D", stage="eggs", count=30)
    room.say(kind="setting", batch="B24", what="laid", value="2026-03-01/2026-03-03")
    batch = room.standing.batches["B24"]
    assert batch.laid_from and batch.laid_to
    assert (batch.laid_from.date(), batch.laid_to.date()) == (dt.date(2026, 3, 1), dt.date(2026, 3, 3))
    assert forecast(room.standing, "B24", NOON) is not None
    room.say(kind="setting", batch="B24", what="laid", value="2026-02-27")
    assert batch.laid_from.date() == batch.laid_to.date() == dt.date(2026, 2, 27)


def test_eggs_nobody_measured_take_the_warmth_of_the_other_tanks(room: Room) -> None:
    def at(place: str, value: float, days: float) -> None:
        room.say(hours=24 * days, kind="measure", place=place, quantity="temperature", value=value)

    room.say(kind="pull", place="tank 2", count=20, to="tub D")
    for place, value in (("tank 9", 24.0), ("tank 10", 24.5)):
        at(place, value, 0.1)
    before = forecast(room.standing, "B24", NOON + DAY)
    assert before and "temperature not known" in before.basis  # two places are too few
    at("tank 11", 25.0, 0.2)
    after = forecast(room.standing, "B24", NOON + DAY)
    assert after and after.basis.endswith("24.5 °C as in the other tanks")
    later = forecast(room.standing, "B24", NOON + 20 * DAY)
    assert later and "temperature not known" in later.basis  # what was measured weeks ago says little of today
    at("tub D", 22.0, 20.1)
    own = forecast(room.standing, "B24", NOON + 21 * DAY)
    assert own and own.basis.endswith("22.0 °C") and own.temp_c == 22.0


@pytest.mark.parametrize("said", ["soon", "2026-13-01", "2026-04-01", "2026-03-05/2026-03-01", ""])
def test_a_day_it_cannot_have_been_laid_is_asked(room: Room, said: str) -> None:
    told = room.say(kind="setting", batch="B22", what="laid", value=said)
    assert told.question and told.question.trouble == "when_laid"


def test_pulled_eggs_do_not_join_bought_ones_of_no_known_date(room: Room) -> None:
    room.say(kind="stock_in", line="gardneri", place="tub D", stage="eggs", count=30)
    told = room.say(kind="pull", place="tank 3", count=5, to="tub D", hours=1)
    assert told.question and told.question.trouble == "join_or_apart"
    assert (room.held("B24", "tub D", "eggs"), room.held("B25", "tub D", "eggs")) == (30, 5)


def test_bought_peat_lies_in_its_bag(room: Room) -> None:
    room.say(kind="stock_in", line="furzeri", stage="eggs", source="a swap")
    batch = room.standing.batches["B24"]
    assert batch.medium == "peat"
    assert room.held("B24", "peat bag", "eggs") is None
    room.say(kind="peat", batch="B24", action="wet", place="tub D", hours=500)
    assert batch.wetted == NOON + dt.timedelta(hours=500)


@pytest.mark.parametrize(
    ("words", "medium"),
    [("damp peat", "peat"), ("Damp moss", "moss"), ("a damp mop", "mop"), ("water", "water"), ("gel", "gel")],
)
def test_the_medium_belongs_to_the_batch_and_can_change(room: Room, words: str, medium: str) -> None:
    room.say(kind="setting", batch="B22", what="medium", value=words)
    assert room.standing.batches["B22"].medium == medium
    assert room.standing.batches["B21"].medium == "water"
    room.say(kind="pull", place="tank 3", count=3, hours=200)
    assert room.standing.batches["B24"].medium == "water"  # the line's default


# ---- fish


def test_bought_fish_join_the_fish_of_their_line(room: Room) -> None:
    room.say(kind="stock_in", place="tank 15", line="medaka", count=6, source="a shop", price=12.0)
    assert room.held("medaka", "tank 15", "adults") == 6
    assert room.standing.tally("medaka", "fish").moved_in == 6
    assert room.balances()


def test_a_stray_is_unknown_until_it_is_identified(room: Room) -> None:
    told = room.say(kind="stock_in", place="tank 15", count=2, stage="juveniles")
    assert told.question and told.question.trouble == "which_line"
    room.say(kind="stock_in", place="tank 15", count=2, stage="juveniles", line="unknown")
    told = room.say(kind="move", from_="tank 15", to="tank 3")
    assert "not_identified" in remarks(told)
    assert room.held("unknown", "tank 3", "juveniles") == 2  # not adults: no breeders
    told = room.say(kind="setting", place="tank 3", what="line", value="gardneri", hours=1)
    assert told.question is None
    assert room.held("gardneri", "tank 3", "juveniles") == 2
    assert room.held("unknown", "tank 3", "juveniles") == 0
    assert room.balances()


def test_fish_counted_where_nothing_is_on_record_are_asked_what_they_are(room: Room) -> None:
    told = room.say(kind="headcount", place="tank 16", count=3)
    assert told.question and told.question.trouble == "which_line"
    room.say(kind="headcount", place="tank 16", count=3, line="unknown")
    assert room.held("unknown", "tank 16", "juveniles") == 3


def test_a_line_the_room_does_not_keep_identifies_nothing(room: Room) -> None:
    room.say(kind="stock_in", place="tank 15", count=2, line="unknown")
    told = room.say(kind="setting", place="tank 15", what="line", value="guppy")
    assert told.question and told.question.trouble == "no_such_line"
    assert room.held("unknown", "tank 15", "adults") == 2


def test_a_batch_gets_another_line_with_all_its_fish(room: Room) -> None:
    room.say(kind="setting", batch="B14", what="line", value="forktail")
    assert room.standing.batches["B14"].line == "forktail"
    assert room.standing.holdings["B14|tank 13|juveniles"].line == "forktail"
    assert room.balances()


# ---- estimates


def estimated(room: Room, key: str) -> bool:
    return room.standing.holdings[key].estimated


def test_an_estimate_stays_one_through_moves(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=40, estimated=True, to="tub D")
    assert estimated(room, "B24|tub D|eggs")
    room.say(kind="bad_eggs", place="tub D", count=3, hours=24)
    room.say(kind="move", batch="B24", to="tub A", stage="eggs", hours=25)
    assert estimated(room, "B24|tub A|eggs")
    room.say(kind="hatch", batch="B24", count=20, hours=300)
    assert not estimated(room, "B24|tub A|fry")  # those were counted
    assert estimated(room, "B24|tub A|eggs")


def test_a_head_count_ends_an_estimate_without_a_question(room: Room) -> None:
    room.say(kind="stock_in", place="tank 15", line="medaka", count=6)
    room.say(kind="move", from_="tank 13", to="tank 16", count=30, estimated=True)
    told = room.say(kind="headcount", place="tank 16", count=27)
    assert told.question is None
    assert remarks(told) == ["estimated_now"]
    assert (room.held("B14", "tank 16", "juveniles"), estimated(room, "B14|tank 16|juveniles")) == (27, False)
    told = room.say(kind="headcount", place="tank 16", count=25)
    assert told.question and told.question.trouble == "difference"


@pytest.mark.parametrize(("said", "asked"), [(80, False), (90, False), (60, True)])
def test_an_estimated_count_near_the_record_says_nothing_against_it(room: Room, said: int, asked: bool) -> None:
    told = room.say(kind="headcount", place="tank 13", count=said, estimated=True)
    assert (told.question is not None) == asked
    assert room.held("B14", "tank 13", "juveniles") == 84


# ---- splitting and merging


def test_a_merged_batch_brings_its_laying_its_places_and_its_eggs(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=10, to="tub D")
    room.say(kind="pull", place="tank 2", count=6, hours=200)
    room.say(kind="move", batch="B25", joins="B24", to="tub D", hours=201)
    batch, gone = room.standing.batches["B24"], room.standing.batches["B25"]
    assert room.held("B24", "tub D", "eggs") == 16
    assert batch.parents == ["tank 3", "tank 2"]
    assert (batch.laid_from, batch.laid_to) == (NOON - 3 * DAY, NOON + dt.timedelta(hours=200))
    assert gone.joined == "B24"
    assert (gone.eggs.pulled, gone.eggs.moved_out, batch.eggs.moved_in) == (6, 6, 6)
    assert room.balances()


def test_part_of_a_batch_can_join_another(room: Room) -> None:
    room.say(kind="move", batch="B14", from_="tank 13", joins="B19", count=10)
    assert room.held("B14", "tank 13", "juveniles") == 74
    assert room.held("B19", "tank 13", "juveniles") == 10
    assert room.standing.batches["B14"].joined is None
    assert room.balances()


def test_a_split_off_batch_is_as_old_and_of_the_same_parents(room: Room) -> None:
    room.say(kind="pull", place="tank 3", count=40, to="tub D")
    told = room.say(kind="move", batch="B24", to="tub A", joins="new", count=15, hours=5)
    assert told.question is None
    first, second = room.standing.batches["B24"], room.standing.batches["B25"]
    assert (room.held("B24", "tub D", "eggs"), room.held("B25", "tub A", "eggs")) == (25, 15)
    assert (second.laid_from, second.laid_to, second.parents) == (first.laid_from, first.laid_to, first.parents)
    assert second.line == "gardneri"
    assert room.balances()


@pytest.mark.parametrize(
    ("raw", "trouble"),
    [
        ({"batch": "B14", "joins": "B14"}, "no_such_batch"),
        ({"batch": "B14", "joins": "B99"}, "no_such_batch"),
        ({"batch": "B99", "joins": "B14"}, "no_such_batch"),
        ({"batch": "B14", "joins": "B19", "count": 100}, "too_many"),
    ],
)
def test_what_cannot_be_merged_is_asked(room: Room, raw: dict[str, Any], trouble: str) -> None:
    told = room.say(kind="move", **raw)
    assert told.question and told.question.trouble == trouble
    assert not told.drafts


# ---- fish of a known age, and fry at a time that cannot be


def test_fish_that_come_with_their_age_are_a_batch(room: Room) -> None:
    born: dict[str, Any] = {"stage": "juveniles", "hatched": "2026-02-01"}
    room.say(kind="stock_in", line="gardneri", place="tank 12", count=10, **born)
    batch = room.standing.batches["B24"]
    assert batch.fry_seen and batch.fry_seen.date() == dt.date(2026, 2, 1)
    assert batch.fish.moved_in == 10 and room.standing.of_group("B24")[0].place == "tank 12"


def test_eggs_moved_as_fry_before_they_were_laid_are_asked_about(room: Room) -> None:
    told = room.say(hours=-24 * 36, kind="move", batch="B22", to="tank 12", stage="fry")
    assert told.question and told.question.trouble == "before_laid" and not told.drafts
    assert [o.label for o in told.question.options] == ["leave it"]


def test_strays_that_are_not_there_take_no_others_along(room: Room) -> None:
    before = {h.account.key: h.count for h in room.standing.at_place("tank 13")}
    told = room.say(kind="move", source="tank 13", to="tank 16", line="unknown", count=1)
    assert "nothing_on_record" in remarks(told)
    assert {h.account.key: h.count for h in room.standing.at_place("tank 13")} == before


@pytest.mark.parametrize(
    ("raw", "there", "left"),
    [
        ({"kind": "move", "from": "tank 13", "to": "tank 16", "count": 20}, ("tank 16", "juveniles"), "tank 13"),
        ({"kind": "hatch", "place": "tub B", "count": 40}, ("tub B", "fry"), "tub B"),
        ({"kind": "death", "place": "tank 13", "count": 5}, None, "tank 13"),
        ({"kind": "bad_eggs", "place": "tub B", "count": 5}, None, "tub B"),
    ],
)
def test_what_is_left_of_an_estimate_is_one(room: Room, raw: dict[str, Any], there: Any, left: str) -> None:
    room.say(**raw, estimated=True)
    held = [h for h in room.standing.at_place(left) if h.stage in ("juveniles", "eggs")]
    assert [h.estimated for h in held] == [True]
    if there:
        assert [h.estimated for h in room.standing.at_place(there[0]) if h.stage == there[1]] == [True]
