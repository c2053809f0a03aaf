"""Opening the database: one SQLite file for one room's household, or PostgreSQL, through one open connection.

Whatever goes wrong below comes out as one `StorageTrouble`, which says what happened to the keeper's words.
"""

from __future__ import annotations

import datetime as dt
import secrets
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from sqlalchemy import event, exc
from sqlalchemy.engine import URL, Connection, Engine
from sqlalchemy.pool import StaticPool

from shared.room import RoomCard
from storage import backup, upgrade
from storage.address import pictures_folder, ready_file, shown, url_of
from storage.pictures import Album
from storage.prepared import said_to_sqlite
from storage.tables import ROOMS
from storage.trouble import NoSuchRoom, StorageTrouble, explained

if TYPE_CHECKING:
    from storage.journal import RoomBook

__all__ = ["Database", "NoSuchRoom", "RoomInfo", "StorageTrouble", "open_database", "shown", "url_of"]

PATIENCE_SECONDS = 10.0  # how long to wait while another program writes
SETTINGS = ("name", "timezone", "units", "gallon", "nitrogen_as", "date_order", "currency")


@dataclass(frozen=True)
class RoomInfo:
    """A room's own settings."""

    id: int
    name: str
    timezone: str = "UTC"
    units: str = "us"
    gallon: str = "us"
    nitrogen_as: str = "n"
    date_order: str | None = None
    currency: str | None = None

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.timezone)


def open_database(url: str | None = None, *, create: bool = True, pictures: Path | None = None) -> Database:
    """Open the database at `url`, making or upgrading it where needed.

    `create` false: a missing file is a StorageTrouble. `pictures`: the folder for photos where the database is on a
    server; those of a file are kept beside it. Raises StorageTrouble in clear words for whatever else
    is in the way (not ours, newer, damaged, read-only, locked, no room on the disk, no server).
    """
    meant = url_of(url)
    if meant.get_backend_name() == "sqlite":
        ready_file(Path(meant.database or ""), create)
    with explained("opening", shown(meant)):
        database = Database(_engine(meant), meant, pictures)
        try:
            upgrade.bring_up_to_date(database)
        except BaseException:
            database.close()
            raise
    return database


def _engine(url: URL) -> Engine:
    if url.get_backend_name() != "sqlite":
        server = sa.create_engine(url, pool_size=1, max_overflow=0, connect_args={"connect_timeout": 10})

        @event.listens_for(server, "connect")
        def _patience(connection: Any, _: Any) -> None:
            connection.execute(f"SET lock_timeout = '{PATIENCE_SECONDS}s'")
            connection.commit()

        return server
    engine = sa.create_engine(
        url,
        poolclass=StaticPool,
        connect_args={"check_same_thread": False, "timeout": PATIENCE_SECONDS, "isolation_level": None},
    )

    @event.listens_for(engine, "connect")
    def _set(connection: sqlite3.Connection, _: Any) -> None:
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "secure_delete=ON"):
            connection.execute(f"PRAGMA {pragma}")

    return engine


class Database:
    """An open database. One connection, one transaction at a time; safe to share between threads."""

    def __init__(self, engine: Engine, url: URL, pictures: Path | None = None) -> None:
        self._engine = engine
        self._url = url
        self.album = Album(pictures_folder(url, pictures))
        self._lock = threading.RLock()
        self._kept: Connection | None = None
        self._depth = 0
        self.transactions = 0  # begun so far: what was read in this one still holds in it
        self._writing = False
        self._broken = False

    @property
    def url(self) -> str:
        """The address it was opened at, without a password."""
        return shown(self._url)

    @property
    def sqlite(self) -> bool:
        return self._engine.dialect.name == "sqlite"

    @property
    def file(self) -> Path | None:
        return Path(self._url.database or "") if self.sqlite else None

    @property
    def busy(self) -> bool:
        """Whether a transaction is open in this thread (other threads are waited for)."""
        with self._lock:
            return self._depth > 0

    def close(self) -> None:
        with self._lock:
            if self._kept is not None:
                self._kept.close()
                self._kept = None
            self._engine.dispose()

    # ---- transactions

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Other threads of this program wait; nothing is begun yet."""
        with self._lock:
            yield

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction to read in; inside another one, that one."""
        with self._transaction(writing=False) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction to write in: all of it is kept at the end, or, on any exception, nothing."""
        with self._transaction(writing=True) as connection:
            yield connection

    @contextmanager
    def _transaction(self, *, writing: bool) -> Iterator[Connection]:
        with self._lock:
            if self._depth:
                if writing and not self._writing:
                    raise RuntimeError("cannot write inside a reading transaction")
                self._depth += 1
                try:
                    assert self._kept is not None
                    yield self._kept
                except BaseException:
                    self._broken = True
                    raise
                finally:
                    self._depth -= 1
                return
            with explained("writing" if writing else "reading", self.url):
                connection = self._begun(writing)
                self._depth, self._writing, self._broken = 1, writing, False
                self.transactions += 1
                try:
                    yield connection
                    if writing and self._broken:
                        raise RuntimeError("a part of this failed, so nothing of it was kept")
                    connection.commit()
                except BaseException:
                    self._give_up(connection)
                    raise
                finally:
                    self._depth = 0

    def _begun(self, writing: bool) -> Connection:
        """The kept connection with a transaction begun; opened again when the server dropped it meanwhile."""
        for attempt in (1, 2):
            if self._kept is None:
                self._kept = self._engine.connect()
            try:
                self._kept.begin()
                if self.sqlite:  # said here: with a listener for it every statement would look for listeners
                    said_to_sqlite(self._kept, "BEGIN IMMEDIATE" if writing else "BEGIN")
                else:  # reads see one moment; asking also shows whether the server is still there
                    level = "READ COMMITTED" if writing else "REPEATABLE READ, READ ONLY"
                    self._kept.exec_driver_sql(f"SET TRANSACTION ISOLATION LEVEL {level}")
            except exc.DBAPIError as trouble:
                self._give_up(self._kept)
                if attempt == 1 and trouble.connection_invalidated:
                    continue
                raise
            return self._kept
        raise AssertionError

    def _give_up(self, connection: Connection) -> None:
        try:
            connection.rollback()
        except exc.SQLAlchemyError:
            connection.invalidate()
        if connection.invalidated:
            connection.close()
            self._kept = None

    def sweep(self) -> None:
        """Leave nothing of what was deleted in the file's journal (the pages themselves are overwritten)."""
        with self._lock:
            if self.sqlite and self._kept is not None and not self._depth:
                self._kept.connection.dbapi_connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # type: ignore

    # ---- copies

    def backup(self, dest: str | Path) -> Path:
        """A consistent copy while in use: see `storage.backup.backup`."""
        return backup.backup(self, dest)

    # ---- rooms

    def rooms(self) -> list[RoomInfo]:
        with self.reading() as connection:
            return [_info(row) for row in connection.execute(sa.select(ROOMS).order_by(ROOMS.c.id))]

    def create_room(self, card: RoomCard) -> RoomBook:
        """A new, empty room with the card's settings (its tanks and lines are entries, made elsewhere)."""
        settings = {name: getattr(card, name) for name in SETTINGS} | {"salt": secrets.token_bytes(16)}
        try:
            with self.writing() as connection:
                if any(known.name.casefold() == card.name.casefold() for known in self.rooms()):
                    raise _Taken
                made = connection.execute(ROOMS.insert().returning(ROOMS), settings).one()
        except (_Taken, exc.IntegrityError):
            raise StorageTrouble(f"There is a room called “{card.name}” here already. Nothing was changed.") from None
        return self._book(_info(made))

    def room(self, name: str | None = None) -> RoomBook:
        """The room of that name, or the only one. Raises NoSuchRoom, listing those there are."""
        rooms = self.rooms()
        listed = ", ".join(f"“{room.name}”" for room in rooms)
        if not rooms:
            raise NoSuchRoom(f"No room is kept at {self.url} yet. `roomhand setup` makes one.")
        if name is None:
            if len(rooms) == 1:
                return self._book(rooms[0])
            raise NoSuchRoom(f"Several rooms are kept here: {listed}. Say which with --room.")
        for room in rooms:
            if room.name.casefold() == name.casefold():
                return self._book(room)
        raise NoSuchRoom(f"There is no room called “{name}” here, only {listed}.")

    def _book(self, info: RoomInfo) -> RoomBook:
        from storage.journal import RoomBook

        return RoomBook(self, info)


class _Taken(Exception):
    """The name belongs to another room."""


def _info(row: Any) -> RoomInfo:
    return RoomInfo(id=row.id, **{name: getattr(row, name) for name in SETTINGS})


def now() -> dt.datetime:
    """The one place where storage reads the clock, for those who do not say the time themselves."""
    return dt.datetime.now(dt.UTC)
