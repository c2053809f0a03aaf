"""Notes of eggs are put together again from the parts found in them: where they went, mops, drops, days."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language import Names
from bot.language.learnt.parts import Telling
from bot.language.learnt.second_reading import tags_of
from tests.language.aligned import aligned
from tests.language.examples import example_of
from tests.language.judging import Raw, Room, card_of

CARD = card_of("millrace.json")
NAMES, ROOM = Names.of(CARD), Room.of(CARD)


def note_of(text: str, *events: Raw) -> Raw:
    want = {"outcome": "log", "events": list(events), "query": None}
    return {"id": "x", "sent": "2026-03-10T18:30", "text": text, "want": [want]}


def pull(tank: int, count: int | None = None, **more: object) -> Raw:
    return {"kind": "pull", "place": f"tank {tank}", "count": count, **more}


def event(kind: str, place: str, **more: object) -> Raw:
    return {"kind": kind, "place": place, **more}


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("tank 2 9 eggs, tank 3 15, all in B", [pull(2, 9, to="tub B"), pull(3, 15, to="tub B")]),
        ("t2 9, t8 nothing, t3 15 > D", [pull(2, 9, to="tub D"), pull(8, 0), pull(3, 15, to="tub D")]),
        (
            "41 eggs from tank 7, 4 white ones, rest in tub G",
            [pull(7, 41, to="tub G"), event("bad_eggs", "tub G", count=4)],
        ),
        ("no eggs in tanks 2, 3 or 5", [pull(2, 0), pull(3, 0), pull(5, 0)]),
        ("six lampeye eggs from tank 5, moved to tub C", [pull(5, 6, to="tub C", line="lampeye")]),
        ("clean mop in 2, 10 eggs on the old one", [event("mop", "tank 2"), pull(2, 10)]),
        ("tub B 4 white, 3 fry hatched", [event("bad_eggs", "tub B", count=4), event("hatch", "tub B", count=3)]),
        (
            "10 from tank 2's mop in B, 10 from the same mop in D",
            [pull(2, 10, to="tub B"), pull(2, 10, to="tub D")],
        ),
        ("a teaspoon of salt in 15", [event("dose", "tank 15", substance="salt", amount=1, unit="tsp")]),
        ("half a leaf in tank 6", [event("dose", "tank 6", substance="tannin", amount=0.5, unit="leaf")]),
        (
            "peroxide drops: 2 in A, 3 in B",
            [
                event("dose", f"tub {tub}", substance="peroxide", amount=n, unit="drop")
                for tub, n in (("A", 2), ("B", 3))
            ],
        ),
        (
            "16 eggs from 3 into B with 3 drops, put back the mop",
            [pull(3, 16, to="tub B"), event("dose", "tub B", amount=3, unit="drop"), event("mop", "tank 3")],
        ),
        ("16 eggs from 3 into B, put back the mop", [pull(3, 16, to="tub B"), event("mop", "tank 3")]),
    ],
)
def test_eggs_are_told_again_from_their_parts(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("12 eggs from 3, 7 eggs", [pull(3, 12), pull(3, 7)]),  # from the same tank twice in a breath: nobody knows
        ("12 from 2, 7 from 3 in B", [pull(2, 12), pull(3, 7, to="tub D")]),
    ],
)
def test_what_the_parts_do_not_say_is_not_told(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is None


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("tub B 4 white 12 eggs", {"tub": "bad_eggs|place", "4": "bad_eggs|count", "12": "pull|count"}),
        (
            "2 12 3 7 mop",
            {"2": "pull|place", "12": "pull|count", "3": "pull|place", "7": "pull|count", "mop": "mop|there"},
        ),
    ],
)
def test_what_may_be_of_another_tank_is_not_whole(text: str, parts: dict[str, str]) -> None:
    sent = dt.datetime(2026, 3, 10, 18, 30)  # noqa: DTZ001
    tags = tags_of(NAMES, text, sent)
    kinds, roles = zip(*(parts.get(tag.word, "O|_").split("|") for tag in tags), strict=True)
    assert not Telling(NAMES, sent, tags, kinds, roles).told()[1]


def test_a_clock_says_only_the_hour_it_shows() -> None:
    note = note_of("at 7 tub B 4 white", event("bad_eggs", "tub B", count=4, time="06:30"))
    assert "bad_eggs|when" not in [f"{k}|{r}" for k, r in _labels(note)]


def _labels(note: Raw) -> list[tuple[str, str]]:
    found = aligned(note, note["want"][0], NAMES)
    return list(zip(found.kinds, found.roles, strict=True))
