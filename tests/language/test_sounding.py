"""A tub or a number that a phone wrote as another word is found where it is said, and told again."""

from __future__ import annotations

import pytest

from bot.language.learnt.sounding import may_be_heard
from tests.language.aligned import NO_PART, aligned
from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, note_of


def bad(place: str, count: int) -> Raw:
    return {"kind": "bad_eggs", "place": place, "count": count}


def fed(food: str, *places: str) -> Raw:
    return {"kind": "feed", "places": list(places), "food": food}


@pytest.mark.parametrize(
    ("text", "events", "heard"),
    [
        ("white eggs today hey one bee four see zero", [bad("tub A", 1), bad("tub B", 4), bad("tub C", 0)],
         ["hey", "bee", "see"]),
        ("powder for eleven powder for eff", [fed("powder", "tank 11", "tub F")], ["eff"]),
        ("ate and nine got flakes", [fed("flake", "tank 8", "tank 9")], ["ate"]),
        ("we got tin eggs from tank won and sicks from tank five",
         [{"kind": "pull", "place": "tank 1", "count": 10}, {"kind": "pull", "place": "tank 5", "count": 6}],
         ["sicks"]),
        ("a dozen fry from see went to jee", [{"kind": "move", "from": "tub C", "to": "tub G", "count": 12}],
         ["see", "jee"]),
        ("so thirteen's at seventy four and fourteen's at seventy six",
         [{"kind": "measure", "place": "tank 13", "quantity": "temperature", "value": 23.3},
          {"kind": "measure", "place": "tank 14", "quantity": "temperature", "value": 24.4}],
         ["thirteen's", "fourteen's"]),
        ("sea has one bad egg dee has four bad eggs and I put two drops in dee",
         [bad("tub C", 1), bad("tub D", 4), {"kind": "dose", "place": "tub D", "amount": 2, "unit": "drop"}],
         ["sea", "dee"]),
        ("brine shrimp to the boys a money babies", [fed("brine shrimp", "tank 11")], ["boys a money"]),
        ("half of hey through dee",
         [{"kind": "water_change", "places": ["tub A", "tub B", "tub C", "tub D"], "percent": 50}], ["hey", "dee"]),
        ("tank fourteen P H seven six temperature seventy five",
         [{"kind": "measure", "place": "tank 14", "quantity": "ph", "value": 7.6},
          {"kind": "measure", "place": "tank 14", "quantity": "temperature", "value": 23.9}], ["p h"]),
        ("first hatch in hey ten little gularis", [{"kind": "hatch", "place": "tub A", "count": 10}], ["hey"]),
    ],
)  # fmt: skip
def test_what_was_misheard_is_told_again(text: str, events: list[Raw], heard: list[str]) -> None:
    note = note_of(text, *events)
    assert example_of(note, NAMES, ROOM) is not None
    found = aligned(note, note["want"][0], NAMES)
    said = {t.word for t, role in zip(found.tags, found.roles, strict=True) if role != NO_PART}
    assert set(heard) <= said


def test_a_batch_spoken_letter_by_letter_is_what_is_asked_of() -> None:
    query = {"about": "advice", "batch": "B19"}
    note = note_of("can bee nineteen take brine shrimp yet")
    note["want"][0] |= {"outcome": "answer", "query": query}
    assert example_of(note, NAMES, ROOM) is not None


@pytest.mark.parametrize(
    "text",
    ["I see 3 is fine", "he's a good one", "lost 2 fry today, is that a lot for them", "so be it", "are you there"],
)
def test_a_plain_word_is_no_tub(text: str) -> None:
    tags = aligned(note_of(text), note_of(text)["want"][0], NAMES).tags
    words = ("he's", "for", "be", "are", "you")
    assert not any(may_be_heard(tags, at, NAMES) for at, tag in enumerate(tags) if tag.word in words)
