"""Labelled questions: what plays no part in what is asked names nothing."""

from __future__ import annotations

import pytest

from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, note_of


@pytest.mark.parametrize(
    ("text", "query"),
    [
        ("are 2 males to 4 females too many", {"about": "advice"}),
        ("can i write it all in one note", {"about": "help"}),
        ("is anything due while I'm out from 8 to 4 today", {"about": "due"}),
        ("would it be fine to keep the ones from 3 and 8 together", {"about": "advice"}),
        ("my friend asked about the gularis, so how is B21 doing", {"about": "batch", "batch": "B21"}),
    ],
)
def test_what_is_asked_is_named_by_what_plays_a_part(text: str, query: Raw) -> None:
    note = note_of(text, outcome="answer")
    note["want"][0]["query"] = query
    assert example_of(note, NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "query"),
    [
        ("how do the eggs of the rainbows survive", {"about": "rate", "line": "boesemani"}),
        ("gh of the rainbow tank", {"about": "last", "place": "tank 7", "quantity": "gh"}),
        ("are the panda corys due a mop", {"about": "due", "place": "tank 10"}),
        ("how long was the best gularis", {"about": "last", "line": "blue gularis"}),
        ("what length was the best gularis last time",
         {"about": "last", "line": "blue gularis", "quantity": "length"}),
        ("when did we last wet any peat", {"about": "last", "line": "furzeri"}),
        ("any peat to see to tomorrow", {"about": "due", "date": "2026-03-10"}),
        ("last water on the gardneri grow out", {"about": "last", "place": "tank 13"}),
        ("is it colder than on friday", {"about": "history", "quantity": "temperature", "date": "2026-03-06"}),
        ("feeding due wk?", {"about": "due", "days": 7}),
        ("has walt been back", {"about": "history", "buyer": "Walt"}),
    ],
)  # fmt: skip
def test_fish_that_are_asked_of_are_those_likeliest_meant(text: str, query: Raw) -> None:
    note = note_of(text, outcome="answer")
    note["want"][0]["query"] = query
    assert example_of(note, NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "query"),
    [
        ("a quarter out of 8. when is its next", {"about": "due", "place": "tank 8"}),
        ("a quarter out of 8. what else is due there", {"about": "due", "place": "tank 8"}),
        ("a quarter out of 8. is there more due", {"about": "due"}),
    ],
)
def test_what_is_due_again_is_due_where_it_was_done(text: str, query: Raw) -> None:
    note = note_of(text, {"kind": "water_change", "places": ["tank 8"], "percent": 25}, outcome="both")
    note["want"][0]["query"] = query
    assert example_of(note, NAMES, ROOM) is not None
