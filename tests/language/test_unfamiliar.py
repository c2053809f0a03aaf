"""A note of many strange words is read back before anything is logged; ordinary notes are not held up by it."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.language import Names, Reader
from bot.language.doubts.unfamiliar import MOST, PAIRS, strange_words
from bot.language.tags import Tagger
from bot.language.text.everyday import EVERYDAY
from tests.language.judging import card_of
from tests.language.learn import private_words

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
CARD = card_of("millrace.json")
READER = Reader(Names.of(CARD))


def strange(text: str) -> int:
    return strange_words(Tagger(READER.names, text, SENT).tags)


ORDINARY = [
    "pulled mop tank 3, 40 eggs",
    "fed everyone but 15, then a third of the water out of tank 7",
    "3 duds b",
    "2 dead in tank 13 this morning, both at the back",
]


@pytest.mark.parametrize("text", ORDINARY)
def test_ordinary_notes_have_little_that_is_strange(text: str) -> None:
    assert strange(text) <= MOST
    assert READER.read(text, SENT).outcome == "log"


RAMBLED = "Pulled 14 eggs off whatever acrylic contraption dangles nowadays in tank 3"


def test_a_reading_that_rests_on_little_of_a_note_is_tapped_first() -> None:
    """By the rules alone; the second reading may well understand it."""
    assert strange(RAMBLED) > MOST
    reading = Reader(Names.of(CARD), twice=False).read(RAMBLED, SENT)
    assert (reading.outcome, reading.events) == ("ask", ())
    (doubt,) = reading.doubts
    (said, events), *_, (other, remark) = doubt.likely
    assert said == "14 eggs pulled from tank 3" and other == "leave it as a remark"
    assert [(e["kind"], e["place"], e["count"]) for e in events] == [("pull", "tank 3", 14)]
    assert [e["kind"] for e in remark] == ["remark"]


@given(st.text(max_size=80))
def test_any_text_has_its_strangeness(text: str) -> None:
    assert 0 <= strange(text) <= len(text)


@given(st.sampled_from([RAMBLED, "2 dead in tank 13 this morning"]), st.sampled_from([",", " -", ";", "  "]))
def test_commas_and_dashes_change_nothing(text: str, mark: str) -> None:
    assert strange(text.replace(", ", f"{mark} ").replace(" in ", f"{mark} in ", 1)) == strange(text)


def test_no_known_pair_holds_a_name() -> None:
    own = private_words(CARD.model_dump_json(), []) | private_words(card_of("second_room.json").model_dump_json(), [])
    found = {word for line in PAIRS.read_text(encoding="utf-8").splitlines() for word in line.split("\t")}
    words = {word for word in found if word.isalpha()} - EVERYDAY
    assert len(words) > 500 and not own & words
