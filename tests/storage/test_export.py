"""What other programs get to read, whole and harmless."""

from __future__ import annotations

import csv
import io
import json
import stat
from pathlib import Path
from typing import Any

import openpyxl  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.events import Event
from shared.ledger.standing import ARCHIVED_AFTER, Posting
from storage import export
from storage.engine import StorageTrouble
from storage.journal import RoomBook
from tests.storage.notes import DAY, FED, NOON, account, died, event, hatched, message, pulled, said, taken_back

TRICKY = ['=HYPERLINK("http://x","y")', "+1", "-2 dead", "@SUM(A1)", "\t=1", "a,b;c\nd", 'say "mop"', "’=1", "Größe 🐟"]


@pytest.fixture
def written(book: RoomBook) -> RoomBook:
    rosa = book.person_named("Rosa")
    pulled(book, "B1", 40)
    hatched(book, "B1", 30, at=NOON + 14 * DAY)
    died(book, "B1", 2, at=NOON + 15 * DAY)
    said(book, event("sale", count=6, line="gardneri", buyer=TRICKY[0], price=0.0), at=NOON + 16 * DAY)
    said(book, event("sale", count=2, line="medaka", price=12.5), at=NOON + 17 * DAY)
    for text in TRICKY:
        said(book, event("remark", text=text, place="tank 3"), text=text, person=rosa.key)
    said(book, event("fix", count=7, of={"kind": "pull"}), event("feed", places=["tank 1", "tank 2"]))
    taken_back(book, 4)
    book.update_info(currency="USD")
    return book


def written_out(book: RoomBook, what: str, form: str) -> str:
    out = io.StringIO(newline="")
    export.export(book, what, form, stream=out)
    return out.getvalue()


def rows(book: RoomBook, what: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in written_out(book, what, "jsonl").splitlines()]


def table(book: RoomBook, what: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(written_out(book, what, "csv"), newline="")))


@pytest.mark.parametrize("what", export.WHATS)
def test_every_table_is_as_long_in_every_form(written: RoomBook, what: str, tmp_path: Path) -> None:
    expected = {"messages": 16, "events": 17, "batches": 1, "places": 0, "stock": 2, "sales": 1}[what]
    assert len(rows(written, what)) == len(table(written, what)) == expected
    export.export(written, what, "xlsx", tmp_path / "out.xlsx")
    book = openpyxl.load_workbook(tmp_path / "out.xlsx")
    assert len(list(book[what].iter_rows())) == expected + 1
    book.close()


def test_events_keep_their_numbers_and_what_was_taken_back(written: RoomBook) -> None:
    told = rows(written, "events")
    assert [row["id"] for row in told] == list(range(1, 18))
    assert told[0] == {
        "id": 1,
        "at": "2026-03-09T13:30:00-05:00",
        "said": "2026-03-09T13:30:00-05:00",
        "person": "Rosa",
        "message": told[0]["message"],
        "kind": "pull",
        "batch": "B1",
        "place": "tub B",
        "line": "gardneri",
        "laid_from": "2026-03-08T13:30:00-05:00",
        "laid_to": "2026-03-09T13:30:00-05:00",
        "count": 40,
    }
    assert told[3]["taken_back_by"] == 17 and told[16]["retracts"] == [4]
    assert told[3]["price"] == 0.0 and told[3]["count"] == 6
    assert told[14]["count"] == 7 and told[14]["of"] == {"kind": "pull"}
    assert table(written, "events")[15]["places"] == "tank 1, tank 2"


def test_every_key_an_event_can_have_has_a_column() -> None:
    keys = {field.alias or name for kind in Event.__args__ for name, field in kind.model_fields.items()}
    assert len(keys) > 40
    columns = set(export._ABOUT + export._DATED + export._keys_of_events())
    assert keys <= columns


def test_a_batch_adds_up_and_what_nobody_counted_is_empty(written: RoomBook) -> None:
    (batch,) = rows(written, "batches")
    assert (batch["name"], batch["line"]) == ("B1", "gardneri")
    assert batch["eggs_pulled"] == 40 and batch["eggs_hatched"] == 30 and batch["eggs_alive"] == 10
    assert batch["fish_hatched"] == 30 and batch["fish_died"] == 2 and batch["fish_alive"] == 28
    with written.turn(message(sent=NOON + 20 * DAY)) as turn:
        posting = Posting(source=account("B1", "tub B", "fry"), outside="died", count=None)
        turn.append(event("death", place="tub B"), at=NOON + 20 * DAY, batch="B1", postings=[posting])
        turn.reply("", {}, "log")
    (batch,) = rows(written, "batches")
    assert "fish_died" not in batch and "fish_alive" not in batch and batch["fish_not_counted"] == ["died"]


def test_batches_long_gone_are_told_too(book: RoomBook) -> None:
    pulled(book, "B1", 1)
    hatched(book, "B1", 1)
    died(book, "B1", 1)
    said(book, *[FED] * 600, at=NOON + ARCHIVED_AFTER + DAY)
    assert "B1" not in book.standing().batches
    (batch,) = rows(book, "batches")
    assert (batch["name"], batch["fish_died"], batch["fish_alive"]) == ("B1", 1, 0)


def test_sales_tell_the_rooms_currency_and_leave_out_what_was_taken_back(written: RoomBook) -> None:
    (sale,) = rows(written, "sales")
    assert sale == {
        "id": 5,
        "kind": "sale",
        "at": "2026-03-26T13:30:00-05:00",
        "person": "Rosa",
        "line": "medaka",
        "count": 2,
        "price": 12.5,
        "currency": "USD",
    }


def test_no_cell_of_a_csv_is_a_formula(written: RoomBook) -> None:
    for what in export.WHATS:
        for row in table(written, what):
            for cell in row.values():
                number = cell.replace("-", "", 1).replace(".", "", 1).isdigit()
                assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    texts = [row["text"] for row in table(written, "messages")]
    assert "'" + TRICKY[0] in texts and "'-2 dead" in texts and "a,b;c\nd" in texts and "Größe 🐟" in texts


@given(st.text())
def test_defused_text_never_begins_like_a_formula_and_loses_nothing(text: str) -> None:
    made = export.defused(text)
    assert made in (text, "'" + text)
    assert not made.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_json_lines_keep_words_to_the_letter(written: RoomBook) -> None:
    texts = [row["text"] for row in rows(written, "messages")]
    assert set(TRICKY) <= set(texts)


def test_a_spreadsheet_holds_text_as_text_and_numbers_as_numbers(written: RoomBook, tmp_path: Path) -> None:
    said(written, event("remark", text="bell \x07 rang"), text="bell \x07 rang")
    path = tmp_path / "out.xlsx"
    export.export(written, "messages", "xlsx", path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    workbook = openpyxl.load_workbook(path)
    cells = [cell for row in workbook["messages"].iter_rows(min_row=2) for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n"}
    assert TRICKY[0] in [cell.value for cell in cells] and "bell  rang" in [cell.value for cell in cells]
    workbook.close()
    export.export(written, "stock", "xlsx", path)
    workbook = openpyxl.load_workbook(path)
    assert [row[4].value for row in workbook["stock"].iter_rows(min_row=2)] == [10, 28]
    workbook.close()


@pytest.mark.parametrize(
    ("what", "form", "told"),
    [("fish", "csv", "there are messages"), ("stock", "pdf", "there are csv"), ("stock", "xlsx", "needs a file")],
)
def test_what_cannot_be_exported_is_told(book: RoomBook, what: str, form: str, told: str) -> None:
    with pytest.raises(StorageTrouble, match=told):
        export.export(book, what, form)


def test_a_file_that_cannot_be_written_is_told_and_leaves_nothing(written: RoomBook, tmp_path: Path) -> None:
    with pytest.raises(StorageTrouble, match="cannot be written"):
        export.export(written, "stock", "csv", tmp_path / "nowhere" / "out.csv")
    (tmp_path / "folder").mkdir()
    with pytest.raises(StorageTrouble, match="cannot be written"):
        export.export(written, "stock", "csv", tmp_path / "folder")
    assert list(tmp_path.rglob("*.part")) == []
