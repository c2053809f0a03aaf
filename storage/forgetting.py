"""Taking a person's name, numbers and words out, while the ledger and all its sums stay as they are."""

from __future__ import annotations

import datetime as dt
import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from storage import pictures, waiting
from storage.tables import (
    ADDRESSES,
    ENTRIES,
    ENTRY_WORDS,
    INVITATIONS,
    MESSAGE_WORDS,
    MESSAGES,
    PEOPLE,
    QUESTIONS,
)

OWN_WORDS = ("text", "of")  # what a person wrote; the rest of an entry's free words are names
Words = dict[str, Any]


@dataclass(frozen=True)
class Forgotten:
    """What was taken out. `still_named`: messages of others that hold the name; those are theirs and stay.

    Copies made before hold it all until they are let go.
    """

    messages: int
    entries: int
    still_named: int
    pictures: tuple[str, ...] = ()  # hashes of the photos nobody's row holds any more


def member(connection: Connection, room: int, key: str, at: dt.datetime) -> Forgotten:
    """Forget someone of the room: only the key stays in the ledger.

    Their photos go too, bytes and captions: a photo may show its maker's home, hands or face, nothing but looking at
    it can tell, and no sum of the ledger rests on one.
    """
    name = connection.execute(sa.select(PEOPLE.c.name).where(PEOPLE.c.room == room, PEOPLE.c.key == key)).scalar()
    theirs = MESSAGES.c.room == room, MESSAGES.c.person == key
    numbers = list(connection.execute(sa.select(MESSAGES.c.id).where(*theirs)).scalars())
    _empty(connection, sa.select(MESSAGES.c.id).where(*theirs))
    photos = pictures.drop(connection, sa.select(MESSAGES.c.id).where(*theirs))
    unknown = "forgotten " + sa.cast(MESSAGES.c.id, sa.String)  # a chat or a delivery's id may hold a number
    connection.execute(MESSAGES.update().where(*theirs).values(chat="", delivery=unknown))
    asked = QUESTIONS.c.room == room, QUESTIONS.c.person == key
    connection.execute(
        QUESTIONS.update()
        .where(*asked)
        .values(body="{}", chat="", settled=sa.func.coalesce(QUESTIONS.c.settled, QUESTIONS.c.message))
    )

    def without(person: str, words: Words) -> Words:
        if person == key:
            words = {word: value for word, value in words.items() if word not in OWN_WORDS}
        return {word: key if _is_name(value, name) else value for word, value in words.items()}

    changed = _rewrite(connection, room, without)
    theirs_at = sa.select(ADDRESSES.c.door, ADDRESSES.c.address).where(
        ADDRESSES.c.room == room, ADDRESSES.c.person == key
    )
    for door, address in connection.execute(theirs_at).all():
        waiting.drop(connection, room, door, address)
    connection.execute(ADDRESSES.delete().where(ADDRESSES.c.room == room, ADDRESSES.c.person == key))
    connection.execute(
        PEOPLE.update()
        .where(PEOPLE.c.room == room, PEOPLE.c.key == key)
        .values(name="", removed=sa.func.coalesce(PEOPLE.c.removed, at), forgotten=at)
    )
    connection.execute(INVITATIONS.delete().where(INVITATIONS.c.room == room, INVITATIONS.c.used_by == key))
    return Forgotten(len(numbers), len(changed), _naming(connection, room, name), tuple(photos))


def buyer(connection: Connection, room: int, name: str) -> Forgotten:
    """Forget someone fish were sold or promised to, or bought from: what they had stays together under a new name.

    Photos stay: they are of the fish, and whoever sent them is somebody else.
    """
    instead = f"someone {secrets.token_hex(3)}"

    def without(person: str, words: Words) -> Words:
        return {word: instead if _is_name(value, name) else value for word, value in words.items()}

    changed = _rewrite(connection, room, without)
    about = sa.select(ENTRIES.c.message).where(ENTRIES.c.room == room, ENTRIES.c.seq.in_(changed))
    numbers = set(connection.execute(about).scalars())
    _empty(connection, about)
    return Forgotten(len(numbers), len(changed), _naming(connection, room, name))


def _is_name(value: Any, name: str | None) -> bool:
    return bool(name) and isinstance(value, str) and value.casefold() == str(name).casefold()


def _empty(connection: Connection, messages: sa.Select[Any]) -> None:
    connection.execute(
        MESSAGE_WORDS.update()
        .where(MESSAGE_WORDS.c.message.in_(messages))
        .values(text="", reply=sa.case((MESSAGE_WORDS.c.reply.is_(None), None), else_=""), payload=None)
    )


def _rewrite(connection: Connection, room: int, without: Callable[[str, Words], Words]) -> list[int]:
    """Change the free words of entries; gives the numbers of those that changed."""
    here = sa.and_(ENTRIES.c.room == ENTRY_WORDS.c.room, ENTRIES.c.seq == ENTRY_WORDS.c.seq)
    wanted = (
        sa.select(ENTRY_WORDS.c.seq, ENTRY_WORDS.c.words, ENTRIES.c.person)
        .join(ENTRIES, here)
        .where(ENTRY_WORDS.c.room == room)
        .order_by(ENTRY_WORDS.c.seq)
    )
    changed = []
    for seq, raw, person in connection.execute(wanted).all():
        before: Words = json.loads(raw)
        after = without(person, before)
        if after != before:
            changed.append(seq)
            connection.execute(
                ENTRY_WORDS.update()
                .where(ENTRY_WORDS.c.room == room, ENTRY_WORDS.c.seq == seq)
                .values(words=json.dumps(after))
            )
    return changed


def _naming(connection: Connection, room: int, name: str | None) -> int:
    if not name:
        return 0
    wanted = (
        sa.select(sa.func.count())
        .select_from(MESSAGES.join(MESSAGE_WORDS, MESSAGE_WORDS.c.message == MESSAGES.c.id))
        .where(MESSAGES.c.room == room, sa.func.lower(MESSAGE_WORDS.c.text).contains(name.lower(), autoescape=True))
    )
    return int(connection.execute(wanted).scalar_one())
