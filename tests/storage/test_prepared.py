"""A statement made ready once says and finds what it would when made ready each time."""

from __future__ import annotations

import datetime as dt

import pytest
import sqlalchemy as sa
from sqlalchemy import exc

from storage.engine import Database
from storage.journal import RoomBook
from storage.prepared import Prepared, prepared
from storage.tables import ENTRIES, MENTIONS, MESSAGES, insert_once
from tests.storage.notes import FED, NOON, said

ABROAD = NOON.astimezone(dt.timezone(dt.timedelta(hours=9)))
MENTIONED = [{"room": 1, "name": name, "at": ABROAD, "seq": 9} for name in ("tank 3", "Aquarium Süd", "half \ud83d")]


def test_it_finds_what_the_statement_finds(book: RoomBook, database: Database) -> None:
    said(book, FED)
    for statement in (sa.select(MESSAGES).where(MESSAGES.c.room == sa.bindparam("room")), sa.select(ENTRIES)):
        ready = prepared(statement)
        with database.reading() as connection:
            usual = [row._asdict() for row in connection.execute(statement, {"room": 1})]
            for _ in (1, 2):
                assert [row._asdict() for row in ready.rows(connection, {"room": 1})] == usual != []


def test_it_keeps_what_the_statement_keeps(book: RoomBook, database: Database) -> None:
    every = sa.select(MENTIONS)
    with database.writing() as connection:
        connection.execute(MENTIONS.insert(), MENTIONED)
        usual = connection.execute(every).all()
        connection.execute(MENTIONS.delete())
        prepared(MENTIONS.insert()).run(connection, MENTIONED)
        assert connection.execute(every).all() == usual
        assert {row.at for row in usual} == {NOON}


def test_a_key_that_was_there_is_told_by_no_row(book: RoomBook, database: Database) -> None:
    once = Prepared(lambda dialect: insert_once(dialect, MESSAGES))
    values = {"room": 1, "door": "sms", "delivery": "SM1", "chat": "1", "person": "p1", "sent": NOON}
    with database.writing() as connection:
        assert len(once.rows(connection, values)) == 1
        assert not once.rows(connection, values)


def test_what_goes_wrong_is_told_like_anything_else_and_without_the_words(book: RoomBook, database: Database) -> None:
    twice = prepared(MENTIONS.insert())
    with pytest.raises(exc.IntegrityError) as trouble, database.writing() as connection:
        twice.run(connection, MENTIONED[:1])
        twice.run(connection, MENTIONED[:1])
    assert not database.sqlite or "tank 3" not in str(trouble.value)
