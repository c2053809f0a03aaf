"""Mixed groups: two hatches of a line in one place keep their numbers, and share what nobody can tell apart."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.ledger.sharing import shares
from shared.room import BatchCard, RoomCard
from tests.ledger.room import Room, remarks


@pytest.fixture
def room(card: RoomCard) -> Room:
    """84 of B14 and 28 of B15, six weeks younger, in tank 13."""
    younger = BatchCard.model_validate(
        {
            "name": "B15",
            "line": "gardneri",
            "stage": "juveniles",
            "place": "tank 13",
            "count": 28,
            "hatched": "2026-03-01",
        }
    )
    return Room(card.model_copy(update={"batches": (*card.batches, younger)}))


def both(room: Room, place: str = "tank 13", stage: str = "juveniles") -> tuple[int | None, int | None]:
    return room.held("B14", place, stage), room.held("B15", place, stage)


@pytest.mark.parametrize(
    ("raw", "left"),
    [
        ({"kind": "death", "count": 1}, (83, 28)),
        ({"kind": "death", "count": 4}, (81, 27)),
        ({"kind": "death", "count": 6}, (79, 27)),  # 4.5 and 1.5: alike, so the larger bears it
        ({"kind": "death", "count": 112}, (0, 0)),
        ({"kind": "death", "count": 3, "batch": "B15"}, (84, 25)),
        ({"kind": "death", "count": 2, "sex": "male"}, (82, 28)),
        ({"kind": "sale", "count": 8}, (78, 26)),
        ({"kind": "sale", "count": 3, "male": 1, "female": 2}, (81, 28)),
        ({"kind": "sale", "count": 6, "batch": "B14"}, (78, 28)),
        ({"kind": "headcount", "count": 112}, (84, 28)),
        ({"kind": "headcount", "count": 108, "difference": "unaccounted"}, (81, 27)),
        ({"kind": "headcount", "count": 116}, (87, 29)),
        ({"kind": "headcount", "count": 20, "batch": "B15", "difference": "unaccounted"}, (84, 20)),
    ],
)
def test_what_no_batch_is_named_for_is_booked_by_their_numbers(
    room: Room, raw: dict[str, Any], left: tuple[int, int]
) -> None:
    told = room.say(place="tank 13", **raw)
    assert told.question is None
    assert both(room) == left
    assert room.balances()


def test_shared_losses_are_one_entry_and_are_said(room: Room) -> None:
    told = room.say(kind="death", place="tank 13", count=4)
    assert len(told.drafts) == 1
    notice = next(n for n in told.notices if n.remark == "shared")
    assert notice.facts["booked"] == {"B14": 3, "B15": 1}
    assert "shared" not in remarks(room.say(kind="death", place="tank 13", count=1, batch="B15"))


def test_a_shared_loss_is_taken_back_whole(room: Room) -> None:
    before = room.standing.model_copy(deep=True)
    room.say(kind="death", place="tank 13", count=4)
    after = room.undo([len(room.entries)])
    assert after.model_dump(exclude={"seq"}) == before.model_dump(exclude={"seq"})


def test_more_than_both_have_is_asked_and_can_be_insisted_on(room: Room) -> None:
    told = room.say(kind="death", place="tank 13", count=116)
    assert told.question and told.question.trouble == "too_many"
    assert told.question.facts["held"] == 112
    room.choose(told, "yes, 116")
    assert both(room) == (0, 0)
    assert room.standing.batches["B14"].fish.unaccounted + room.standing.batches["B15"].fish.unaccounted == -4
    assert room.balances()


def test_a_count_of_both_that_is_short_is_shared_as_it_is_explained(room: Room) -> None:
    told = room.say(kind="headcount", place="tank 13", count=108)
    assert told.question and told.question.trouble == "difference"
    assert both(room) == (84, 28)
    room.choose(told, "4 died")
    assert both(room) == (81, 27)
    assert room.standing.batches["B15"].fish.died == 1


def test_the_sexes_of_both_counted_together_are_nobodys_in_particular(room: Room) -> None:
    room.say(kind="headcount", place="tank 13", count=116, male=50, female=66)
    assert both(room) == (87, 29)
    assert room.sexes("B14", "tank 13", "juveniles")[:2] == (0, 0)


def test_some_of_a_mixed_group_move_as_both(room: Room) -> None:
    told = room.say(kind="move", from_="tank 13", to="tank 16", count=40)
    assert both(room) == (54, 18)
    assert both(room, "tank 16") == (30, 10)
    assert remarks(told) == ["shared"]
    room.say(kind="move", from_="tank 16", to="tank 13")
    assert both(room) == (84, 28)
    assert room.balances()


def test_a_second_hatch_in_a_place_is_said_with_both_ages(room: Room) -> None:
    room.say(kind="move", batch="B19", to="tank 16")
    told = room.say(kind="move", from_="tank 13", to="tank 16", batch="B14", count=4)
    assert "mixed" not in remarks(told)  # fry and juveniles can be told apart
    room.say(kind="new_place", place="tank 12", role="grow-out")
    room.say(kind="move", batch="B15", to="tank 12")
    told = room.say(kind="move", from_="tank 16", batch="B19", to="tank 12")
    notice = next(n for n in told.notices if n.remark == "mixed")
    assert notice.facts["groups"] == ["B15", "B19"]
    assert [at.date().isoformat() for at in notice.facts["hatched"].values()] == ["2026-03-01", "2026-03-03"]
    told = room.say(kind="move", batch="B14", count=5, from_="tank 13", to="tank 12")
    told = room.say(kind="move", batch="B14", count=5, from_="tank 13", to="tank 12")
    assert "mixed" not in remarks(told)  # said once


def test_the_spread_of_ages_in_a_place_is_known(room: Room) -> None:
    spread = room.standing.hatched_between("tank 13")
    assert spread and [at.date().isoformat() for at in spread] == ["2026-01-18", "2026-03-01"]
    assert room.standing.hatched_between("tank 3") is None


@pytest.mark.parametrize(
    "raw",
    [
        {"kind": "death", "place": "tank 12", "count": 1},  # of two lines
        {"kind": "death", "place": "tank 3", "count": 1},  # breeders nobody counted, and young
        {"kind": "death", "line": "gardneri", "count": 1},  # in several places
        {"kind": "bad_eggs", "place": "tub B", "count": 1},  # eggs of two batches kept apart
    ],
)
def test_what_can_be_told_apart_is_asked(room: Room, raw: dict[str, Any]) -> None:
    room.say(kind="move", batch="B19", to="tank 12")
    room.say(kind="move", batch="B17", to="tank 12")
    room.say(kind="move", batch="B15", count=2, from_="tank 13", to="tank 3")
    room.say(kind="pull", place="tank 3", count=6, to="tub B")
    told = room.say(**raw)
    assert told.question and told.question.trouble == "which_group"
    assert not told.drafts


@given(weights=st.lists(st.integers(0, 200), min_size=1, max_size=6).filter(any), data=st.data())
def test_shares_add_up_and_never_exceed_what_is_there(weights: list[int], data: st.DataObject) -> None:
    count = data.draw(st.integers(0, sum(weights)))
    parts = shares(count, weights)
    assert sum(parts) == count
    for part, weight in zip(parts, weights, strict=True):
        assert 0 <= part <= weight
        assert abs(part - count * weight / sum(weights)) < 1


def test_nothing_cannot_be_shared_by() -> None:
    with pytest.raises(ValueError, match="nothing to share"):
        shares(1, [0, 0])
