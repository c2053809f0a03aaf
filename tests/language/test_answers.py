"""An answer to the reader's own question goes through the same grammar and closes the gap."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from bot.language import Names, Reader
from bot.language.reading import Doubt
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


DIED = {"kind": "death", "count": 2}
CHANGED = {"kind": "water_change", "percent": 30.0}
KEPT = {"kind": "reserve", "buyer": "Tom", "count": 2}
GONE = {"kind": "death", "place": "tank 13"}
PH = {"kind": "measure", "place": "tank 13", "quantity": "ph"}
DROPS = {"kind": "dose", "place": "tub C", "unit": "drop", "substance": "peroxide"}
SOLD = {"kind": "sale", "count": 4, "line": "gardneri"}
# What is missing, of which event, what is said to that, and what it settles: None for no answer.
SETTLED: list[tuple[str, dict[str, Any], str, dict[str, Any] | None]] = [
    ("place", DIED, "first", {"place": "tank 5"}),
    ("place", DIED, "the last one", {"place": "tank 11"}),
    ("place", DIED, "11", {"place": "tank 11"}),
    ("place", DIED, "5 and 11", None),
    ("place", DIED, "B17", {"batch": "B17"}),
    ("place", DIED, "lampeye", {"place": "tank 5"}),
    ("place", DIED, "gardneri", None),  # in several
    ("place", CHANGED, "B17", {"places": ["tank 11"]}),
    ("place", CHANGED, "tubs A and B", {"places": ["tub A", "tub B"]}),
    ("place", CHANGED, "gardneri", None),
    ("to", {"kind": "move", "from": "tank 13", "count": 3}, "16", {"to": "tank 16"}),
    ("to", {"kind": "move", "from": "tank 13", "count": 3}, "14 and 15", None),
    ("line", KEPT, "panda cory", {"line": "panda cory"}),
    ("line", KEPT, "gardneri and lampeye", None),
    ("culture", {"kind": "culture", "action": "feed"}, "microworm 2", {"culture": "microworm 2"}),
    ("culture", {"kind": "culture", "action": "feed"}, "both", None),
    ("count", GONE, "four", {"count": 4}),
    ("count", GONE, "2.5", None),
    ("count", GONE, "4000", None),
    ("count", GONE, "tank 5 4", None),  # a note of another tank
    ("value", {"kind": "water_change", "places": ["tank 13"]}, "half", {"percent": 50.0}),
    ("value", {"kind": "water_change", "places": ["tank 13"]}, "300", None),
    ("value", PH, "ph 7.2", {"value": 7.2}),
    ("value", PH, "77", None),
    ("value", PH, "nitrate 20", None),
    ("value", DROPS, "4", {"amount": 4.0}),
    ("value", DROPS, "0", None),
    ("value", DROPS, "900", None),
    ("buyer", SOLD, "to Priya", {"buyer": "Priya"}),
    ("buyer", SOLD, "Tom and Priya", None),
    ("kind", {"kind": "pull"}, "3", None),
]


@pytest.mark.parametrize(
    ("missing", "held", "answer", "settled"), SETTLED, ids=[f"{m} {h['kind']} / {a}" for m, h, a, _ in SETTLED]
)
def test_an_answer_settles_what_is_missing_or_nothing(
    missing: str, held: dict[str, Any], answer: str, settled: dict[str, Any] | None
) -> None:
    done = READER.complete(Doubt("", "", ("tank 5", "tank 11"), missing, held), answer, SENT)
    if settled is None:
        assert done is None
    else:
        assert done is not None and done.events[0].outside() == held | settled


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
