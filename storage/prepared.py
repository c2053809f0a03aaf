"""The few statements every message needs, made ready for the driver once and not each time.

To make a statement, its values and its rows ready takes several times as long as SQLite takes to do it.
"""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections import namedtuple
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

from sqlalchemy import exc
from sqlalchemy.engine import Connection, Dialect

from storage.tables import Moment

Values = dict[str, Any]


class Prepared:
    """A statement whose values have the same names each time; made by `statement` for the dialect of that name.

    On a server, where the way there takes longer than all this, it is done as any other.
    """

    def __init__(self, statement: Callable[[str], Any]) -> None:
        self._statement = statement
        self._ready: _Ready | None = None

    def rows(self, connection: Connection, values: Values) -> Sequence[Any]:
        """What it finds, each by the names of its columns."""
        if connection.dialect.name != "sqlite":
            return connection.execute(self._statement(connection.dialect.name), values).all()
        ready = self._ready or self._made_ready(connection.dialect, values)
        found = ready.done(connection, (values,)).fetchall()
        return ready.told(found) if found else ()

    def run(self, connection: Connection, many: Sequence[Values]) -> None:
        """Do it once for each of these."""
        if connection.dialect.name != "sqlite":
            connection.execute(self._statement(connection.dialect.name), many)
            return
        ready = self._ready or self._made_ready(connection.dialect, many[0])
        ready.done(connection, many)

    def _made_ready(self, dialect: Dialect, values: Values) -> _Ready:
        self._ready = _Ready(self._statement(dialect.name), dialect, list(values))
        return self._ready


def prepared(statement: Any) -> Prepared:
    """A statement that is the same in every dialect."""
    return Prepared(lambda _: statement)


def said_to_sqlite(connection: Connection, sql: str, many: Sequence[Sequence[Any]] = ((),)) -> sqlite3.Cursor:
    """Have SQLite do something as it is written, once for each of these."""
    cursor: Any = connection.connection.cursor()
    try:
        if len(many) == 1:
            cursor.execute(sql, many[0])
        else:
            cursor.executemany(sql, many)
    except sqlite3.Error as trouble:  # told as from anywhere else, and without what people wrote
        raise exc.DBAPIError.instance(
            sql, None, trouble, sqlite3.Error, hide_parameters=True, dialect=connection.dialect
        ) from trouble
    return cursor  # type: ignore[no-any-return]


def _turned(kind: Any, dialect: Dialect) -> Callable[[Any], Any] | None:
    """What turns a value into SQLite's own; a message's few moments, which stand in many of its rows, once each."""
    turn = kind.dialect_impl(dialect).bind_processor(dialect)
    if turn is None or not isinstance(kind, Moment):
        return turn  # type: ignore[no-any-return]
    known = lru_cache(maxsize=64)(turn)
    # kept by their UTC: the two of an hour that the clock goes through twice are the same to Python
    return lambda at: known(at.astimezone(dt.UTC)) if at is not None and at.tzinfo else turn(at)


class _Ready:
    """A statement as SQLite takes it, with what turns values into its own and back."""

    def __init__(self, statement: Any, dialect: Dialect, names: list[str]) -> None:
        compiled = statement.compile(dialect=dialect, column_keys=names)
        self._sql = str(compiled)
        self._taken = [(name, _turned(compiled.binds[name].type, dialect)) for name in compiled.positiontup]
        columns = list(statement.exported_columns) if statement.is_select or statement._returning else []
        self._given = [column.type.dialect_impl(dialect).result_processor(dialect, None) for column in columns]
        self._row: Any = namedtuple("row", [column.key for column in columns])  # type: ignore[misc]

    def done(self, connection: Connection, many: Sequence[Values]) -> sqlite3.Cursor:
        bound = [[turn(values[name]) if turn else values[name] for name, turn in self._taken] for values in many]
        return said_to_sqlite(connection, self._sql, bound)

    def told(self, found: Sequence[Sequence[Any]]) -> list[Any]:
        turns = self._given
        return [self._row(*[turn(v) if turn else v for turn, v in zip(turns, one, strict=True)]) for one in found]
