"""Counts, readings and sales from a table: each row goes through the same booking as a note, and only once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

from shared.booking import book as book_event
from storage.journal import Message, RoomBook
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
    rows = list(read_sheet(file, mapping_of(pairs), book.standing(), zone=info.zone, day_first=day_first))
    keeper = next((p for p in book.people() if p.role == "owner"), None) or book.person_named("keeper")
    logged, left = 0, 0
    for row in rows:
        if row.trouble or row.at is None:
            left += 1
            print(f"row {row.number}: {row.trouble}")
            continue
        said = "; ".join(" ".join(f"{k}={v}" for k, v in event.outside().items()) for event in row.events)
        if dry_run:
            print(f"row {row.number}: {row.at:%Y-%m-%d %H:%M} {said}")
            logged += 1
            continue
        try:
            fresh = _log(book, keeper.key, file, row, said)
        except TableTrouble as trouble:
            left += 1
            print(f"row {row.number}: {trouble}")
            continue
        logged += fresh
        print(f"row {row.number}: {said}{'' if fresh else ' (taken in before)'}")
    verb = "would be logged; nothing was" if dry_run else "logged"
    print(f"{logged} of {len(rows)} rows {verb}{f', {left} left out' if left else ''}.")
    return 1 if left else 0


def _log(book: RoomBook, person: str, file: Path, row: SheetRow, said: str) -> bool:
    """Log one row; False when it was taken in before."""
    assert row.at is not None
    now = dt.datetime.now(book.info.zone)
    with book.turn(Message("import", row.key, "import", person, f"{file.name} row {row.number}: {said}", now)) as turn:
        if turn.earlier is not None:
            return False
        for event in row.events:
            booking = book_event(event, row.at, turn.standing)
            if booking.question and not booking.drafts:
                raise TableTrouble(f"cannot be booked ({booking.question.trouble.replace('_', ' ')}); say it as a note")
            for d in booking.drafts:
                turn.enter(d)
        turn.reply("taken in", {"outcome": "log"}, "log")
    return True
