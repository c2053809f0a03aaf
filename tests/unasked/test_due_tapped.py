"""The list of what is due may be answered by a tap: done, later, why; where there are no buttons it is typed."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.command_line.setup import set_up
from bot.hear import hear
from bot.reply import Reply
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

NOW = dt.datetime(2026, 3, 9, 17, 10, tzinfo=dt.UTC)


@pytest.fixture
def book(database: Database, card: RoomCard) -> RoomBook:
    return set_up(database, card, NOW)[0]


def say(book: RoomBook, text: str, door: str = "telegram") -> Reply:
    number = len(book.messages())
    rosa = book.person_named("Rosa").key
    return hear(book, Message(door, str(number), "501", rosa, text, NOW + dt.timedelta(minutes=number)))


def test_a_list_of_what_is_due_may_be_tapped(book: RoomBook) -> None:
    assert say(book, "what's due").options == ("done", "later", "why")
    which = say(book, "done")
    assert which.outcome == "ask" and "all of it" in which.options
    say(book, "all of it")
    assert {e.event.kind for e in book.entries()} & {"done", "feed", "water_change"}


def test_why_and_later_are_of_the_list(book: RoomBook) -> None:
    say(book, "what's due")
    assert "not changed since" in say(book, "why").text
    say(book, "what's due")
    assert say(book, "later").outcome in ("ask", "log")


@pytest.mark.parametrize("door", ["terminal", "sms"])
def test_without_buttons_the_list_is_as_short_as_before(book: RoomBook, door: str) -> None:
    assert say(book, "what's due", door).options == ()


def test_nothing_due_is_nothing_to_tap(book: RoomBook) -> None:
    assert say(book, "what's due for tank 16").options == ()
