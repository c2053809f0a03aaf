"""Whatever is written and taken back, in any order: sums balance, and adding up anew gives the same to the bit."""

from __future__ import annotations

import datetime as dt
import itertools
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from shared.ledger.standing import Entry, Posting, Standing, fold
from shared.room import RoomCard
from storage import snapshots
from storage.engine import Database, open_database
from storage.journal import RoomBook, Turn
from tests.storage import server
from tests.storage.notes import HOUR, NOON, account, event, message

BATCHES, PLACES = ("B1", "B2", "B3"), ("tub A", "tub B", "")
batches, places, counts = st.sampled_from(BATCHES), st.sampled_from(PLACES), st.integers(0, 60)
hours = st.integers(0, 200)
some = st.sets(st.integers(0, 10_000), min_size=1, max_size=3)
HISTORIES = int(os.environ.get("ROOMHAND_TEST_HISTORIES", "6"))  # tried in each case
_names = itertools.count()


def _opened_twice(folder: str, server: str | None) -> tuple[list[Database], list[RoomBook]]:
    """The same new room on SQLite and, where there is a server, on PostgreSQL."""
    urls = [f"{folder}/room{next(_names)}.db", *([server] if server else [])]
    databases = [open_database(url) for url in urls]
    return databases, [database.create_room(RoomCard(name=f"room {next(_names)}")) for database in databases]


def _ledger(book: RoomBook) -> list[Entry]:
    return sorted(book.entries(include_retracted=True), key=lambda entry: entry.seq)


def _faults(book: RoomBook) -> list[str]:
    """What does not add up, but for more taken out of a place than there was: this test does that at random."""
    return [said for said in book.check() if "fewer than none" not in said]


class Ledger(RuleBasedStateMachine):
    folder: str
    url: str | None

    @initialize()
    def open(self) -> None:
        self.databases, self.books = _opened_twice(self.folder, self.url)
        self.written = 0
        self.gone: set[int] = set()
        self.clock = NOON

    def teardown(self) -> None:
        try:
            for book in getattr(self, "books", []):
                assert _faults(book) == []
                book.rebuild()
                assert _faults(book) == []
                assert book.standing() == fold(_ledger(book))
        finally:
            for database in getattr(self, "databases", []):
                database.close()

    def _say(self, what: Callable[[Turn], int], ago: int = 0) -> None:
        """One message, sent now or (an old notebook typed up) some hours ago."""
        self.clock += HOUR
        note = message(sent=self.clock - ago * HOUR)
        made = []
        for book in self.books:
            with book.turn(note) as turn:
                made.append(what(turn))
                turn.reply("ok", {}, "log")
        self.written += made[0]

    @rule(batch=batches, place=places, count=counts, ago=hours, known=st.booleans())
    def pull(self, batch: str, place: str, count: int, ago: int, known: bool) -> None:
        def what(turn: Turn) -> int:
            posting = Posting(
                target=account(batch, place), outside="pulled", count=count if known else None, counts=known
            )
            turn.append(
                event("pull", place="tank 3", count=count),
                at=self.clock - ago * HOUR,
                batch=batch,
                line="gardneri",
                laid_to=self.clock,
                postings=[posting],
            )
            return 1

        self._say(what)

    @rule(batch=batches, place=places, count=counts, whole=st.booleans())
    def hatch(self, batch: str, place: str, count: int, whole: bool) -> None:
        def what(turn: Turn) -> int:
            posting = Posting(
                source=account(batch, place), target=account(batch, "tub F", "fry"), count=count, whole=whole
            )
            turn.append(event("hatch", place=place), at=self.clock, batch=batch, place=place, postings=[posting])
            turn.append(event("measure", quantity="temperature", value=24.1), at=self.clock, place=place)
            return 2

        self._say(what)

    @rule(batch=batches, count=counts, outside=st.sampled_from(["died", "sold", "unaccounted"]), ago=hours)
    def lose(self, batch: str, count: int, outside: str, ago: int) -> None:
        def what(turn: Turn) -> int:
            posting = Posting(source=account(batch, "tub F", "fry"), outside=outside, count=count)
            turn.append(event("death", count=count), at=self.clock - ago * HOUR, batch=batch, postings=[posting])
            return 1

        self._say(what)

    @rule(buyer=st.sampled_from(["Wim", "Ada"]), sold=st.booleans(), ago=hours)
    def promise_and_sell(self, buyer: str, sold: bool, ago: int) -> None:
        def what(turn: Turn) -> int:
            turn.append(event("sale" if sold else "reserve", count=2, buyer=buyer, line="gardneri"), at=self.clock)
            return 1

        self._say(what, ago)

    @rule(picked=some, again=counts, correct=st.booleans(), ago=hours)
    def take_back(self, picked: set[int], again: int, correct: bool, ago: int) -> None:
        standing = sorted(set(range(1, self.written + 1)) - self.gone)
        if not standing:
            return
        seqs = sorted({standing[number % len(standing)] for number in picked})

        def what(turn: Turn) -> int:
            if correct:
                posting = Posting(target=account("B1", "tub B"), outside="pulled", count=again)
                turn.append(event("fix", count=again), at=self.clock, batch="B1", postings=[posting], retracts=seqs)
            else:
                turn.retract(seqs, event("undo"))
            return 1

        self._say(what, ago)
        self.gone |= set(seqs)

    @rule()
    def start_again(self) -> None:
        """As after a restart: only what is in the database counts."""
        self.books = [database.room(book.info.name) for database, book in zip(self.databases, self.books, strict=True)]

    @invariant()
    def adds_up(self) -> None:
        if not hasattr(self, "books"):
            return
        standings = [book.standing() for book in self.books]
        entries = [_ledger(book) for book in self.books]
        assert [e.seq for e in entries[0]] == list(range(1, self.written + 1))
        anew = fold(entries[0])
        for book, standing, listed in zip(self.books, standings, entries, strict=True):
            assert standing == anew
            assert standing.model_dump_json() == anew.model_dump_json()
            assert [e.model_copy(update={"message": 0}) for e in listed] == [
                e.model_copy(update={"message": 0}) for e in entries[0]
            ]
            then = self.clock - 50 * HOUR
            assert book.standing(at=then) == _as_of(listed, then, None)
            assert book.standing(known_at=then) == _as_of(listed, None, then)
            assert book.standing(self.clock - 20 * HOUR, then) == _as_of(listed, self.clock - 20 * HOUR, then)


def _as_of(entries: list[Entry], at: dt.datetime | None, known_at: dt.datetime | None) -> Standing:
    """The plain meaning of asking how things stood."""
    known = [e for e in entries if known_at is None or e.said <= known_at]
    gone = {seq for e in known for seq in e.retracts}
    standing = Standing()
    for entry in known:
        if at is None or entry.at <= at:
            if entry.seq in gone:
                standing.seq = max(standing.seq, entry.seq)
            else:
                standing.apply(entry)
    return standing


# Few entries to a snapshot, so that many snapshots are made, let go and built upon.
@pytest.mark.parametrize("every", [2, 7])
def test_any_history_adds_up_and_reads_the_same_from_either_database(
    every: int,
    tmp_path: Path,
    request: pytest.FixtureRequest,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(snapshots, "EVERY", every)
    monkeypatch.setattr(snapshots, "NEWEST", 2)
    monkeypatch.setattr(snapshots, "COARSEST", 4)
    address = request.getfixturevalue("new_postgres")() if server.binaries() else None

    class OfThisTest(Ledger):
        folder = str(tmp_path)
        url = address

    OfThisTest.TestCase.settings = settings(
        max_examples=HISTORIES, stateful_step_count=15, deadline=None, suppress_health_check=list(HealthCheck)
    )
    OfThisTest.TestCase("runTest").debug()
