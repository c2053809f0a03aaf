"""Help is two short lines in the keeper's own names, every example in it is understood, and chatter stays chatter."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from bot.command_line.setup import set_up
from bot.hear import Reply, hear
from bot.talk.how_to import how_to, small_talk
from shared.room import RoomCard
from storage.engine import Database, open_database
from storage.journal import Message

TOPICS = """sale death pull|eggs hatch move water change|feeding count|bad eggs|temperature|dose|culture|photo|reminder
price|promise|new tank|my stock"""
ASKED = [f"how do I log a {t}" for t in re.split(r"[|\n]| (?!change|eggs|tank|stock)", TOPICS)]
ASKED += [
    "how do I mend a mistake",
    "what can you do",
    "how do I invite Mara",
    "how to record a loss",
    "help with prices",
]
NO_HELP = [
    "how do I treat fungus", "how do I raise fry", "how many fry", "how do I move a tank", "how can I warm tank 3",
    "what can you do about ich", "how do I add a heater to tank 3", "help", "can I add fish to tank 3",
]  # fmt: skip
NO_CHATTER = [
    "thanks, 3 dead in tank 13",
    "hi, what's due",
    "morning feed done",
    "night feed",
    "thanks for nothing 3",
    "ok",
]

Say = Callable[[str], Reply]


@pytest.fixture
def say(card: RoomCard, tmp_path: Path) -> Iterator[Say]:
    """Each line said in a room nothing else has been said in."""
    now = dt.datetime(2026, 3, 9, 18, 0, tzinfo=card.zone)
    opened: list[Database] = []

    def one(text: str) -> Reply:
        opened.append(open_database(str(tmp_path / f"{len(opened)}.db")))
        book, _ = set_up(opened[-1], card, now)
        rosa = book.person_named("Rosa")
        return hear(book, Message("terminal", "1", "t", rosa.key, text, now))

    yield one
    for database in opened:
        database.close()


@pytest.mark.parametrize("question", ASKED)
def test_help_is_two_lines_and_its_examples_are_understood(say: Say, question: str) -> None:
    told = say(question)
    assert told.outcome == "answer" and len(told.text.splitlines()) == 2
    examples = [e for e in re.findall("“([^”]+)”", told.text) if e not in ("undo", "about 22", "no, 14 not 40")]
    assert examples
    for example in examples:
        if example.startswith(("that was", "Lena", "remove", "call tank", "of an older", "the 40 eggs", "drop the")):
            continue  # needs something said before
        reply = say(example)
        assert reply.outcome in ("log", "answer", "both", "ask"), example
        assert "not sure" not in reply.text, example
        assert not any(e["kind"] == "remark" for e in reply.events), example


@pytest.mark.parametrize("question", NO_HELP)
def test_what_asks_of_fish_is_no_help(question: str, card: RoomCard, tmp_path: Path) -> None:
    with_names = open_database(str(tmp_path / "names.db"))
    book, _ = set_up(with_names, card, dt.datetime(2026, 3, 9, 18, 0, tzinfo=card.zone))
    assert how_to(question, book.standing()) is None
    with_names.close()


def test_help_in_an_empty_room_names_what_rooms_usually_have(tmp_path: Path) -> None:
    database = open_database(str(tmp_path / "empty.db"))
    told = how_to("how do I log a sale?", database.create_room(RoomCard()).standing())
    assert told and "{" not in told and "gardneri" in told
    database.close()


@pytest.mark.parametrize(
    ("text", "hour", "told"),
    [
        ("Hello!", 8, "Hello, Rosa."),
        ("thanks so much", 8, "You're welcome, Rosa."),
        ("good night", 22, "Good night, Rosa."),
        ("good night", 9, "Until later, Rosa."),
    ],
)
def test_a_short_human_line(text: str, hour: int, told: str) -> None:
    assert (small_talk(text, "Rosa", hour) or "").startswith(told)


@pytest.mark.parametrize("text", NO_CHATTER)
def test_no_note_is_taken_for_chatter(text: str) -> None:
    assert small_talk(text, None, 8) is None


CHORES = (
    "how do I log eggs", "how do I log a death", "how do I log a sale", "how do I log a water change",
    "how do I log a feeding", "how do I log a hatch", "how do I move fish", "how do I log a head count",
    "how do I log a temperature", "how do I log a dose", "how do I log peat", "how do I rename a tank",
    "how do I add a tank", "how do I remove a tank", "how do I set a price", "how do I cancel a promise",
    "how do I undo something", "how do I set a reminder", "how do I change the routine", "how do I print labels",
    "how do I make a breeding record", "how do I see a chart", "how do I log brine shrimp", "how do I log a refund",
    "how do I put off a chore", "how do I log an auction", "how do I make a backup", "how do I change the units",
    "how do I ship fish",
)  # fmt: skip


@pytest.mark.parametrize("asked", CHORES)
def test_each_chore_is_shown_by_an_example_in_two_lines(say: Say, asked: str) -> None:
    told = say(asked)
    assert told.outcome == "answer" and len(told.text.splitlines()) == 2
    assert re.search("[“`]", told.text) and "{" not in told.text
