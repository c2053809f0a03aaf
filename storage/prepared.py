"""The few statements every message needs, made ready for the driver once and not each time.

To make a statement, its values and its rows ready takes several times as long as SQLite takes to do it.
"""

from __future__ import annotations

import sqlite3
from collections import namedtuple
from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import exc
from sqlalchemy.engine import Connection, Dialect

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


class _Ready:
    """A statement as SQLite takes it, with what turns values into its own and back."""

    def __init__(self, statement: Any, dialect: Dialect, names: list[str]) -> None:
        compiled = statement.compile(dialect=dialect, column_keys=names)
        self._sql, self._dialect = str(compiled), dialect
        self._taken = [
            (name, compiled.binds[name].type.dialect_impl(dialect).bind_processor(dialect))
            for name in compiled.positiontup
        ]
        columns = list(statement.exported_columns) if statement.is_select or statement._returning else []
        self._given = [column.type.dialect_impl(dialect).result_processor(dialect, None) for column in columns]
        self._row: Any = namedtuple("row", [column.key for column in columns])  # type: ignore[misc]

    def done(self, connection: Connection, many: Sequence[Values]) -> sqlite3.Cursor:
        bound = [[turn(values[name]) if turn else values[name] for name, turn in self._taken] for values in many]
        cursor: Any = connection.connection.cursor()
        try:
            if len(bound) == 1:
                cursor.execute(self._sql, bound[0])
            else:
                cursor.executemany(self._sql, bound)
        except sqlite3.Error as trouble:  # told as from anywhere else, and without what people wrote
            raise exc.DBAPIError.instance(
                self._sql, None, trouble, sqlite3.Error, hide_parameters=True, dialect=self._dialect
            ) from trouble
        return cursor  # type: ignore[no-any-return]

    def told(self, found: Sequence[Sequence[Any]]) -> list[Any]:
        turns = self._given
        return [self._row(*[turn(v) if turn else v for turn, v in zip(turns, one, strict=True)]) for one in found]
