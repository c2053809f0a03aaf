"""Starting, looking back and taking back do not take longer with the years."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import sqlalchemy as sa

from shared.ledger.standing import FOLDING, Entry, Standing, fold
from storage import snapshots
from storage.engine import Database, open_database
from storage.journal import RoomBook
from storage.tables import MENTIONS, ROOMS, SNAPSHOTS
from tests.storage.notes import DAY, FED, HOUR, NOON, event, message, pulled, said, taken_back

YEARS = 1500  # entries, with a snapshot every 10: as many snapshots as 30 000 entries have


@pytest.fixture
def old(book: RoomBook, monkeypatch: pytest.MonkeyPatch) -> RoomBook:
    """A room with a long history, one day to fifteen entries, the last of each day late by three hours."""
    monkeypatch.setattr(snapshots, "EVERY", 10)
    for day in range(YEARS // 15):
        with book.turn(message(sent=NOON + day * DAY)) as turn:
            for number in range(15):
                turn.append(FED, at=NOON + day * DAY - (3 * HOUR if number == 14 else 0 * HOUR))
            turn.reply("ok", {}, "log")
    return book


@contextmanager
def counted(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """The entries added up meanwhile, by number."""
    added: list[int] = []
    plain = Standing.apply

    def apply(standing: Standing, entry: Entry) -> None:
        added.append(entry.seq)
        plain(standing, entry)

    with monkeypatch.context() as patched:
        patched.setattr(Standing, "apply", apply)
        yield added


def _all(book: RoomBook) -> list[Entry]:
    return book.entries(include_retracted=True)


def _kept(database: Database) -> list[int]:
    with database.reading() as connection:
        return list(connection.execute(sa.select(SNAPSHOTS.c.seq).order_by(SNAPSHOTS.c.seq)).scalars())


def test_a_new_start_adds_up_only_the_last_entries(old: RoomBook, url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    said(old, FED, FED, at=NOON + 100 * DAY)
    other = open_database(url)
    with counted(monkeypatch) as added:
        assert other.room().standing() == old.standing()
    assert 2 <= len(added) <= snapshots.EVERY + 15
    other.close()


def test_looking_back_to_any_day_adds_up_only_a_stretch(old: RoomBook, monkeypatch: pytest.MonkeyPatch) -> None:
    everything = sorted(old.entries(), key=lambda e: e.seq)
    for day in (3, 40, 77, 99):
        then = NOON + day * DAY - HOUR
        with counted(monkeypatch) as added:
            found = old.standing(at=then)
        assert 1 <= len(added) <= (snapshots.EVERY + 15) * snapshots.COARSEST
        assert found == fold([e for e in everything if e.at <= then])


def test_snapshots_grow_sparse_with_age(old: RoomBook, database: Database) -> None:
    kept = _kept(database)
    assert len(kept) <= snapshots.NEWEST * 5 + YEARS / 10 / snapshots.COARSEST
    gaps = [later - earlier for earlier, later in itertools.pairwise(kept)]
    assert gaps[-1] <= 20 and max(gaps) <= (snapshots.EVERY + 15) * snapshots.COARSEST * 2
    assert gaps[0] > gaps[-1]


def test_taking_back_something_recent_adds_up_only_a_stretch(
    old: RoomBook, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    with counted(monkeypatch) as added:
        taken_back(old, YEARS - 20)
    assert len(added) <= 3 * (snapshots.EVERY + 15)
    assert old.standing() == fold(sorted(old.entries(include_retracted=True), key=lambda e: e.seq))


def test_taking_back_a_feeding_of_long_ago_adds_up_only_a_stretch(
    old: RoomBook, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = _kept(database)
    with counted(monkeypatch) as added:
        taken_back(old, 700)
    assert len(added) <= 2 * (snapshots.EVERY + 15) * snapshots.COARSEST and max(added[:-1]) < YEARS - 200
    assert _kept(database) == before and old.check() == []
    assert old.standing() == database.room().standing() == fold(sorted(_all(old), key=lambda e: e.seq))


def test_taking_back_what_still_matters_puts_every_snapshot_since_right(
    book: RoomBook, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(snapshots, "EVERY", 10)
    came = said(book, event("word", word="the bath", means="tank 1"))[0]
    for day in range(30):
        said(book, *[FED] * 10, at=NOON + day * DAY)
    before = _kept(database)
    taken_back(book, came.seq)
    assert _kept(database)[: len(before)] == before and book.check() == []
    assert book.standing().words == database.room().standing().words == {}


def test_snapshots_of_another_way_of_adding_up_are_passed_over_and_made_anew(
    old: RoomBook, url: str, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    with database.writing() as connection:
        connection.execute(SNAPSHOTS.update().values(folding=FOLDING - 1))
    with counted(monkeypatch) as added:
        database.room().standing()
    assert len(added) == YEARS
    other = open_database(url)
    with counted(monkeypatch) as added:
        assert other.room().standing() == old.standing()
    assert len(added) <= snapshots.EVERY + 15
    with other.reading() as connection:
        assert set(connection.execute(sa.select(SNAPSHOTS.c.folding)).scalars()) == {FOLDING}
    assert len(_kept(other)) > 10 and other.room().check() == []
    other.close()


def test_all_that_is_made_from_the_entries_can_be_thrown_away(old: RoomBook, database: Database) -> None:
    pulled(old, "B1", 40, at=NOON + 200 * DAY)
    before = old.standing().model_dump_json()
    with database.writing() as connection:
        connection.execute(SNAPSHOTS.delete())
        connection.execute(MENTIONS.delete())
    assert database.room().standing().model_dump_json() == before
    assert any("under 0" in fault for fault in old.check())
    old.rebuild()
    assert old.check() == [] and old.standing().model_dump_json() == before
    assert [e.event.kind for e in old.entries(name="B1")] == ["pull"]
    assert len(_kept(database)) > 10


def test_checking_finds_what_is_wrong(book: RoomBook, database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(snapshots, "EVERY", 2)
    for number in range(4):
        pulled(book, f"B{number}", 10)
    said(book, event("remark", text="all well"))
    assert book.check() == []

    def faults(*damage: str) -> str:
        with database.writing() as connection:
            for statement in damage:
                connection.exec_driver_sql(statement)
        return "\n".join(book.check())

    book.standing().holdings["B1|tub B|eggs"].count = 9
    told = faults()
    assert "running program" in told and told.count("\n") == 0
    book.standing().holdings["B1|tub B|eggs"].count = 10
    assert "end with entry 7 and ends with 5" in faults("UPDATE rooms SET head = 7")
    assert book.check() != [] and faults("UPDATE rooms SET head = 5") == ""
    body = '{"event":{"count":11,"place":"tank 3"},"batch":"B0","line":"gardneri","postings":[]}'
    told = faults(f"UPDATE entries SET body = '{body}' WHERE seq = 1")
    assert "snapshot after entry 2" in told and "snapshot after entry 4" in told and "running program" in told
    assert "Entry 3 cannot be read" in faults('UPDATE entries SET body = \'{"event":{"place":7}}\' WHERE seq = 3')
    assert "Between entries 2 and 4" in faults(
        "DELETE FROM mentions WHERE seq = 3", "DELETE FROM entries WHERE seq = 3"
    )


def test_reading_what_a_group_holds_is_no_fault(book: RoomBook) -> None:
    pulled(book, "B1", 10)
    book.standing().tally("gardneri", "fish")  # leaves an empty tally behind
    assert book.check() == []


def test_the_head_is_where_it_should_be(book: RoomBook, database: Database) -> None:
    pulled(book, "B1", 10)
    with database.reading() as connection:
        assert connection.execute(sa.select(ROOMS.c.head, ROOMS.c.latest_at)).one() == (1, NOON)
