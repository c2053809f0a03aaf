"""Databases of other versions: older ones are brought up to date, newer ones refused."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.engine import Connection

from shared.ledger.standing import Standing
from shared.room import RoomCard
from storage import backup, snapshots, upgrade
from storage.engine import Database, StorageTrouble, open_database
from storage.snapshots import Sum
from storage.tables import APPLICATION_ID, METADATA, SCHEMA
from tests.storage.notes import NOON, message, pulled

NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "{next}"
down_revision = "{now}"


def upgrade() -> None:
    op.add_column("rooms", sa.Column("motto", sa.String()))
    {more}
"""
COMING = f"{int(SCHEMA) + 1:04}"  # the form after the newest there is


def _table_definitions(database: Database) -> list[tuple[object, ...]]:
    if database.sqlite:
        asked = "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name"
    else:
        asked = (
            "SELECT 'column', table_name, column_name, data_type, is_nullable FROM information_schema.columns"
            " WHERE table_schema = 'public' UNION ALL SELECT 'index', tablename, indexname, indexdef, ''"
            " FROM pg_indexes WHERE schemaname = 'public' ORDER BY 1, 2, 3"
        )
    with database.reading() as connection:
        rows = [tuple(row) for row in connection.exec_driver_sql(asked)]
    if database.sqlite:  # which keeps the words of a definition, whose clauses may stand in another order
        return [
            (name, "WITHOUT ROWID" in sql, sorted(_bare(clause) for clause in sql.split(","))) for name, sql in rows
        ]
    return rows


def _bare(clause: str) -> str:
    return "".join(clause.replace("WITHOUT ROWID", "").replace(")", "").split())


def _empty_by_migrations(database: Database) -> None:
    with database.writing() as connection:
        METADATA.drop_all(connection)
        connection.exec_driver_sql("DROP TABLE alembic_version")
        upgrade._upgrade(connection)


def test_the_migrations_make_the_same_tables_as_the_rows_describe(database: Database) -> None:
    made = _table_definitions(database)
    assert len(made) > 20
    _empty_by_migrations(database)
    assert _table_definitions(database) == made
    with database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, METADATA) == []


def test_the_newest_migration_is_the_form_this_version_knows() -> None:
    scripts = ScriptDirectory(str(upgrade.SCRIPTS))
    assert scripts.get_heads() == [SCHEMA]
    assert [script.revision for script in scripts.walk_revisions()] == [f"{n:04}" for n in range(int(SCHEMA), 0, -1)]


@pytest.fixture
def next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """As if this were the next version, with one migration more; gives that migration's file."""
    scripts = tmp_path / "migrations"
    shutil.copytree(upgrade.SCRIPTS, scripts)
    migration = scripts / "versions" / f"{COMING}_motto.py"
    migration.write_text(NEXT.format(next=COMING, now=SCHEMA, more="pass"))
    monkeypatch.setattr(upgrade, "SCRIPTS", scripts)
    monkeypatch.setattr(upgrade, "SCHEMA", COMING)
    monkeypatch.setattr(backup, "SCHEMA", COMING)
    yield migration


def _old(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as past:
        past.setattr(upgrade, "SCHEMA", SCHEMA)
        database = open_database(url)
        pulled(database.create_room(RoomCard(name="Cellar")), "B1", 40)
        database.close()


def test_an_older_database_is_brought_up_to_date_with_a_copy_kept(
    url: str, next_version: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _old(url, monkeypatch)
    for _ in range(2):
        database = open_database(url)
        with database.reading() as connection:
            assert connection.execute(sa.text("SELECT name, motto FROM rooms")).all() == [("Cellar", None)]
            assert upgrade.form_of(connection, "") == COMING
        assert database.room().standing().holdings["B1|tub B|eggs"].count == 40
        database.close()
    if database.file:
        kept = database.file.with_name(f"room.db.before-{COMING}")
        assert backup.faults(kept) == []
        with pytest.MonkeyPatch.context() as past:
            past.setattr(upgrade, "SCHEMA", SCHEMA)
            before = open_database(str(kept))
            assert before.room().info.name == "Cellar"
            before.close()


def _first_form(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A database as the first version made and filled it."""

    def made_by_the_first_migration(connection: Connection) -> None:
        config = Config(attributes={"connection": connection})
        config.set_main_option("script_location", str(upgrade.SCRIPTS))
        command.upgrade(config, "0001")

    with monkeypatch.context() as past:
        past.setattr(upgrade, "SCHEMA", "0001")
        past.setattr(upgrade, "create_all", made_by_the_first_migration)
        past.setattr(upgrade, "stamp", lambda _: None)
        past.setattr(upgrade, "_add_up_anew", lambda _: None)
        past.setattr(snapshots, "newest", lambda *_: Sum(Standing()))
        database = open_database(url)
        if database.sqlite:
            with database.writing() as connection:
                connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
        pulled(database.create_room(RoomCard(name="Cellar")), "B1", 40)
        with database.reading() as connection:
            assert not sa.inspect(connection).has_table("pictures")
        database.close()


def test_a_room_from_before_photos_keeps_its_ledger_and_takes_photos(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    _first_form(url, monkeypatch)
    database = open_database(url)
    book = database.room()
    assert book.standing().holdings["B1|tub B|eggs"].count == 40 and book.check() == []
    with database.reading() as connection:
        assert upgrade.form_of(connection, "") == SCHEMA
    assert book.pictures() == []
    with database.reading() as connection:
        indexes = {i["name"] for table in ("messages", "questions") for i in sa.inspect(connection).get_indexes(table)}
    assert {"messages_by_person", "questions_open"} <= indexes
    with book.turn(message("tub B", sent=NOON)) as turn:
        turn.keep_picture(book.keep_picture(b"\xff\xd8\xff" + url.encode()), ["tub B"])
    assert [p.names for p in book.pictures("tub B")] == [("tub B",)]
    database.close()


def test_an_upgrade_that_fails_leaves_the_database_as_it_was(
    url: str, next_version: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _old(url, monkeypatch)
    next_version.write_text(NEXT.format(next=COMING, now=SCHEMA, more='op.execute("INSERT INTO nowhere VALUES (1)")'))
    with pytest.raises(StorageTrouble, match="It is unchanged"):
        open_database(url)
    monkeypatch.setattr(upgrade, "SCHEMA", SCHEMA)
    database = open_database(url)
    with database.reading() as connection:
        assert "motto" not in list(connection.execute(sa.text("SELECT * FROM rooms")).keys())
    assert database.room().check() == []
    database.close()


def test_a_newer_database_is_refused(url: str, next_version: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    open_database(url).close()
    monkeypatch.setattr(upgrade, "SCHEMA", SCHEMA)
    with pytest.raises(StorageTrouble, match=r"newer Roomhand.*Nothing was changed"):
        open_database(url)


def test_starting_does_not_load_what_it_seldom_needs(tmp_path: Path) -> None:
    program = (
        "import sys\nfrom storage.engine import open_database\n"
        f"open_database({str(tmp_path / 'room.db')!r}).close()\n"
        "print(sorted(set(sys.modules) & {'alembic', 'openpyxl', 'psycopg', 'sqlalchemy.dialects.postgresql'}))"
    )
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
