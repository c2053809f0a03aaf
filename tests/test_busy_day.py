"""That a note costs no more for the hundreds before it on the same day: what is read for it stays flat."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bot.command_line.setup import read_card, set_up
from bot.hear import hear
from storage import entries
from storage.engine import open_database
from storage.journal import Message, RoomBook

MORNING = dt.datetime(2026, 3, 9, 14, 0, tzinfo=dt.UTC)
ROUND = (
    "fed tank 3",
    "tank 5 nitrate 20",
    "topped off tank 7",
    "pulled mop tank {n}, {n} eggs into tub D",
    "2 bad eggs tub B",
    "1 dead in tank {n}",
    "male in tank 2 looks thin",
    "fed everyone",
)


class Room:
    """A room at the start of its day, and how many entries were read for each note."""

    def __init__(self, book: RoomBook) -> None:
        self.book = book
        self.person = book.person_named("Rosa").key
        self._clock = (MORNING + dt.timedelta(seconds=3 * n) for n in itertools.count())
        self._number = itertools.count()
        self.read = 0

    def note(self, text: str) -> int:
        before = self.read
        hear(self.book, Message("telegram", f"1:{next(self._number)}", "1", self.person, text, next(self._clock)))
        return self.read - before


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Room]:
    database = open_database(str(tmp_path / "room.db"))
    card = read_card(Path(__file__).parent / "room.json")
    book, _ = set_up(database, card, MORNING - dt.timedelta(days=1))
    made, read = Room(book), entries.entry_of

    def counted(*given: Any) -> object:
        made.read += 1
        return read(*given)

    monkeypatch.setattr(entries, "entry_of", counted)
    yield made
    database.close()


@pytest.mark.parametrize("last", [*ROUND, "what's due", "how is tank 3"])
def test_what_is_read_for_a_note_does_not_grow_with_the_day(room: Room, last: str) -> None:
    numbers = itertools.count()

    def some(rounds: int) -> None:
        for _ in range(rounds):
            for text in ROUND:
                room.note(text.format(n=next(numbers) % 10 + 1))

    some(2)
    early = room.note(last.format(n=1))
    some(15)
    assert room.note(last.format(n=2)) <= early + 25
