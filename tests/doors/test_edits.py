"""A message edited once, often, out of order or after it was mended: one note stands, in its last wording."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bot.hear import hear
from bot.talk.conversation import WORDED_LATER
from shared.room import RoomCard
from storage.journal import Message, RoomBook
from storage.messages import edit_of, edited_at
from tests.doors.bot_api import BotApi
from tests.doors.conftest import OpenHouse, with_its_tanks

NOW = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.UTC)
DEAD_2, DEAD_3, DEAD_4 = (f"{n} dead tank 5" for n in (2, 3, 4))
# each step: the message meant, "" or when it was edited or "re" for a reply to it, and the words
Step = tuple[int, int | str, str]


def heard(book: RoomBook, *steps: Step) -> list[str]:
    person, said = book.person_named("Rosa"), []
    for turn, (number, how, text) in enumerate(steps):
        first = f"501:{number}"
        edited = first if isinstance(how, int) else None
        delivery = edit_of(first, how, text) if isinstance(how, int) else f"501:9{turn}" if how == "re" else first
        sent = NOW + dt.timedelta(minutes=90 + turn if how == "re" else number)
        message = Message("telegram", delivery, "501", person.key, text, sent)
        said.append(hear(book, message, about=first if how == "re" else None, edited=edited).text)
    return said


def deaths(book: RoomBook) -> list[int | None]:
    return [e.event.count for e in book.entries(kinds=("death",)) if e.event.kind == "death"]


@pytest.mark.parametrize(
    ("steps", "dead"),
    [
        ([(1, "", DEAD_2), (1, 100, DEAD_3)], [3]),
        ([(1, "", DEAD_2), (1, 100, DEAD_3), (1, 200, DEAD_4)], [4]),
        ([(1, "", DEAD_2), (1, 100, DEAD_3), (1, 200, DEAD_2)], [2]),
        ([(1, "", DEAD_2), (1, 100, DEAD_3), (1, 100, DEAD_4)], [4]),
        ([(1, "", DEAD_2), (1, 200, DEAD_4), (1, 100, DEAD_3)], [4]),
        ([(1, 200, DEAD_4), (1, "", DEAD_2)], [4]),
        ([(1, 200, DEAD_4), (1, 100, DEAD_3), (1, "", DEAD_2)], [4]),
        ([(1, "", "2 dead"), (1, 100, DEAD_2), (1, 200, DEAD_3)], [3]),
        ([(1, "", DEAD_2), (2, "", "3 not 2"), (1, 200, DEAD_4)], [4]),
        ([(1, "", DEAD_2), (1, "re", "3 not 2"), (1, "re", "4 not 3")], [4]),
        ([(1, "", DEAD_2), (1, "re", "3 not 2"), (1, "re", "4 not 3"), (1, 200, DEAD_2)], [2]),
        ([(1, "", DEAD_2), (1, 100, DEAD_3), (1, "re", "4 not 3")], [4]),
        ([(1, "", DEAD_2), (1, 100, DEAD_3), (1, "re", "undo")], []),
        ([(1, "", DEAD_2), (2, "", "undo"), (1, 100, DEAD_3)], [3]),
        ([(1, "", DEAD_2), (1, 100, DEAD_3), (2, "", "undo")], []),
        ([(1, "", DEAD_2), (3, "", "3 not 2"), (3, 100, "4 not 2")], [4]),
        ([(1, "", DEAD_2), (2, "", "1 dead tank 8"), (1, 100, DEAD_3), (2, 100, "5 dead tank 8")], [3, 5]),
    ],
)
def test_one_note_stands_in_its_last_wording(book: RoomBook, steps: list[Step], dead: list[int]) -> None:
    heard(book, *steps)
    assert deaths(book) == dead
    assert book.check() == []


def test_what_else_a_mending_told_is_left_alone_when_the_note_is_edited(book: RoomBook) -> None:
    heard(book, (1, "", DEAD_2), (2, "", "fed tank 4"), (3, "", "no, 3 not 2 in tank 5"), (1, 100, DEAD_4))
    assert deaths(book) == [4]
    assert len(book.entries(kinds=("feed",))) == 1


def test_an_older_wording_is_told_to_be_one(book: RoomBook) -> None:
    assert heard(book, (1, "", DEAD_2), (1, 200, DEAD_4), (1, 100, DEAD_3))[2] == WORDED_LATER


def test_a_first_wording_that_comes_late_needs_no_answer(book: RoomBook) -> None:
    assert heard(book, (1, 200, DEAD_4), (1, "", DEAD_2))[1] == ""


def test_the_time_of_an_edit_is_in_its_id() -> None:
    assert [edited_at(d) for d in ("501:7", edit_of("501:7", 170, "x"), "a:b:egg", "e5")] == [0, 170, 0, 0]


async def test_edits_over_the_wire(api: BotApi, open_house: OpenHouse, book: RoomBook, room_file: object) -> None:
    await open_house(api, ear=hear)
    number = api.say(DEAD_2)
    await api.texts(1)
    for text in (DEAD_3, DEAD_4):
        api.edit(number, text)
    last = (await api.texts(3))[2]
    assert last.startswith("As edited: tank 5: 4 dead")
    api.say("5 not 4", reply_to_message=api.messages[501, number])
    assert (await api.texts(4))[3].startswith("Mended.")
    assert deaths(book) == [5]


@pytest.fixture
def room_file(room_file: Path, card: RoomCard) -> Path:
    """The room with its tanks."""
    return with_its_tanks(room_file, card)
