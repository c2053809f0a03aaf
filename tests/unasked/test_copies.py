"""The day's copy is made in the small hours, once, opened and whole; the owner hears only of a failure."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from bot.command_line.setup import set_up
from bot.unasked.reminders import unasked
from shared.room import RoomCard
from storage.backup import faults
from storage.engine import Database
from storage.journal import RoomBook

NIGHT = dt.datetime(2026, 3, 10, 9, 0, tzinfo=dt.UTC)  # 04:00 in Chicago


def _room(database: Database, card: RoomCard) -> RoomBook:
    book, _ = set_up(database, card, NIGHT - dt.timedelta(days=1))
    code = book.invite("owner", at=NIGHT)
    assert book.admit(code, "telegram", "7", "Rosa", NIGHT)
    return book


def test_one_copy_a_day_opened_and_whole(database: Database, card: RoomCard) -> None:
    book = _room(database, card)
    assert database.file
    folder = database.file.with_name("copies")
    for minute in range(3):
        list(unasked(book, NIGHT + dt.timedelta(minutes=minute)))
    list(unasked(book, NIGHT + dt.timedelta(days=1)))
    copies = sorted(folder.glob("room-*.db"))
    assert [c.name for c in copies] == ["room-2026-03-10.db", "room-2026-03-11.db"]
    assert [faults(c) for c in copies] == [[], []]


def test_nothing_is_copied_before_three(database: Database, card: RoomCard) -> None:
    book = _room(database, card)
    list(unasked(book, NIGHT - dt.timedelta(hours=2)))
    assert database.file
    assert not database.file.with_name("copies").exists()


def test_the_owner_hears_of_a_copy_that_failed(database: Database, card: RoomCard) -> None:
    book = _room(database, card)
    assert database.file
    folder: Path = database.file.with_name("copies")
    folder.write_text("in the way", encoding="utf-8")
    told = [n for n in unasked(book, NIGHT) if n.what == "copy"]
    assert [n.address for n in told] == ["7"]
    assert "could not be made" in told[0].text
