"""What a photo is kept with and when one is asked for: tables of what is said, and of what only looks like it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from bot.command_line.setup import set_up
from bot.hear import hear
from bot.reply import Reply
from bot.talk.album import WAITS, WHICH, Wanted, names_in, names_only, wanted
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

KNOWN = ("tank 1", "tank 3", "tank 11", "tub B", "tub F", "B22", "B2", "peat box")
JPEG = b"\xff\xd8\xff\xe0 a photo"
Say = Callable[..., Reply]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("tank 3", ("tank 3",)),
        ("Tank 3.", ("tank 3",)),
        ("t3", ("tank 3",)),
        ("3", ("tank 3",)),
        ("it's tub b", ("tub B",)),
        ("tub B and B22", ("tub B", "B22")),
        ("tanks 1, 3", ("tank 1", "tank 3")),
        ("batch b22", ("B22",)),
        ("the peat box", ("peat box",)),
        ("1", ("tank 1",)),
        ("", ()),
        ("tank 99", ()),
        ("not tank 3", ()),
        ("tank 3 or tank 1", ()),
        ("fed tank 3", ()),
        ("3 eggs", ()),
        ("22", ()),
        ("tank 3 and the other", ()),
    ],
)
def test_a_message_that_is_nothing_but_names(text: str, names: tuple[str, ...]) -> None:
    assert names_only(text, KNOWN) == names


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("fungus in tub B", ("tub B",)),
        ("look at tank 11!", ("tank 11",)),
        ("the eggs of B22", ("B22",)),
        ("T3 male, best so far", ("tank 3",)),
        ("moved from tub F to tank 1", ("tub F", "tank 1")),
        ("12 mm at day 3", ()),
        ("tank 110", ()),
        ("B222", ()),
        ("this is not tank 3", ()),
        ("tank 1 instead of tank 3", ()),
        ("a beauty", ()),
    ],
)
def test_names_among_other_words(text: str, names: tuple[str, ...]) -> None:
    assert names_in(text, KNOWN) == names


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("show me the photo of tank 3", Wanted("tank 3", False, True)),
        ("photos of B22", Wanted("B22", True, True)),
        ("Last photo?", Wanted(None, False, True)),
        ("the latest pic of t3 please", Wanted("t3", False, False)),
        ("photos", Wanted(None, True, True)),
        ("any pictures of tub B?", Wanted("tub B", True, False)),
        ("can you show us all photos from tank 3", Wanted("tank 3", True, True)),
        ("photo tank 3", Wanted("tank 3", False, True)),
        ("took a photo of tank 3", None),
        ("photo", None),
        ("a photo", None),
        ("photo taken", None),
        ("photographed tank 3", None),
        ("photoperiod tank 3 12 h", None),
        ("no photo of tank 3 yet", None),
        ("2 dead tank 3, photo later", None),
    ],
)
def test_what_asks_for_a_photo(text: str, question: Wanted | None) -> None:
    assert wanted(text) == question


@pytest.fixture
def room(database: Database, card: RoomCard) -> RoomBook:
    return set_up(database, card, dt.datetime(2026, 3, 9, 8, tzinfo=card.zone))[0]


@pytest.fixture
def say(room: RoomBook, card: RoomCard) -> Say:
    """Rosa says something, a minute later each time; `photo` comes with it."""
    now, count = dt.datetime(2026, 3, 9, 8, tzinfo=card.zone), 0

    def said(text: str = "", photo: bytes | None = None, after: int = 1, **more: str) -> Reply:
        nonlocal now, count
        now, count = now + dt.timedelta(minutes=after), count + 1
        return hear(room, Message("telegram", f"1:{count}", "1", "p1", text, now), picture=photo, **more)

    return said


def shows(room: RoomBook) -> list[tuple[str, ...]]:
    """What each photo is kept with, oldest first."""
    return [p.names for p in reversed(room.pictures())]


def test_a_photo_goes_with_what_its_note_logged(say: Say, room: RoomBook) -> None:
    said = say("pulled mop tank 3, 40 eggs", JPEG)
    assert said.outcome == "log" and "Photo kept with tank 3 and B24." in said.text
    assert shows(room) == [("tank 3", "B24")]


def test_a_photo_waits_for_the_answer_to_its_notes_question(say: Say, room: RoomBook) -> None:
    assert say("40 eggs", JPEG).text.endswith(WAITS)
    assert "Photo kept with tank 3 and B24." in say("tank 3").text
    assert shows(room) == [("tank 3", "B24")]


def test_a_photo_without_words_goes_with_the_note_of_a_moment_ago_if_that_was_one_tank(
    say: Say, room: RoomBook
) -> None:
    say("2 dead tank 5")
    assert "Photo kept with tank 5" in say(photo=JPEG).text
    assert "Photo kept with tank 5" in say(photo=JPEG).text, "and so does the next"
    assert say(photo=JPEG, after=30).text == WHICH, "half an hour later it is asked"
    assert say("fed tanks 1 and 2").text.endswith(WHICH)
    assert say(photo=JPEG).text == WHICH
    assert shows(room) == [("tank 5",), ("tank 5",), (), ()]


def test_a_note_is_no_answer_to_which_tank_but_is_offered_as_one(say: Say, room: RoomBook) -> None:
    say(photo=JPEG)
    said = say("fed tank 4")
    assert said.text == f"tank 4: fed.\n{WHICH}" and said.options == ("tank 4",)
    assert shows(room) == [()]
    say("tank 4")
    assert shows(room) == [("tank 4",)]


def test_two_photos_are_asked_about_one_after_the_other(say: Say, room: RoomBook) -> None:
    say(photo=JPEG)
    say(photo=JPEG)
    assert say("tank 1").text == f"Photo kept with tank 1.\n{WHICH}"
    assert say("skip").text == "The photo is kept without a name."
    assert shows(room) == [(), ("tank 1",)]


def test_a_name_later_on_asks_how_the_tank_stands(say: Say, room: RoomBook) -> None:
    say(photo=JPEG)
    say("what's due")
    assert say("tank 4").text.startswith("tank 4 (")
    assert shows(room) == [()]


def test_undo_takes_back_the_photo_and_not_the_note_before_it(say: Say, room: RoomBook) -> None:
    say("2 dead tank 5")
    say("tank 3", JPEG)
    assert say("undo").text == "Taken back: the photo of tank 3."
    assert room.pictures() == [] and [e.event.kind for e in room.entries(kinds=("death",))] == ["death"]
    assert say("undo").text.startswith("Taken back: tank 5")


def test_undo_takes_back_a_note_with_its_photo(say: Say, room: RoomBook) -> None:
    say("2 dead tank 5", JPEG)
    assert say("undo").text == "Taken back: tank 5: 2 dead.\nIts photo too."
    assert room.pictures() == []


@pytest.mark.parametrize("how", ["reply", "edit"])
def test_a_photo_with_the_wrong_tank_is_put_right(say: Say, room: RoomBook, how: str) -> None:
    say("tank 3", JPEG)
    said = say("tank 4", about="1:1") if how == "reply" else say("tank 4", edited="1:1")
    assert said.text.endswith("hoto kept with tank 4.")
    assert shows(room) == [("tank 4",)]


def test_a_mended_note_takes_its_photo_along(say: Say, room: RoomBook) -> None:
    say("2 dead tank 5", JPEG)
    say("that was tank 6")
    assert [e.place for e in room.entries(kinds=("death",))] == ["tank 6"]
    assert shows(room) == [("tank 6",)]


def test_the_newest_photo_is_shown_with_when_whose_and_its_words(say: Say, room: RoomBook) -> None:
    say("tank 3", JPEG)
    say("fin of the male tank 3", JPEG + b"2")
    said = say("photos of tank 3")
    assert said.picture == JPEG + b"2" and said.outcome == "answer"
    assert said.text == "Tank 3, today 08:02, Rosa: “fin of the male tank 3”\nBefore that: today 08:01."
    assert say("photo of tub B").text == "There is no photo of tub B yet."
    assert say("photo of tank 99").text == "There is no tank 99 here."


def test_a_photo_whose_file_is_gone_is_said_to_be(say: Say, room: RoomBook) -> None:
    say("tank 3", JPEG)
    room._database.album.let_go(p.sha256 for p in room.pictures())
    said = say("last photo")
    assert said.picture is None and "Its file is not here" in said.text


def test_what_is_no_photo_is_not_kept_and_its_note_is(say: Say, room: RoomBook) -> None:
    said = say("2 dead tank 5", b"GIF89a")
    assert said.text.endswith("The photo was not kept: only JPEG, PNG and WebP are kept.")
    assert room.pictures() == [] and len(room.entries(kinds=("death",))) == 1


def test_the_same_photo_delivered_twice_is_kept_once(room: RoomBook, card: RoomCard) -> None:
    message = Message("telegram", "1:1", "1", "p1", "tank 3", dt.datetime(2026, 3, 9, 9, tzinfo=card.zone))
    assert hear(room, message, picture=JPEG).text == hear(room, message, picture=JPEG).text
    assert shows(room) == [("tank 3",)]
