"""The tables a room is kept in. Rows are for storage only: they never leave this folder.

What people call themselves and what they wrote stands in tables of its own (people, addresses, message_words,
entry_words), so that it can be emptied while the ledger stays whole.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from sqlalchemy import DateTime, Dialect, Index, LargeBinary, String, Table, UniqueConstraint, text
from sqlalchemy.engine import Connection
from sqlalchemy.orm import registry
from sqlalchemy.types import TypeDecorator
from sqlmodel import Field, SQLModel
from sqlmodel._compat import SQLModelConfig

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


class _Row(SQLModel, registry=registry()):
    model_config = SQLModelConfig(defer_build=True)


def _words(**more: Any) -> Any:
    return Field(sa_type=Words, **more)


def _moment(**more: Any) -> Any:
    return Field(sa_type=Moment, **more)


class RoomRow(_Row, table=True):
    """A room and where its ledger ends. `head` is the last entry's number."""

    __tablename__ = "rooms"
    id: int | None = Field(default=None, primary_key=True)
    name: str = _words(unique=True)
    timezone: str
    units: str
    gallon: str
    nitrogen_as: str
    date_order: str | None = None
    currency: str | None = None
    salt: bytes = Field(sa_type=LargeBinary)  # for the hashes of strangers' addresses and invitation codes
    head: int = 0
    latest_at: dt.datetime | None = _moment(default=None)
    people_made: int = 0


class PersonRow(_Row, table=True):
    """Someone of the room."""

    __tablename__ = "people"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    key: str = Field(primary_key=True)
    name: str = _words()  # empty once forgotten
    role: str
    joined: dt.datetime | None = _moment(default=None)
    removed: dt.datetime | None = _moment(default=None)
    forgotten: dt.datetime | None = _moment(default=None)


class AddressRow(_Row, table=True):
    """Where a person writes from."""

    __tablename__ = "addresses"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    door: str = Field(primary_key=True)
    address: str = _words(primary_key=True)
    person: str


class InvitationRow(_Row, table=True):
    """A one-time code, kept only as a salted hash."""

    __tablename__ = "invitations"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    code_hash: str = Field(primary_key=True)
    role: str
    made: dt.datetime = _moment()
    ends: dt.datetime = _moment()
    used: dt.datetime | None = _moment(default=None)
    used_by: str | None = None


class KnockRow(_Row, table=True):
    """A stranger at a door, known only by the salted hash of an address."""

    __tablename__ = "knocks"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    door: str = Field(primary_key=True)
    address_hash: str = Field(primary_key=True)
    first: dt.datetime = _moment()
    last: dt.datetime = _moment()
    times: int = 1


class MessageRow(_Row, table=True):
    """A message as it came; its words stand apart, so that they can be forgotten."""

    __tablename__ = "messages"
    __table_args__ = (
        UniqueConstraint("room", "door", "delivery", name="messages_once"),
        Index("messages_by_time", "room", "sent", "id"),
        Index("messages_by_person", "room", "person", "sent", "id"),
    )
    id: int | None = Field(default=None, primary_key=True)
    room: int = Field(foreign_key="rooms.id")
    door: str
    delivery: str = _words()
    chat: str = _words()
    person: str
    sent: dt.datetime = _moment()


class MessageWordsRow(_Row, table=True):
    """What was written and what was answered."""

    __tablename__ = "message_words"
    message: int = Field(primary_key=True, foreign_key="messages.id")
    text: str = _words()
    outcome: str | None = None
    reply: str | None = _words(default=None)
    payload: str | None = None


class EntryRow(_Row, table=True):
    """One line of the ledger; what has no column of its own stands in `body` as JSON.

    `late`: an entry before this one happened after it, so it is not where its time would put it.
    """

    __tablename__ = "entries"
    __table_args__ = (
        Index("entries_by_time", "room", "at", "seq"),
        Index("entries_by_kind", "room", "kind", "at", "seq"),
        Index("entries_by_message", "message"),
        Index("entries_late", "room", "at", sqlite_where=text("late")),
        {"sqlite_with_rowid": False},
    )
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    seq: int = Field(primary_key=True)
    kind: str
    at: dt.datetime = _moment()
    said: dt.datetime = _moment()
    person: str
    message: int = Field(foreign_key="messages.id")
    late: bool = False
    body: str


class EntryWordsRow(_Row, table=True):
    """The free words of an entry (a remark's text, a buyer's name) as JSON; empty once forgotten."""

    __tablename__ = "entry_words"
    __table_args__ = ({"sqlite_with_rowid": False},)
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    seq: int = Field(primary_key=True)
    words: str


class MentionRow(_Row, table=True):
    """Which entries touch a place, batch, line or culture, in the order they happened."""

    __tablename__ = "mentions"
    __table_args__ = ({"sqlite_with_rowid": False},)
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    name: str = _words(primary_key=True)
    at: dt.datetime = _moment(primary_key=True)
    seq: int = Field(primary_key=True)


class RetractionRow(_Row, table=True):
    """Entry `seq` was taken back by entry `by`."""

    __tablename__ = "retractions"
    __table_args__ = ({"sqlite_with_rowid": False},)
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    seq: int = Field(primary_key=True)
    by: int


class SnapshotRow(_Row, table=True):
    """How the room stood after entry `seq`, packed. Can be thrown away: it is made again from the entries."""

    __tablename__ = "snapshots"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    seq: int = Field(primary_key=True)
    latest_at: dt.datetime = _moment()
    latest_said: dt.datetime = _moment()
    folding: int  # the way it was added up, `shared.ledger.standing.FOLDING`
    body: bytes = Field(sa_type=LargeBinary)


class QuestionRow(_Row, table=True):
    """A question that waits for its answer."""

    __tablename__ = "questions"
    __table_args__ = (
        Index(
            "questions_open",
            "room",
            "person",
            "chat",
            "asked",
            sqlite_where=text("settled IS NULL"),
        ),
    )
    id: int | None = Field(default=None, primary_key=True)
    room: int = Field(foreign_key="rooms.id")
    person: str
    chat: str = _words()
    asked: dt.datetime = _moment()
    message: int = Field(foreign_key="messages.id")
    settled: int | None = Field(default=None, foreign_key="messages.id")
    body: str


class ClaimRow(_Row, table=True):
    """Something to be done once, such as sending one day's summary to one person."""

    __tablename__ = "claims"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    what: str = Field(primary_key=True)
    key: str = Field(primary_key=True)
    claimed: dt.datetime = _moment()
    confirmed: bool = False


class WaitingRow(_Row, table=True):
    """A text put by until the door's gateway fetches it; gone once it is handed out."""

    __tablename__ = "waiting"
    id: int | None = Field(default=None, primary_key=True)
    room: int = Field(foreign_key="rooms.id")
    door: str
    address: str = _words()
    text: str = _words()
    put: dt.datetime = _moment()


class PictureRow(_Row, table=True):
    """A photo: the message that brought it, what it shows (JSON list of names), the hash its file is named by."""

    __tablename__ = "pictures"
    __table_args__ = (Index("pictures_by_time", "room", "kept_at"),)
    message: int = Field(primary_key=True, foreign_key="messages.id")
    room: int = Field(foreign_key="rooms.id")
    names: str = _words()
    sha256: str
    kept_at: dt.datetime = _moment()


METADATA = _Row.metadata


def _table(name: str) -> Table:
    return METADATA.tables[name]


ROOMS = _table("rooms")
PEOPLE = _table("people")
ADDRESSES = _table("addresses")
INVITATIONS = _table("invitations")
KNOCKS = _table("knocks")
MESSAGES = _table("messages")
MESSAGE_WORDS = _table("message_words")
ENTRIES = _table("entries")
ENTRY_WORDS = _table("entry_words")
MENTIONS = _table("mentions")
RETRACTIONS = _table("retractions")
SNAPSHOTS = _table("snapshots")
QUESTIONS = _table("questions")
CLAIMS = _table("claims")
WAITING = _table("waiting")
PICTURES = _table("pictures")


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
