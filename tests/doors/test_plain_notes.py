"""A plain note, of which most are, looks up no more than it must: a burst of them waits for each look-up."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bot.command_line.setup import read_card, set_up
from bot.hear import hear
from storage.engine import open_database
from storage.journal import Message

NOW = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.UTC)
PLAIN = (
    "fed tank 4 daphnia",
    "water change 30% tank 7",
    "cleaned the sponge filter in tank 3",
    "male in tank 2 looks thin",
    "temp 76 in tank 5",
    "microworms tub E",
    "tank 9 topped off, nitrate 10 in 13",
    "3 bad eggs tub B",
    "moved 5 fry from tub E to tank 12",
)
# who writes, where the ledger ends, and what waits to be answered; a correction or question may ask for more
MOST = 3


@pytest.mark.parametrize("note", PLAIN)
def test_a_plain_note_looks_up_little(tmp_path: Path, note: str) -> None:
    database = open_database(str(tmp_path / "room.db"))
    book, _ = set_up(database, read_card(Path(__file__).parents[1] / "room.json"), NOW - dt.timedelta(days=1))
    person = book.person_named("Rosa").key

    def say(text: str, minute: int) -> str:
        at = NOW + dt.timedelta(minutes=minute)
        return hear(book, Message("telegram", f"501:{minute}", "501", person, text, at)).outcome

    for minute, before in enumerate((*PLAIN, "fed tank 8")):  # the last: fish have moved, so names are learnt anew
        say(before, minute)
    done: list[str] = []
    with database.reading() as connection:
        driver = connection.connection.dbapi_connection
    assert driver is not None
    driver.set_trace_callback(done.append)
    assert say(note.replace("13", "14"), len(PLAIN) + 1) == "log"
    driver.set_trace_callback(None)
    looked = [statement for statement in done if statement.startswith("SELECT")]
    assert len(looked) <= MOST, looked
    database.close()
