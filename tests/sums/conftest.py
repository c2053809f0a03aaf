"""A temporary Millrace room to ask in, by whole messages or by a question alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import pytest

from bot.answers.answer import answer
from bot.answers.asking import Answer
from bot.command_line.setup import set_up
from bot.hear import Reply, hear
from bot.language import Query
from shared.events import event_from
from shared.ledger.booking import book as book_event
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

NOW = dt.datetime(2026, 3, 9, 18, 0, tzinfo=dt.UTC)


@dataclass
class Room:
    """Somebody who writes to the room and asks it."""

    book: RoomBook
    now: dt.datetime = NOW
    sent: int = field(default=0)

    def _message(self, text: str, who: str) -> Message:
        self.sent += 1
        return Message("terminal", str(self.sent), who, self.book.person_named(who).key, text, self.now)

    def say(self, text: str, who: str = "Rosa") -> Reply:
        """A message as it comes in, with all that follows."""
        return hear(self.book, self._message(text, who))

    def log(self, day: str, kind: str, **keys: Any) -> None:
        """What happened on a day (2026-03-01), put into the ledger as it stands there, whatever words it came in."""
        at = dt.datetime.fromisoformat(day).replace(hour=18, tzinfo=dt.UTC)
        event = event_from({"kind": kind, **keys})
        with self.book.turn(self._message(kind, "Rosa")) as turn:
            booking = book_event(event, at, turn.standing)
            assert booking.drafts and not booking.question
            for d in booking.drafts:
                turn.enter(d)

    def ask(self, text: str, about: str = "calc", **names: Any) -> Answer:
        """A question whose words alone say which sum it is."""
        zone = self.book.info.zone
        query = Query(about, **names)
        return answer(query, self.book.standing(), self.book, self.now.astimezone(zone), self._message(text, "Rosa"))


@pytest.fixture
def room(database: Database, card: RoomCard) -> Room:
    return Room(set_up(database, card, NOW)[0])


@pytest.fixture
def room_of(database: Database, card: RoomCard) -> Callable[..., Room]:
    """A room like Millrace with other settings."""

    def make(**changes: Any) -> Room:
        return Room(set_up(database, card.model_copy(update=changes), NOW)[0])

    return make
