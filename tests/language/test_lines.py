"""Readings as JSON lines: one answer for one note, in the contract's form."""

from __future__ import annotations

import io
import json

from bot.language import read_lines
from tests.language.judging import DATA


def read(*notes: str) -> tuple[int, list[dict[str, object]]]:
    out = io.StringIO()
    code = read_lines(DATA / "millrace.json", io.StringIO("\n".join(notes) + "\n"), out)
    return code, [json.loads(line) for line in out.getvalue().splitlines()]


def test_one_answer_for_one_note() -> None:
    code, answers = read('{"id": "a", "sent": "2026-03-09T18:30", "text": "pulled mop tank 3, 40 eggs"}', "")
    assert code == 0
    assert answers == [
        {
            "id": "a",
            "outcome": "log",
            "events": [{"kind": "pull", "place": "tank 3", "count": 40}],
            "query": None,
            "reply": "pull",
        }
    ]


def test_an_offset_is_turned_into_the_rooms_own_time() -> None:
    """Half past midnight UTC on the 10th is still the 9th in America/Chicago."""
    _, answers = read('{"id": "a", "sent": "2026-03-10T00:30+00:00", "text": "yesterday pulled mop tank 3, 40 eggs"}')
    assert answers[0]["events"] == [{"kind": "pull", "date": "2026-03-08", "place": "tank 3", "count": 40}]


def test_a_line_that_is_no_note_is_said_so() -> None:
    code, answers = read("not json", '{"id": "b", "sent": "2026-03-09T18:30", "text": "thanks"}')
    assert code == 1
    assert "error" in answers[0] and answers[1]["outcome"] == "none"


def test_a_question_back_stands_in_the_reply() -> None:
    _, answers = read('{"id": "a", "sent": "2026-03-09T18:30", "text": "pulled the mop, 40 eggs"}')
    assert answers[0]["outcome"] == "ask" and str(answers[0]["reply"]).endswith("?")
