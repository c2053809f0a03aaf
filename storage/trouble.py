"""What went wrong with the keeping, in a sentence for the keeper instead of the database's own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import exc


class StorageTrouble(Exception):
    """A sentence for the keeper: what happened, what was or was not saved, what to try."""


class NoSuchRoom(StorageTrouble):
    """No room of that name, or several and none was named."""


# What SQLite says (in part) → what happened, what to try. Looked through from the top.
_SQLITE = (
    ("locked", "Another program is writing to {where} and did not finish", "Try again in a moment."),
    ("busy", "Another program is writing to {where} and did not finish", "Try again in a moment."),
    ("readonly", "{where} may only be read, not written", "Look at the permissions of the file and its folder."),
    ("disk is full", "The disk that holds {where} is full", "Make some space and say it again."),
    ("disk i/o", "The disk that holds {where} could not be read or written", "Look at the disk, and keep a backup."),
    ("not a database", "{where} is not a database of Roomhand's", "Name another file with --db."),
    (
        "malformed",
        "{where} is damaged",
        "`roomhand restore` puts the newest backup back and keeps the damaged file aside.",
    ),
    ("unable to open", "{where} cannot be opened", "Look at the path and the permissions of the file and its folder."),
    ("no such table", "{where} is damaged or not a database of Roomhand's", "Name another file with --db."),
)
_POSTGRES = (
    ("password authentication", "The server at {where} does not accept that name and password", "Look at ROOMHAND_DB."),
    ("does not exist", "The server has no such database or role: {where}", "Make it first with createdb."),
    ("read-only", "{where} may only be read, not written", "Connect to the server that takes writes."),
    ("no space left", "The disk of the server at {where} is full", "Make some space and say it again."),
    ("lock timeout", "Another program is writing to {where} and did not finish", "Try again in a moment."),
)


@contextmanager
def explained(doing: str, where: str) -> Iterator[None]:
    """Turn a database error into one StorageTrouble. Errors of the program's own pass unchanged."""
    try:
        yield
    except exc.IntegrityError:
        raise
    except exc.DBAPIError as trouble:
        raise StorageTrouble(sentence(str(trouble.orig), doing, where)) from trouble


def sentence(said: str, doing: str, where: str) -> str:
    """The sentence for what a database said while `doing` ("reading", "writing", "opening")."""
    kept = "" if doing == "reading" else " Nothing was saved."
    for part, happened, advice in _SQLITE + _POSTGRES:
        if part in said.lower():
            return f"{happened.format(where=where)}.{kept} {advice}"
    if "connect" in said.lower():
        return f"The database server at {where} does not answer.{kept} Look whether it is running, then try again."
    return f"Something went wrong while {doing} {where}: {said.strip().splitlines()[0]}.{kept} Try again."


def not_ours(where: str) -> str:
    """The sentence for a database somebody else made."""
    return f"{where} is a database, but not one of Roomhand's. Nothing was changed. Name another with --db."
