"""Who may speak to a room, strangers, and what is done only once."""

from __future__ import annotations

import datetime as dt

import pytest
import sqlalchemy as sa

from shared.room import RoomCard
from storage.engine import Database, open_database
from storage.journal import RoomBook
from storage.tables import INVITATIONS, KNOCKS
from tests.storage.notes import DAY, HOUR, NOON, message


def test_a_person_is_made_once_under_their_name(book: RoomBook) -> None:
    rosa = book.person_named("Rosa")
    assert book.person_named(" rosa ") == rosa == book.person(rosa.key)
    ivo = book.person_named("Ivo")
    assert (rosa.role, ivo.role) == ("owner", "helper")
    assert [p.name for p in book.people()] == ["Rosa", "Ivo"]
    assert book.person("p99") is None


def test_an_invitation_lets_one_person_in_once(book: RoomBook) -> None:
    code = book.invite("viewer", HOUR, at=NOON)
    assert book.person_at("telegram", "1001") is None
    ivo = book.admit(f" {code.lower()} ", "telegram", "1001", "Ivo", NOON)
    assert ivo and ivo.role == "viewer" and book.person_at("telegram", "1001") == ivo
    assert book.admit(code, "telegram", "1002", "Mona", NOON) is None
    assert book.person_at("telegram", "1002") is None
    assert book.person_at("sms", "1001") is None
    assert book.addresses(ivo.key) == [("telegram", "1001")]


def test_a_code_ends_with_its_time_and_wrong_codes_let_nobody_in(book: RoomBook) -> None:
    code = book.invite(valid=HOUR, at=NOON)
    assert book.admit(code, "telegram", "1", "Ivo", NOON + HOUR) is None
    assert book.admit("", "telegram", "1", "Ivo", NOON) is None
    assert book.admit(code + "A", "telegram", "1", "Ivo", NOON) is None
    assert book.admit(code, "telegram", "1", "Ivo", NOON + HOUR / 2) is not None


def test_a_code_of_one_room_opens_no_other(database: Database, book: RoomBook) -> None:
    cellar = database.create_room(RoomCard(name="Cellar"))
    code = book.invite(at=NOON)
    assert cellar.admit(code, "telegram", "1", "Ivo", NOON) is None
    assert book.admit(code, "telegram", "1", "Ivo", NOON) is not None
    assert cellar.person_at("telegram", "1") is None


def test_codes_and_strangers_are_kept_only_as_hashes(database: Database, book: RoomBook) -> None:
    code = book.invite(at=NOON)
    book.knock("sms", "+15550100", NOON)
    with database.reading() as connection:
        rows = [connection.execute(sa.select(table)).one() for table in (INVITATIONS, KNOCKS)]
    kept = [str(tuple(row)) for row in rows]
    assert len(kept) == 2
    assert not any(code in row or "15550100" in row for row in kept)


def test_someone_known_from_another_door_stays_the_same_person(book: RoomBook) -> None:
    rosa = book.person_named("Rosa")
    assert book.admit(book.invite("owner", at=NOON), "telegram", "7", "rosa", NOON) == rosa
    assert book.admit(book.invite("owner", at=NOON), "sms", "+1", "Rosa", NOON) == rosa
    other = book.admit(book.invite("owner", at=NOON), "telegram", "8", "Rosa", NOON)
    assert other and other.key != rosa.key  # a second telegram account is not taken for the first


def test_nobody_takes_anothers_role_by_taking_their_name(book: RoomBook) -> None:
    rosa = book.person_named("Rosa")
    helper = book.admit(book.invite("helper", at=NOON), "telegram", "7", "Rosa", NOON)
    assert helper and helper.key != rosa.key and helper.role == "helper"
    nameless = [book.admit(book.invite("helper", at=NOON), door, "9", " ", NOON) for door in ("sms", "telegram")]
    assert len({person.key for person in nameless if person}) == 2
    with pytest.raises(ValueError, match="not a role"):
        book.invite("admin")


def test_who_is_removed_may_not_speak_and_may_come_back_by_a_new_code(book: RoomBook) -> None:
    ivo = book.admit(book.invite(at=NOON), "telegram", "7", "Ivo", NOON)
    assert ivo
    book.remove(ivo.key)
    assert book.person_at("telegram", "7") is None and book.people() == []
    gone = book.person(ivo.key)
    assert gone and gone.name == "Ivo" and not gone.active
    back = book.admit(book.invite(at=NOON), "telegram", "7", "Ivo", NOON)
    assert back and book.person_at("telegram", "7") == back


def test_a_stranger_is_answered_once(book: RoomBook) -> None:
    assert [book.knock("sms", "+15550100", NOON + i * HOUR) for i in range(3)] == [True, False, False]
    assert book.knock("telegram", "+15550100", NOON)
    assert book.knocks() == 4


def test_what_is_claimed_is_done_once(book: RoomBook, database: Database) -> None:
    day = dt.date(2026, 3, 9).isoformat()
    assert [book.claim("summary", f"{day} p1", NOON) for _ in range(2)] == [True, False]
    assert book.claim("summary", f"{day} p2", NOON + DAY)
    assert database.create_room(RoomCard(name="Cellar")).claim("summary", f"{day} p1", NOON)
    book.confirm("summary", f"{day} p1")
    assert [(c.what, c.key, c.claimed) for c in book.unconfirmed()] == [("summary", f"{day} p2", NOON + DAY)]
    assert not book.claim("summary", f"{day} p1", NOON)


def test_who_somebody_is_now_is_seen_in_the_middle_of_a_turn(book: RoomBook) -> None:
    key = book.person_named("Ivo").key
    with book.turn(message("ivo may log", sent=NOON)):
        before = book.person(key)
        book.remove(key)
        after = book.person(key)
    assert before and before.active and after and not after.active


def test_another_door_puts_somebody_out_between_two_turns(book: RoomBook, url: str) -> None:
    key = book.person_named("Ivo").key
    assert book.person(key) == book.person(key)
    elsewhere = open_database(url)
    elsewhere.room().remove(key)
    elsewhere.close()
    found = book.person(key)
    assert found and not found.active
