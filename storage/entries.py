"""Entries of the ledger as rows and back, and finding them again.

An entry's free words are kept apart from its body, so that a body, and what is added up from it, needs none.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Collection, Generator, Iterable, Iterator
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from shared.ledger.renaming import Renaming, as_called_now
from shared.ledger.standing import Entry, Kept
from storage.tables import ENTRIES, ENTRY_WORDS, MENTIONS, RETRACTIONS

# The keys of an event that hold a person's own words or name, by kind.
FREE_WORDS: dict[str, tuple[str, ...]] = {
    "remark": ("text",),
    "remind": ("text",),
    "sale": ("buyer",),
    "reserve": ("buyer",),
    "release": ("buyer",),
    "stock_in": ("source",),
    "setting": ("person",),
    "fix": ("text", "buyer", "source", "person", "of"),
}
_COLUMNS = {"seq", "at", "said", "person", "message"}
_AT_ONCE = 1000  # rows fetched at a time when reading long stretches

_ITS_WORDS = sa.and_(ENTRY_WORDS.c.room == ENTRIES.c.room, ENTRY_WORDS.c.seq == ENTRIES.c.seq)
_JOINED = ENTRIES.outerjoin(ENTRY_WORDS, _ITS_WORDS)
_SELECTED = sa.select(
    ENTRIES.c.seq,
    ENTRIES.c.kind,
    ENTRIES.c.at,
    ENTRIES.c.said,
    ENTRIES.c.person,
    ENTRIES.c.message,
    ENTRIES.c.body,
    ENTRY_WORDS.c.words,
).select_from(_JOINED)


def row_of(room: int, entry: Entry, *, late: bool) -> tuple[dict[str, Any], dict[str, Any] | None]:
    """The entry's row, and the row of its free words when it has any."""
    body = entry.model_dump(mode="json", by_alias=True, exclude=_COLUMNS, exclude_defaults=True)
    words = {key: body["event"].pop(key) for key in FREE_WORDS.get(entry.event.kind, ()) if key in body["event"]}
    row = {
        "room": room,
        "seq": entry.seq,
        "kind": entry.event.kind,
        "at": entry.at,
        "said": entry.said,
        "person": entry.person,
        "message": entry.message,
        "late": late,
        "body": dumped(body),
    }
    return row, {"room": room, "seq": entry.seq, "words": dumped(words)} if words else None


def entry_of(row: Any, renamings: Iterable[Renaming] = ()) -> Entry:
    """The entry a selected row holds, in the names of today where `renamings` tell them."""
    body = as_called_now(json.loads(row.body), row.seq, renamings)
    body["event"]["kind"] = row.kind  # left out as the kind's default
    if row.words:
        body["event"].update(json.loads(row.words))
    for name in _COLUMNS:
        body[name] = getattr(row, name)
    return Entry.model_validate(body)


dumped = json.JSONEncoder(separators=(",", ":")).encode  # made once: json.dumps makes one each time


def canonical(entry: Entry) -> Entry:
    """The entry as it will be read back: what was given as loose values comes out of JSON the same."""
    return Entry.model_validate_json(entry.model_dump_json(by_alias=True))


def after(
    connection: Connection,
    room: int,
    seq: int,
    *,
    until: int | None = None,
    at: dt.datetime | None = None,
    known_at: dt.datetime | None = None,
    names: Iterable[Renaming] = (),
) -> Generator[Entry, None, None]:
    """The entries numbered above `seq` (up to `until`), in their order, without holding them all at once.

    `at`, `known_at`: only what had happened, had been said, by then; what things are called is as now whenever it was.
    `names`: told in the names of today, where these say them.
    """
    wanted = _SELECTED.where(ENTRIES.c.room == room, ENTRIES.c.seq > seq)
    if until is not None:
        wanted = wanted.where(ENTRIES.c.seq <= until)
    if at is not None:
        named = [one.seq for one in renamings(connection, room)]
        wanted = wanted.where(sa.or_(ENTRIES.c.at <= at, ENTRIES.c.seq.in_(named)) if named else ENTRIES.c.at <= at)
    if known_at is not None:
        wanted = wanted.where(ENTRIES.c.said <= known_at)
    wanted = wanted.order_by(ENTRIES.c.seq)
    with connection.execute(wanted.execution_options(yield_per=_AT_ONCE)) as rows:
        for row in rows:
            yield entry_of(row, names)


def told_late(
    connection: Connection, room: int, seq: int, at: dt.datetime, known_at: dt.datetime | None = None
) -> Iterator[Entry]:
    """The entries numbered above `seq` that happened by `at`, where all but those told late happened after it.

    Renamings are among them: what things are called is as now whenever it was.
    """
    seqs = {found for found in connection.execute(_LATE, {"of": room, "until": at}).scalars() if found > seq}
    seqs |= {one.seq for one in renamings(connection, room) if one.seq > seq}
    listed = sorted(seqs)
    for start in range(0, len(listed), _AT_ONCE):
        wanted = _SELECTED.where(ENTRIES.c.room == room, ENTRIES.c.seq.in_(listed[start : start + _AT_ONCE]))
        if known_at is not None:
            wanted = wanted.where(ENTRIES.c.said <= known_at)
        for row in connection.execute(wanted.order_by(ENTRIES.c.seq)):
            yield entry_of(row)


def retracted(
    connection: Connection, room: int, *, after: int = 0, known_at: dt.datetime | None = None
) -> dict[int, dt.datetime]:
    """The numbers above `after` of the entries taken back (by what had been said by `known_at`), and when."""
    taking_back = sa.and_(ENTRIES.c.room == RETRACTIONS.c.room, ENTRIES.c.seq == RETRACTIONS.c.by)
    wanted = (
        sa.select(RETRACTIONS.c.seq, ENTRIES.c.said)
        .select_from(RETRACTIONS.join(ENTRIES, taking_back))
        .where(RETRACTIONS.c.room == room, RETRACTIONS.c.seq > after)
    )
    if known_at is not None:
        wanted = wanted.where(ENTRIES.c.said <= known_at)
    return {row.seq: row.said for row in connection.execute(wanted)}


def renamings(connection: Connection, room: int) -> list[Renaming]:
    """What is called otherwise than before and since which entry, those taken back followed by their undoing."""
    rows = connection.execute(_RENAMED, {"of": room}).all()
    told = [(Renaming(row.seq, **json.loads(row.body)["event"]), row.by) for row in rows]
    back = [Renaming(by, one.new, one.old) for one, by in told if by is not None]
    return sorted([*(one for one, _ in told), *back])


_RENAMED = (
    sa.select(ENTRIES.c.seq, ENTRIES.c.body, RETRACTIONS.c.by)
    .select_from(
        ENTRIES.outerjoin(
            RETRACTIONS, sa.and_(RETRACTIONS.c.room == ENTRIES.c.room, RETRACTIONS.c.seq == ENTRIES.c.seq)
        )
    )
    .where(ENTRIES.c.room == sa.bindparam("of"), ENTRIES.c.kind == "rename")
    .order_by(ENTRIES.c.at, ENTRIES.c.seq)  # the index's order: without it SQLite goes through all entries of the room
)
_LATE = (
    sa.select(ENTRIES.c.seq)
    .where(ENTRIES.c.room == sa.bindparam("of"), ENTRIES.c.at <= sa.bindparam("until"), sa.text("late"))
    .order_by(ENTRIES.c.at)  # the same
)


def taken_back_by(connection: Connection, room: int) -> dict[int, int]:
    """For each entry taken back, the number of the entry that did."""
    wanted = sa.select(RETRACTIONS.c.seq, RETRACTIONS.c.by).where(RETRACTIONS.c.room == room)
    return {row.seq: row.by for row in connection.execute(wanted)}


def found(
    connection: Connection,
    room: int,
    *,
    name: str | None = None,
    kinds: Collection[str] | None = None,
    since: dt.datetime | None = None,
    until: dt.datetime | None = None,
    person: str | None = None,
    messages: Iterable[int] | None = None,
    limit: int | None = None,
    newest_first: bool = False,
    include_retracted: bool = False,
) -> list[Entry]:
    """The entries that fit, in the order they happened (and, at the same time, were said)."""
    # few messages are found by their index, which SQLite leaves for the room's where it may
    wanted = _SELECTED.where((ENTRIES.c.room if messages is None else ENTRIES.c.room + 0) == room)
    at, seq = ENTRIES.c.at, ENTRIES.c.seq
    if name is not None:
        here = sa.and_(MENTIONS.c.room == room, MENTIONS.c.name == name, MENTIONS.c.seq == ENTRIES.c.seq)
        wanted = wanted.select_from(_JOINED.join(MENTIONS, here))
        at, seq = MENTIONS.c.at, MENTIONS.c.seq
    if kinds is not None:
        wanted = wanted.where(ENTRIES.c.kind.in_(sorted(kinds)))
    if since is not None:
        wanted = wanted.where(at >= since)
    if until is not None:
        wanted = wanted.where(at <= until)
    if person is not None:
        wanted = wanted.where(ENTRIES.c.person == person)
    if messages is not None:
        wanted = wanted.where(ENTRIES.c.message.in_(list(messages)))
    if not include_retracted:
        gone = RETRACTIONS.c.room == ENTRIES.c.room, RETRACTIONS.c.seq == ENTRIES.c.seq
        wanted = wanted.where(~sa.exists().where(*gone))
    names = renamings(connection, room)
    if messages is not None:
        few = (entry_of(row, names) for row in connection.execute(wanted))
        return sorted(few, key=lambda entry: (entry.at, entry.seq), reverse=newest_first)[:limit]
    order = (at.desc(), seq.desc()) if newest_first else (at, seq)
    return [entry_of(row, names) for row in connection.execute(wanted.order_by(*order).limit(limit))]


def numbered(connection: Connection, room: int, seqs: Iterable[int]) -> list[Entry]:
    """Entries by their numbers, whether they still stand or not."""
    wanted = _SELECTED.where(ENTRIES.c.room == room, ENTRIES.c.seq.in_(sorted(seqs))).order_by(ENTRIES.c.seq)
    names = renamings(connection, room)
    return [entry_of(row, names) for row in connection.execute(wanted)]


def without_words(kept: Kept) -> dict[str, Any]:
    """An entry that stays open, for a snapshot: its free words stay where they can be forgotten."""
    raw = kept.model_dump(mode="json", by_alias=True)
    for key in FREE_WORDS.get(kept.event.kind, ()):
        raw["event"].pop(key, None)
    return raw
