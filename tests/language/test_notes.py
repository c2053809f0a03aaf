"""Whole corpora of labelled notes: the floors below which the reader may not fall. Raise them when it gets better."""

from __future__ import annotations

import pytest

from tests.language.judging import card_of, notes_of, tally

# file, room card, least exact %, most misread %
FLOORS = [
    ("millrace.jsonl", "millrace.json", 94.0, 1.5),
    ("more.jsonl", "millrace.json", 70.0, 5.5),
    ("fresh.jsonl", "millrace.json", 78.0, 5.0),
    ("more3_stories.jsonl", "millrace.json", 73.0, 1.5),
    ("more4_stories.jsonl", "millrace.json", 58.0, 5.0),
    ("more5_stories.jsonl", "millrace.json", 42.0, 1.5),
    ("stories_told.jsonl", "millrace.json", 97.0, 0.0),
    ("more3_spoken.jsonl", "millrace.json", 87.0, 2.0),
    ("ways_fish.jsonl", "millrace.json", 86.0, 1.0),
    ("more3_lists.jsonl", "millrace.json", 82.0, 2.0),
    ("more6_unseen.jsonl", "millrace.json", 66.0, 11.0),
    ("short.jsonl", "millrace.json", 97.0, 0.0),
    ("ways_rest.jsonl", "millrace.json", 91.0, 1.0),
    ("second_room.jsonl", "second_room.json", 84.0, 3.0),
]


@pytest.mark.parametrize(("notes", "card", "exact", "misread"), FLOORS, ids=[f[0] for f in FLOORS])
def test_corpus_keeps_its_floor(notes: str, card: str, exact: float, misread: float) -> None:
    corpus = notes_of(notes)
    assert len(corpus) > 30
    counts, off = tally(corpus, card_of(card))
    said = f"{dict(counts)}; off: {off}"
    assert 100 * counts["exact"] / len(corpus) >= exact, said
    assert 100 * counts["misread"] / len(corpus) <= misread, said
