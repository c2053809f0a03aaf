"""What holds for every note: how it is written does not change what it says, and nothing is dropped unsaid."""

from __future__ import annotations

import datetime as dt
import json
import re
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from bot.language import Names, Reader, Reading
from bot.language.reader import LONGEST
from tests.language.judging import card_of, notes_of

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")
CARD = card_of("millrace.json")
READER = Reader(Names.of(CARD))
NOTES = notes_of("millrace.jsonl")
TANKS = [p.name for p in CARD.places if p.kind == "tank"]
BREEDERS = [p.name for p in CARD.places if p.role == "breeders"]
EGG_TUBS = [p.name for p in CARD.places if p.role == "eggs" and p.line]


def said(text: str) -> dict[str, Any]:
    """A reading without the note's own words."""
    raw = READER.read(text, SENT).outside()
    for event in raw["events"]:
        event.pop("text", None)
        event.pop("task", None)
    return raw


def plain(count: int, breeder: str, tank: str, tub: str, percent: int) -> list[tuple[str, int]]:
    """Plain clauses, each with the number in it."""
    return [
        (f"pulled {count} eggs from {breeder}", count),
        (f"{percent}% water change on {tank}", percent),
        (f"removed {count} fungused eggs from {tub}", count),
        (f"{count} dead in {tank}", count),
        (f"{tank} temperature {70 + count % 15}", 70 + count % 15),
        (f"headcount {tank} {count}", count),
    ]


@st.composite
def clauses(draw: st.DrawFn) -> tuple[str, int]:
    """A plain clause and the number in it."""
    count = draw(st.integers(0, 99))
    breeder, tank, tub = draw(st.sampled_from(BREEDERS)), draw(st.sampled_from(TANKS)), draw(st.sampled_from(EGG_TUBS))
    percent = draw(st.sampled_from([10, 25, 40, 50]))
    return draw(st.sampled_from(plain(count, breeder, tank, tub, percent)))


def numbers_of(reading: Reading) -> set[float]:
    out: set[float] = set()
    for event in reading.events:
        for value in event.outside().values():
            if isinstance(value, (int, float)):
                out |= {float(value), round(float(value) * 9 / 5 + 32)}
            elif isinstance(value, str) and event.kind == "remark":
                out |= {float(n) for n in re.findall(r"\d+(?:\.\d+)?", value)}
    for doubt in reading.doubts:
        out |= {float(n) for n in re.findall(r"\d+(?:\.\d+)?", f"{doubt.words} {json.dumps(doubt.partial)}")}
    return out


@settings(deadline=None)
@given(clauses())
def test_letter_case_does_not_matter(clause: tuple[str, int]) -> None:
    text = clause[0]
    assert said(text) == said(text.upper()) == said(text.capitalize())


@settings(deadline=None)
@given(clauses(), st.sampled_from(["  ", " \t", "   "]), st.sampled_from(["", ".", "!", " .", " 🙂", "…"]))
def test_spacing_and_a_closing_sign_do_not_matter(clause: tuple[str, int], gap: str, end: str) -> None:
    text = clause[0]
    assert said(text) == said(text.replace(" ", gap) + end)


@settings(deadline=None)
@given(clauses(), clauses())
def test_sentences_may_be_told_in_either_order(one: tuple[str, int], two: tuple[str, int]) -> None:
    """But for two counts or pulls of one place, of which the later completes or replaces the earlier, or asked."""
    first, second = said(f"{one[0]}. {two[0]}."), said(f"{two[0]}. {one[0]}.")
    places = {json.dumps(e.get("place") or e.get("places")) for e in [*said(one[0])["events"], *said(two[0])["events"]]}
    if len(places) == 2 and "ask" not in (first["outcome"], second["outcome"]):
        assert sorted(map(json.dumps, first["events"])) == sorted(map(json.dumps, second["events"]))


@settings(deadline=None)
@given(clauses())
def test_a_plain_clause_logs_its_number(clause: tuple[str, int]) -> None:
    reading = READER.read(clause[0], SENT)
    assert reading.outcome == "log"
    assert float(clause[1]) in numbers_of(reading)


@settings(deadline=None)
@given(
    clauses(), st.sampled_from(["not ", "if ", "should I have ", "wish I had ", "maybe tomorrow: ", "my cousin said "])
)
def test_what_did_not_happen_logs_no_event(clause: tuple[str, int], guard: str) -> None:
    reading = READER.read(guard + clause[0], SENT)
    assert all(event.kind in ("remark", "remind", "fix") for event in reading.events), reading.outside()


@settings(deadline=None)
@given(clauses(), clauses())
def test_every_number_is_used_asked_about_or_kept(one: tuple[str, int], two: tuple[str, int]) -> None:
    """But for two counts of one place in one breath, of which the later stands."""
    reading = READER.read(f"{one[0]} and {two[0]}", SENT)
    if one[0].rsplit(" ", 1)[0] == two[0].rsplit(" ", 1)[0] and one[0].startswith("headcount"):
        return
    assert {float(one[1]), float(two[1])} <= numbers_of(reading), reading


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=200))
@example("fed tank 5, 7 -")
@example("temp in 5 i9s 7.6")
@example("another died in 5 and in 11")
@example("'09 Priya's No 1")
def test_no_text_raises(text: str) -> None:
    READER._read(text, SENT)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(sorted({w for n in NOTES for w in n["text"].split()})), max_size=25))
def test_no_jumble_of_known_words_raises(words: list[str]) -> None:
    READER._read(" ".join(words), SENT)


@settings(deadline=None)
@given(st.text(alphabet=st.characters(categories=["So", "Zs", "Po", "Sm"]), max_size=40))
def test_nothing_is_logged_from_nothing(text: str) -> None:
    assert not READER.read(text, SENT).events


@pytest.mark.parametrize("note", NOTES[:60], ids=[n["id"] for n in NOTES[:60]])
def test_hidden_signs_do_not_change_a_reading(note: dict[str, Any]) -> None:
    text = note["text"]
    hidden = "\u200b".join(text.split(" ")[:1]) + "".join(f" {w}\u200f" for w in text.split(" ")[1:])
    assert said(hidden) == said(text)


def test_very_long_notes_and_lists_are_read() -> None:
    rows = "\n".join(f"tank {n % 16 + 1} temp {70 + n % 9}" for n in range(200))
    assert len(READER._read(rows, SENT).events) == 200
    assert READER._read("so I sat and thought about the fish and " * 130, SENT).outcome in ("none", "log")


def test_every_span_is_the_words_it_names() -> None:
    for note in NOTES:
        reading = READER.read(note["text"], SENT)
        for span in reading.spans:
            assert span.words == note["text"][span.start : span.end]


def test_a_note_too_long_is_asked_for_in_parts_not_cut() -> None:
    long = "wc tank 1 20%\n" * (LONGEST // 14 + 1)
    assert len(long) > LONGEST
    reading = READER.read(long, SENT)
    assert (reading.outcome, reading.events) == ("ask", ())
    assert "parts" in reading.doubts[0].question


@pytest.mark.parametrize(
    "text",
    [
        "one dead in tank 0 to 18446744073709551615",
        "wc tanks 1-99999999999 25%",
        "30% 1-99999999999",
        "pulled 3-18446744073709551615",
        "every 99999999999 weeks test 3",
        "remind me in 999999999999999 days",
        "1e400 eggs from 3",
    ],
)
def test_numbers_beyond_all_bounds_are_not_gone_through(text: str) -> None:
    """A span is never longer than the room, nor a round longer than a life; found by fuzzing."""
    raw = READER._read(text, SENT).outside()
    assert all(e["kind"] in ("remind", "remark") and not e.get("every_days") for e in raw["events"]), raw
