"""Clocks that jump back, notes of one instant, and notes of days before the room was on record: all kept, in order."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.command_line.setup import set_up
from bot.hear import Reply, hear
from shared.ledger.standing import fold
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

BEGUN = dt.datetime(2026, 3, 5, 14, tzinfo=dt.UTC)
NOON = dt.datetime(2026, 3, 9, 17, tzinfo=dt.UTC)
YEAR = dt.timedelta(days=365)


@pytest.fixture
def book(database: Database, card: RoomCard) -> RoomBook:
    return set_up(database, card, BEGUN)[0]


def say(book: RoomBook, text: str, sent: dt.datetime = NOON) -> Reply:
    person = book.person_named("Rosa")
    return hear(book, Message("terminal", f"d{len(book.messages())}", "t", person.key, text, sent))


def _right(book: RoomBook) -> bool:
    listed = sorted(book.entries(include_retracted=True), key=lambda entry: entry.seq)
    return (
        book.check() == []
        and [entry.seq for entry in listed] == list(range(1, len(listed) + 1))
        and book.standing() == fold(listed)
        and book._database.room().standing() == book.standing()
    )


@pytest.mark.parametrize("back", [dt.timedelta(hours=1), dt.timedelta(days=3), YEAR, 20 * YEAR])
def test_a_clock_that_jumps_back_loses_nothing_and_the_last_note_is_the_one_undone(
    book: RoomBook, back: dt.timedelta
) -> None:
    say(book, "tank 13 temp 75")
    say(book, "tank 14 temp 76")
    assert "77" in say(book, "tank 12 temp 77", NOON - back).text
    assert _right(book) and len(book.entries(kinds=("measure",))) == 3
    assert "tank 12" in say(book, "undo", NOON - back).text
    assert [e.place for e in book.entries(kinds=("measure",))] == ["tank 13", "tank 14"] and _right(book)
    say(book, "tank 12 temp 78")  # the clock is right again
    assert [e.place for e in book.entries(kinds=("measure",))] == ["tank 13", "tank 14", "tank 12"] and _right(book)
    then = book.standing(at=NOON - dt.timedelta(seconds=1))
    assert then.latest("tank 13", "temperature") is None


def test_two_notes_of_one_instant_stand_in_the_order_they_came(book: RoomBook) -> None:
    for number in (20, 19, 18):
        say(book, f"{number} left in tank 14")
        say(book, f"tank 14 temp {number + 55}")
    found = [e.event for e in book.entries(name="tank 14", since=NOON) if e.event.kind == "measure"]
    assert [round(getattr(event, "value", 0), 1) for event in found] == [23.9, 23.3, 22.8]
    newest = book.entries(name="tank 14", kinds=("measure",), limit=1, newest_first=True)[0]
    assert newest.event == found[-1]
    assert _right(book)


def test_a_note_of_a_day_before_the_room_was_on_record_is_kept_under_that_day(book: RoomBook) -> None:
    say(book, "tank 13 temp 70 on 1 feb")
    say(book, "tank 13 temp 75")
    days = [entry.at.date().isoformat() for entry in book.entries(kinds=("measure",))]
    assert days == ["2026-02-01", "2026-03-09"]
    reading = book.standing().latest("tank 13", "temperature")
    assert reading and reading.at == NOON
    assert _right(book)


@pytest.mark.parametrize("text", ["2 dead in tank 13 tomorrow", "tank 13 temp 75 on 1 april", "fed tank 3 next friday"])
def test_what_has_not_been_yet_is_not_logged_as_done(book: RoomBook, text: str) -> None:
    reply = say(book, text)
    assert reply.text
    assert [e for e in book.entries(since=NOON) if e.event.kind in ("death", "measure", "feed")] == []
    assert _right(book)
