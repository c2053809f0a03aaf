"""Adding the whole ledger up again from its first entry, to see that what is kept beside it is right."""

from __future__ import annotations

from collections.abc import Iterator

import pydantic
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from shared.ledger.standing import Standing, Tally, out_of_balance
from storage import entries, snapshots
from storage.snapshots import Sum
from storage.tables import ENTRIES, MENTIONS, ROOMS, SNAPSHOTS

MENDS = "Nothing is lost: `roomhand check --mend` makes it anew from the entries."


def faults(connection: Connection, room: int, running: Sum | None) -> Iterator[str]:
    """What does not add up, in sentences: the file, the numbering, the snapshots, the running sum, the fish."""
    yield from _of_the_file(connection)
    head = connection.execute(sa.select(ROOMS.c.head).where(ROOMS.c.id == room)).scalar_one()
    kept = sa.select(SNAPSHOTS.c.seq, SNAPSHOTS.c.body).where(SNAPSHOTS.c.room == room)
    packs: dict[int, bytes] = {row.seq: row.body for row in connection.execute(kept)}
    total, names = Sum(Standing()), 0
    gone = entries.retracted(connection, room)
    try:
        for entry in entries.after(connection, room, 0):
            if entry.seq != total.seq + 1:
                yield f"Between entries {total.seq} and {entry.seq} of the ledger something is missing."
            total.add(entry, gone)
            names += len(entry.names)
            if entry.seq in packs and not _same(total.standing, packs.pop(entry.seq)):
                yield f"The snapshot after entry {entry.seq} is not the sum of the entries. {MENDS}"
    except (pydantic.ValidationError, ValueError, KeyError) as trouble:
        yield f"Entry {total.seq + 1} cannot be read: {trouble}".splitlines()[0]
        return
    if total.seq != head:
        yield f"The ledger should end with entry {head} and ends with {total.seq}."
    for seq in packs:
        yield f"There is a snapshot after entry {seq}, and no such entry. {MENDS}"
    counted = sa.select(sa.func.count()).select_from(MENTIONS).where(MENTIONS.c.room == room)
    found = connection.execute(counted).scalar_one()
    if found != names:
        yield f"Entries are to be found under {names} names in all and are found under {found}. {MENDS}"
    if running is not None and running.seq == total.seq and not _alike(running.standing, total.standing):
        yield f"What the running program has added up is not the sum of the entries. {MENDS}"
    yield from out_of_balance(total.standing)


def _of_the_file(connection: Connection) -> Iterator[str]:
    if connection.dialect.name != "sqlite":
        return
    for (line,) in connection.exec_driver_sql("PRAGMA integrity_check"):
        if line != "ok":
            yield f"The database file is damaged: {line}."
    for table, *_ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        yield f"A row of {table} points at something that is not there."


def _alike(one: Standing, other: Standing) -> bool:
    return snapshots.written(_bare(one)) == snapshots.written(_bare(other))


def _same(standing: Standing, pack: bytes) -> bool:
    kept = snapshots.read(pack)
    told = {name: tally for name, tally in kept.get("group_tallies", {}).items() if Tally(**tally) != Tally()}
    found = snapshots.written(_bare(standing))
    return {"group_tallies": {}, **found} == kept | {"group_tallies": told}


def _bare(standing: Standing) -> Standing:
    """Without the empty tallies that looking at a group leaves behind."""
    told = {name: tally for name, tally in standing.group_tallies.items() if tally != Tally()}
    return standing.model_copy(update={"group_tallies": told})


def rebuild(connection: Connection, room: int) -> Sum:
    """Throw away all that is made from the entries (snapshots, the names they are found by) and make it anew."""
    snapshots.drop(connection, room)
    connection.execute(MENTIONS.delete().where(MENTIONS.c.room == room))
    total = snapshots.catch_up(connection, room, None, keep=True)
    batch: list[dict[str, object]] = []
    for entry in entries.after(connection, room, 0, names=entries.renamings(connection, room)):
        batch += [{"room": room, "name": name, "at": entry.at, "seq": entry.seq} for name in sorted(entry.names)]
        if len(batch) > 5000:
            connection.execute(MENTIONS.insert(), batch)
            batch = []
    if batch:
        connection.execute(MENTIONS.insert(), batch)
    counted = sa.select(sa.func.max(ENTRIES.c.seq), sa.func.max(ENTRIES.c.at)).where(ENTRIES.c.room == room)
    head, latest = connection.execute(counted).one()
    connection.execute(ROOMS.update().where(ROOMS.c.id == room), {"head": head or 0, "latest_at": latest})
    return total
