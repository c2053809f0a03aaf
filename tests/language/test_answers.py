"""An answer to the reader's own question goes through the same grammar and closes the gap."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from bot.language import Names, Reader
from tests.language.judging import card_of

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")
READER = Reader(Names.of(card_of("millrace.json")))

ANSWERS: list[tuple[str, str, dict[str, Any]]] = [
    ("pulled the mop, 40 eggs", "3", {"kind": "pull", "place": "tank 3", "count": 40}),
    ("pulled the mop, 40 eggs", "in tank 3", {"kind": "pull", "place": "tank 3", "count": 40}),
    ("pulled the mop, 40 eggs", "the medaka tank", {"kind": "pull", "place": "tank 9", "count": 40}),
    ("2 dead gularis", "tank 14", {"kind": "death", "place": "tank 14", "count": 2, "line": "blue gularis"}),
    ("temp 780 tank 3", "78", {"kind": "measure", "place": "tank 3", "quantity": "temperature", "value": 25.6}),
    ("wc t18 20%", "13", {"kind": "water_change", "places": ["tank 13"]}),
    ("microworms to tubby", "E", {"kind": "feed", "places": ["tub E"], "food": "microworms"}),
]


@pytest.mark.parametrize(("note", "answer", "event"), ANSWERS, ids=[f"{n} / {a}" for n, a, _ in ANSWERS])
def test_an_answer_completes_the_event(note: str, answer: str, event: dict[str, Any]) -> None:
    reading = READER.read(note, SENT)
    assert reading.outcome == "ask" and len(reading.doubts) == 1, reading
    done = READER.complete(reading.doubts[0], answer, SENT)
    assert done is not None and done.outcome == "log"
    got = done.events[0].outside()
    assert {k: got.get(k) for k in event} == event


@pytest.mark.parametrize(
    "note", ["2 dead in tank 13", "what's due today?", "lol", "", "tank 40", "sold a pair of gardneri to Lena for $20"]
)
def test_a_new_note_is_no_answer(note: str) -> None:
    reading = READER.read("pulled the mop, 40 eggs", SENT)
    assert READER.complete(reading.doubts[0], note, SENT) is None


@pytest.mark.parametrize("text", ["when does A hatch", "when will A hatch", "when will A hatch?"])
def test_a_letter_that_hatches_is_a_tub(text: str) -> None:
    query = READER.read(text, SENT).query
    assert query is not None and (query.about, query.place) == ("hatch", "tub A")
