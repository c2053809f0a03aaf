"""Which form a database has, and bringing an older one up to date."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa
from sqlalchemy import exc

from storage import backup, snapshots
from storage.tables import APPLICATION_ID, ROOMS, SCHEMA, create_all
from storage.trouble import StorageTrouble, not_ours

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

    from storage.engine import Database

SCRIPTS = Path(__file__).parent / "migrations"


def bring_up_to_date(database: Database) -> None:
    """Make the tables in an empty database, upgrade older ones, refuse what is newer or not ours."""
    if not _current(database):
        _bring_to_form(database)
    _add_up_anew(database)


def _add_up_anew(database: Database) -> None:
    """Make snapshots of another way of adding up anew: once after an upgrade; for years of entries it takes minutes."""
    with database.reading() as connection:
        rooms = snapshots.added_up_otherwise(connection)
    for room in rooms:
        with database.writing() as connection:
            connection.execute(sa.select(ROOMS.c.id).where(ROOMS.c.id == room).with_for_update())
            if room in snapshots.added_up_otherwise(connection):  # no other program was faster
                snapshots.drop(connection, room)
                snapshots.catch_up(connection, room, None, keep=True)


def _bring_to_form(database: Database) -> None:
    kept = backup.before_upgrade(database) if _form(database) else None
    with database.writing() as connection:
        if not database.sqlite:  # two programs may start at once
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({APPLICATION_ID})")
        if _empty(connection):
            create_all(connection)
            stamp(connection)
        elif not _is_current(connection, database.url):
            try:
                _upgrade(connection)
            except exc.SQLAlchemyError as trouble:
                raise StorageTrouble(
                    f"{database.url} could not be brought to this version's form ({trouble}). It is unchanged"
                    + (f", and a copy is at {kept}." if kept else ".")
                ) from trouble


def _current(database: Database) -> bool:
    with database.reading() as connection:
        return not _empty(connection) and _is_current(connection, database.url)


def _form(database: Database) -> str | None:
    with database.reading() as connection:
        return None if _empty(connection) else form_of(connection, database.url)


def _is_current(connection: Connection, where: str) -> bool:
    found = form_of(connection, where)
    if found > SCHEMA:
        raise StorageTrouble(
            f"{where} was written by a newer Roomhand (form {found}, this one knows {SCHEMA}). "
            "Nothing was changed. Install the newer version."
        )
    return found == SCHEMA


def _upgrade(connection: Connection) -> None:
    """Run the migrations still missing, in the transaction that is open."""
    from alembic import command  # slow to import, and seldom needed
    from alembic.config import Config

    config = Config(attributes={"connection": connection})
    config.set_main_option("script_location", str(SCRIPTS))
    command.upgrade(config, "head")


def stamp(connection: Connection) -> None:
    """Write down that the tables have the newest form."""
    connection.exec_driver_sql(
        "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL,"
        " CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
    )
    connection.exec_driver_sql(f"INSERT INTO alembic_version (version_num) VALUES ('{SCHEMA}')")
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")


def form_of(connection: Connection, where: str) -> str:
    """The form (schema version) of a database that has tables; StorageTrouble when they are not ours."""
    ours = True
    if connection.dialect.name == "sqlite":
        ours = connection.exec_driver_sql("PRAGMA application_id").scalar() == APPLICATION_ID
    if ours and _has(connection, "alembic_version") and _has(connection, "rooms"):
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
        if found:
            return str(found)
    raise StorageTrouble(not_ours(where))


def _has(connection: Connection, table: str) -> bool:
    if connection.dialect.name == "sqlite":
        asked = sa.text("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = :name")
    else:
        asked = sa.text("SELECT 1 FROM pg_tables WHERE schemaname = current_schema() AND tablename = :name")
    return connection.execute(asked, {"name": table}).first() is not None


def _empty(connection: Connection) -> bool:
    if connection.dialect.name == "sqlite":
        return connection.exec_driver_sql("SELECT 1 FROM sqlite_master LIMIT 1").first() is None
    return (
        connection.exec_driver_sql("SELECT 1 FROM pg_tables WHERE schemaname = current_schema() LIMIT 1").first()
        is None
    )
