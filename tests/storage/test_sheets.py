"""A table kept elsewhere is read row by row; what is unclear is said, never guessed."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from shared.ledger.standing import Batch, Line, Place, Standing
from storage.engine import StorageTrouble
from storage.sheets import SheetRow, mapping_of, read_sheet
from tests.storage.notes import NOON

CHICAGO = ZoneInfo("America/Chicago")
NOW = dt.datetime(2026, 6, 1, 9, tzinfo=CHICAGO)
ROOM = Standing(
    places={"tank 3": Place(name="tank 3", aka=["the ten"]), "tub B": Place(name="tub B")},
    lines={"gardneri": Line(name="gardneri")},
    batches={"B22": Batch(name="B22", line="gardneri", opened=NOON, touched=NOON)},
)


def read(folder: Path, text: str, *pairs: str, day_first: bool = False) -> list[SheetRow]:
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return list(read_sheet(path, mapping_of(pairs), ROOM, zone=CHICAGO, day_first=day_first, now=NOW))


def outside(row: SheetRow) -> list[dict[str, Any]]:
    return [e.model_dump(mode="json", exclude_defaults=True) | {"kind": e.kind} for e in row.events]


def test_counts_readings_and_sales_become_events(tmp_path: Path) -> None:
    (count,) = read(tmp_path, "Day,Tank,Fish\n2026-03-09,The Ten,12\n", "date=Day", "place=Tank", "count=Fish")
    assert outside(count) == [{"kind": "headcount", "place": "tank 3", "count": 12}]
    assert count.at == dt.datetime(2026, 3, 9, 12, tzinfo=CHICAGO) and count.trouble is None
    (reading,) = read(
        tmp_path,
        "Day;At;Tank;pH;F\n3/9/2026;18:30;tank 3;7,2;76\n",
        *("date=Day", "time=At", "place=Tank", "ph=pH", "temperature_f=F"),
    )
    assert outside(reading) == [
        {"kind": "measure", "place": "tank 3", "quantity": "ph", "value": 7.2},
        {"kind": "measure", "place": "tank 3", "quantity": "temperature", "value": 24.4},
    ]
    assert reading.at == dt.datetime(2026, 3, 9, 18, 30, tzinfo=CHICAGO)
    (sale,) = read(
        tmp_path,
        "Day\tBatch\tN\tGot\tWho\n2026-03-09\tb22\t6\t0\tWim\n",
        *("date=Day", "batch=Batch", "count=N", "price=Got", "buyer=Who"),
    )
    assert outside(sale) == [{"kind": "sale", "batch": "B22", "count": 6, "price": 0.0, "buyer": "Wim"}]


def test_one_column_may_name_the_quantity(tmp_path: Path) -> None:
    pairs = ("date=d", "place=p", "quantity=q", "value=v")
    rows = read(tmp_path, "d,p,q,v\n2026-03-09,tub B,Nitrate,5\n2026-03-09,tub B,temperature,24\n", *pairs)
    assert outside(rows[0]) == [{"kind": "measure", "place": "tub B", "quantity": "nitrate", "value": 5.0}]
    assert rows[1].events == () and "which degrees" in str(rows[1].trouble)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("2026-03-09,tank 33,12,", "the room has no place “tank 33”"),
        ("2026-03-09,,12,", "no place"),
        (",tank 3,12,", "no date"),
        ("9 March,tank 3,12,", "not a date"),
        ("2026-02-30,tank 3,12,", "not a day"),
        ("13/13/2026,tank 3,12,", "not a day"),
        ("03/09/26,tank 3,12,", "not a date"),
        ("2026-03-09,tank 3,about 30,", "not a whole number"),
        ("2026-03-09,tank 3,-3,", "not a whole number"),
        ("2026-03-09,tank 3,12.5,", "not a whole number"),
        ("2026-03-09,tank 3,,", "no count and no reading"),
        ('2026-03-09,tank 3,,"1,234"', "thousands or decimals"),
        ("2026-03-09,tank 3,,1.234", "thousands or decimals"),
        ("2026-03-09,tank 3,,-7", "less than nothing"),
        ("2026-03-09,tank 3,,7.x", "not a number"),
        ("2026-03-09,tank 3,,nan", "not a number"),
        ("2126-03-09,tank 3,12,", "still to come"),
        ("2026-06-02,tank 3,12,", "still to come"),
        ("0001-01-01,tank 3,12,", "too long ago"),
        ("2026-03-09,tank 3,1000001,", "more than can be"),
        (f"2026-03-09,tank 3,{'9' * 5000},", "more than can be"),
        (f"2026-03-09,tank 3,,{'9' * 400}", "more than can be"),
        ("2026-03-09,tank 3,12,7,8", "more cells than columns"),
    ],
)
def test_a_row_that_is_unclear_says_why_and_logs_nothing(tmp_path: Path, row: str, told: str) -> None:
    (read_row,) = read(tmp_path, f"d,p,n,tds\n{row}\n", "date=d", "place=p", "count=n", "tds=tds")
    assert told in str(read_row.trouble)
    assert read_row.events == () and read_row.at is None and read_row.number == 2


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (",,tank 3,72", "ph"),
        (",,tank 3,nan", "ph"),
        ("780,,tank 3,", "temperature_f"),
        ("24,,tank 3,", "temperature_f"),
    ],
)
def test_an_impossible_reading_is_unclear(tmp_path: Path, row: str, told: str) -> None:
    pairs = ("date=d", "temperature_f=f", "count=n", "place=p", "ph=ph")
    (read_row,) = read(tmp_path, f"d,f,n,p,ph\n2026-03-09,{row}\n", *pairs)
    assert told in str(read_row.trouble) and read_row.events == ()


def test_a_row_of_a_sales_table_is_never_a_head_count(tmp_path: Path) -> None:
    pairs = ("date=d", "place=p", "count=n", "price=e", "buyer=b")
    rows = read(tmp_path, "d,p,n,e,b\n2026-03-09,tank 3,4,,\n2026-03-09,tank 3,,5,\n", *pairs)
    assert outside(rows[0]) == [{"kind": "sale", "place": "tank 3", "count": 4}]
    assert rows[1].trouble == "a sale without a count"


def test_the_rooms_order_of_dates_is_used(tmp_path: Path) -> None:
    text, pairs = "d,p,n\n03/04/2026,tank 3,1\n", ("date=d", "place=p", "count=n")
    assert [r.at and r.at.date() for r in read(tmp_path, text, *pairs)] == [dt.date(2026, 3, 4)]
    assert [r.at and r.at.date() for r in read(tmp_path, text, *pairs, day_first=True)] == [dt.date(2026, 4, 3)]


def test_rows_keep_their_key_when_the_table_grows_and_equal_rows_stay_apart(tmp_path: Path) -> None:
    text, pairs = "d,p,n\n2026-03-09,tank 3,1\n\n2026-03-09,tank 3,1\n", ("date=d", "place=p", "count=n")
    first = [row.key for row in read(tmp_path, text, *pairs)]
    longer = [row.key for row in read(tmp_path, text.replace("n\n", "n\n2026-03-08,tank 3,9\n", 1), *pairs)]
    assert len(first) == len(set(first)) == 2 and longer[1:] == first


@pytest.mark.parametrize(
    ("pairs", "told"),
    [
        (["date"], "FIELD=COLUMN"),
        (["colour=x"], "“colour” is not a field"),
        (["date=a", "date=b"], "two columns"),
        (["count=a"], "needs a column with the date"),
        (["date=a"], "count or a reading"),
        (["date=a", "value=b"], "needs both"),
        (["date=a", "count=b"], "has no column “a”, only “d”, “p”"),
    ],
)
def test_a_mapping_that_does_not_fit_is_told(tmp_path: Path, pairs: list[str], told: str) -> None:
    with pytest.raises(StorageTrouble, match=told):
        read(tmp_path, "d,p\n", *pairs)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_table_is_read_in_each_encoding_that_says_what_it_is(tmp_path: Path, encoding: str) -> None:
    (tmp_path / "t.csv").write_bytes("Tag,Fische,Ort\r\n2026-03-09,12,TUB B\r\n".encode(encoding))
    mapping = mapping_of(["date=Tag", "count=Fische", "place=Ort"])
    (row,) = read_sheet(tmp_path / "t.csv", mapping, ROOM, zone=CHICAGO, day_first=False, now=NOW)
    assert outside(row) == [{"kind": "headcount", "place": "tub B", "count": 12}]


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"d,n,n\n2026-03-09,1,2\n", "more than one column “n”"),
        (b"d,n\n2026-03-09,\x001\n", "UTF-8"),
        ("d,n\n2026-03-09,1\n".encode("utf-16-le"), "UTF-8"),
        (b"PK\x03\x04" + bytes(30), "workbook"),
        (b"", "only nothing"),
    ],
)
def test_a_file_that_would_be_misread_is_refused(tmp_path: Path, raw: bytes, told: str) -> None:
    (tmp_path / "t.csv").write_bytes(raw)
    with pytest.raises(StorageTrouble, match=told):
        mapping = mapping_of(["date=d", "count=n"])
        list(read_sheet(tmp_path / "t.csv", mapping, ROOM, zone=CHICAGO, day_first=False, now=NOW))


def test_what_was_counted_this_morning_was_counted_by_now(tmp_path: Path) -> None:
    (row,) = read(tmp_path, "d,p,n\n2026-06-01,tub B,12\n", "date=d", "place=p", "count=n")
    assert row.trouble is None and row.at == NOW


def test_a_file_that_is_no_table_is_told(tmp_path: Path) -> None:
    mapping = mapping_of(["date=d", "count=n"])
    (tmp_path / "latin.csv").write_bytes("d,n\nMärz,1\n".encode("latin-1"))
    for name, told in (("none.csv", "cannot be read"), ("latin.csv", "UTF-8")):
        with pytest.raises(StorageTrouble, match=told):
            list(read_sheet(tmp_path / name, mapping, ROOM, zone=CHICAGO, day_first=False, now=NOW))
    with pytest.raises(StorageTrouble, match="not a table"):
        read(tmp_path, 'd,n\n"2026-03-09,1\n', "date=d", "count=n")
