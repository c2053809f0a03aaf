"""Long notes: what is read right alone is read right, or asked about, among other facts and any amount of talk."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.language.joined import SENT, Measured, facts, kept_back, notes, talk

MEASURED = Measured()


@pytest.mark.parametrize("words", [words for _, words in talk()])
def test_talk_logs_nothing(words: str) -> None:
    reading = MEASURED.reader.read(words, SENT)
    assert [e.kind for e in reading.events if e.kind != "remark"] == []


def test_a_fact_is_the_same_before_and_after_talk() -> None:
    """A sentence of talk on either side, all facts and talk in turn; a question may come of it, never another fact."""
    told = [f for f in facts() if not kept_back(f.text) and MEASURED.right_alone(f.text)]
    said = [words for _, words in talk() if not kept_back(words)]
    assert len(told) > 100
    wrong = []
    for n, fact in enumerate(told):
        before, after = said[2 * n % len(said)], said[(2 * n + 1) % len(said)]
        text = f"{before}. {fact.text}. {after}"
        if MEASURED.judge(text, [list(reading) for reading in fact.wants]) == "misread":
            wrong.append(text)
    assert wrong == []


def test_joined_notes_keep_their_floor() -> None:
    verdicts = Counter(found[0] for note in notes(3, 500) if (found := MEASURED.verdict(note)) is not None)
    assert verdicts.total() > 350
    assert verdicts["exact"] >= 0.42 * verdicts.total(), verdicts  # 0.8 by the rules alone: the rest is asked about
    assert verdicts["misread"] <= 0.01 * verdicts.total(), verdicts
