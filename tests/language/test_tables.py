"""Lists and tables are read row by row, and only when they fit the pattern whole."""

# ruff: noqa: E501  (tables are read as tables)

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest

from bot.language.reader import Reader
from bot.language.text.names import Names
from shared.room import RoomCard

CARD = Path(__file__).parent / "data" / "millrace.json"
SENT = dt.datetime.fromisoformat("2026-03-12T19:30")  # a Thursday
READER = Reader(Names.of(RoomCard.model_validate(json.loads(CARD.read_text(encoding="utf-8")))))

ROWS = [
    ("Nitrates\n13: 30\n7: 10", "measure", [("tank 13", 30.0, None), ("tank 7", 10.0, None)]),
    ("pH / nitrate\n13 7.4 40\n14 7.6 30", "measure", [("tank 13", 7.4, None), ("tank 13", 40.0, None), ("tank 14", 7.6, None), ("tank 14", 30.0, None)]),
    ("tank | temp\n1 | 76\n5 | 75", "measure", [("tank 1", 24.4, None), ("tank 5", 23.9, None)]),
    ("Deaths\n- 13: 1\n- tub E: 2\n- rest fine", "death", [("tank 13", 1, None), ("tub E", 2, None)]),
    ("eggs pulled mon:\n1 - 12\n8 - none", "pull", [("tank 1", 12, "2026-03-09"), ("tank 8", 0, "2026-03-09")]),
    ("mop 8 -- tues 0, wed 0, thurs 2 (finally)", "pull", [("tank 8", 0, "2026-03-10"), ("tank 8", 0, "2026-03-11"), ("tank 8", 2, None)]),
    ("bad eggs: mon A 2 B 1, tue B 4", "bad_eggs", [("tub A", 2, "2026-03-09"), ("tub B", 1, "2026-03-09"), ("tub B", 4, "2026-03-10")]),
    ("B19:\nmon 30\ntue 28", "headcount", [("B19", 30, "2026-03-09"), ("B19", 28, "2026-03-10")]),
    ("Drops:\n- A 2\n- C 3", "dose", [("tub A", 2.0, None), ("tub C", 3.0, None)]),
    ("eyed: A 12, B 20", "eyed", [("tub A", 12, None), ("tub B", 20, None)]),
]  # fmt: skip


@pytest.mark.parametrize(("note", "kind", "rows"), ROWS, ids=[r[0].split("\n")[0] for r in ROWS])
def test_rows(note: str, kind: str, rows: list[tuple[str, float, str | None]]) -> None:
    reading = READER.read(note, SENT)
    assert reading.outcome == "log"
    told = [event.outside() for event in reading.events]
    assert {event["kind"] for event in told} == {kind}
    found = [
        (e.get("place") or e.get("batch"), e.get("count", e.get("value", e.get("amount"))), e.get("date")) for e in told
    ]
    assert found == rows


FEEDINGS = "feed log\n7:00 all\n12:00 fry\n18:00 all"


def test_feedings_by_the_hour() -> None:
    told = [e.outside() for e in READER.read(FEEDINGS, SENT).events]
    assert [(e["kind"], e["places"], e["time"]) for e in told] == [
        ("feed", ["all"], "07:00"),
        ("feed", ["all fry"], "12:00"),
        ("feed", ["all"], "18:00"),
    ]


def test_an_empty_box_is_not_done() -> None:
    told = [e.outside() for e in READER.read("[x] egg tubs\n[ ] cultures", SENT).events]
    assert [e["kind"] for e in told] == ["done"]


@pytest.mark.parametrize("note", ["A1\n13: 30\n14: 45", "7: 30\n13: 40", "1 12\n2 14", "E:\nmon 2\ntue 2"])
def test_numbers_without_a_heading_are_never_guessed(note: str) -> None:
    reading = READER.read(note, SENT)
    assert reading.outcome == "ask"
    assert not reading.events


@pytest.mark.parametrize(
    ("note", "places"),
    [("fed bbs A, t2", ["tub A", "tank 2"]), ("fed bbs A, T and t2", ["tub A", "tub T", "tank 2"])],
)
def test_the_t_of_a_tank_is_no_tub_of_that_letter(note: str, places: list[str]) -> None:
    card = RoomCard.model_validate(json.loads(CARD.read_text(encoding="utf-8")))
    tub_a = next(place for place in card.places if place.name == "tub A")
    lettered = card.model_copy(update={"places": [*card.places, tub_a.model_copy(update={"name": "tub T"})]})
    told = [e.outside() for e in Reader(Names.of(lettered)).read(note, SENT).events]
    assert [(e["kind"], e["places"]) for e in told] == [("feed", places)]


@pytest.mark.parametrize("note", ["fed E, F and K", "3 white in A and Z", "changed A, B, Z", "fed bbs E, F and S"])
def test_a_letter_said_with_others_that_no_tub_has_is_asked_about(note: str) -> None:
    reading = READER.read(note, SENT)
    assert (reading.outcome, reading.events) == ("ask", ())
    assert f"no tub {note[-1]}" in reading.doubts[0].question


def test_what_has_letters_of_no_tub_was_not_fed_to_all() -> None:
    assert READER.read("fed S, T", SENT).outcome == "ask"
