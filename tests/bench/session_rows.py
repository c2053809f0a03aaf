"""Rows of the record as a bare SQLModel session keeps them, in the same tables: what `bench_storage` stands beside."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import LargeBinary
from sqlmodel import Field, SQLModel

from storage.tables import Moment, Words


class RoomRow(SQLModel, table=True):
    __tablename__ = "rooms"
    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(sa_type=Words)
    timezone: str
    units: str
    gallon: str
    nitrogen_as: str
    date_order: str | None = None
    currency: str | None = None
    salt: bytes = Field(sa_type=LargeBinary)
    head: int = 0
    latest_at: dt.datetime | None = Field(default=None, sa_type=Moment)
    people_made: int = 0


class MessageRow(SQLModel, table=True):
    __tablename__ = "messages"
    id: int | None = Field(default=None, primary_key=True)
    room: int = Field(foreign_key="rooms.id")
    door: str
    delivery: str = Field(sa_type=Words)
    chat: str = Field(sa_type=Words)
    person: str
    sent: dt.datetime = Field(sa_type=Moment)


class MessageWordsRow(SQLModel, table=True):
    __tablename__ = "message_words"
    message: int = Field(primary_key=True, foreign_key="messages.id")
    text: str = Field(sa_type=Words)
    outcome: str | None = None
    reply: str | None = Field(default=None, sa_type=Words)
    payload: str | None = None


class EntryRow(SQLModel, table=True):
    __tablename__ = "entries"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    seq: int = Field(primary_key=True)
    kind: str
    at: dt.datetime = Field(sa_type=Moment)
    said: dt.datetime = Field(sa_type=Moment)
    person: str
    message: int = Field(foreign_key="messages.id")
    late: bool = False
    body: str


class MentionRow(SQLModel, table=True):
    __tablename__ = "mentions"
    room: int = Field(primary_key=True, foreign_key="rooms.id")
    name: str = Field(primary_key=True, sa_type=Words)
    at: dt.datetime = Field(primary_key=True, sa_type=Moment)
    seq: int = Field(primary_key=True)
