"""The stretch of time a question names, told on Saturday 14 March 2026 at 18:00."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from bot.answers.periods import period_said

NOW = dt.datetime(2026, 3, 14, 18, 0, tzinfo=ZoneInfo("America/Chicago"))


@pytest.mark.parametrize(
    ("words", "first", "last"),
    [
        ("what did Ivo do today", "2026-03-14", "2026-03-14"),
        ("what happened yesterday", "2026-03-13", "2026-03-13"),
        ("the day before yesterday", "2026-03-12", "2026-03-12"),
        ("how many eggs this week", "2026-03-09", None),
        ("how many died last week", "2026-03-02", "2026-03-08"),
        ("income this month", "2026-03-01", None),
        ("totals for last month", "2026-02-01", "2026-02-28"),
        ("deaths since the 1st, per tank", "2026-03-01", None),
        ("eggs since the 20th", "2026-02-20", None),
        ("eggs since monday", "2026-03-09", None),
        ("what did we do on tuesday", "2026-03-10", "2026-03-10"),
        ("the log for march 10", "2026-03-10", "2026-03-10"),
        ("between the 3rd and the 9th", "2026-03-03", "2026-03-09"),
        ("how many in december", "2025-12-01", "2025-12-31"),
        ("eggs in 2025", "2025-01-01", "2025-12-31"),
        ("hatched in the last 10 days", "2026-03-04", None),
        ("over the past 2 weeks", "2026-02-28", None),
    ],
)
def test_the_time_a_question_names(words: str, first: str, last: str | None) -> None:
    found = period_said(words, NOW)
    assert found is not None and found.since is not None
    assert found.since.date().isoformat() == first
    assert (found.until.date().isoformat() if found.until else None) == last


@pytest.mark.parametrize(
    "words",
    ["how many gardneri do we have", "which fish sat on the bottom", "may we", "tank 3?", "income by month", "B10"],
)
def test_no_time_is_read_where_none_is_named(words: str) -> None:
    assert period_said(words, NOW) is None


def test_ever_has_no_bounds() -> None:
    found = period_said("how many eggs so far", NOW)
    assert found is not None and found.since is None and found.until is None
