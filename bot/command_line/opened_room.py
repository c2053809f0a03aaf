"""The room a command is about: opened as the command line, the environment or the settings file names it."""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
from pathlib import Path
from typing import Any


class CommandTrouble(Exception):
    """Something a command cannot do, in a sentence."""


_OPENED: list[Any] = []


def database_of(args: argparse.Namespace, *, create: bool = True) -> Any:
    """The database the command is about, with its photos beside it."""
    from storage.engine import open_database

    state = getattr(args, "state", None) or kept("ROOMHAND_STATE")
    photos = Path(state) / "pictures" if state else None
    _OPENED.append(open_database(args.db or kept("ROOMHAND_DB"), create=create, pictures=photos))
    return _OPENED[-1]


def close_all() -> None:
    """Let go of every database a command opened."""
    while _OPENED:
        _OPENED.pop().close()


def kept(name: str) -> str | None:
    """A setting from the environment or the settings file: every command is about the room that is served."""
    from bot.settings import SettingsError, lines_of, settings_file

    try:
        return os.environ.get(name) or lines_of(settings_file()).get(name) or None
    except SettingsError as trouble:
        raise CommandTrouble(str(trouble)) from None


def book_of(args: argparse.Namespace, *, make: bool = False) -> Any:
    """The room meant. With `make`, an empty one where there is none yet."""
    from shared.room import RoomCard

    database = database_of(args)
    args.room = args.room or kept("ROOMHAND_ROOM")
    if make and not database.rooms():
        return database.create_room(RoomCard(name=args.room or "my room", timezone=_own_zone()))
    return database.room(args.room)


def _own_zone() -> str:
    """This machine's time zone by name, or UTC."""
    try:
        link = os.readlink("/etc/localtime")
    except OSError:
        return os.environ.get("TZ") or "UTC"
    return link.split("zoneinfo/")[-1] if "zoneinfo/" in link else "UTC"


def moment(text: str | None, book: Any) -> dt.datetime | None:
    """A time as written on the command line, in the room's zone where it names none."""
    if text is None:
        return None
    try:
        at = dt.datetime.fromisoformat(text)
    except ValueError:
        raise CommandTrouble(f"“{text}” is not a time; write it like 2026-03-09T18:30") from None
    return at if at.tzinfo else at.replace(tzinfo=book.info.zone)


def now_in(book: Any) -> dt.datetime:
    """Now, by the room's clock."""
    return dt.datetime.now(book.info.zone)


def print_json(value: Any) -> None:
    """What a command prints with `--json`."""
    print(json.dumps(value, ensure_ascii=False, indent=2, default=str))
