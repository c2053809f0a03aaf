"""Copies of an SQLite room made while it is in use, kept in few generations, and put back without losing anything."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from storage.address import hand_over, pictures_folder, shown, url_of
from storage.pictures import copied, settle
from storage.tables import APPLICATION_ID, SCHEMA
from storage.trouble import StorageTrouble, sentence

if TYPE_CHECKING:
    from storage.engine import Database

# Generations kept beside the newest: so many days, weeks (their last) and months (their last).
DAYS, WEEKS, MONTHS = 7, 4, 6
PICTURES = "pictures"  # the folder beside copies in which all of them have their photos


def backup(database: Database, dest: str | Path, *, now: dt.datetime | None = None, photos: bool = True) -> Path:
    """A consistent copy while the room is in use, opened and checked; a folder gets a dated file.

    Photos go into the folder `pictures` beside the copy (not with `photos` false). All copies there share it, so
    that each photo is copied once; nothing is ever deleted from it, not even what was forgotten since.

    Raises StorageTrouble when there is a file already, when the copy is not sound, and for PostgreSQL,
    saying what to run there.
    """
    if database.file is None:
        into = Path(dest) / "room.dump" if Path(dest).is_dir() else dest
        raise StorageTrouble(
            "A PostgreSQL database is copied by its own program: "
            f"pg_dump --format=custom --file={into} '{_to_ask(database.url)}'"
        )
    path = Path(dest).expanduser()
    if path.is_dir():
        path /= f"room-{now or dt.datetime.now(dt.UTC):%Y%m%d-%H%M%S}.db"
    if path.exists():
        raise StorageTrouble(f"{path} is there already and was left alone. Name another file.")
    with _explained(path):
        _copy(database.file, path)
        if photos:
            copied(_photos(path), database.album.folder, path.parent / PICTURES)
    return path


def before_upgrade(database: Database) -> Path | None:
    """A copy beside the file before its form is changed; PostgreSQL changes it in one transaction instead."""
    if database.file is None:
        return None
    path = database.file.with_name(f"{database.file.name}.before-{SCHEMA}")
    return path if path.exists() else backup(database, path, photos=False)  # theirs are not touched


def nightly(database: Database, folder: str | Path, day: dt.date) -> Path:
    """The day's copy in `folder`, and the generations that are no longer needed let go. Once a day is enough:
    a sound copy of that day is left as it is."""
    folder = Path(folder).expanduser()
    with _explained(folder):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = folder / f"room-{day.isoformat()}.db"
    if path.exists() and faults(path):
        path.rename(f"{path}.unsound")
    if not path.exists():
        backup(database, path)
    for old in _superfluous(folder):
        old.unlink()
    return path


def _superfluous(folder: Path) -> list[Path]:
    found: dict[dt.date, Path] = {}
    for path in folder.glob("room-????-??-??.db"):
        with contextlib.suppress(ValueError):
            found[dt.date.fromisoformat(path.stem.removeprefix("room-"))] = path
    days = sorted(found, reverse=True)
    weeks = {day.isocalendar()[:2]: day for day in reversed(days)}
    months = {(day.year, day.month): day for day in reversed(days)}
    kept = {*days[:DAYS], *sorted(weeks.values())[-WEEKS:], *sorted(months.values())[-MONTHS:]}
    return [path for day, path in found.items() if day not in kept]


def faults(path: Path) -> list[str]:
    """What is wrong with a copy, in sentences; nothing when it is whole and each room's ledger has no gap."""
    try:
        with closing(_opened(path)) as connection:
            if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                return [f"{path} is a database, but not one of Roomhand's."]
            said = [row[0] for row in connection.execute("PRAGMA integrity_check")]
            if said != ["ok"]:
                return [f"{path} is damaged: {line}" for line in said]
            gaps = connection.execute(
                "SELECT name, head, (SELECT count(*) FROM entries WHERE room = id),"
                " (SELECT coalesce(max(seq), 0) FROM entries WHERE room = id) FROM rooms"
            ).fetchall()
            return [
                f"{path}: the ledger of “{name}” should have {head} entries and has {count}."
                for name, head, count, last in gaps
                if not head == count == last
            ]
    except (sqlite3.Error, OSError) as trouble:
        return [sentence(str(trouble), "reading", str(path))]


def restore(
    source: str | Path, url: str | Path | None = None, *, force: bool = False, now: dt.datetime | None = None
) -> str:
    """Put the copy `source` in the place of the room at `url` (None: the standard file); a sentence saying it is done
    and where what was there is kept aside.

    Raises StorageTrouble, changing nothing, when the copy is not sound, when another program has the room open,
    and, without `force`, when the room holds anything the copy does not.
    """
    source, meant = Path(source).expanduser(), url_of(str(url) if url else None)
    if meant.get_backend_name() != "sqlite":
        how = "--clean --if-exists --no-owner --single-transaction"
        raise StorageTrouble(
            "A PostgreSQL database is put back by its own program, all of it or, when something is wrong, nothing. "
            "Stop what has it open, keep a copy of what is there, then: "
            f"pg_restore {how} --dbname='{_to_ask(shown(meant))}' {source}"
        )
    dest = Path(meant.database or "")
    if not source.is_file():
        raise StorageTrouble(f"There is no file {source}. Nothing was changed.")
    wrong = faults(source)
    if wrong:
        raise StorageTrouble(f"{wrong[0]} It was not put back; nothing was changed. Try an older copy.")
    if dest.exists() and source.samefile(dest):
        raise StorageTrouble(f"{source} is the room itself. Nothing was changed.")
    with _explained(dest):
        if dest.exists():
            _alone(dest)
            more = _only_there(dest, source)
            if more and not force:
                raise StorageTrouble(
                    f"{more} Nothing was changed. "
                    "--force puts the copy back all the same and keeps the present file aside."
                )
        dest.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        ready = dest.with_name(f"{dest.name}.coming")
        ready.unlink(missing_ok=True)
        _copy(source, ready)
        photos = pictures_folder(meant)
        copied(_photos(source), source.parent / PICTURES, photos)
        for made in (ready, *([photos, *photos.iterdir()] if photos.is_dir() else ())):
            hand_over(made)
        aside = _put_aside(dest, now or dt.datetime.now(dt.UTC))
        ready.rename(dest)
        settle(dest.parent)
    kept = f" What was there before is kept at {aside}." if aside else ""
    return f"The room at {dest} is put back from {source}.{kept}"


def _to_ask(address: str) -> str:
    """A server's address for a command of its own, which asks for the password where it needs one."""
    return address.replace(":***@", "@")


def _put_aside(path: Path, now: dt.datetime) -> Path | None:
    if not path.exists():
        return None
    aside = path.with_name(f"{path.name}.before-restore-{now:%Y%m%d-%H%M%S}")
    for part in ("", "-wal", "-shm"):
        present = Path(f"{path}{part}")
        if present.exists():
            present.rename(f"{aside}{part}")
    return aside


def _alone(path: Path) -> None:
    """Make sure nobody else has the room open: only then can its journal be put away."""
    try:
        with closing(sqlite3.connect(path, timeout=0.5)) as connection:
            connection.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.OperationalError as trouble:
        if "locked" in str(trouble):
            raise StorageTrouble(
                f"Another program has {path} open. Nothing was changed. Stop it first (roomhand serve, a chat)."
            ) from trouble
    except sqlite3.DatabaseError:
        pass  # damaged: the reason to restore


def _only_there(path: Path, copy: Path) -> str | None:
    """What the room at `path` holds that the copy does not, as a sentence."""
    try:
        here, there = _contents(path), _contents(copy)
    except (sqlite3.DatabaseError, StorageTrouble):
        return None  # nothing can be read there: nothing to be lost
    for name, (messages, entries) in here.items():
        copied = there.get(name)
        if copied is None:
            return f"The room “{name}” is not in the copy."
        if messages > copied[0] or entries > copied[1]:
            return (
                f"“{name}” holds {messages - copied[0]} messages and {entries - copied[1]} entries newer than the copy."
            )
    try:
        return _parted(path, copy)
    except sqlite3.DatabaseError:
        return None


# One line for each entry and message; rooms by their names, as their numbers may differ from file to file.
_LEDGER = (
    "SELECT r.name, e.seq, e.kind, e.at, e.said, e.person, e.body FROM {0}entries e JOIN {0}rooms r ON r.id = e.room"
)
_WRITTEN = "SELECT r.name, m.door, m.delivery, m.person, m.sent FROM {0}messages m JOIN {0}rooms r ON r.id = m.room"


def _parted(path: Path, copy: Path) -> str | None:
    """Equal counts do not make the same record: whether the room and the copy went different ways."""
    with closing(_opened(path)) as connection:
        connection.execute("ATTACH DATABASE ? AS copy", (str(copy),))
        for what, rows in (("entries", _LEDGER), ("messages", _WRITTEN)):
            only = f"SELECT name, count(*) FROM ({rows.format('main.')} EXCEPT {rows.format('copy.')}) GROUP BY name"
            found = connection.execute(only).fetchone()
            if found:
                return f"“{found[0]}” and the copy went different ways: {found[1]} {what} here are not in the copy."
    return None


def _contents(path: Path) -> dict[str, tuple[int, int]]:
    with closing(_opened(path)) as connection:
        rows = connection.execute("SELECT name, (SELECT count(*) FROM messages WHERE room = rooms.id), head FROM rooms")
        return {name: (messages, head) for name, messages, head in rows}


def _photos(path: Path) -> list[str]:
    """The hashes of the photos a copy refers to; none in one older than photos."""
    with closing(_opened(path)) as connection:
        if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'pictures'").fetchone():
            return []
        return [row[0] for row in connection.execute("SELECT DISTINCT sha256 FROM pictures ORDER BY sha256")]


def _opened(path: Path) -> sqlite3.Connection:
    if not path.is_file():
        raise StorageTrouble(f"There is no file {path}.")
    return sqlite3.connect(path, timeout=10)


def _copy(source: Path, dest: Path) -> None:
    """Copy a database through a file beside `dest`, so that under its name there is never half a copy."""
    ready = dest.with_name(f"{dest.name}.part")
    os.close(os.open(ready, os.O_CREAT | os.O_RDWR | os.O_TRUNC, 0o600))
    try:
        with closing(_opened(source)) as original, closing(sqlite3.connect(ready)) as copy:
            original.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")  # one file alone, nothing beside it
        wrong = faults(ready)
        if wrong:
            raise StorageTrouble(f"The copy is not sound: {wrong[0]} It was not kept. Run `roomhand check`.")
        with ready.open("rb") as file:
            os.fsync(file.fileno())
        ready.rename(dest)
        settle(dest.parent)
    finally:
        ready.unlink(missing_ok=True)


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as trouble:
        raise StorageTrouble(sentence(str(trouble), "writing", str(path))) from trouble
    except OSError as trouble:
        raise StorageTrouble(f"{path}: {trouble.strerror}. Nothing was saved there. Name another place.") from trouble
