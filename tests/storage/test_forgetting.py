"""A person's name, number and words go; the fish stay."""

from __future__ import annotations

from pathlib import Path

import pytest

from shared.room import RoomCard
from storage.engine import open_database
from storage.journal import RoomBook
from tests.storage.notes import FED, HOUR, NOON, event, message, pulled, said

SECRET = "zanzibar"


def _written(book: RoomBook) -> tuple[str, str]:
    """A room in which Rosa (kept) and Ivo (to be forgotten) wrote."""
    rosa, ivo = book.person_named("Rosa"), book.person_named("Ivo Zanzibar")
    code = book.invite(at=NOON)
    assert book.admit(code, "sms", "+1555zanzibar", ivo.name, NOON) == ivo
    pulled(book, "B1", 40)
    with book.turn(message(f"remember {SECRET}", person=ivo.key, chat="+1555zanzibar", delivery="zanzibar-1")) as turn:
        turn.append(event("remark", text=f"remember {SECRET}", place="tank 3"), at=NOON)
        turn.append(event("remind", text=SECRET, every_days=2), at=NOON)
        turn.append(event("reserve", count=6, line="gardneri", buyer="Wim"), at=NOON)
        turn.append(event("fix", text=SECRET, of={"kind": "remark", "text": SECRET}), at=NOON)
        turn.ask({"words": SECRET})
        turn.reply(f"Noted: {SECRET}.", {"events": [{"text": SECRET}]}, "log")
    said(book, event("setting", what="feeds_per_day", value=3, person="ivo zanzibar"), person=rosa.key)
    said(book, event("remark", text="feeding thrice", place="tank 3"), person=rosa.key)
    said(book, *[FED] * 200, person=rosa.key)  # so that there is a snapshot
    return rosa.key, ivo.key


def test_nothing_of_a_person_is_left_and_the_fish_stay(book: RoomBook) -> None:
    rosa, ivo = _written(book)
    before = book.standing().model_copy(deep=True)
    numbers = [(e.seq, e.event.kind, e.person) for e in book.entries()]
    done = book.forget(ivo)
    assert (done.messages, done.entries, done.still_named) == (1, 4, 0)
    after = book.standing()
    assert [(e.seq, e.event.kind, e.person) for e in book.entries()] == numbers
    everything = str([book.entries(), book.messages(), after, book.people(everyone=True)])
    assert SECRET not in everything.lower()
    assert "feeding thrice" in everything and "Rosa" in everything
    assert after.holdings == before.holdings and after.seq == before.seq
    assert [k.event.kind for k in after.reminders] == ["remind"]
    assert [k.event.buyer for k in after.promises if k.event.kind == "reserve"] == ["Wim"]
    assert [k.event.person for k in after.settings if k.event.kind == "setting"] == [ivo]
    assert book.check() == []
    book.rebuild()
    assert book.standing() == after and book.check() == []
    assert book.person_at("sms", "+1555zanzibar") is None
    with book.turn(message(person=ivo, chat="+1555zanzibar")) as turn:
        assert turn.open_questions() == []
    gone = book.person(ivo)
    assert gone and gone.name == "" and not gone.active
    assert [p.key for p in book.people()] == [rosa]


def test_nothing_of_a_person_is_left_in_the_file(tmp_path: Path) -> None:
    database = open_database(str(tmp_path / "room.db"))
    book = database.create_room(RoomCard())
    _, ivo = _written(book)
    held = b"".join(path.read_bytes() for path in tmp_path.iterdir())
    assert SECRET.encode() in held.lower()
    book.forget(ivo)
    held = b"".join(path.read_bytes() for path in tmp_path.iterdir())
    assert SECRET.encode() not in held.lower()
    database.close()


def test_a_name_in_the_words_of_others_is_told(book: RoomBook) -> None:
    ivo = book.person_named("Ivo")
    said(book, FED, text="ivo fed tank 1", person="p2")
    assert book.forget(ivo.key).still_named == 1


def test_a_buyer_is_forgotten_and_their_sales_stay_together(book: RoomBook) -> None:
    said(book, event("reserve", count=6, line="gardneri", buyer="Wim"), text="6 for Wim")
    said(book, event("sale", count=2, line="medaka", buyer="wim", price=0.0), text="gave wim 2 medaka")
    said(book, event("sale", count=1, line="medaka", buyer="Ada"), text="ada took 1")
    done = book.forget_buyer("WIM")
    assert (done.messages, done.entries, done.still_named) == (2, 2, 0)
    one, two, other = (e.event.outside()["buyer"] for e in book.entries())
    assert one == two != other == "Ada" and one.startswith("someone ")
    assert [m.text for m in book.messages()] == ["", "", "ada took 1"]
    assert [k.event.kind for k in book.standing().promises] == ["reserve"]
    said(book, event("sale", count=6, line="gardneri", buyer=one), at=NOON + HOUR)
    assert book.standing().promises == []
    assert book.check() == []


@pytest.mark.parametrize("name", ["%", "_", ""])
def test_no_pattern_is_taken_for_a_name(book: RoomBook, name: str) -> None:
    said(book, event("sale", count=2, buyer="Wim"), text="2 to Wim")
    done = book.forget_buyer(name)
    assert (done.messages, done.entries, done.still_named) == (0, 0, 0)
