"""A breeding record says what was written down and what was not, on one page."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bot.command_line.setup import set_up
from bot.commands import main
from bot.hear import hear
from bot.pictures.breeding_record import MISSING, Record, breeding_record, record_pdf
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

NOTES = (
    "gardneri are F3",
    "tank 3 is gardneri, 2 trios",
    "temp tank 3 75, ph 7.2",
    "pulled mop tank 3, 40 eggs into tub D",
    "6 bad eggs tub D",
)


@pytest.fixture
def book(database: Database, card: RoomCard) -> RoomBook:
    now = dt.datetime(2026, 3, 9, 8, 0, tzinfo=card.zone)
    book, _ = set_up(database, card, now)
    rosa = book.person_named("Rosa")
    for number, note in enumerate(NOTES):
        hear(book, Message("terminal", str(number), "t", rosa.key, note, now))
    return book


def _rows(record: Record | None) -> dict[str, str]:
    assert record
    return {name: said for _, rows in record.sections for name, said in rows}


def test_of_a_batch_parents_dates_counts_and_water_are_told(book: RoomBook) -> None:
    now = dt.datetime(2026, 3, 10, 8, 0, tzinfo=book.info.zone)
    rows = _rows(breeding_record(book.standing(), book, "b24", now))
    assert rows["species"] == "Fundulopanchax gardneri"
    assert rows["collected"] == "40 eggs" and rows["went bad"] == "6 eggs"
    assert rows["now"] == "34 eggs in tub D" and rows["first fry"] == "none seen yet"
    # the pH of the parents' tank and its warmth stand on one row, with their day
    assert rows["tank 3"].startswith("75 °F (9 Mar 2026), pH 7.2")
    assert rows["population"] == MISSING


def test_parents_that_were_counted_are_told_by_sex(book: RoomBook) -> None:
    now = dt.datetime(2026, 3, 10, 8, 0, tzinfo=book.info.zone)
    record = breeding_record(book.standing(), book, "B24", now)
    assert record
    parents = dict(dict(record.sections)["Parents"])
    assert parents["tank 3"] == "6 adults (2 male, 4 female)"


def test_nobody_is_filled_in_and_nothing_unknown_is_made(book: RoomBook) -> None:
    now = dt.datetime(2026, 3, 10, 8, 0, tzinfo=book.info.zone)
    told = breeding_record(book.standing(), book, "medaka", now)
    assert told and "no reading on record" in told.text()
    assert breeding_record(book.standing(), book, "B99", now) is None


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("name", ["B24", "gardneri"])
def test_it_is_one_page(book: RoomBook, name: str, units: str) -> None:
    record = breeding_record(book.standing(), book, name, dt.datetime(2026, 3, 10, 8, 0, tzinfo=book.info.zone))
    assert record
    pdf = record_pdf(record, units)
    assert pdf.startswith(b"%PDF") and pdf.count(b"/Type /Page ") == 1


def test_the_command_prints_it_or_writes_a_page(
    book: RoomBook, database: Database, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    db = str(database.file)
    assert main(["--db", db, "record", "B24"]) == 0
    assert "Breeding record: gardneri, B24" in capsys.readouterr().out
    assert main(["--db", db, "record", "B24", "--out", str(tmp_path / "r.pdf")]) == 0
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF")
    assert main(["--db", db, "record", "B99"]) == 1
    assert "B99" in capsys.readouterr().err


def test_asked_for_as_a_page_it_comes_as_one_file(book: RoomBook) -> None:
    now = dt.datetime(2026, 3, 10, 8, 0, tzinfo=book.info.zone)
    rosa = book.person_named("Rosa")
    replies = [
        hear(book, Message("terminal", f"page {text}", "t", rosa.key, text, now))
        for text in (
            "breeding record for B24",
            "breeding record for B24 as PDF",
            "pdf of the breeding record of medaka",
        )
    ]
    assert replies[0].picture is None
    assert all(r.picture and r.picture.startswith(b"%PDF-") and r.text.startswith("Breeding") for r in replies[1:])
