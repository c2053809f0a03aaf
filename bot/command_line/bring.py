"""Counts, readings and sales from a table: each row goes through the same booking as a note, and only once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from shared.ledger.booking import book as book_event
from storage.journal import Message, RoomBook, Turn
from storage.sheets import SheetRow, mapping_of, read_sheet
from storage.trouble import StorageTrouble


class TableTrouble(StorageTrouble):
    """A table that cannot be taken in, with the row and what is wrong."""


def bring_in(book: RoomBook, file: Path, pairs: Iterable[str], *, dry_run: bool) -> int:
    """Take in a table, or only show what would be logged. Rows that cannot be read or booked are named and left out.

    Returns 0 when all rows were taken in (now or before), else 1. Raises StorageTrouble when the table cannot be read.
    """
    info = book.info
    day_first = info.date_order == "dm" or (info.date_order is None and info.units != "us")
    now = dt.datetime.now(info.zone)
    rows = list(read_sheet(file, mapping_of(pairs), book.standing(), zone=info.zone, day_first=day_first, now=now))
    keeper = next((p for p in book.people() if p.role == "owner"), None) or book.person_named("keeper")
    taking = _tried(book, keeper.key, rows) if dry_run else _taken(book, keeper.key, file, rows)
    logged, left = 0, 0
    for row, told in zip(rows, taking, strict=True):
        if told.trouble:
            left += 1
            print(f"row {row.number}: {told.trouble}")
            continue
        logged += told.fresh
        at = f"{row.at:%Y-%m-%d %H:%M} " if dry_run else ""
        print(f"row {row.number}: {at}{_said(row)}{'' if told.fresh else ' (taken in before)'}")
    verb = "would be logged; nothing was" if dry_run else "logged"
    print(f"{logged} of {len(rows)} rows {verb}{f', {left} left out' if left else ''}.")
    return 1 if left else 0


class _Told(NamedTuple):
    """What became of a row: why it was left out, or whether it was logged now and not before."""

    trouble: str | None = None
    fresh: bool = False


def _taken(book: RoomBook, person: str, file: Path, rows: Iterable[SheetRow]) -> Iterator[_Told]:
    """Log row by row, each in a turn of its own."""
    for row in rows:
        if row.trouble:
            yield _Told(row.trouble)
            continue
        words = f"{file.name} row {row.number}: {_said(row)}"
        message = Message("import", row.key, "import", person, words, dt.datetime.now(book.info.zone))
        try:
            with book.turn(message) as turn:
                if turn.earlier is None:
                    _log(turn, row)
                    turn.reply("taken in", {"outcome": "log"}, "log")
            yield _Told(fresh=turn.earlier is None)
        except TableTrouble as trouble:
            yield _Told(str(trouble))


class _GivenUp(Exception):
    """Ends a turn of which nothing is to be kept."""


def _tried(book: RoomBook, person: str, rows: Iterable[SheetRow]) -> list[_Told]:
    """What logging the rows one after another would come to: it is done, in one turn that is given up."""
    told: list[_Told] = []
    message = Message("import", "tried", "import", person, "", dt.datetime.now(book.info.zone))
    try:
        with book.turn(message) as turn:
            for row in rows:
                known = row.trouble is None and turn.message_of_delivery("import", row.key) is not None
                try:
                    if row.trouble is None and not known:
                        _log(turn, row)
                    told.append(_Told(row.trouble, fresh=not known))
                except TableTrouble as trouble:
                    told.append(_Told(str(trouble)))
            raise _GivenUp
    except _GivenUp:
        return told


def _said(row: SheetRow) -> str:
    return "; ".join(" ".join(f"{k}={v}" for k, v in event.outside().items()) for event in row.events)


def _log(turn: Turn, row: SheetRow) -> None:
    """Book a row's events. Raises TableTrouble, with nothing of it added, where one of them cannot be."""
    assert row.at is not None
    for event in row.events:
        booking = book_event(event, row.at, turn.standing)
        if booking.question and not booking.drafts:
            raise TableTrouble(f"cannot be booked ({booking.question.trouble.replace('_', ' ')}); say it as a note")
        for draft in booking.drafts:
            turn.enter(draft)
