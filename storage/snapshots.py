"""How a room stands, added up from its entries, with snapshots so that it does not take longer with the years.

A snapshot after entry N is the sum of entries 1..N that stand. Taking an entry back puts the snapshots from that entry
on right, as far as it makes a difference, so every snapshot there is can be built upon. Those made by another way of
adding up are passed over. All of them can be thrown away and made again.
"""

from __future__ import annotations

import datetime as dt
import gc
import json
import zlib
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from shared.events import Renamed
from shared.ledger.standing import FOLDING, Entry, Kept, Standing
from storage import entries
from storage.tables import ENTRIES, ENTRY_WORDS, ROOMS, SNAPSHOTS, inserted_once

EVERY = 200  # entries from one snapshot to the next
NEWEST = 8  # so many are kept of each fineness: every one, every second, fourth …
COARSEST = 16  # … up to every 16th, and those for good, so that the long past is never far from one
KEPT_OPEN = ("promises", "reminders", "put_off", "settings")


@dataclass
class Sum:
    """What stands after entry `seq`; the latest that any of it happened; the latest that any of it was said.

    Taking an entry back counts as said with it: the sum without that entry was not known earlier.
    """

    standing: Standing
    seq: int = 0
    latest_at: dt.datetime | None = None
    latest_said: dt.datetime | None = None

    def add(self, entry: Entry, gone: Mapping[int, dt.datetime] = MappingProxyType({})) -> None:
        """Take one more entry in; one that has been taken back only moves the end."""
        taken_back = gone.get(entry.seq)
        if taken_back and not isinstance(entry.event, Renamed):  # taking back a renaming is one more renaming
            self.standing.seq = max(self.standing.seq, entry.seq)
        else:
            self.standing.apply(entry)
        self.seq = max(self.seq, entry.seq)
        self.latest_at = max(self.latest_at or entry.at, entry.at)
        self.latest_said = max(self.latest_said or entry.said, entry.said, taken_back or entry.said)


def written(standing: Standing) -> dict[str, Any]:
    """The standing as JSON, without anyone's free words and without what is as it is by default."""
    raw = standing.model_dump(mode="json", by_alias=True, exclude=set(KEPT_OPEN), exclude_defaults=True)
    return raw | {name: [entries.without_words(kept) for kept in getattr(standing, name)] for name in KEPT_OPEN}


def packed(standing: Standing) -> bytes:
    """The standing as it is kept."""
    return zlib.compress(_dumped(standing), 1)


def _dumped(standing: Standing) -> bytes:
    return json.dumps(written(standing), separators=(",", ":")).encode()


def read(body: bytes) -> dict[str, Any]:
    """What `written` was kept as."""
    return json.loads(zlib.decompress(body))  # type: ignore[no-any-return]


@contextmanager
def _none_of_it_garbage() -> Iterator[None]:
    """Python looks for garbage the oftener the more is made; reading a whole room takes twice as long for it."""
    looking = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if looking:
            gc.enable()


def _unpacked(connection: Connection, room: int, body: bytes) -> Standing:
    """A standing out of what was kept, with the free words of what stays open put back where they still are."""
    with _none_of_it_garbage():
        standing = Standing.model_validate_json(zlib.decompress(body))
    lists: list[list[Kept]] = [getattr(standing, name) for name in KEPT_OPEN]
    seqs = [kept.seq for one in lists for kept in one]
    if seqs:
        wanted = sa.select(ENTRY_WORDS.c.seq, ENTRY_WORDS.c.words).where(
            ENTRY_WORDS.c.room == room, ENTRY_WORDS.c.seq.in_(seqs)
        )
        words: dict[int, str] = {row.seq: row.words for row in connection.execute(wanted)}
        for one in lists:
            for index, kept in enumerate(one):
                if kept.seq in words:
                    raw = kept.model_dump(mode="json", by_alias=True)
                    raw["event"].update(json.loads(words[kept.seq]))
                    one[index] = Kept.model_validate(raw)
    return standing


def newest(
    connection: Connection,
    room: int,
    *,
    before: int | None = None,
    at: dt.datetime | None = None,
    known_at: dt.datetime | None = None,
) -> Sum:
    """The newest snapshot (below entry `before`, of only what had happened or been said by then), or nothing."""
    wanted = sa.select(SNAPSHOTS).where(SNAPSHOTS.c.room == room, SNAPSHOTS.c.folding == FOLDING)
    if before is not None:
        wanted = wanted.where(SNAPSHOTS.c.seq < before)
    if at is not None:
        wanted = wanted.where(SNAPSHOTS.c.latest_at <= at)
    if known_at is not None:
        wanted = wanted.where(SNAPSHOTS.c.latest_said <= known_at)
    wanted = wanted.order_by(SNAPSHOTS.c.seq.desc()).limit(1)
    row = connection.execute(wanted).first()
    while row is not None:
        try:
            return Sum(_unpacked(connection, room, row.body), row.seq, row.latest_at, row.latest_said)
        except (ValueError, zlib.error):  # damaged: an older one or the entries give the same
            row = connection.execute(wanted.where(SNAPSHOTS.c.seq < row.seq)).first()
    return Sum(Standing())


def catch_up(connection: Connection, room: int, start: Sum | None, *, keep: bool = False) -> Sum:
    """`start` (or the newest snapshot) with every entry since. `keep`: write snapshots on the way."""
    total = start or newest(connection, room)
    gone = entries.retracted(connection, room, after=total.seq)
    for entry in entries.after(connection, room, total.seq):
        if entry.retracts and start is not None and min(entry.retracts) <= start.seq:
            return catch_up(connection, room, None, keep=keep)  # another program took something older back
        before = total.seq
        total.add(entry, gone)
        if keep and total.seq // EVERY > before // EVERY:
            save(connection, room, total)
    return total


def without(connection: Connection, room: int, taken: Entry) -> Sum | None:
    """Put the snapshots right that hold entries which `taken`, the last of the ledger, has just taken back.

    From the first of them on, each snapshot gets the sum without them, until one is the same to the letter with and
    without: then so is all that is built on it, and only when that was known is later. Feeding is forgotten with the
    next feeding, a batch when it is long over. Gives the sum at the ledger's end, or None when that has not changed.
    """
    from_here = SNAPSHOTS.c.room == room, SNAPSHOTS.c.seq >= min(taken.retracts)
    there = set(connection.execute(sa.select(SNAPSHOTS.c.seq).where(*from_here)).scalars())
    total = newest(connection, room, before=min(taken.retracts))
    gone = entries.retracted(connection, room, after=total.seq)
    with closing(entries.after(connection, room, total.seq)) as since:
        for entry in since:
            total.add(entry, gone)
            if entry.seq not in there:
                continue
            this = SNAPSHOTS.c.room == room, SNAPSHOTS.c.seq == entry.seq
            now = _dumped(total.standing)
            if entry.seq >= max(taken.retracts) and _is(
                connection.execute(sa.select(SNAPSHOTS).where(*this)).one(), now
            ):
                later = SNAPSHOTS.c.seq >= entry.seq, SNAPSHOTS.c.latest_said < taken.said
                connection.execute(SNAPSHOTS.update().where(*from_here, *later).values(latest_said=taken.said))
                return None
            changed = {"latest_said": total.latest_said, "folding": FOLDING, "body": zlib.compress(now, 1)}
            connection.execute(SNAPSHOTS.update().where(*this).values(**changed))
    return total


def _is(row: sa.Row[Any], dumped: bytes) -> bool:
    """Whether a snapshot holds exactly that."""
    try:
        return bool(row.folding == FOLDING and zlib.decompress(row.body) == dumped)
    except zlib.error:
        return False


class Running:
    """A room's sum kept in memory from one turn to the next, and brought up to date when others have written."""

    def __init__(self, room: int) -> None:
        self.room = room
        self.total: Sum | None = None

    def up_to(self, connection: Connection, head: int) -> Sum:
        """The sum of the entries up to the ledger's end, `head`."""
        if self.total is None or self.total.seq != head:
            self.total = catch_up(connection, self.room, self.total)
        return self.total

    def take_back(self, connection: Connection, taken: Entry) -> None:
        """Take in the ledger's newest entry, which takes others back; the sum is that of the entries before it."""
        changed = without(connection, self.room, taken)
        if changed is not None:
            self.total = changed
        elif self.total is not None:
            self.total.add(taken)

    def drop(self) -> None:
        """Let go of it: what it holds may not have been kept."""
        self.total = None


def as_of(connection: Connection, room: int, at: dt.datetime | None, known_at: dt.datetime | None) -> Standing:
    """How the room stood at `at`, by what had been said until `known_at` (None: by all known now)."""
    total = newest(connection, room, at=at, known_at=known_at)
    gone = entries.retracted(connection, room, after=total.seq, known_at=known_at)
    regular = None
    if at is not None:
        # The first entry after `at` that is not late: up to there, all entries are wanted; beyond, only late ones.
        first = sa.select(ENTRIES.c.seq).where(ENTRIES.c.room == room, ENTRIES.c.at > at, sa.text("NOT late"))
        beyond = connection.execute(first.order_by(ENTRIES.c.at, ENTRIES.c.seq).limit(1)).scalar()
        regular = beyond - 1 if beyond is not None else None
    for entry in entries.after(connection, room, total.seq, until=regular, at=at, known_at=known_at):
        total.add(entry, gone)
    if at is not None and regular is not None:
        start = max(regular, total.seq)
        for entry in entries.told_late(connection, room, start, at, known_at):
            total.add(entry, gone)
    return total.standing


def save(connection: Connection, room: int, total: Sum) -> None:
    """Keep a snapshot, and let go of those that are no longer needed beside it."""
    inserted_once(
        connection,
        SNAPSHOTS,
        {
            "room": room,
            "seq": total.seq,
            "latest_at": total.latest_at,
            "latest_said": total.latest_said,
            "folding": FOLDING,
            "body": packed(total.standing),
        },
    )
    kept = connection.execute(
        sa.select(SNAPSHOTS.c.seq).where(SNAPSHOTS.c.room == room).order_by(SNAPSHOTS.c.seq.desc())
    ).scalars()
    last = total.seq // EVERY
    old = [seq for seq in kept if last - seq // EVERY >= NEWEST * _fineness(seq // EVERY)]
    if old:
        connection.execute(SNAPSHOTS.delete().where(SNAPSHOTS.c.room == room, SNAPSHOTS.c.seq.in_(old)))


def _fineness(number: int) -> float:
    """The largest power of two that divides the number, endless from COARSEST on."""
    power = number & -number
    return float("inf") if power >= COARSEST or not number else power


def drop(connection: Connection, room: int) -> None:
    """Throw away a room's snapshots."""
    connection.execute(SNAPSHOTS.delete().where(SNAPSHOTS.c.room == room))


def added_up_otherwise(connection: Connection) -> list[int]:
    """Rooms with snapshots made by another way of adding up, or with years of entries and none at all."""
    of_this = sa.select(SNAPSHOTS.c.room).where(SNAPSHOTS.c.folding == FOLDING)
    of_another = sa.select(SNAPSHOTS.c.room).where(SNAPSHOTS.c.folding != FOLDING)
    bare = sa.and_(ROOMS.c.head > EVERY, ROOMS.c.id.not_in(of_this))
    wanted = sa.select(ROOMS.c.id).where(sa.or_(bare, ROOMS.c.id.in_(of_another)))
    return list(connection.execute(wanted.order_by(ROOMS.c.id)).scalars())
