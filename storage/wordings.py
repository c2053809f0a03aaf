"""A message that was edited or mended: its wordings, and what stands of all they logged."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from shared.ledger.standing import Entry
from storage import entries
from storage.messages import WITH_WORDS, KeptMessage, message_of
from storage.tables import ENTRIES, MESSAGES, RETRACTIONS


def found(
    connection: Connection, room: int, door: str, delivery: str, person: str, sent: dt.datetime
) -> list[KeptMessage]:
    """The message of that id and its edits, as they came. An edit has the time of the message it changes."""
    edit = f"{delivery}:e"
    rows = connection.execute(
        _OF_ONE, {"of": room, "at_door": door, "first": delivery, "edit": edit, "behind": f"{delivery}:f"}
    )
    return [
        message_of(row)
        for row in rows
        if row.person == person and row.sent == sent and (row.delivery == delivery or row.delivery.startswith(edit))
    ]


def entries_of(connection: Connection, room: int, told: Sequence[int]) -> list[Entry]:
    """What these wordings of one message logged, through what was mended in it since, so far as it stands."""
    here = ENTRIES.c.room == room
    ours = connection.execute(sa.select(ENTRIES.c.seq, ENTRIES.c.kind).where(here, ENTRIES.c.message.in_(told)))
    family = new = {row.seq: row.kind for row in ours}
    while new:  # a mending may have been mended in its turn
        new = {seq: kind for seq, kind in _mended(connection, room, new).items() if seq not in family}
        family = family | new
    listed = entries.numbered(connection, room, sorted(family))
    gone = set(
        connection.execute(
            sa.select(RETRACTIONS.c.seq).where(RETRACTIONS.c.room == room, RETRACTIONS.c.seq.in_(family))
        ).scalars()
    )
    # what took an older wording back is no news of its own
    return [e for e in listed if e.seq not in gone and not (e.retracts and set(e.retracts) <= set(family))]


def _mended(connection: Connection, room: int, kinds: dict[int, str]) -> dict[int, str]:
    """The entries put in place of these when they were mended, with their kinds."""
    by = sa.and_(ENTRIES.c.room == RETRACTIONS.c.room, ENTRIES.c.seq == RETRACTIONS.c.by)
    mendings = (
        sa.select(RETRACTIONS.c.seq, ENTRIES.c.seq, ENTRIES.c.message)
        .join(ENTRIES, by)
        .where(RETRACTIONS.c.room == room, RETRACTIONS.c.seq.in_(kinds), ENTRIES.c.kind == "fix")
    )
    placed: dict[int, str] = {}
    for seq, fix, message in connection.execute(mendings).all():
        same = ENTRIES.c.room == room, ENTRIES.c.message == message, ENTRIES.c.kind == kinds[seq], ENTRIES.c.seq > fix
        placed |= dict.fromkeys(connection.execute(sa.select(ENTRIES.c.seq).where(*same)).scalars(), kinds[seq])
    return placed


# Made once: building a statement takes longer than running it. By the delivery's own index, for after an hour without
# a connection a hundred messages may come with one time.
_OF_ONE = WITH_WORDS.where(
    MESSAGES.c.room == sa.bindparam("of"),
    MESSAGES.c.door == sa.bindparam("at_door"),
    sa.or_(
        MESSAGES.c.delivery == sa.bindparam("first"),
        sa.and_(MESSAGES.c.delivery >= sa.bindparam("edit"), MESSAGES.c.delivery < sa.bindparam("behind")),
    ),
).order_by(MESSAGES.c.id)
