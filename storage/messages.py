"""What was said and what was answered, as it is kept."""

from __future__ import annotations

import datetime as dt
import json
import zlib
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import sqlalchemy as sa

from storage.tables import MESSAGE_WORDS, MESSAGES


@dataclass(frozen=True)
class Message:
    """What came in at a door ("terminal", "telegram", "sms", "replay", "say"); `delivery` is the door's own id."""

    door: str
    delivery: str
    chat: str
    person: str  # the person's key
    text: str
    sent: dt.datetime  # aware


def edit_of(delivery: str, stamp: int, text: str) -> str:
    """The id of a message's new wording: two within one second have the same time, so the words count too."""
    return f"{delivery}:e{stamp}-{zlib.crc32(text.encode('utf-8', 'replace')):08x}"


def edited_at(delivery: str) -> int:
    """The time stamp in the id of an edit; 0 for a message as it was first said."""
    stamp = delivery.rpartition(":e")[2].partition("-")[0]
    return int(stamp) if ":e" in delivery and stamp.isdecimal() else 0


@dataclass(frozen=True)
class KeptReply:
    """An answer as it was given: its text, and what a program was told (outcome, events, options, cautions)."""

    text: str
    payload: dict[str, Any]


@dataclass(frozen=True)
class KeptMessage:
    """A message as it is kept, with its answer. `text` is empty once the person is forgotten."""

    id: int
    door: str
    delivery: str
    chat: str
    person: str
    sent: dt.datetime
    text: str
    outcome: str | None
    reply: KeptReply | None


@dataclass(frozen=True)
class OpenQuestion:
    """A question the room still waits for an answer to."""

    id: int
    asked_at: dt.datetime
    kept: str  # JSON

    @cached_property
    def body(self) -> dict[str, Any]:
        """The asker's own; read only where wanted, for of a busy day's questions hardly one is."""
        return json.loads(self.kept)  # type: ignore[no-any-return]


WITH_WORDS = sa.select(MESSAGES, MESSAGE_WORDS).join(MESSAGE_WORDS, MESSAGE_WORDS.c.message == MESSAGES.c.id)


def message_of(row: Any) -> KeptMessage:
    """The message a row of `WITH_WORDS` holds."""
    reply = None if row.reply is None else KeptReply(row.reply, json.loads(row.payload or "{}"))
    return KeptMessage(
        id=row.id,
        door=row.door,
        delivery=row.delivery,
        chat=row.chat,
        person=row.person,
        sent=row.sent,
        text=row.text,
        outcome=row.outcome,
        reply=reply,
    )
