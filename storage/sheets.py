"""Reading counts, readings and sales out of a table someone kept elsewhere.

Nothing is written here: each row becomes events with their time, to be booked like a note, or a sentence saying
why it could not be read. A name, number or date that could mean two things is such a sentence, never a guess.
"""

from __future__ import annotations

import codecs
import csv
import datetime as dt
import hashlib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args
from zoneinfo import ZoneInfo

import pydantic

from shared.events import STAGES, Event, Quantity, event_from
from shared.ledger.standing import Standing
from shared.quantities import celsius_of, sane_celsius, sane_ph
from storage.trouble import StorageTrouble

QUANTITIES: tuple[str, ...] = get_args(Quantity)
# A column of one quantity; temperatures say which degrees.
READINGS = (*(name for name in QUANTITIES if name != "temperature"), "temperature_c", "temperature_f")
NAMED = ("place", "batch", "line")
NUMBERS = ("count", "male", "female")
FIELDS = ("date", "time", *NAMED, "stage", *NUMBERS, "price", "buyer", "quantity", "value", *READINGS)
NOON = "12:00"  # the time of a row that gives only a day
EARLIEST_YEAR = 1950  # a row of before is a slip
MOST_COUNTED = 1_000_000  # a higher number is one, too
SOON = dt.timedelta(minutes=90)  # as in a note: what is later than that has not been yet


@dataclass(frozen=True)
class SheetRow:
    """A row of the table: what it says, or what is wrong with it. `key` tells it from every other row of the
    table and stays the same when the table is read again."""

    number: int
    key: str
    at: dt.datetime | None
    events: tuple[Event, ...]
    trouble: str | None


class _Unclear(Exception):
    """Why a row cannot be read."""


def mapping_of(pairs: Iterable[str]) -> dict[str, str]:
    """The mapping that FIELD=COLUMN pairs say. Raises StorageTrouble naming what is no field or said twice."""
    found: dict[str, str] = {}
    for pair in pairs:
        field, equals, column = pair.partition("=")
        if not equals:
            raise StorageTrouble(f"“{pair}” does not say FIELD=COLUMN with one of the fields {', '.join(FIELDS)}.")
        if field.strip().lower() in found:
            raise StorageTrouble(f"The field “{field}” is given two columns.")
        found[field.strip().lower()] = column.strip()
    _check(found)
    return found


def _check(mapping: Mapping[str, str]) -> None:
    unknown = [field for field in mapping if field not in FIELDS]
    if unknown:
        raise StorageTrouble(f"“{unknown[0]}” is not a field; there are {', '.join(FIELDS)}.")
    if "date" not in mapping:
        raise StorageTrouble("A table needs a column with the date: date=COLUMN.")
    if not set(mapping) & {*NUMBERS, "value", *READINGS}:
        raise StorageTrouble("A table needs a column with a count or a reading, such as count=COLUMN or ph=COLUMN.")
    if ("quantity" in mapping) != ("value" in mapping):
        raise StorageTrouble("A reading needs both quantity=COLUMN and value=COLUMN, or a column of its own (ph=pH).")


def read_sheet(
    path: str | Path,
    mapping: Mapping[str, str],
    standing: Standing,
    *,
    zone: ZoneInfo,
    day_first: bool,
    now: dt.datetime,
) -> Iterator[SheetRow]:
    """The rows of a csv file (comma, semicolon or tab between cells). Empty rows are passed over.

    `standing` is the room whose places, batches and lines the names must be; `day_first` how 3/4/2026 is read.
    `mapping` gives the column of each field. Raises StorageTrouble when it does not fit, or the file cannot be read.
    """
    _check(mapping)
    table = _table(path, mapping.values())
    seen: Counter[str] = Counter()
    known = _Names(standing)
    try:
        for raw in table:
            cells = {field: (raw.get(column) or "").strip() for field, column in mapping.items()}
            beyond = [cell for cell in raw.get(_BEYOND) or () if cell.strip()]
            if not any(cells.values()):
                continue
            content = "\n".join(f"{field}={cells[field]}" for field in sorted(cells))
            seen[content] += 1
            key = hashlib.sha256(f"{content}\n{seen[content]}".encode()).hexdigest()[:32]
            try:
                if beyond:
                    raise _Unclear(f"more cells than columns, “{beyond[0]}” is under none")
                at, events = _read(cells, known, zone, day_first, now)
                yield SheetRow(table.line_num, key, at, events, None)
            except _Unclear as unclear:
                yield SheetRow(table.line_num, key, None, (), str(unclear))
    except csv.Error as trouble:
        raise StorageTrouble(f"{path}, line {table.line_num}: not a table ({trouble}).") from trouble


_BEYOND = "\0"  # what DictReader puts cells under that no column stands over; no column's name, having no NUL


def _table(path: str | Path, columns: Iterable[str]) -> csv.DictReader[str]:
    """The file as a table that has each of these columns once."""
    text = _text(path)
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    table = csv.DictReader(text.splitlines(keepends=True), delimiter=delimiter, strict=True, restkey=_BEYOND)
    there = list(table.fieldnames or ())
    for column in columns:
        if column not in there:
            listed = ", ".join(f"“{name}”" for name in there)
            raise StorageTrouble(f"{path} has no column “{column}”, only {listed or 'nothing'}.")
        if there.count(column) > 1:
            raise StorageTrouble(f"{path} has more than one column “{column}”; give each a name of its own.")
    return table


def decoded(raw: bytes) -> str | None:
    """Text in UTF-8, or in UTF-16 where it says so itself, as "Unicode text" is saved; None for other bytes."""
    try:
        text = raw.decode("utf-16" if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig")
    except UnicodeDecodeError:
        return None
    return None if "\0" in text else text


def _text(path: str | Path) -> str:
    try:
        raw = Path(path).expanduser().read_bytes()
    except OSError as trouble:
        raise StorageTrouble(f"{path} cannot be read ({trouble.strerror}).") from trouble
    if raw.startswith(b"PK\x03\x04"):
        raise StorageTrouble(f"{path} is a workbook, not a table as text. Save it as “CSV UTF-8” and try again.")
    text = decoded(raw)
    if text is None:
        raise StorageTrouble(f"{path} is not text in UTF-8. Save it as “CSV UTF-8” and try again.")
    return text


class _Names:
    """The room's names by how they may be written."""

    def __init__(self, standing: Standing) -> None:
        self.known: dict[str, dict[str, str]] = {
            "place": {a: p.name for p in standing.places.values() for a in self._written(p.name, p.aka)},
            "batch": {a: name for name in standing.batches for a in self._written(name, [])},
            "line": {a: line.name for line in standing.lines.values() for a in self._written(line.name, line.aka)},
        }

    @staticmethod
    def _written(name: str, aka: Iterable[str]) -> list[str]:
        return [" ".join(written.casefold().split()) for written in (name, *aka)]

    def find(self, what: str, written: str) -> str:
        name = self.known[what].get(" ".join(written.casefold().split()))
        if name is None:
            raise _Unclear(f"the room has no {what} “{written}”")
        return name


def _read(
    cells: dict[str, str], known: _Names, zone: ZoneInfo, day_first: bool, now: dt.datetime
) -> tuple[dt.datetime, tuple[Event, ...]]:
    at = _moment(cells, zone, day_first)
    if at.year < EARLIEST_YEAR:
        raise _Unclear(f"“{cells['date']}” is too long ago")
    if not cells.get("time") and at.date() == now.astimezone(zone).date():
        at = min(at, now.astimezone(zone))  # said of the day, of which no more has been
    if at > now + SOON:
        raise _Unclear(f"“{cells['date']}” is still to come")
    about: dict[str, Any] = {name: known.find(name, cells[name]) for name in NAMED if cells.get(name)}
    if not about:
        raise _Unclear("no place, batch or line")
    said: dict[str, Any] = {name: _whole(name, cells[name]) for name in NUMBERS if cells.get(name)}
    if cells.get("stage"):
        if cells["stage"].lower() not in STAGES:
            raise _Unclear(f"“{cells['stage']}” is not a stage; there are {', '.join(STAGES)}")
        said["stage"] = cells["stage"].lower()
    events: list[dict[str, Any]] = []
    if "price" in cells or "buyer" in cells:  # a table of sales: a row without a price is no head count
        if not cells.get("count"):
            raise _Unclear("a sale without a count")
        sale = {"kind": "sale", **about, **said}
        if cells.get("price"):
            sale["price"] = _number("price", cells["price"])
        events.append(sale | ({"buyer": cells["buyer"]} if cells.get("buyer") else {}))
    elif any(name in said for name in NUMBERS):
        events.append({"kind": "headcount", **about, **said})
    for quantity, value in _readings(cells):
        events.append(
            {"kind": "measure", **{k: v for k, v in about.items() if k != "line"}, **_measured(quantity, value)}
        )
    if not events:
        raise _Unclear("no count and no reading")
    try:
        return at, tuple(event_from(event) for event in events)
    except pydantic.ValidationError as trouble:
        wrong = trouble.errors()[0]
        raise _Unclear(f"{wrong['loc'][-1]}: {wrong['msg']}") from None


def _readings(cells: dict[str, str]) -> Iterator[tuple[str, str]]:
    if cells.get("value"):
        quantity = cells["quantity"].lower().replace(" ", "_")
        if quantity == "temperature":
            raise _Unclear("say temperature_c or temperature_f: which degrees these are is not known")
        if quantity not in READINGS:
            raise _Unclear(f"“{cells['quantity']}” is not a quantity; there are {', '.join(READINGS)}")
        yield quantity, cells["value"]
    for quantity in READINGS:
        if cells.get(quantity):
            yield quantity, cells[quantity]


def _measured(quantity: str, written: str) -> dict[str, Any]:
    value = _number(quantity, written)
    name = "temperature" if quantity.startswith("temperature") else quantity
    try:
        if quantity == "temperature_f":
            value = round(celsius_of(value), 1)
        if name == "temperature":
            sane_celsius(value)
        elif name == "ph":
            sane_ph(value)
    except ValueError as trouble:
        raise _Unclear(f"{quantity}: {trouble}") from None
    return {"quantity": name, "value": value}


def _moment(cells: dict[str, str], zone: ZoneInfo, day_first: bool) -> dt.datetime:
    """When: an ISO date, or day, month and year in the room's order; the earlier of a repeated hour."""
    written = cells.get("date", "")
    time = cells.get("time") or NOON
    parts = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ](\d{1,2}:\d\d)(?::\d\d)?)?", written)
    other = re.fullmatch(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})", written)
    if parts:
        year, month, day = int(parts[1]), int(parts[2]), int(parts[3])
        time = cells.get("time") or parts[4] or NOON
    elif other:
        day, month, year = int(other[1]), int(other[2]), int(other[3])
        if not day_first:
            day, month = month, day
    else:
        raise _Unclear(f"“{written}” is not a date like 2026-03-09" if written else "no date")
    clock = re.fullmatch(r"(\d{1,2}):(\d\d)(?::\d\d)?", time)
    try:
        if not clock:
            raise ValueError
        return dt.datetime(year, month, day, int(clock[1]), int(clock[2]), tzinfo=zone)
    except ValueError:
        raise _Unclear(f"“{written} {cells.get('time', '')}”".replace(" ”", "”") + " is not a day and time") from None


def _whole(name: str, written: str) -> int:
    if not re.fullmatch(r"\d+", written):
        raise _Unclear(f"{name}: “{written}” is not a whole number")
    if len(written.lstrip("0")) > len(str(MOST_COUNTED)) or int(written) > MOST_COUNTED:
        raise _Unclear(f"{name}: “{written}” is more than can be")
    return int(written)


def _number(name: str, written: str) -> float:
    """A number with a point or a comma before its decimals; one that could as well be thousands is unclear."""
    if re.fullmatch(r"\d{1,3}(,\d{3})+|\d{1,3}(\.\d{3})+", written) and not written.startswith("0"):
        raise _Unclear(f"{name}: “{written}” may be thousands or decimals")
    if not re.fullmatch(r"-?\d+([.,]\d+)?", written):
        raise _Unclear(f"{name}: “{written}” is not a number")
    value = float(written.replace(",", "."))
    if value < 0:
        raise _Unclear(f"{name}: “{written}” is less than nothing")
    if value > MOST_COUNTED:
        raise _Unclear(f"{name}: “{written}” is more than can be")
    return value
