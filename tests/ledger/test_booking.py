"""Booking: which accounts an event moves, what is asked first, and that the books balance whatever happens."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from bot.setup import events_of
from shared.booking import Booking, book
from shared.events import Undone, event_from
from shared.ledger import Entry, Standing, fold, out_of_balance
from shared.room import RoomCard

CARD = RoomCard.model_validate_json((Path(__file__).parents[1] / "room.json").read_text(encoding="utf-8"))
NOON = dt.datetime(2026, 3, 9, 12, tzinfo=dt.UTC)


class Room:
    """A room without a database: entries in a list, folded as they come."""

    def __init__(self, card: RoomCard) -> None:
        self.entries: list[Entry] = []
        self.standing = Standing()
        for event in events_of(card, self.standing):
            self.take(book(event, NOON - dt.timedelta(days=4), self.standing))

    def take(self, booking: Booking) -> None:
        for draft in booking.drafts:
            entry = Entry(
                seq=len(self.entries) + 1,
                event=draft.event,
                at=draft.at,
                said=draft.at,
                person="p1",
                message=len(self.entries),
                postings=draft.postings,
                batch=draft.batch,
                place=draft.place,
                line=draft.line,
                laid_from=draft.laid_from,
                laid_to=draft.laid_to,
                joins=draft.joins,
            )
            self.entries.append(entry)
            self.standing.apply(entry)

    def say(self, *, hours: float = 0, **raw: Any) -> Booking:
        booking = book(event_from(raw), NOON + dt.timedelta(hours=hours), self.standing)
        self.take(booking)
        return booking

    def choose(self, booking: Booking, label: str) -> None:
        assert booking.question
        option = next(o for o in booking.question.options if o.label == label)
        for raw in option.events:
            self.take(book(event_from(raw), NOON, self.standing))

    def held(self, group: str, place: str, stage: str) -> int | None:
        holding = self.standing.holdings.get(f"{group}|{place}|{stage}")
        return holding.number if holding else 0


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
    room.say(kind="move", **{"from": "tub E"}, to="tank 12", count=28)
    assert (room.held("B19", "tank 12", "fry"), room.held("B19", "tub E", "fry")) == (28, 3)
    room.say(kind="move", batch="B17", to="tank 16")
    assert (room.held("B17", "tank 16", "fry"), room.held("B17", "tank 11", "fry")) == (60, 0)
    room.say(kind="move", **{"from": "tank 16"}, to="tank 13", count=10)
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
    told = room.say(kind="water_change", places=["all egg tubs"], **{"except": ["tub C"]})
    assert [d.place for d in told.drafts] == ["tub A", "tub B"]
    told = room.say(kind="feed", places=["all fry"], food="microworms")
    assert [d.place for d in told.drafts] == ["tank 11", "tub E"]


# ---- whatever happens

PLACES = ["tank 1", "tank 3", "tank 7", "tank 11", "tank 12", "tank 13", "tank 16", "tub A", "tub B", "tub C", "tub E"]
places = st.sampled_from(PLACES)
counts = st.none() | st.integers(0, 60)
raws = st.one_of(
    st.fixed_dictionaries({"kind": st.just("pull"), "place": places, "count": counts, "to": st.none() | places}),
    st.fixed_dictionaries({"kind": st.just("bad_eggs"), "place": places, "count": counts}),
    st.fixed_dictionaries({"kind": st.just("hatch"), "place": places, "count": counts}),
    st.fixed_dictionaries({"kind": st.just("death"), "place": places, "count": counts}),
    st.fixed_dictionaries({"kind": st.just("headcount"), "place": places, "count": counts}),
    st.fixed_dictionaries({"kind": st.just("move"), "from": places, "to": places, "count": counts}),
    st.fixed_dictionaries({"kind": st.just("sale"), "place": places, "count": counts}),
)
answers = st.integers(0, 3)
SETTINGS = settings(
    max_examples=60,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@SETTINGS
@given(said=st.lists(st.tuples(raws, answers), max_size=40))
def test_the_books_balance_and_nothing_goes_below_nothing(
    card: RoomCard, said: list[tuple[dict[str, Any], int]]
) -> None:
    room = Room(card)
    for n, (raw, answer) in enumerate(said):
        booking = room.say(hours=n, **{k: v for k, v in raw.items() if v is not None})
        if booking.question and booking.question.options:
            options = booking.question.options
            for chosen in options[answer % len(options)].events:
                again = book(event_from(chosen), NOON + dt.timedelta(hours=n), room.standing)
                if again.question is None:
                    room.take(again)
        assert list(out_of_balance(room.standing)) == []
    assert fold(room.entries) == room.standing


@SETTINGS
@given(said=st.lists(raws, min_size=1, max_size=15), back=st.integers(1, 15))
def test_taking_back_the_last_entries_gives_the_state_before_them(said: list[dict[str, Any]], back: int) -> None:
    room = Room(CARD)
    first = len(room.entries)
    for n, raw in enumerate(said):
        room.say(hours=n, **{k: v for k, v in raw.items() if v is not None})
    logged = len(room.entries) - first
    keep = first + max(0, logged - back)
    gone: Iterable[int] = range(keep + 1, len(room.entries) + 1)
    undo = Entry(
        seq=len(room.entries) + 1,
        event=Undone(),
        at=NOON,
        said=NOON,
        person="p1",
        message=0,
        retracts=tuple(gone),
    )
    after, before = fold([*room.entries, undo]), fold(room.entries[:keep])
    assert after.model_dump(exclude={"seq"}) == before.model_dump(exclude={"seq"})
