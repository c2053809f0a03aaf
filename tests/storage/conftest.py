"""Real databases for the tests: SQLite files, and a PostgreSQL server started for them."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest

from shared.room import RoomCard
from storage.engine import Database, open_database
from storage.journal import RoomBook
from tests.storage import server

_numbers = itertools.count()


@pytest.fixture(scope="session")
def socket() -> Iterator[str]:
    programs = server.binaries()
    if programs is None:
        pytest.skip("no PostgreSQL server is installed here, so it was not tested")
    with server.running(programs) as folder:
        yield folder


@pytest.fixture(scope="session")
def new_postgres(socket: str) -> Callable[[], str]:
    """Makes an empty database on the server; gives its address."""

    def make() -> str:
        name = f"room{next(_numbers)}"
        with psycopg.connect(host=socket, user="postgres", autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name} STRATEGY file_copy".encode())
        return f"postgresql://postgres@/{name}?host={socket}"

    return make


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of an empty database of either kind."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path}/kept/room.db"
    return str(request.getfixturevalue("new_postgres")())


@pytest.fixture
def database(url: str) -> Iterator[Database]:
    opened = open_database(url)
    yield opened
    opened.close()


@pytest.fixture
def book(database: Database) -> RoomBook:
    return database.create_room(RoomCard(name="Millrace room", timezone="America/Chicago"))
