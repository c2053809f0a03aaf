"""Texts put by until a door's gateway fetches them: each is handed out at most once, over restarts too."""

from __future__ import annotations

import datetime as dt

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from storage.tables import ADDRESSES, WAITING

MOST = 200  # kept at one door for a gateway that does not come


def put(connection: Connection, room: int, door: str, address: str, text: str, at: dt.datetime) -> bool:
    """Put a text by; False when too many wait already."""
    here = sa.select(sa.func.count()).where(WAITING.c.room == room, WAITING.c.door == door)
    if connection.execute(here).scalar_one() >= MOST:
        return False
    values = {"room": room, "door": door, "address": address, "text": text, "put": at}
    connection.execute(WAITING.insert(), values)
    return True


def take(connection: Connection, room: int, door: str, since: dt.datetime) -> list[tuple[str, str]]:
    """All that waits at a door as (address, text), oldest first; it waits no more.

    What was put by before `since` is let go, and what is for somebody who is not of the room any more.
    """
    taken = connection.execute(
        WAITING.delete().where(WAITING.c.room == room, WAITING.c.door == door).returning(*WAITING.c)
    ).all()
    members = sa.select(ADDRESSES.c.address).where(ADDRESSES.c.room == room, ADDRESSES.c.door == door)
    known = set(connection.execute(members).scalars())
    return [(r.address, r.text) for r in sorted(taken, key=lambda r: r.id) if r.put >= since and r.address in known]


def drop(connection: Connection, room: int, door: str, address: str) -> None:
    """Let go of what waits for one address."""
    connection.execute(
        WAITING.delete().where(WAITING.c.room == room, WAITING.c.door == door, WAITING.c.address == address)
    )
