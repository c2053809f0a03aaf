"""An old notebook typed up: dated messages from a file, each logged once however often the file is run."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from bot.hear import hear
from storage.journal import Message, RoomBook
from storage.sheets import EARLIEST_YEAR, decoded
from storage.trouble import StorageTrouble

_HEAD = re.compile(r"^(\d{4}-\d\d-\d\d)[ T](\d\d:\d\d)\s+([^:]{1,60}):\s?(.*)$")
A_YEAR = dt.timedelta(days=366)  # further ahead is a slip of the pen; less may be a machine whose clock is behind


class NotebookTrouble(StorageTrouble):
    """A line of the file that cannot be understood."""


@dataclass(frozen=True)
class Note:
    """One dated message of the notebook."""

    minute: dt.datetime  # local, without zone
    person: str
    text: str
    line: int


def notes_in(text: str, until: dt.datetime, name: str = "the file") -> Iterator[Note]:
    """The messages of a notebook: a dated head, indented lines continue it, `#` begins a comment.

    Raises NotebookTrouble naming the line that is neither, or is of a day that has not been or cannot have been.
    """
    note: Note | None = None
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith("#") or not line.strip():
            continue
        if line[0].isspace():
            if note is None:
                raise NotebookTrouble(f"{name}, line {number}: continues a message, but there is none before it")
            note = Note(note.minute, note.person, f"{note.text}\n{line.strip()}", note.line)
            continue
        found = _HEAD.match(line)
        try:
            minute = dt.datetime.fromisoformat(f"{found[1]}T{found[2]}") if found else None
        except ValueError:
            minute = None
        if found is None or minute is None:
            raise NotebookTrouble(
                f"{name}, line {number}: “{line[:60]}” does not begin like “2026-03-09 18:30 Rosa: …”; "
                "nothing was logged"
            )
        if not minute.year >= EARLIEST_YEAR or minute > until:
            wrong = "is still to come" if minute > until else "is too long ago"
            raise NotebookTrouble(f"{name}, line {number}: {found[1]} {found[2]} {wrong}; nothing was logged")
        if note:
            yield note
        note = Note(minute, found[3].strip(), found[4].strip(), number)
    if note:
        yield note


def replay(book: RoomBook, file: Path) -> int:
    """Say every message of the file in its own time; prints each with its reply and the sums at the end."""
    try:
        text = decoded(file.read_bytes())
    except OSError as trouble:
        raise NotebookTrouble(f"{file} cannot be read ({trouble.strerror}); nothing was logged") from None
    if text is None:
        raise NotebookTrouble(f"{file} is not UTF-8 text; nothing was logged")
    until = dt.datetime.now(book.info.zone).replace(tzinfo=None) + A_YEAR
    seen: Counter[tuple[str, ...]] = Counter()
    told: Counter[str] = Counter()
    for note in list(notes_in(text, until, str(file))):
        minute = note.minute.isoformat(timespec="minutes")
        same = (book.info.name, minute, note.person.casefold(), note.text)
        seen[same] += 1
        mark = hashlib.sha256("\x00".join((*same, str(seen[same]))).encode()).hexdigest()[:32]
        person = book.person_named(note.person)
        sent = note.minute.replace(tzinfo=book.info.zone)
        before = book.standing().seq
        reply = hear(book, Message("replay", mark, f"replay:{person.key}", person.key, note.text, sent))
        fresh = book.standing().seq - before
        print(f"{minute.replace('T', ' ')} {note.person}: {note.text}")
        for line in reply.text.splitlines():
            print(f"    {line}")
        told["logged"] += fresh > 0
        told["asked about"] += reply.outcome == "ask"
        told["not understood"] += reply.outcome == "none"
        told["entries"] += fresh
    print(
        f"{told['logged']} messages logged ({told['entries']} entries), {told['asked about']} asked about, "
        f"{told['not understood']} with nothing to log."
    )
    return 0
