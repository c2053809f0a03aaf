"""Where a room is kept: which database an address means, and whether the file there can be one of ours."""

from __future__ import annotations

import os
import re
from pathlib import Path

import platformdirs
from sqlalchemy import exc
from sqlalchemy.engine import URL, make_url

from storage.tables import APPLICATION_ID
from storage.trouble import StorageTrouble, not_ours


def standard_file() -> Path:
    """Where the room is kept when nobody says otherwise."""
    return Path(platformdirs.user_data_dir("roomhand", appauthor=False)) / "room.db"


def pictures_folder(url: URL, for_server: Path | None = None) -> Path:
    """Where the photos of a database are: beside its file, or, with a server, in a folder of this machine."""
    if url.get_backend_name() == "sqlite":
        file = Path(url.database or "")
        return file.with_name(f"{file.name}.pictures")
    folder = for_server or platformdirs.user_state_path("roomhand") / "pictures"
    return folder / re.sub(r"[^\w-]", "_", url.database or "room")


def url_of(url: str | None) -> URL:
    """The database meant by an SQLAlchemy URL, a bare path, or nothing (the standard file)."""
    if not url:
        return URL.create("sqlite", database=str(standard_file()))
    if "://" not in url:
        return URL.create("sqlite", database=str(Path(url).expanduser().absolute()))
    try:
        made = make_url(url)
    except exc.ArgumentError:
        raise StorageTrouble(
            f"“{url}” is no database address. Write a file's path, sqlite:////path or postgresql://…"
        ) from None
    name = made.get_backend_name()
    if name == "sqlite":
        if not made.database or made.database == ":memory:":
            raise StorageTrouble("A room needs a file to be kept in: write sqlite:////path/room.db or a path.")
        return made.set(drivername="sqlite", database=str(Path(made.database).expanduser().absolute()))
    if name in ("postgresql", "postgres"):
        return made.set(drivername="postgresql+psycopg")
    raise StorageTrouble(f"A room can be kept in SQLite or PostgreSQL, not in “{name}”.")


def shown(url: URL) -> str:
    """The address as a person may see it: a file's path, or the server without its password."""
    if url.get_backend_name() == "sqlite":
        return str(url.database)
    return url.set(drivername="postgresql").render_as_string(hide_password=True)


def ready_file(path: Path, create: bool) -> None:
    """Make the folder and an empty file only their owner can read, before anything is written into it."""
    try:
        if path.is_dir():
            raise StorageTrouble(f"{path} is a folder. Name a file in it, such as {path / 'room.db'}.")
        if path.exists():
            _look_whole(path)
            return
        if not create:
            raise StorageTrouble(f"There is no room kept at {path}. `roomhand setup` makes one.")
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        hand_over(path)
    except OSError as trouble:
        cannot = "opened" if os.path.lexists(path) else "made"
        raise StorageTrouble(
            f"{path} cannot be {cannot} ({trouble.strerror}). Nothing was saved. Choose another place with --db."
        ) from trouble


def hand_over(path: Path) -> None:
    """What root makes in another's folder is that one's: else the service could not open what `sudo` put back."""
    if os.name == "posix" and os.geteuid() == 0:
        owner = path.parent.stat()
        os.chown(path, owner.st_uid, owner.st_gid)


def _look_whole(path: Path) -> None:
    """Refuse a file that is no database, not ours, or shorter than it says, before anything is done to it.

    The places in the file's first 100 bytes are those of SQLite's documented file format.
    """
    with path.open("rb") as file:
        head = file.read(100)
    if not head:
        return
    if not head.startswith(b"SQLite format 3\0"):
        raise StorageTrouble(f"{path} is not a database. Nothing was changed. Name another file with --db.")
    page = int.from_bytes(head[16:18], "big")
    pages = int.from_bytes(head[28:32], "big")
    journal = Path(f"{path}-wal")
    unfinished = journal.exists() and journal.stat().st_size > 0  # SQLite will complete the file from it
    if not unfinished and path.stat().st_size < (65536 if page == 1 else page) * pages:
        raise StorageTrouble(
            f"{path} is damaged: its end is missing. Nothing was changed. "
            "`roomhand restore` puts the newest backup back and keeps the damaged file aside."
        )
    if not unfinished and pages > 1 and int.from_bytes(head[68:72], "big") != APPLICATION_ID:
        raise StorageTrouble(not_ours(str(path)))
