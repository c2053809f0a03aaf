"""The part of the database that is one room's."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from storage.engine import Database, RoomInfo
from storage.tables import ROOMS

_ROOM_ROW = sa.select(ROOMS).where(ROOMS.c.id == sa.bindparam("room")).with_for_update()


class OneRoom:
    """What every side of a room's book has: the database, and which room it is."""

    def __init__(self, database: Database, info: RoomInfo) -> None:
        self._database = database
        self._info = info

    @property
    def info(self) -> RoomInfo:
        return self._info

    @contextmanager
    def _writing(self) -> Iterator[tuple[Connection, Any]]:
        """A transaction in which nobody else writes to this room, and the room's row."""
        with self._database.writing() as connection:
            yield connection, connection.execute(_ROOM_ROW, {"room": self._info.id}).one()
