"""“Tank 1 too” says again of other places what the last note of that chat logged, whoever wrote it."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.command_line.setup import set_up
from bot.hear import hear
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

NOW = dt.datetime(2026, 3, 9, 17, 10, tzinfo=dt.UTC)


@pytest.fixture
def book(database: Database, card: RoomCard) -> RoomBook:
    return set_up(database, card, NOW)[0]


def say(book: RoomBook, who: str, chat: str, text: str, minutes: int = 0) -> str:
    sent = NOW + dt.timedelta(minutes=minutes)
    said = Message("terminal", str(len(book.messages())), chat, book.person_named(who).key, text, sent)
    return hear(book, said).text


def fed(book: RoomBook) -> list[tuple[str | None, str]]:
    return [(e.place, str(e.event.outside().get("food"))) for e in book.entries(kinds=("feed",))]


def test_in_one_chat_it_goes_on_from_anothers_note(book: RoomBook) -> None:
    say(book, "Rosa", "room", "fed 2 and 3 flake")
    say(book, "Ivo", "room", "tank 1 too", 5)
    assert ("tank 1", "flake") in fed(book)


def test_what_was_said_in_another_chat_is_not_gone_on_from(book: RoomBook) -> None:
    say(book, "Rosa", "hers", "fed 2 and 3 flake")
    reply = say(book, "Ivo", "his", "tank 1 too", 5)
    assert [p for p, _ in fed(book)] == ["tank 2", "tank 3"] and "?" in reply


@pytest.mark.parametrize("text", ["same in 4", "and 4", "4 as well", "tank 4, too", "the same for tank 4", "ditto 4"])
def test_it_is_said_in_many_ways(book: RoomBook, text: str) -> None:
    say(book, "Rosa", "room", "fed 2 and 3 flake")
    say(book, "Rosa", "room", text, 5)
    assert fed(book)[-1] == ("tank 4", "flake")


def test_after_two_hours_it_is_asked(book: RoomBook) -> None:
    say(book, "Rosa", "room", "fed 2 and 3 flake")
    say(book, "Rosa", "room", "tank 1 too", 120)
    assert len(fed(book)) == 2


def test_eggs_are_counted_anew(book: RoomBook) -> None:
    say(book, "Rosa", "room", "pulled mop tank 3, 12 eggs into tub D")
    assert "What was done there?" in say(book, "Rosa", "room", "tank 2 too", 5)
    assert [e.place for e in book.entries(kinds=("pull",))] == ["tank 3"]
