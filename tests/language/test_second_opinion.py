"""The second opinion: it asks, never logs; its weights hold no name of a room and are what the learning makes."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.language import Names, Reader
from bot.language.doubts import second_opinion
from bot.language.doubts.second_opinion import QUESTION, SURE, chances, doubted, signs_of
from bot.language.tags import Tagger
from shared.events import event_from
from tests.language.judging import card_of
from tests.language.learn import Example, chance, learn, private_words

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
CARD = card_of("millrace.json")
NAMES = Names.of(CARD)
KINDS = set(second_opinion.TOLD) | {
    "new_line",
    "new_batch",
    "refund",
}  # told by set-up and trade


def opinion(text: str, *told: dict[str, object]) -> tuple[list[str], list[tuple[str, str]]]:
    """What is left of events said to be read in a note, and what is asked."""
    events, doubts = doubted(tuple(event_from(raw) for raw in told), False, Tagger(NAMES, text, SENT).tags, text)
    return [e.kind for e in events], [(d.missing, (d.partial or {}).get("kind", "")) for d in doubts]


@pytest.mark.parametrize(
    ("text", "told", "left", "asked"),
    [
        ("pulled mop tank 3, 40 eggs", {"kind": "pull", "place": "tank 3", "count": 40}, ["pull"], []),
        ("pulled mop tank 3, 40 eggs", {"kind": "death", "place": "tank 3", "count": 40}, [], [(SURE, "death")]),
        ("3 dead in tank 13", {"kind": "sale", "place": "tank 13", "count": 3}, [], [(SURE, "sale")]),
        ("sold 6 gardneri to Lena, and 2 dead in 13", {"kind": "sale", "count": 6}, ["sale"], [("kind", "")]),
    ],
)
def test_a_reading_of_another_kind_is_asked_about(
    text: str, told: dict[str, object], left: list[str], asked: list[tuple[str, str]]
) -> None:
    assert opinion(text, told) == (left, asked)


@given(st.text(max_size=60))
def test_it_logs_nothing_of_its_own(text: str) -> None:
    told = event_from({"kind": "pull", "place": "tank 3", "count": 4})
    events, _ = doubted((told,), False, Tagger(NAMES, text, SENT).tags, text)
    assert events in ((told,), ())
    assert doubted((), False, Tagger(NAMES, text, SENT).tags, text)[0] == ()


def test_an_answer_of_yes_logs_what_was_asked() -> None:
    _, doubts = doubted(
        (event_from({"kind": "death", "place": "tank 3", "count": 4}),),
        False,
        Tagger(NAMES, "pulled mop tank 3, 4 eggs", SENT).tags,
        "pulled mop tank 3, 4 eggs",
    )
    assert [d.partial for d in doubts] == [{"kind": "death", "place": "tank 3", "count": 4}]


def test_no_weight_hangs_on_a_name() -> None:
    own = private_words(CARD.model_dump_json(), []) | private_words(card_of("second_room.json").model_dump_json(), [])
    signs = [row.split("\t")[0] for row in second_opinion.WEIGHTS.read_text(encoding="utf-8").splitlines()[2:]]
    assert len(signs) > 1000
    assert [s for s in signs if own & set(s.split())] == []


def test_every_kind_it_knows_is_one_of_the_room() -> None:
    kinds, _ = chances({"always"})
    assert kinds.keys() <= KINDS | {QUESTION} and all(0 < odd < 1 for odd in kinds.values())


def test_what_is_learnt_tells_kinds_apart() -> None:
    told = [Example({"fed", "always"}, {"feed"}), Example({"dead", "always"}, {"death"})] * 8
    odds = chance(learn(told), {"fed", "always"})
    assert odds["feed"] > 0.8 > 0.2 > odds["death"]


def test_sentences_count_whatever_their_order() -> None:
    one = signs_of(Tagger(NAMES, "fed tank 3. 2 dead in 13.", SENT).tags, "")
    other = signs_of(Tagger(NAMES, "2 dead in 13. fed tank 3.", SENT).tags, "")
    assert one == other


def test_the_reader_heeds_it() -> None:
    reading = Reader(NAMES).read("water change in 5 is what I SHOULD be doing right now", SENT)
    assert not reading.events
    assert reading.outcome in ("ask", "none")


def test_an_evening_to_come_is_asked_about_in_the_morning() -> None:
    reader = Reader(Names.of(card_of("millrace.json")))
    early = reader.read("wc 13 tonight", SENT.replace(hour=8))
    late = reader.read("wc 13 tonight", SENT.replace(hour=20))
    assert not early.events and early.doubts[0].options == ("yes", "no")
    assert [e.kind for e in late.events] == ["water_change"]
