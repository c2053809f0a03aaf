"""Putting somebody out: by command, by an owner in chat, and never by mistake."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bot.channels.doorstep import NOT_INVITED, Doorstep, Line, Words
from bot.channels.serve import Notice
from bot.commands import main
from bot.hear import Reply, hear
from bot.reply import SAID_ONCE
from bot.talk.members import ONLY_OWNERS, OTHER_ROLE, OTHERS_READ, SEVERAL
from bot.unasked.reminders import unasked
from storage.engine import open_database
from storage.journal import Message, RoomBook
from tests.doors.bot_api import IVO, ME, ROSA, STRANGER, BotApi
from tests.doors.conftest import OpenHouse

NOW = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.UTC)


def names(book: RoomBook) -> list[str]:
    return [p.name for p in book.people()]


def heard(book: RoomBook, text: str, name: str = "Rosa") -> Reply:
    person = next(p for p in book.people() if p.name == name)
    return hear(book, Message("say", f"{name} {text}", name, person.key, text, NOW))


def said(book: RoomBook, text: str, name: str = "Rosa") -> str:
    return heard(book, text, name).text


async def test_who_is_put_out_by_an_owner_is_a_stranger_from_then_on(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api, ear=hear)
    api.say("remove Ivo")
    await api.texts(1)
    api.tap(api.sent[0]["message_id"], "yes")
    assert (await api.texts(2))[1].startswith("Ivo can no longer write or look here")
    api.say("what's due", who=IVO)
    assert (await api.texts(3))[2] == NOT_INVITED
    assert names(book) == ["Rosa"] and book.addresses("p2") == []


@pytest.mark.parametrize("text", ["remove Ivo", "Please remove ivo.", "put out Ivo", "remove Ivo from the room"])
def test_an_owner_says_it_in_so_many_words_and_is_asked_first(book: RoomBook, text: str) -> None:
    assert said(book, text) == "Put Ivo (owner) out? What they logged stays."
    assert names(book) == ["Rosa", "Ivo"]
    assert "can no longer" in said(book, "yes")
    assert names(book) == ["Rosa"]


@pytest.mark.parametrize("answer", ["no", "never mind", "what's due?", "fed tank 3", "yes and feed tank 3"])
def test_anything_but_yes_puts_nobody_out(book: RoomBook, answer: str) -> None:
    said(book, "remove Ivo")
    said(book, answer)
    said(book, "no")
    assert names(book) == ["Rosa", "Ivo"]


def test_a_late_yes_puts_nobody_out(book: RoomBook) -> None:
    said(book, "remove Ivo")
    said(book, "fed tank 3")
    said(book, "yes")
    assert names(book) == ["Rosa", "Ivo"]


def test_whoever_is_no_owner_any_more_cannot_say_yes(book: RoomBook) -> None:
    said(book, "remove Rosa", "Ivo")
    assert said(book, "make Ivo a helper") == "Ivo is a helper now: logs and asks."
    assert said(book, "yes", "Ivo") == ONLY_OWNERS
    assert names(book) == ["Rosa", "Ivo"]


def test_a_helper_or_viewer_changes_nothing_about_who_may_come(book: RoomBook) -> None:
    for role in ("helper", "viewer"):
        assert book.admit(book.invite(role), "telegram", role, role, dt.datetime.now(dt.UTC))
        for order in ("invite Tom as owner", "invite a helper", "make Ivo a viewer", "cancel the codes", "remove Rosa"):
            assert said(book, order, role) == ONLY_OWNERS
    assert book.invitations(NOW) == [] and [p.role for p in book.people()][:2] == ["owner", "owner"]


@pytest.mark.parametrize(
    ("text", "role"),
    [
        ("invite Tom as helper", "helper"),
        ("Please invite Tom as a viewer.", "viewer"),
        ("let Tom in as viewer", "viewer"),
        ("invite an owner", "owner"),
        ("code for a helper", "helper"),
        ("a new code for Tom as viewer", "viewer"),
        ("add Tom Baker as helper", "helper"),
    ],
)
def test_an_owner_gets_a_code_that_lets_one_in(book: RoomBook, text: str, role: str) -> None:
    reply = heard(book, text)
    code = reply.text.splitlines()[1]
    assert reply.secret == code and "until Wed 11 Mar" in reply.text
    person = book.admit(code, "telegram", "77", "Tom", NOW)
    assert person and person.role == role
    assert book.admit(code, "telegram", "78", "Jerry", NOW) is None


@pytest.mark.parametrize(
    "text", ["add salt tank 3", "invite", "let tank 3 in", "code for tank 3", "add 3 tetras", "let it rest"]
)
def test_nothing_else_makes_a_code(book: RoomBook, text: str) -> None:
    assert heard(book, text).secret == "" and book.invitations(NOW) == []


def test_a_code_is_said_once_and_not_kept(book: RoomBook, room_file: Path) -> None:
    """Neither in the message's answer nor anywhere else in the file; the same delivery again does not tell it."""
    code = heard(book, "invite Tom as helper").secret
    assert len(code) == 10
    assert SAID_ONCE in heard(book, "invite Tom as helper").text
    assert [m.reply.text.count(SAID_ONCE) for m in book.messages() if m.reply] == [1]
    files = [f.read_bytes() for f in room_file.parent.glob(f"{room_file.name}*") if f.is_file()]
    assert files and not any(code.encode() in held for held in files)


async def test_in_a_group_no_code_is_told(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api, ear=hear)
    api.say(f"@{ME['username']} invite Tom as helper", chat=-900)
    assert await api.texts(1) == [OTHERS_READ]
    api.say("invite Tom as helper")
    assert "Good once" in (await api.texts(2))[1]
    assert len(book.invitations(dt.datetime.now(dt.UTC))) == 1


@pytest.mark.parametrize("name", ["Iv\u200bo", "\u202eIvo", "Ｉｖｏ", "Ivo\x00", "Ivo\u2066"])
async def test_nobody_looks_like_another_by_letters_that_are_not_seen(
    api: BotApi, open_house: OpenHouse, book: RoomBook, name: str
) -> None:
    await open_house(api, ear=hear)
    api.say(book.invite("viewer"), who={"id": 503, "is_bot": False, "first_name": name})
    await api.texts(1)
    assert names(book) == ["Rosa", "Ivo", "Ivo"]
    assert said(book, "remove Ivo") == SEVERAL.format(name="Ivo")


def until(book: RoomBook) -> str:
    return f"{(NOW + dt.timedelta(days=2)).astimezone(book.info.zone):Wed 11 Mar %H:%M}"


def test_a_code_brings_the_name_it_was_made_for(book: RoomBook) -> None:
    """Also by text message, where nobody has a name; at a second door it is the same person."""
    code = heard(book, "invite Tom as helper").secret
    listed = said(book, "who may write here").splitlines()
    assert f"Tom: helper, not come yet (code until {until(book)})" in listed
    tom = book.admit(code, "sms", "+15550177", "0177", NOW)
    assert tom and (tom.name, tom.role) == ("Tom", "helper")
    again = book.admit(heard(book, "invite Tom as helper", "Ivo").secret, "telegram", "77", "T.", NOW)
    assert again and again.key == tom.key
    assert said(book, "invite Tom as viewer") == OTHER_ROLE.format(name="Tom", is_now="a helper", role="a viewer")


def test_whoever_is_put_out_before_they_came_does_not_come(book: RoomBook) -> None:
    code = heard(book, "invite Tom as helper").secret
    said(book, "remove Tom")
    said(book, "yes")
    assert book.admit(code, "telegram", "77", "Tom", NOW) is None


def test_codes_are_withdrawn(book: RoomBook) -> None:
    code = heard(book, "invite Tom as helper").secret
    assert said(book, "cancel the codes") == "1 code withdrawn."
    assert book.admit(code, "telegram", "77", "Tom", NOW) is None


async def test_owners_hear_who_came_and_that_strangers_wrote(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    said(book, "fed everyone")
    api.say("let me in", who=STRANGER)
    await open_house(api, ear=hear)
    await api.texts(1, chat=STRANGER["id"])
    api.say(book.invite("viewer"), who={"id": 503, "is_bot": False, "first_name": "Tom"})
    await api.texts(1, chat=503)
    now = dt.datetime.now(dt.UTC)

    def due() -> list[Notice]:
        return [n for n in unasked(book, _by_day(book, now)) if n.what == "strangers" or n.text.startswith("Tom")]

    told = due()
    assert {n.text.split(".")[0] for n in told} == {
        "Tom came in with a code, as viewer", "1 stranger wrote here in the last 24 hours",
    }  # fmt: skip
    assert {n.address for n in told if n.door == "telegram"} == {str(ROSA["id"]), str(IVO["id"])}, (
        "owners, not the viewer"
    )
    for notice in told:
        book.claim(notice.what, notice.key, now)
    assert due() == []


async def test_a_stranger_who_goes_on_costs_no_write_each(book: RoomBook, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[int] = []
    knock = book.knock

    def counted(door: str, address: str, at: dt.datetime, times: int = 1) -> bool:
        written.append(times)
        return knock(door, address, at, times)

    monkeypatch.setattr(book, "knock", counted)
    now = [NOW]
    doorstep = Doorstep(book, hear, lambda: now[0])
    answers = []
    for i in range(120):
        now[0] = NOW + dt.timedelta(seconds=i)
        answers.append(await doorstep.hear(Words("telegram", "666", "X", "666", f"666:{i}", "let me in", now[0])))
    assert answers == [Line(NOT_INVITED), *[None] * 119]
    assert written == [1, 60] and book.knocks() == 61
    doorstep.close()


def _by_day(book: RoomBook, now: dt.datetime) -> dt.datetime:
    """The same time where it is outside the quiet hours, else some hours on."""
    local = now.astimezone(book.info.zone)
    return local if 9 <= local.hour < 20 else local + dt.timedelta(hours=11)


@pytest.mark.parametrize(
    "text", ["remove Ivo's mop", "removed Ivo", "remove the mop tank 3", "Ivo", "don't remove Ivo", "remove Rosa"]
)
def test_nothing_else_puts_anybody_out(book: RoomBook, text: str) -> None:
    said(book, text)
    assert names(book) == ["Rosa", "Ivo"]


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
