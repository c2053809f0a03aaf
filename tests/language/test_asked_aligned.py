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
