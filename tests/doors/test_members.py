"""Putting somebody out: by command, by an owner in chat, and never by mistake."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bot.channels.doorstep import NOT_INVITED
from bot.commands import main
from bot.hear import hear
from storage.engine import open_database
from storage.journal import Message, RoomBook
from tests.doors.bot_api import IVO, STRANGER, BotApi
from tests.doors.conftest import OpenHouse

NOW = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.UTC)


def names(book: RoomBook) -> list[str]:
    return [p.name for p in book.people()]


def said(book: RoomBook, text: str, name: str = "Rosa") -> str:
    person = next(p for p in book.people() if p.name == name)
    return hear(book, Message("say", f"{name} {text}", name, person.key, text, NOW)).text


async def test_who_is_put_out_by_an_owner_is_a_stranger_from_then_on(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api, ear=hear)
    api.say("remove Ivo")
    assert (await api.texts(1))[0].startswith("Ivo can no longer write or look here")
    api.say("what's due", who=IVO)
    assert (await api.texts(2))[1] == NOT_INVITED
    assert names(book) == ["Rosa"] and book.addresses("p2") == []


@pytest.mark.parametrize("text", ["remove Ivo", "Please remove ivo.", "put out Ivo", "remove Ivo from the room"])
def test_an_owner_says_it_in_so_many_words(book: RoomBook, text: str) -> None:
    assert "can no longer" in said(book, text)
    assert names(book) == ["Rosa"]


@pytest.mark.parametrize(
    "text", ["remove Ivo's mop", "removed Ivo", "remove the mop tank 3", "Ivo", "don't remove Ivo", "remove Rosa"]
)
def test_nothing_else_puts_anybody_out(book: RoomBook, text: str) -> None:
    said(book, text)
    assert names(book) == ["Rosa", "Ivo"]


def test_a_helper_or_viewer_puts_nobody_out(book: RoomBook) -> None:
    for role in ("helper", "viewer"):
        assert book.admit(book.invite(role), "telegram", role, role, dt.datetime.now(dt.UTC))
        assert said(book, "remove Rosa", role) == "Only an owner can put somebody out. Nothing was changed."
    assert names(book) == ["Rosa", "Ivo", "helper", "viewer"]


def test_a_fish_of_that_name_is_meant_before_a_person(book: RoomBook) -> None:
    said(book, "tank 1 is 10 gallons, ivo")
    if "ivo" not in {line.casefold() for line in book.standing().lines}:
        from shared.events import event_from

        with book.turn(Message("say", "line", "Rosa", "p1", "new line", NOW)) as turn:
            turn.append(event_from({"kind": "new_line", "line": "ivo"}), at=NOW)
    said(book, "remove Ivo")
    assert names(book) == ["Rosa", "Ivo"]


def test_the_command_puts_out_and_says_what_stays(
    book: RoomBook, room_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--db", str(room_file), "remove", "ivo"]) == 0
    assert "what they logged stays" in capsys.readouterr().out
    assert main(["--db", str(room_file), "remove", "Ivo"]) == 1
    assert "nothing was changed" in capsys.readouterr().err
    again = open_database(str(room_file))
    assert names(again.room()) == ["Rosa"]
    again.close()


def test_of_two_with_one_name_the_command_asks_which(
    book: RoomBook, room_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = book.admit(book.invite("viewer"), "telegram", str(STRANGER["id"]), "Ivo", dt.datetime.now(dt.UTC))
    assert other
    assert "Several people here" in said(book, "remove Ivo")
    assert main(["--db", str(room_file), "remove", "Ivo"]) == 1
    assert f"p2 (owner) or {other.key} (viewer)" in capsys.readouterr().err
    assert main(["--db", str(room_file), "remove", other.key]) == 0
    assert [(p.key, p.name) for p in book.people()] == [("p1", "Rosa"), ("p2", "Ivo")]
