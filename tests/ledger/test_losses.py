"""How fish are lost: each cause is kept, and survival is told with and without culls."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language import Names, Reader
from shared.events import FishDied
from shared.ledger.standing import Tally, cause_of
from shared.room import RoomCard
from tests.ledger.room import Room


@pytest.mark.parametrize(
    ("words", "cause"),
    [
        (None, "found"),
        ("found dead", "found"),
        ("fungus", "found"),
        ("jumped", "jumped"),
        ("on the floor", "jumped"),
        ("culled", "culled"),
        ("Cull: bent spine", "culled"),
        ("eaten", "eaten"),
        ("ate her brothers", "eaten"),
        ("missing", "missing"),
        ("gone", "missing"),
        ("jumped, culled after", "culled"),
        ("put down", "culled"),
    ],
)
def test_a_cause_is_read_out_of_words(words: str | None, cause: str) -> None:
    assert cause_of(words) == cause


@pytest.mark.parametrize(
    ("note", "cause"),
    [
        ("1 culled tank 13", "culled"),
        ("had to cull 3 in tank 13", "culled"),
        ("put down 2 runts in tank 13", "culled"),
        ("2 jumped out of tank 14", "jumped"),
        ("found a male gardneri from tank 3 dead on the floor", "found"),
        ("3 eaten in tank 13", "eaten"),
        ("2 missing from tank 13", "missing"),
        ("2 dead in tank 13", "found"),
        ("lost 2 in tank 13", "found"),
        ("killed 2 in tank 13", "found"),
        ("1 dead in tank 13, maybe jumped", "found"),
        ("1 in tank 13 dead, probably eaten", "found"),
    ],
)
def test_what_a_note_says_of_the_cause_is_kept_and_no_guess(card: RoomCard, note: str, cause: str) -> None:
    reading = Reader(Names.of(card)).read(note, dt.datetime.fromisoformat("2026-03-09T18:30"))
    died = [event for event in reading.events if isinstance(event, FishDied)]
    assert [cause_of(event.cause) for event in died] == [cause]


def test_deaths_are_kept_by_cause(card: RoomCard) -> None:
    room = Room(card)
    for count, cause in ((5, None), (3, "culled"), (2, "jumped"), (1, "eaten"), (4, "missing")):
        room.say(kind="death", place="tank 13", count=count, cause=cause)
    tally = room.standing.batches["B14"].fish
    assert (tally.died, tally.found_dead) == (15, 5)
    assert (tally.culled, tally.jumped, tally.eaten, tally.missing) == (3, 2, 1, 4)
    assert room.held("B14", "tank 13", "juveniles") == 69
    assert room.balances()


@pytest.mark.parametrize(
    ("tally", "with_culls", "without_culls"),
    [
        (Tally(hatched=100, died=30, culled=20), 0.7, 70 / 80),
        (Tally(hatched=100, died=30), 0.7, 0.7),
        (Tally(start=10, died=10, culled=10), 0.0, None),  # nothing but culls: there is no rate without them
        (Tally(hatched=50, sold=40, died=5), 0.9, 0.9),  # sold fish lived
        (Tally(hatched=40, unaccounted=10), 0.75, 0.75),  # missing in a count: lost
        (Tally(hatched=40, unaccounted=-10, died=10), 0.8, 0.8),  # found in one: had come
        (Tally(hatched=40, died=10, unknown=["hatched"]), None, None),
        (Tally(), None, None),
    ],
)
def test_survival_is_told_with_and_without_culls(
    tally: Tally, with_culls: float | None, without_culls: float | None
) -> None:
    assert tally.survival(culls=True) == (None if with_culls is None else pytest.approx(with_culls))
    assert tally.survival(culls=False) == (None if without_culls is None else pytest.approx(without_culls))
