"""A message, all it causes and its answer are kept together, once, and found again."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from shared.events import Event, event_from
from shared.ledger.standing import Entry, Posting, fold
from shared.room import RoomCard
from storage.engine import Database, NoSuchRoom, StorageTrouble, open_database
from storage.journal import KeptReply, RoomBook
from tests.storage.notes import (
    DAY,
    FED,
    HOUR,
    NOON,
    account,
    died,
    event,
    hatched,
    message,
    pulled,
    remarked,
    said,
    taken_back,
)


def test_a_delivery_that_comes_twice_is_logged_once_and_answered_alike(book: RoomBook) -> None:
    note = message("pulled mop tank 3, 40 eggs", delivery="SM1")
    with book.turn(note) as turn:
        assert turn.earlier is None
        turn.append(event("pull", place="tank 3", count=40), at=NOON)
        turn.reply("tank 3: 40 eggs.", {"outcome": "log", "options": ["Größe", 1.5]}, "log")
    with book.turn(note) as turn:
        assert turn.earlier == KeptReply("tank 3: 40 eggs.", {"outcome": "log", "options": ["Größe", 1.5]})
        with pytest.raises(RuntimeError):
            turn.append(FED, at=NOON)
    assert [m.text for m in book.messages()] == ["pulled mop tank 3, 40 eggs"]
    assert len(book.entries()) == 1


def test_the_same_delivery_id_at_another_door_is_another_message(book: RoomBook) -> None:
    for door in ("telegram", "sms"):
        with book.turn(message(delivery="7", door=door)) as turn:
            assert turn.earlier is None
            turn.reply("ok", {}, "none")
    assert len(book.messages()) == 2


def test_nothing_is_kept_of_a_message_that_failed(book: RoomBook) -> None:
    pulled(book, "B1", 40)
    before = book.standing().model_dump_json()
    with pytest.raises(ZeroDivisionError), book.turn(message(delivery="SM2")) as turn:
        turn.append(
            event("pull", count=5), at=NOON, batch="B1", postings=[Posting(target=account("B1", "tub B"), count=5)]
        )
        turn.ask({"which": "tank"})
        raise ZeroDivisionError
    assert book.standing().model_dump_json() == before
    assert len(book.entries()) == len(book.messages()) == 1
    with book.turn(message(delivery="SM2")) as turn:
        assert turn.earlier is None and turn.open_questions() == []
        assert turn.append(FED, at=NOON).seq == 2
        turn.reply("ok", {}, "log")


def test_turns_kept_together_are_kept_all_or_none(book: RoomBook) -> None:
    before = book.standing().model_dump_json()
    with pytest.raises(ZeroDivisionError), book.together():
        for delivery in ("SM1", "SM2"):
            with book.turn(message("fed", delivery=delivery)) as turn:
                turn.append(FED, at=NOON)
                turn.reply("ok", {}, "log")
        raise ZeroDivisionError
    assert book.messages() == []
    assert book.standing().model_dump_json() == before
    with book.together():
        for delivery in ("SM1", "SM1", "SM2"):
            with book.turn(message("fed", delivery=delivery)) as turn:
                if turn.earlier is None:
                    turn.append(FED, at=NOON)
                    turn.reply("ok", {}, "log")
    assert [m.delivery for m in book.messages()] == ["SM1", "SM2"]
    assert [e.seq for e in book.entries()] == [1, 2]


def test_one_of_several_that_failed_fails_them_all_even_when_it_was_overlooked(book: RoomBook) -> None:
    with pytest.raises(RuntimeError), book.together():
        with contextlib.suppress(ZeroDivisionError), book.turn(message("fed", delivery="SM1")):
            raise ZeroDivisionError
        with book.turn(message("fed", delivery="SM2")) as turn:
            turn.append(FED, at=NOON)
    assert book.messages() == [] and book.entries() == []


def test_a_turn_within_a_turn_is_refused(book: RoomBook) -> None:
    with pytest.raises(RuntimeError), book.together(), book.turn(message(delivery="SM1")), book.turn(message()):
        raise AssertionError


def test_words_are_kept_to_the_letter(book: RoomBook) -> None:
    text = '  pulled\tmop 3 — 40 eggs 🐟\n\'; DROP TABLE entries; -- %s :name \\ "x"  '
    with book.turn(message(text)) as turn:
        turn.append(event("remark", text=text), at=NOON)
        turn.reply(text, {"reply": text}, "log")
    kept = book.messages()[0]
    assert kept.text == text and kept.reply == KeptReply(text, {"reply": text})
    assert book.entries()[0].event == event("remark", text=text)


def test_what_no_database_can_keep_is_marked_and_the_rest_kept(book: RoomBook) -> None:
    for broken in ("mop \0 3", "mop \ud83d 3"):
        with book.turn(message(broken, chat=broken)) as turn:
            turn.append(FED, at=NOON)
            turn.reply(broken, {"words": "mop \0 3"}, "log")
    kept = book.messages()
    assert [m.text for m in kept] == ["mop \ufffd 3", "mop ? 3"]
    assert [m.reply and m.reply.payload for m in kept] == [{"words": "mop \0 3"}] * 2


EVENTS: list[Event] = [
    event("pull", place="tank 3", count=0),
    event("sale", count=6, price=0.0, buyer="Wim"),
    event("reserve", count=6, buyer="Wim", date=dt.date(2026, 4, 1), made=dt.date(2026, 3, 1)),
    event("measure", places=("tank 1", "tank 2"), quantity="temperature", value=24.4),
    event("remind", text="order eggs", every_days=3.5, time="09:00"),
    event("remark"),
    event("fix", count=0, of={"kind": "pull", "place": "tank 3"}),
    event("fix", text="thin", buyer="Wim", date="2026-03-08"),
    event_from({"kind": "setting", "what": "mop_every_days", "value": False, "person": "Ivo", "from": "08:00"}),
    event_from({"kind": "move", "from": "tub B", "to": "tank 12", "male": 1}),
    event_from({"kind": "feed", "places": ["all"], "except": ["tank 4"]}),
]


@pytest.mark.parametrize("given", EVENTS, ids=lambda e: e.kind)
def test_every_entry_comes_back_as_it_was_given(book: RoomBook, given: Event) -> None:
    late = dt.timezone(dt.timedelta(hours=-5))
    with book.turn(message(sent=NOON + dt.timedelta(microseconds=123456))) as turn:
        entry = turn.append(
            given,
            at=(NOON - HOUR).astimezone(late),
            postings=[Posting(source=account("B1", ""), outside="unaccounted", count=0, whole=True)],
            batch="B1",
            place="tub B",
            line="gardneri",
            laid_from=NOON - DAY,
            laid_to=NOON.astimezone(late),
            joins="B2",
        )
        turn.reply("ok", {}, "log")
    (kept,) = book.entries()
    assert kept == entry
    assert json.loads(kept.model_dump_json()) == json.loads(entry.model_dump_json())


def test_times_without_a_zone_are_refused(book: RoomBook) -> None:
    bare = NOON.replace(tzinfo=None)
    with pytest.raises(ValueError, match="zone"), book.turn(message(sent=bare)):
        pass
    with pytest.raises(ValueError, match="zone"), book.turn(message()) as turn:
        turn.append(FED, at=bare)
    assert book.messages() == []


def test_entries_are_found_by_what_they_touch_and_when(book: RoomBook) -> None:
    pulled(book, "B1", 40, at=NOON)
    hatched(book, "B1", 30, at=NOON + 14 * DAY)
    died(book, "B1", 2, at=NOON + 15 * DAY)
    remarked(book, "looked thin last week", at=NOON + 7 * DAY, sent=NOON + 16 * DAY)

    def kinds(**wanted: object) -> list[str]:
        return [entry.event.kind for entry in book.entries(**wanted)]  # type: ignore[arg-type]

    assert kinds() == ["pull", "remark", "hatch", "death"]
    assert kinds(name="B1") == ["pull", "hatch", "death"]
    assert kinds(name="tank 3") == ["pull", "remark"]
    assert kinds(name="tank 3", newest_first=True, limit=1) == ["remark"]
    assert kinds(name="tank 33") == []
    assert kinds(kinds={"death", "hatch"}) == ["hatch", "death"]
    assert kinds(since=NOON + 7 * DAY, until=NOON + 14 * DAY) == ["remark", "hatch"]
    assert kinds(person="p1", limit=2) == ["pull", "remark"]
    assert kinds(person="p2") == []
    taken_back(book, 2)
    assert kinds(name="B1") == ["pull", "death"]
    assert kinds(name="B1", include_retracted=True) == ["pull", "hatch", "death"]


@pytest.mark.parametrize(
    "wanted",
    [
        {"name": "tank 3", "newest_first": True, "limit": 20},
        {"name": "tank 3", "since": NOON, "kinds": {"pull"}},
        {"kinds": {"sale"}},
        {"since": NOON, "until": NOON},
        {"newest_first": True, "limit": 20},
    ],
    ids=str,
)
def test_looking_up_never_reads_the_whole_ledger(tmp_path: Path, wanted: dict[str, Any]) -> None:
    database = open_database(str(tmp_path / "room.db"))
    book = database.create_room(RoomCard())
    said(book, FED)
    with database.reading() as connection:
        asked: list[str] = []

        def note(_: object, __: object, statement: str, *___: object) -> None:
            asked.append(statement)

        sa.event.listen(connection, "before_cursor_execute", note)
        book.entries(**wanted)
        sa.event.remove(connection, "before_cursor_execute", note)
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {asked[0]}", tuple([1] * asked[0].count("?"))).all()
    steps = [step.detail for step in plan]
    assert steps[0].startswith("SEARCH") and not [step for step in steps if step.startswith("SCAN")]
    if "limit" in wanted:
        assert not [step for step in steps if "TEMP B-TREE" in step]
    database.close()


def test_taking_back_leaves_what_stood_before(book: RoomBook) -> None:
    pulled(book, "B1", 40)
    before = book.standing().model_copy(deep=True)
    hatched(book, "B1", 30)
    entry = taken_back(book, 2)
    assert entry.seq == 3 and entry.retracts == (2,)
    after = book.standing()
    assert after.holdings == before.holdings and after.batches["B1"].fry_seen is None
    assert after == fold(book_entries(book))


def book_entries(book: RoomBook) -> list[Entry]:
    return sorted(book.entries(include_retracted=True), key=lambda entry: entry.seq)


def test_an_entry_is_taken_back_once_and_only_when_it_is_there(book: RoomBook) -> None:
    pulled(book, "B1", 40)
    taken_back(book, 1)
    for seqs in ([1], [7], [0], [-1], []):
        with pytest.raises(ValueError, match="take"), book.turn(message()) as turn:
            turn.retract(seqs, event("undo"))
    assert [e.seq for e in book_entries(book)] == [1, 2]


def test_a_correction_takes_back_and_posts_at_once(book: RoomBook) -> None:
    pulled(book, "B1", 40)
    with book.turn(message("44 not 40")) as turn:
        turn.append(
            event("fix", count=44),
            at=NOON,
            batch="B1",
            line="gardneri",
            postings=[Posting(target=account("B1", "tub B"), outside="pulled", count=44, counts=True)],
            retracts=[1],
        )
        assert turn.standing.holdings["B1|tub B|eggs"].count == 44
        turn.reply("ok", {}, "log")
    assert book.standing().batches["B1"].eggs.pulled == 44
    assert book.standing() == fold(book_entries(book))


def test_how_it_stood_then_by_all_known_now_or_known_then(book: RoomBook) -> None:
    pulled(book, "B1", 40, at=NOON)
    pulled(book, "B2", 9, at=NOON + 2 * DAY, place="tub C")
    with book.turn(message(sent=NOON + 3 * DAY)) as turn:  # said on day 3, happened on day 1
        turn.append(
            event("pull", place="tank 3", count=3),
            at=NOON + DAY,
            batch="B1",
            postings=[Posting(target=account("B1", "tub B"), outside="pulled", count=3)],
        )
        turn.reply("ok", {}, "log")
    taken_back(book, 2, sent=NOON + 4 * DAY)

    def eggs(at: int | None, known_at: int | None) -> int:
        moments = (None if days is None else NOON + days * DAY for days in (at, known_at))
        return sum(h.count for h in book.standing(*moments).holdings.values())

    table = {
        (None, None): 43,
        (0, None): 40,
        (1, None): 43,
        (2, None): 43,
        (1, 2): 40,
        (2, 2): 49,
        (2, 3): 52,
        (2, 4): 43,
        (None, 3): 52,
        (-1, None): 0,
        (None, -1): 0,
    }
    assert {key: eggs(*key) for key in table} == table


def test_the_last_message_of_a_person_in_a_chat_that_still_stands(book: RoomBook) -> None:
    first = said(book, event("feed", places=["tank 1"]), event("feed", places=["tank 2"]), at=NOON)
    said(book, event("feed", places=["tank 9"]), at=NOON + HOUR, person="p2")
    said(book, event("feed", places=["tank 8"]), at=NOON + HOUR, chat="cellar")
    last = said(book, event("feed", places=["tank 3"]), at=NOON + HOUR)

    def found() -> list[int] | None:
        with book.turn(message(sent=NOON + 2 * HOUR)) as turn:
            looked = turn.last_messages_with_entries("p1", "kitchen", NOON - DAY)
            assert turn.last_messages_with_entries("p1", "kitchen", NOON + 2 * HOUR) == []
            turn.reply("", {}, "none")
        return [entry.seq for entry in looked[0][1]] if looked else None

    assert found() == [e.seq for e in last]
    taken_back(book, *[e.seq for e in last], sent=NOON + HOUR)
    assert found() == [e.seq for e in first]
    taken_back(book, first[0].seq, sent=NOON + HOUR)
    assert found() == [first[1].seq]
    taken_back(book, first[1].seq, sent=NOON + HOUR)
    assert found() is None


def test_entries_are_found_by_the_delivery_that_brought_them(book: RoomBook) -> None:
    said(book, event("feed", places=["tank 1"]), event("feed", places=["tank 2"]), delivery="55", door="telegram")
    with book.turn(message()) as turn:
        assert [e.seq for e in turn.entries_of_delivery("telegram", "55")] == [1, 2]
        assert turn.entries_of_delivery("sms", "55") == []
        turn.retract([1], event("undo"))
        assert [e.seq for e in turn.entries_of_delivery("telegram", "55")] == [2]


def test_questions_stay_open_until_settled_for_that_person_and_chat(book: RoomBook) -> None:
    with book.turn(message()) as turn:
        asked = turn.ask({"missing": ["place"], "note": "pulled mop"})
        turn.reply("Which tank?", {}, "ask")
    with book.turn(message(person="p2")) as turn:
        assert turn.open_questions() == []
    with book.turn(message(chat="cellar")) as turn:
        assert turn.open_questions() == []
    with book.turn(message("3")) as turn:
        (question,) = turn.open_questions()
        assert (question.id, question.asked_at) == (asked, NOON)
        assert question.body == {"missing": ["place"], "note": "pulled mop"}
        turn.settle(asked)
        assert turn.open_questions() == []
    with book.turn(message()) as turn:
        assert turn.open_questions() == []


def test_a_question_nobody_answered_in_a_week_is_asked_no_more(book: RoomBook) -> None:
    with book.turn(message()) as turn:
        turn.ask({"missing": ["place"]})
        assert len(turn.open_questions()) == 1
    for days, still in ((6, 1), (8, 0)):
        with book.turn(message(sent=NOON + dt.timedelta(days=days))) as turn:
            assert len(turn.open_questions()) == still


def test_what_stays_open_survives_a_snapshot_and_starting_again(book: RoomBook, url: str) -> None:
    said(book, event("reserve", count=6, line="gardneri", buyer="Wim"), event("remind", text="order eggs"))
    said(book, event("snooze", task="pull_mop", date=dt.date(2026, 3, 12)))
    said(book, *[event("feed", places=["tank 1"])] * 250)
    other = open_database(url)
    try:
        again = other.room().standing()
        assert again == book.standing() == fold(book_entries(book))
        assert again.model_dump_json() == book.standing().model_dump_json()
    finally:
        other.close()
    said(book, event("sale", count=6, line="gardneri", buyer="wim"))
    assert book.standing().promises == []


def test_two_books_of_one_room_stay_in_step(book: RoomBook, url: str) -> None:
    """As when two programs run on the same room."""
    other = open_database(url)
    try:
        mirror = other.room()
        pulled(book, "B1", 40)
        assert mirror.standing() == book.standing()
        hatched(mirror, "B1", 30)
        assert book.standing().holdings["B1|tub B|fry"].count == 30
        taken_back(mirror, 1)
        pulled(book, "B2", 5)
        assert book.standing() == mirror.standing() == fold(book_entries(book))
    finally:
        other.close()


def test_rooms_never_see_each_other(database: Database, book: RoomBook) -> None:
    other = database.create_room(RoomCard(name="Cellar", units="metric", currency="EUR"))
    owner = book.person_named("Rosa")
    pulled(book, "B1", 40)
    remarked(book, "a second entry")
    with other.turn(message(delivery="d1", door="x")) as turn:
        assert turn.append(event("feed", places=["tank 3"]), at=NOON).seq == 1
        assert turn.open_questions() == []
        turn.reply("", {}, "log")
    with pytest.raises(ValueError, match="no entry 2"), other.turn(message()) as turn:
        turn.retract([2], event("undo"))
    assert [e.event.kind for e in book.entries(name="tank 3")] == ["pull", "remark"]
    assert [e.event.kind for e in other.entries(name="tank 3")] == ["feed"]
    assert other.standing().holdings == {} and other.people() == [] and other.person(owner.key) is None
    assert len(other.messages()) == 1 and len(book.messages()) == 2
    with book.turn(message(delivery="d1", door="x")) as turn:
        assert turn.earlier is None


def test_rooms_are_named_and_listed(database: Database) -> None:
    with pytest.raises(NoSuchRoom, match="roomhand setup"):
        database.room()
    made = database.create_room(RoomCard(name="Cellar", timezone="Europe/Berlin", units="metric", gallon="imperial"))
    assert database.room().info == made.info == database.room("CELLAR").info
    database.create_room(RoomCard(name="Loft"))
    with pytest.raises(NoSuchRoom, match="“Cellar”, “Loft”"):
        database.room()
    with pytest.raises(NoSuchRoom, match="“Attic”"):
        database.room("Attic")
    with pytest.raises(StorageTrouble, match="already"):
        database.create_room(RoomCard(name="cellar"))
    made.update_info(timezone="America/Chicago", currency="USD")
    assert database.room("Cellar").info == made.info
    assert made.info.currency == "USD" and made.info.gallon == "imperial"
