"""The demo season answers every kind of question and draws every chart, so that whoever tries it sees them all."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.command_line.demo import demo_room, notes
from bot.hear import hear
from bot.reply import NOTHING
from storage.journal import Message, RoomBook

# One question of each kind, and for each what an empty answer would begin with.
QUESTIONS = {
    "due": "what's due",
    "place": "tank 13?",
    "batch": "B52?",
    "hatch": "when does B52 hatch",
    "stock": "how many gardneri",
    "totals": "how many eggs this month",
    "rate": "hatch rate of gardneri",
    "last": "when did I last feed tank 11",
    "history": "what did we do yesterday",
    "dose": "how much peroxide for tub A",
    "ready": "when are the gardneri big enough to sell",
    "ammonia": "is 0.5 ammonia at ph 8 dangerous",
    "advice": "how much should I feed the fry",
    "culture": "how are the cultures",
    "calc": "how many litres is 10 gallons",
    "help": "help",
}
CHARTS = (
    "chart of eggs per day by line",
    "chart of B8",
    "temperature chart of tank 3",
    "nitrate chart of tank 13",
    "chart of hatch windows this week",
    "chart of losses",
)
SELLING = (
    "price list",
    "promises",
    "income by month",
    "packing note for Lena",
    "breeding record for B8",
    "what is ready",
)
EMPTY = (
    "none on record",
    "no such",
    "nothing on record",
    "nothing is",
    "not on record.",
    "there is no",
    NOTHING.casefold(),
)


@pytest.fixture(scope="module")
def answers() -> dict[str, tuple[str, bool]]:
    with demo_room(dt.datetime(2026, 3, 9, 20, 0, tzinfo=dt.UTC)) as book:
        return {text: _asked(book, text) for text in (*QUESTIONS.values(), *CHARTS, *SELLING)}


def _asked(book: RoomBook, text: str) -> tuple[str, bool]:
    now = dt.datetime(2026, 3, 9, 20, 0, tzinfo=dt.UTC).astimezone(book.info.zone)
    rosa = book.person_named("Rosa")
    reply = hear(book, Message("terminal", text, "t", rosa.key, text, now))
    return reply.text, reply.picture is not None


@pytest.mark.parametrize("text", [*QUESTIONS.values(), *SELLING])
def test_every_kind_of_question_has_an_answer(answers: dict[str, tuple[str, bool]], text: str) -> None:
    told = answers[text][0].casefold()
    assert told and not told.startswith(EMPTY), told


@pytest.mark.parametrize("text", CHARTS)
def test_every_chart_is_drawn(answers: dict[str, tuple[str, bool]], text: str) -> None:
    told, drawn = answers[text]
    assert drawn, told


def test_most_rounds_bring_eggs() -> None:
    today = dt.date(2026, 3, 9)
    told = [text for _, _, text in notes(today) if text.startswith(("mop tank", "glass tank"))]
    assert sum("no eggs" not in text for text in told) > 0.7 * len(told) > 60
    assert notes(today) == notes(today)


def test_nothing_said_in_the_season_is_asked_about() -> None:
    now = dt.datetime(2026, 3, 9, 20, 0, tzinfo=dt.UTC)
    with demo_room(now) as book:
        assert [q.body for q in book.questions_open(now - dt.timedelta(days=60))] == []
