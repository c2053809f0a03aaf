"""The commands others rely on: tables in, the record out, and what each says."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from bot.commands import main

CARD = Path(__file__).parent / "room.json"


class Line:
    """The command line on one database."""

    def __init__(self, db: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.db, self._capsys = str(db), capsys

    def __call__(self, *words: str, status: int = 0) -> str:
        self._capsys.readouterr()
        assert main(["--db", self.db, *words]) == status
        told = self._capsys.readouterr()
        return told.err if status else told.out

    def json(self, *words: str) -> Any:
        return json.loads(self(*words, "--json"))


@pytest.fixture
def line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Line:
    made = Line(tmp_path / "room.db", capsys)
    made("setup", str(CARD))
    return made


def test_setting_up_the_same_card_twice_adds_nothing(line: Line) -> None:
    assert "nothing new" in line("setup", str(CARD))


def test_a_table_of_counts_is_shown_first_and_taken_in_once(line: Line, tmp_path: Path) -> None:
    table = tmp_path / "counts.csv"
    table.write_text("Tank,Number,Day\ntank 14,22,2026-03-10\ntank 13,84,2026-03-10\n", encoding="utf-8")
    mapped = ("import", str(table), "--map", "place=Tank", "count=Number", "date=Day")
    assert "2 of 2 rows would be logged; nothing was" in line(*mapped, "--dry-run")
    assert "2 of 2 rows logged" in line(*mapped)
    assert "0 of 2 rows logged" in line(*mapped)
    assert "0 of 2 rows would be logged" in line(*mapped, "--dry-run")
    assert "add up" in line("check")


def test_a_dry_run_leaves_out_what_could_not_be_booked_and_keeps_nothing(line: Line, tmp_path: Path) -> None:
    table = tmp_path / "sales.csv"
    table.write_text("Tank,Number,Day,Got\ntank 14,900,2026-03-10,5\ntank 14,2,2026-03-11,5\n", encoding="utf-8")
    before = line("export", "messages"), line("export", "events")
    mapped = ("import", str(table), "--map", "place=Tank", "count=Number", "date=Day", "price=Got")
    assert main(["--db", line.db, *mapped, "--dry-run"]) == 1
    told = line._capsys.readouterr().out
    assert "row 2: cannot be booked" in told and "1 of 2 rows would be logged; nothing was, 1 left out." in told
    assert (line("export", "messages"), line("export", "events")) == before


@pytest.mark.parametrize(
    ("text", "mapping"),
    [
        ("Tank,Number\n14,22\n", ("place=Tank", "count=Number")),
        ("Tank,Number,Day\n14,22,2026-03-10\n", ("place=Tank", "count=Menge", "date=Day")),
        ("Tank,Number,Day\n14,22,teatime\n", ("place=Tank", "count=Number", "date=Day")),
        ("Tank,Number,Day\n99,22,2026-03-10\n", ("place=Tank", "count=Number", "date=Day")),
        ("Tank,Number,Day\n14,many,2026-03-10\n", ("place=Tank", "count=Number", "date=Day")),
        ("Tank,Number,Day\n14,22,2026-03-10\n", ("tank=Tank", "date=Day")),
    ],
)
def test_a_table_that_does_not_fit_logs_nothing(
    line: Line, tmp_path: Path, text: str, mapping: tuple[str, ...]
) -> None:
    table = tmp_path / "t.csv"
    table.write_text(text, encoding="utf-8")
    before = line("export", "events")
    assert main(["--db", line.db, "import", str(table), "--map", *mapping]) == 1
    assert line("export", "events") == before


def test_what_goes_out_can_be_read_back(line: Line) -> None:
    line("say", "pulled mop tank 3, 40 eggs into tub D", "--at", "2026-03-09T08:10", "--as", "Rosa")
    rows = list(csv.DictReader(io.StringIO(line("export", "events"))))
    assert rows[-1]["kind"] == "pull"
    assert (rows[-1]["count"], rows[-1]["person"]) == ("40", "Rosa")
    messages = [json.loads(text) for text in line("export", "messages", "--format", "jsonl").splitlines()]
    assert [m["text"] for m in messages if m["person"] == "Rosa"][-1] == "pulled mop tank 3, 40 eggs into tub D"


def test_stock_then_and_now_and_by_what_was_known(line: Line) -> None:
    line("say", "2 dead in tank 13", "--at", "2026-03-09T08:00")
    line("say", "3 dead in tank 13 yesterday at 9:30am", "--at", "2026-03-11T08:00")

    def young(*at: str) -> int:
        rows = line.json("stock", *at)
        return int(next(r["count"] for r in rows if r["batch"] == "B14"))

    assert young() == 79
    assert young("--at", "2026-03-09T12:00") == 82
    assert young("--at", "2026-03-10T12:00") == 79  # by all that is known now
    assert young("--at", "2026-03-10T12:00", "--known-at", "2026-03-10T12:00") == 82


def test_hatch_by_species_has_the_promised_form(line: Line) -> None:
    told = line.json("hatch", "Oryzias latipes", "--temp", "25")
    assert set(told) >= {"species", "temp_c", "median_days", "p10_days", "p90_days", "within_range", "basis"}
    assert told["p10_days"] < told["median_days"] < told["p90_days"]
    annual = line.json("hatch", "Nothobranchius furzeri", "--temp", "25")
    assert annual["median_days"] is None
    assert annual["earliest_days"] > 0


def test_hatch_by_batch_has_the_promised_form(line: Line) -> None:
    told = line.json("hatch", "--batch", "B22", "--at", "2026-03-09T08:00")
    assert told["batch"] == "B22"
    assert told["first_fry"]["p10"] < told["first_fry"]["p50"] < told["first_fry"]["p90"]
    assert 0 <= told["chance_hatched_by_now"] <= 1
    assert "no batch B99" in line("hatch", "--batch", "B99", status=1)


def test_due_has_the_promised_form(line: Line) -> None:
    tasks = line.json("due", "--at", "2026-03-09T08:00")
    assert tasks
    for task in tasks:
        assert set(task) == {"task", "place", "batch", "line", "due", "overdue", "late_by_hours", "why", "how"}


def test_backup_and_restore_bring_back_what_was(line: Line, tmp_path: Path) -> None:
    line("say", "2 dead in tank 13", "--at", "2026-03-09T08:00")
    copy = tmp_path / "copy.db"
    assert "opened and checked" in line("backup", str(copy))
    line("say", "5 dead in tank 13", "--at", "2026-03-09T09:00")
    assert "Nothing was changed" in line("restore", str(copy), status=1)
    line("restore", str(copy), "--force")
    assert next(r["count"] for r in line.json("stock") if r["batch"] == "B14") == 82


def test_a_forgotten_person_leaves_the_ledger_whole(line: Line) -> None:
    line("say", "2 dead in tank 13", "--at", "2026-03-09T08:00", "--as", "Ivo")
    assert "ledger is whole" in line("forget", "Ivo")
    assert "Ivo" not in line("export", "messages", "--format", "jsonl")
    assert "2 dead" not in line("export", "messages", "--format", "jsonl")
    assert "add up" in line("check")
    assert next(r["count"] for r in line.json("stock") if r["batch"] == "B14") == 82


def test_a_forgotten_buyer_leaves_the_sale(line: Line) -> None:
    line("say", "sold 4 gardneri from tank 13 to Bexley for $20", "--at", "2026-03-09T08:00")
    line("say", "bexley may want more", "--at", "2026-03-09T09:00", "--as", "Ivo")
    told = line("forget", "bexley")
    assert "notes about them" in told and "1 note of others" in told
    assert "4 gardneri" not in line("export", "messages", "--format", "jsonl")
    assert "Bexley" not in line("export", "sales", "--format", "jsonl")
    assert "nobody called Bexley" in line("forget", "Bexley", status=1)
    assert "add up" in line("check")


def test_doctor_lists_every_setting_and_no_secret(
    line: Line, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("ROOMHAND_TELEGRAM_TOKEN", "123456:secretsecretsecret")
    told = line("doctor")
    for name in ("ROOMHAND_DB", "ROOMHAND_TELEGRAM_TOKEN", "ROOMHAND_LISTEN", "ROOMHAND_SMS_GATEWAY"):
        assert name in told
    assert "secretsecret" not in told


def test_an_invitation_is_a_code_to_send(line: Line) -> None:
    assert "/start" in line("invite", "--role", "viewer")


def test_the_nightly_message_names_the_day(line: Line) -> None:
    line("say", "pulled mop tank 3, 40 eggs into tub D", "--at", "2026-03-09T08:10")
    told = line("summary", "--at", "2026-03-09T21:00")
    assert "Mon 9 Mar" in told
    assert "40 eggs" in told


def test_calendar_and_labels_are_written(line: Line, tmp_path: Path) -> None:
    feed, sheet = tmp_path / "room.ics", tmp_path / "labels.pdf"
    line("calendar", "--out", str(feed))
    assert feed.read_bytes().startswith(b"BEGIN:VCALENDAR")
    line("labels", "--out", str(sheet))
    assert sheet.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(("typed", "celsius"), [("76F", 24.44), ("76 °F", 24.44), ("24,5", 24.5), ("24.5C", 24.5)])
def test_a_temperature_is_typed_in_either_unit(line: Line, typed: str, celsius: float) -> None:
    assert line.json("hatch", "Oryzias latipes", "--temp", typed)["temp_c"] == celsius


def test_a_word_is_no_temperature(line: Line) -> None:
    assert "76F" in line("hatch", "Oryzias latipes", "--temp", "warm", status=1)


def test_a_copy_to_a_folder_that_is_not_there_is_refused(line: Line, tmp_path: Path) -> None:
    assert "no folder" in line("backup", f"{tmp_path}/stick/", status=1)
    assert not (tmp_path / "stick").exists()
