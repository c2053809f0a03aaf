"""The Millrace room with people who can be written to, opened anew as often as a test wants."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.command_line.setup import set_up
from bot.hear import Reply, hear
from shared.room import RoomCard
from storage.engine import Database, open_database
from storage.journal import Message, RoomBook

ZONE = ZoneInfo("America/Chicago")


def when(text: str) -> dt.datetime:
    """A local time of the room, like `2026-03-09 21:00`."""
    return dt.datetime.fromisoformat(text).replace(tzinfo=ZONE)


class House:
    """A room's file, what was said to it, and what it said unasked."""

    def __init__(self, file: Path, card: RoomCard, begun: str) -> None:
        self.file, self.begun = file, when(begun)
        self._open: list[Database] = []
        self._said = 0
        self.book, _ = set_up(self._database(), card, self.begun)

    def _database(self) -> Database:
        database = open_database(str(self.file))
        self._open.append(database)
        return database

    def again(self) -> RoomBook:
        """Another process on the same file."""
        return self._database().room()

    def admit(self, name: str, door: str, address: str, role: str = "owner") -> None:
        code = self.book.invite(role, dt.timedelta(days=1), at=self.begun)
        assert self.book.admit(code, door, address, name, self.begun)

    def say(self, text: str, at: str | dt.datetime, name: str = "Rosa") -> Reply:
        sent = when(at) if isinstance(at, str) else at
        self._said += 1
        person = self.book.person_named(name)
        return hear(self.book, Message("test", str(self._said), f"t:{person.key}", person.key, text, sent))

    def close(self) -> None:
        for database in self._open:
            database.close()


@pytest.fixture
def house(tmp_path: Path, card: RoomCard) -> Iterator[House]:
    """The Millrace room set up on 1 March 2026; Rosa has Telegram, Ivo text messages only."""
    opened = House(tmp_path / "room.db", card, "2026-03-01 08:00")
    opened.admit("Rosa", "telegram", "501")
    opened.admit("Ivo", "sms", "+13125550102", "helper")
    yield opened
    opened.close()
