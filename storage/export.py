"""What is kept, as tables for other programs: csv, JSON lines or a spreadsheet.

Text that a spreadsheet would take for a formula is defused: someone's note must not run on the reader's machine.
"""

from __future__ import annotations

import csv
import datetime as dt
import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, Literal, TextIO, TypeAlias, get_args
from zoneinfo import ZoneInfo

from shared.events import Event
from shared.ledger.standing import Batch, Standing, Tally
from storage.journal import RoomBook
from storage.trouble import StorageTrouble

What: TypeAlias = Literal["messages", "events", "batches", "places", "stock", "sales"]
Format: TypeAlias = Literal["csv", "jsonl", "xlsx"]
Row: TypeAlias = dict[str, Any]

WHATS: tuple[str, ...] = get_args(What)
FORMATS: tuple[str, ...] = get_args(Format)
# What makes a spreadsheet read a cell as a formula, or split it.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def export(
    book: RoomBook, what: str, form: str = "csv", out: str | Path | None = None, stream: TextIO | None = None
) -> None:
    """Write `what` to the file `out`, or, where there is none, to `stream` (by default standard output).

    Times are local to the room, with their offset. Raises StorageTrouble for what cannot be exported or written.
    """
    if what not in WHATS:
        raise StorageTrouble(f"“{what}” cannot be exported; there are {', '.join(WHATS)}.")
    if form not in FORMATS:
        raise StorageTrouble(f"“{form}” is not a form to export in; there are {', '.join(FORMATS)}.")
    if out is None and form == "xlsx":
        raise StorageTrouble("A spreadsheet needs a file: say which with --out.")
    columns, rows = _TABLES[what](book)
    if out is None:
        _write(stream or sys.stdout, form, columns, rows)
        return
    path = Path(out).expanduser()
    ready = path.with_name(f"{path.name}.part")
    try:
        os.close(os.open(ready, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
        if form == "xlsx":
            _spreadsheet(ready, what, columns, rows)
        else:
            with ready.open("w", encoding="utf-8", newline="") as file:
                _write(file, form, columns, rows)
        ready.replace(path)
    except OSError as trouble:
        raise StorageTrouble(f"{path} cannot be written ({trouble.strerror}). Name another file.") from trouble
    finally:
        ready.unlink(missing_ok=True)


# ---- forms


def _write(file: TextIO, form: str, columns: list[str], rows: Iterable[Row]) -> None:
    if form == "jsonl":
        for row in rows:
            told = {name: row[name] for name in columns if row.get(name) is not None}
            file.write(json.dumps(told, ensure_ascii=False, default=_plain) + "\n")
        return
    table = csv.writer(file, lineterminator="\r\n")  # as RFC 4180 has it
    table.writerow(columns)
    for row in rows:
        table.writerow([defused(_cell(row.get(name))) for name in columns])


def _spreadsheet(path: Path, what: str, columns: list[str], rows: Iterable[Row]) -> None:
    try:
        import openpyxl  # type: ignore[import-untyped]  # slow to import, and seldom needed
    except ImportError:
        raise StorageTrouble(
            "A spreadsheet needs openpyxl: install roomhand[sheets]. Nothing was written. Or take csv."
        ) from None
    made = openpyxl.Workbook(write_only=True)
    sheet = made.create_sheet(what)
    sheet.freeze_panes = "A2"
    sheet.append(columns)

    def cell(value: Any) -> Any:
        if not isinstance(value, str):
            return value
        # The form of these files has no place for control characters.
        text = openpyxl.cell.WriteOnlyCell(sheet, value="".join(c for c in value if c >= " " or c in "\t\n"))
        text.data_type = "s"  # text, whatever it begins with
        return text

    for row in rows:
        sheet.append([cell(_cell(row.get(name))) for name in columns])
    made.save(path)


def defused(value: Any) -> Any:
    """Text as a spreadsheet will show it: an apostrophe before what it would take for a formula."""
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value


def _plain(value: Any) -> str:
    return value.isoformat() if isinstance(value, dt.date | dt.datetime) else str(value)


def _cell(value: Any) -> str | int | float | None:
    """One value for one cell: lists with commas, times as ISO 8601."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, list | tuple):
        return ", ".join(str(_cell(item)) for item in value)
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False, default=_plain)
    return _plain(value)


# ---- tables


def _local(moment: dt.datetime | None, zone: ZoneInfo) -> dt.datetime | None:
    return moment.astimezone(zone) if moment else None


def _names(book: RoomBook) -> dict[str, str]:
    return {person.key: person.name or person.key for person in book.people(everyone=True)}


def _messages(book: RoomBook) -> tuple[list[str], Iterator[Row]]:
    names, zone = _names(book), book.info.zone
    rows = (
        {
            "id": message.id,
            "sent": _local(message.sent, zone),
            "person": names.get(message.person, message.person),
            "door": message.door,
            "text": message.text,
            "outcome": message.outcome,
            "reply": message.reply.text if message.reply else None,
        }
        for message in book.messages()
    )
    return ["id", "sent", "person", "door", "text", "outcome", "reply"], rows


_ABOUT = ["id", "at", "said", "person", "message", "kind", "taken_back_by", "retracts", "batch", "place", "line"]
_DATED = ["laid_from", "laid_to"]


def _keys_of_events() -> list[str]:
    """The keys any event may have, in the order the kinds bring them."""
    found: dict[str, None] = {}
    for kind in get_args(Event):
        found |= dict.fromkeys(field.alias or name for name, field in kind.model_fields.items())
    found |= dict.fromkeys(("of",))
    return [key for key in found if key not in _ABOUT + _DATED]


def _events(book: RoomBook) -> tuple[list[str], Iterator[Row]]:
    names, zone = _names(book), book.info.zone

    def rows() -> Iterator[Row]:
        for entry, taken_back_by in book.ledger():
            event = entry.event.model_dump(mode="json", by_alias=True, exclude_none=True, exclude_defaults=True)
            row = {
                **event,
                "id": entry.seq,
                "kind": entry.event.kind,
                "at": _local(entry.at, zone),
                "said": _local(entry.said, zone),
                "person": names.get(entry.person, entry.person),
                "message": entry.message,
                "taken_back_by": taken_back_by,
                "retracts": list(entry.retracts) or None,
                "laid_from": _local(entry.laid_from, zone) or event.get("laid_from"),
                "laid_to": _local(entry.laid_to, zone) or event.get("laid_to"),
            }
            for name in ("batch", "place", "line"):
                row[name] = getattr(entry, name) or event.get(name)
            if "person" in event:
                row["for_person"] = event["person"]
            yield row

    return [*_ABOUT, *_DATED, *_keys_of_events(), "for_person"], rows()


class _Everything(Standing):
    """The standing with the batches that are otherwise let go once nothing of them is alive."""

    def _archive(self, seq: int, now: dt.datetime) -> None:
        pass


_ONE_SIDE = [name for name in Tally.model_fields if name != "unknown"]


def _batches(book: RoomBook) -> tuple[list[str], Iterator[Row]]:
    zone = book.info.zone
    dates = ("opened", "laid_from", "laid_to", "eyed", "fry_seen", "clear_until", "wetted")
    plain = ("name", "line", "medium", "generation", "parents", "joined", "eyed_count")
    sides = [f"{side}_{name}" for side in ("eggs", "fish") for name in (*_ONE_SIDE, "alive", "not_counted")]

    def row(batch: Batch) -> Row:
        told: Row = {name: getattr(batch, name) for name in plain}
        told |= {name: _local(getattr(batch, name), zone) for name in dates}
        for side in ("eggs", "fish"):
            tally = batch.tally("eggs" if side == "eggs" else "fish")
            # A number that holds uncounted fish is not told as if it were known.
            told |= {f"{side}_{name}": None if name in tally.unknown else getattr(tally, name) for name in _ONE_SIDE}
            told[f"{side}_alive"] = None if tally.unknown else tally.alive("eggs" if side == "eggs" else "fish")
            told[f"{side}_not_counted"] = list(tally.unknown) or None
        return told

    def rows() -> Iterator[Row]:
        everything = _Everything()
        for entry, taken_back_by in book.ledger():
            if taken_back_by is None:
                everything.apply(entry)
        yield from (row(batch) for batch in everything.batches.values())

    return [*plain[:2], *dates, *plain[2:], *sides], rows()


def _places(book: RoomBook) -> tuple[list[str], Iterator[Row]]:
    standing = book.standing()
    columns = ["name", "kind", "litres", "volume", "role", "line", "collect", "aka", "closed"]
    return columns, ({name: getattr(place, name) for name in columns} for place in standing.places.values())


def _stock(book: RoomBook) -> tuple[list[str], Iterator[Row]]:
    standing, zone = book.standing(), book.info.zone
    rows = (
        {
            "line": holding.line,
            "batch": holding.group if holding.group in standing.batches else None,
            "place": holding.place or None,
            "stage": holding.stage,
            "generation": ", ".join(label or "?" for label in labels) if any(labels) else None,
            "count": holding.number,
            "estimated": holding.estimated,
            "male": holding.male or None,
            "female": holding.female or None,
            "since": _local(holding.since, zone),
        }
        for holding in standing.holdings.values()
        for labels in [standing.generations_of(holding)]
    )
    return ["line", "batch", "place", "stage", "count", "estimated", "male", "female", "since", "generation"], rows


def _sales(book: RoomBook) -> tuple[list[str], Iterator[Row]]:
    names, zone = _names(book), book.info.zone
    said = ["count", "male", "female", "stage", "buyer", "to", "price", "shipping", "reason"]

    def rows() -> Iterator[Row]:
        for entry in book.entries(kinds={"sale", "refund"}):
            event = entry.event.model_dump()
            yield {
                "id": entry.seq,
                "kind": entry.event.kind,
                "at": _local(entry.at, zone),
                "person": names.get(entry.person, entry.person),
                **{name: getattr(entry, name) or event.get(name) for name in ("line", "batch", "place")},
                **{name: event.get(name) for name in said},
                "currency": (event.get("currency") or book.info.currency) if event.get("price") else None,
            }

    return ["id", "kind", "at", "person", "line", "batch", "place", *said, "currency"], rows()


_TABLES: dict[str, Callable[[RoomBook], tuple[list[str], Iterator[Row]]]] = {
    "messages": _messages,
    "events": _events,
    "batches": _batches,
    "places": _places,
    "stock": _stock,
    "sales": _sales,
}
