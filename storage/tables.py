"""The tables a room is kept in. Rows are for storage only: they never leave this folder.

What people call themselves and what they wrote stands in tables of its own (people, addresses, message_words,
entry_words), so that it can be emptied while the ledger stays whole.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    UniqueConstraint,
    text,
)
from sqlalchemy.engine import Connection
from sqlalchemy.types import TypeDecorator

SCHEMA = "0005"  # the newest migration; a higher one in a database means a newer program wrote it
APPLICATION_ID = 0x46524F4D  # marks an SQLite file as a fish room's ("FROM" turned about: a room of fish)


class Moment(TypeDecorator[dt.datetime]):
    """An instant. Kept as UTC; SQLite forgets the zone, so it is put back here and nowhere else."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone cannot be kept")
        return value.astimezone(dt.UTC)

    def process_result_value(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=dt.UTC) if value.tzinfo is None else value.astimezone(dt.UTC)


class Words(TypeDecorator[str]):
    """Text as people wrote it, less the two things no database keeps: half characters and the character zero."""

    impl = String
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        if value is None or (value.isascii() and "\0" not in value):
            return value
        return value.encode("utf-8", "replace").decode("utf-8").replace("\0", "\N{REPLACEMENT CHARACTER}")


METADATA = MetaData()


def _column(name: str, kind: Any = String, *, of: str = "", nullable: bool = False, **more: Any) -> Column[Any]:
    """A column, never empty unless it may be; `of`: the table whose row it names."""
    return Column(name, kind, *([ForeignKey(f"{of}.id")] if of else []), nullable=nullable, **more)


def _key(name: str, kind: Any = String, *, of: str = "") -> Column[Any]:
    return _column(name, kind, of=of, primary_key=True)


# A room and where its ledger ends. `head` is the last entry's number.
ROOMS = Table(
    "rooms",
    METADATA,
    _key("id", Integer),
    _column("name", Words, unique=True),
    _column("timezone"),
    _column("units"),
    _column("gallon"),
    _column("nitrogen_as"),
    _column("date_order", nullable=True),
    _column("currency", nullable=True),
    _column("salt", LargeBinary),  # for the hashes of strangers' addresses and invitation codes
    _column("head", Integer, default=0),
    _column("latest_at", Moment, nullable=True),
    _column("people_made", Integer, default=0),
)

# Someone of the room.
PEOPLE = Table(
    "people",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("key"),
    _column("name", Words),  # empty once forgotten
    _column("role"),
    _column("joined", Moment, nullable=True),
    _column("removed", Moment, nullable=True),
    _column("forgotten", Moment, nullable=True),
)

# Where a person writes from.
ADDRESSES = Table(
    "addresses",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("door"),
    _key("address", Words),
    _column("person"),
)

# A one-time code, kept only as a salted hash.
INVITATIONS = Table(
    "invitations",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("code_hash"),
    _column("role"),
    _column("made", Moment),
    _column("ends", Moment),
    _column("used", Moment, nullable=True),
    _column("used_by", nullable=True),
)

# A stranger at a door, known only by the salted hash of an address.
KNOCKS = Table(
    "knocks",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("door"),
    _key("address_hash"),
    _column("first", Moment),
    _column("last", Moment),
    _column("times", Integer, default=1),
)

# A message as it came; its words stand apart, so that they can be forgotten.
MESSAGES = Table(
    "messages",
    METADATA,
    _key("id", Integer),
    _column("room", Integer, of="rooms"),
    _column("door"),
    _column("delivery", Words),
    _column("chat", Words),
    _column("person"),
    _column("sent", Moment),
    UniqueConstraint("room", "door", "delivery", name="messages_once"),
    Index("messages_by_time", "room", "sent", "id"),
    Index("messages_by_person", "room", "person", "sent", "id"),
)

# What was written and what was answered.
MESSAGE_WORDS = Table(
    "message_words",
    METADATA,
    _key("message", Integer, of="messages"),
    _column("text", Words),
    _column("outcome", nullable=True),
    _column("reply", Words, nullable=True),
    _column("payload", nullable=True),
)

# One line of the ledger; what has no column of its own stands in `body` as JSON.
# `late`: an entry before this one happened after it, so it is not where its time would put it.
ENTRIES = Table(
    "entries",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("seq", Integer),
    _column("kind"),
    _column("at", Moment),
    _column("said", Moment),
    _column("person"),
    _column("message", Integer, of="messages"),
    _column("late", Boolean, default=False),
    _column("body"),
    Index("entries_by_time", "room", "at", "seq"),
    Index("entries_by_kind", "room", "kind", "at", "seq"),
    Index("entries_by_message", "message"),
    Index("entries_late", "room", "at", sqlite_where=text("late")),
    sqlite_with_rowid=False,
)

# The free words of an entry (a remark's text, a buyer's name) as JSON; empty once forgotten.
ENTRY_WORDS = Table(
    "entry_words",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("seq", Integer),
    _column("words"),
    sqlite_with_rowid=False,
)

# Which entries touch a place, batch, line or culture, in the order they happened.
MENTIONS = Table(
    "mentions",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("name", Words),
    _key("at", Moment),
    _key("seq", Integer),
    sqlite_with_rowid=False,
)

# Entry `seq` was taken back by entry `by`.
RETRACTIONS = Table(
    "retractions",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("seq", Integer),
    _column("by", Integer),
    sqlite_with_rowid=False,
)

# How the room stood after entry `seq`, packed. Can be thrown away: it is made again from the entries.
SNAPSHOTS = Table(
    "snapshots",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("seq", Integer),
    _column("latest_at", Moment),
    _column("latest_said", Moment),
    _column("folding", Integer),  # the way it was added up, `shared.ledger.standing.FOLDING`
    _column("body", LargeBinary),
)

# A question that waits for its answer.
QUESTIONS = Table(
    "questions",
    METADATA,
    _key("id", Integer),
    _column("room", Integer, of="rooms"),
    _column("person"),
    _column("chat", Words),
    _column("asked", Moment),
    _column("message", Integer, of="messages"),
    _column("settled", Integer, of="messages", nullable=True),
    _column("body"),
    Index(
        "questions_open",
        "room",
        "person",
        "chat",
        "asked",
        sqlite_where=text("settled IS NULL"),
    ),
)

# Something to be done once, such as sending one day's summary to one person.
CLAIMS = Table(
    "claims",
    METADATA,
    _key("room", Integer, of="rooms"),
    _key("what"),
    _key("key"),
    _column("claimed", Moment),
    _column("confirmed", Boolean, default=False),
)

# A text put by until the door's gateway fetches it; gone once it is handed out.
WAITING = Table(
    "waiting",
    METADATA,
    _key("id", Integer),
    _column("room", Integer, of="rooms"),
    _column("door"),
    _column("address", Words),
    _column("text", Words),
    _column("put", Moment),
)

# A photo: the message that brought it, what it shows (JSON list of names), the hash its file is named by.
PICTURES = Table(
    "pictures",
    METADATA,
    _key("message", Integer, of="messages"),
    _column("room", Integer, of="rooms"),
    _column("names", Words),
    _column("sha256"),
    _column("kept_at", Moment),
    Index("pictures_by_time", "room", "kept_at"),
)


def create_all(connection: Connection) -> None:
    """Make the tables in an empty database."""
    if connection.dialect.name == "postgresql":
        # Said only now: to say it with the indexes would load all of PostgreSQL's dialect at every start.
        for table in METADATA.tables.values():
            for index in table.indexes:
                index.dialect_options["postgresql"]["where"] = index.dialect_options["sqlite"]["where"]
    METADATA.create_all(connection)


def insert_once(dialect: str, table: Table) -> Any:
    """An INSERT that gives the row's key when it was inserted, and nothing when its key was there before."""
    if dialect == "postgresql":  # which need not be imported where it is not used
        from sqlalchemy.dialects import postgresql

        return postgresql.insert(table).on_conflict_do_nothing().returning(*table.primary_key.columns)
    from sqlalchemy.dialects import sqlite

    return sqlite.insert(table).on_conflict_do_nothing().returning(*table.primary_key.columns)


def inserted_once(connection: Connection, table: Table, values: dict[str, Any]) -> bool:
    """Insert a row unless its key is there already; whether it was inserted."""
    return connection.execute(insert_once(connection.dialect.name, table), values).first() is not None
