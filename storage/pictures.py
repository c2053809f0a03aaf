"""Photos kept with the record: bytes in a private folder beside the database, and a row saying what each shows.

A file is named by the hash of its bytes, so that the same photo twice is one file and a changed file is noticed.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import json
import os
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from storage.tables import MESSAGE_WORDS, MESSAGES, PICTURES
from storage.trouble import StorageTrouble

MOST_BYTES = 10_000_000  # the most a photo may have to be shown again: Telegram Bot API, sendPhoto


@dataclass(frozen=True)
class KeptPicture:
    """A photo on record. `names`: the places and batches it shows, none while nobody has said."""

    message: int
    person: str
    names: tuple[str, ...]
    sha256: str
    kept_at: dt.datetime
    caption: str = ""  # the words it came with; empty once forgotten


def kind_of(picture: bytes) -> str | None:
    """`jpg`, `png` or `webp` by the first bytes; None for anything else.

    The marks are those of ISO/IEC 10918-1 (JPEG), ISO/IEC 15948 (PNG) and RFC 9649 (WebP).
    """
    if picture[:3] == b"\xff\xd8\xff":
        return "jpg"
    if picture[:8] == b"\x89PNG\r\n\x1a\n":
        return "png"
    if picture[:4] == b"RIFF" and picture[8:12] == b"WEBP":
        return "webp"
    return None


def is_page(made: bytes) -> bool:
    """Whether bytes made for sending are a page (PDF, ISO 32000) and no picture."""
    return made[:5] == b"%PDF-"


class Album:
    """The folder with the bytes. Nobody but its owner can look into it (0700, files 0600)."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, picture: bytes) -> str:
        """Put the bytes on the disk for good; their hash. The same bytes again cost nothing.

        Raises ValueError for what is no photo or has more than MOST_BYTES, StorageTrouble when it cannot be written.
        """
        if kind_of(picture) is None:
            raise ValueError("only JPEG, PNG and WebP are kept")
        if len(picture) > MOST_BYTES:
            raise ValueError(f"only photos up to {MOST_BYTES // 1_000_000} MB are kept")
        name = hashlib.sha256(picture).hexdigest()
        try:
            self._write(name, picture)
        except OSError as trouble:
            raise StorageTrouble(
                f"{self.folder}: a photo could not be kept there ({trouble.strerror}). Nothing was saved. "
                "Make some space, or look at the folder's permissions."
            ) from trouble
        return name

    def _write(self, name: str, picture: bytes) -> None:
        if self.read(name) is not None:
            return
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        number, draft = tempfile.mkstemp(prefix=".", suffix=".part", dir=self.folder)  # made 0600
        try:
            with os.fdopen(number, "wb") as file:
                file.write(picture)
                file.flush()
                os.fsync(file.fileno())
            Path(draft).replace(self.folder / name)
            settle(self.folder)
        finally:
            Path(draft).unlink(missing_ok=True)

    def read(self, name: str) -> bytes | None:
        """The bytes of that hash; None when they are not there or are not what they were."""
        try:
            picture = (self.folder / name).read_bytes()
        except OSError:
            return None
        return picture if hashlib.sha256(picture).hexdigest() == name else None

    def let_go(self, names: Iterable[str]) -> None:
        """Delete these; one that is gone already is no matter."""
        for name in names:
            (self.folder / name).unlink(missing_ok=True)


def copied(names: Iterable[str], source: Path, dest: Path) -> int:
    """Copy photos from one folder to another where they are not there yet; how many were not to be had."""
    there, here = Album(source), Album(dest)
    missing = 0
    for name in names:
        if here.read(name) is None:
            picture = there.read(name)
            if picture is None:
                missing += 1
            else:
                here.keep(picture)
    return missing


def settle(folder: Path) -> None:
    """Have the disk keep the folder's new names, where it can."""
    with contextlib.suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


# ---- the rows

_WITH_PERSON = (
    sa.select(PICTURES, MESSAGES.c.person, MESSAGE_WORDS.c.text)
    .join(MESSAGES, MESSAGES.c.id == PICTURES.c.message)
    .outerjoin(MESSAGE_WORDS, MESSAGE_WORDS.c.message == PICTURES.c.message)  # written last in a turn
)


def found(
    connection: Connection,
    room: int,
    *,
    name: str | None = None,
    messages: Sequence[int] | None = None,
    limit: int | None = None,
) -> list[KeptPicture]:
    """Photos on record, newest first; `name`: those that show that place or batch."""
    wanted = _WITH_PERSON.where(PICTURES.c.room == room)
    if name is not None:  # the quotes of JSON keep “tank 1” apart from “tank 11”
        wanted = wanted.where(PICTURES.c.names.contains(json.dumps(name, ensure_ascii=False), autoescape=True))
    if messages is not None:
        wanted = wanted.where(PICTURES.c.message.in_(list(messages)))
    wanted = wanted.order_by(PICTURES.c.kept_at.desc(), PICTURES.c.message.desc())
    every = (_picture(row) for row in connection.execute(wanted.limit(limit if name is None else None)))
    return list(islice((p for p in every if name is None or name in p.names), limit))  # SQLite's LIKE knows no capitals


def latest_of(
    connection: Connection, room: int, person: str, chat: str, since: dt.datetime, *, before: int
) -> KeptPicture | None:
    """The last photo this person sent in this chat since then, in a message before that number."""
    wanted = _WITH_PERSON.where(
        PICTURES.c.room == room,
        MESSAGES.c.person == person,
        MESSAGES.c.chat == chat,
        MESSAGES.c.sent >= since,
        PICTURES.c.message < before,
    )
    row = connection.execute(wanted.order_by(PICTURES.c.message.desc()).limit(1)).first()
    return _picture(row) if row else None


def put(connection: Connection, room: int, message: int, names: Iterable[str], sha256: str, at: dt.datetime) -> None:
    """Keep the row of a photo whose bytes are on the disk."""
    values = {"message": message, "room": room, "names": _json(names), "sha256": sha256, "kept_at": at}
    connection.execute(PICTURES.insert(), values)


def name(connection: Connection, message: int, names: Iterable[str]) -> None:
    """Say what the photo of a message shows."""
    connection.execute(PICTURES.update().where(PICTURES.c.message == message).values(names=_json(names)))


def drop(connection: Connection, messages: Sequence[int] | sa.Select[Any]) -> list[str]:
    """Take out the rows of these messages; the hashes no row of any room holds any more."""
    gone = set(
        connection.execute(
            PICTURES.delete().where(PICTURES.c.message.in_(messages)).returning(PICTURES.c.sha256)
        ).scalars()
    )
    still = connection.execute(sa.select(PICTURES.c.sha256).where(PICTURES.c.sha256.in_(sorted(gone)))).scalars()
    return sorted(gone - set(still))


def call_anew(connection: Connection, room: int, old: str, new: str) -> None:
    """Photos of a place or batch show it under its new name."""
    for photo in found(connection, room, name=old):
        name(connection, photo.message, [new if n == old else n for n in photo.names])


def _json(names: Iterable[str]) -> str:
    return json.dumps(list(dict.fromkeys(names)), ensure_ascii=False)


def _picture(row: Any) -> KeptPicture:
    return KeptPicture(row.message, row.person, tuple(json.loads(row.names)), row.sha256, row.kept_at, row.text or "")
