"""Long histories of a room that is booked as the keeper's notes are, taken back here and there, on either database.

Whatever happens: the books balance, nothing is negative, the last notes can be undone as if they had not been, and
sums and snapshots are to the letter what adding up from the first entry gives. `ROOMHAND_TEST_LONG` says how many
histories are tried in each case, `ROOMHAND_TEST_STEPS` how many steps each has.
"""

from __future__ import annotations

import itertools
import json
import os
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from bot.command_line.setup import events_of
from shared.events import Event, event_from
from shared.ledger.booking import Booking, book
from shared.ledger.standing import Standing, out_of_balance
from storage import entries, snapshots
from storage.engine import Database, open_database
from storage.journal import RoomBook
from storage.snapshots import Sum
from storage.tables import SNAPSHOTS
from tests.ledger.any_note import CARD, every_kind, notes, tending
from tests.storage import server
from tests.storage.notes import DAY, HOUR, NOON, event, message

HISTORIES, STEPS = (int(os.environ.get(f"ROOMHAND_TEST_{name}", few)) for name, few in (("LONG", 2), ("STEPS", 120)))
_names = itertools.count()


def bare(standing: Standing) -> dict[str, Any]:
    """All that stands, but for how many entries it took."""
    return json.loads(standing.model_dump_json(exclude={"seq"}))  # type: ignore[no-any-return]


def unlike(room: RoomBook, database: Database) -> list[str]:
    """What differs from adding up all entries from the first one: the running sum, or a snapshot in all it holds."""
    found, total = [], Sum(Standing())
    with database.reading() as connection:
        gone = entries.retracted(connection, room.info.id)
        wanted = sa.select(SNAPSHOTS).where(SNAPSHOTS.c.room == room.info.id)
        kept = {row.seq: row for row in connection.execute(wanted)}
        for entry in list(entries.after(connection, room.info.id, 0)):
            total.add(entry, gone)
            row = kept.pop(entry.seq, None)
            if row is None:
                continue
            same = json.dumps(snapshots.read(row.body)) == json.dumps(snapshots.written(total.standing))
            if not same or (row.latest_at, row.latest_said) != (total.latest_at, total.latest_said):
                found.append(f"the snapshot after entry {entry.seq}")
    if room.standing().model_dump_json() != total.standing.model_dump_json():
        found.append("the running sum")
    return found + [f"a snapshot after entry {seq}, which is not there" for seq in kept]


class Years(RuleBasedStateMachine):
    folder: str
    url: str | None

    @initialize()
    def open(self) -> None:
        urls = [f"{self.folder}/room{next(_names)}.db", *([self.url] if self.url else [])]
        self.databases = [open_database(url) for url in urls]
        name = f"room {next(_names)}"
        self.books = [one.create_room(CARD.model_copy(update={"name": name})) for one in self.databases]
        self.clock, self.written, self.whole = NOON, 0, True
        self.gone: set[int] = set()
        self.before: list[tuple[int, dict[str, Any]]] = []  # how it stood before the last notes, and after which entry
        self._log([], events_of(CARD, Standing()))

    def teardown(self) -> None:
        try:
            for room, database in zip(getattr(self, "books", []), getattr(self, "databases", []), strict=False):
                assert unlike(room, database) == []
                before = room.standing().model_dump_json()
                room.rebuild()
                assert unlike(room, database) == [] and room.standing().model_dump_json() == before
        finally:
            for database in getattr(self, "databases", []):
                database.close()

    def _log(self, told: list[dict[str, Any]], events: list[Event], *, answer: int = 0, ago: int = 0) -> None:
        """One message with all it says booked on either database, a question answered."""
        self.clock += 7 * HOUR
        note, at = message(sent=self.clock), self.clock - ago * HOUR
        for room in self.books:
            with room.turn(note) as turn:

                def take(booking: Booking) -> None:
                    for draft in booking.drafts:
                        turn.enter(draft)

                for said in [*events, *map(event_from, told)]:
                    booking = book(said, at, turn.standing)
                    take(booking)
                    options = booking.question.options if booking.question else ()
                    for chosen in options[answer % len(options)].events if options else ():
                        again = book(event_from(chosen), at, turn.standing)
                        if again.question is None:
                            take(again)
                turn.reply("ok", {}, "log")
        self.written = room.standing().seq

    def _take_back(self, seqs: list[int]) -> None:
        self.clock += HOUR
        note = message(sent=self.clock)
        for room in self.books:
            with room.turn(note) as turn:
                turn.retract(seqs, event("undo"))
                turn.reply("ok", {}, "log")
        self.written += 1
        self.gone |= {*seqs, self.written}

    @rule(told=st.lists(every_kind, min_size=1, max_size=2), answer=st.integers(0, 3), ago=st.sampled_from([0, 0, 40]))
    def say(self, told: list[dict[str, Any]], answer: int, ago: int) -> None:
        self.before = [*self.before[-5:], (self.written, bare(self.books[0].standing()))]
        self._log(told, [], answer=answer, ago=ago)

    @rule(raw=notes)
    def fish(self, raw: dict[str, Any]) -> None:
        self.say([raw], 0, 0)

    @rule(raw=tending, days=st.integers(0, 90))
    def tend(self, raw: dict[str, Any], days: int) -> None:
        """After a while in which nothing was written down, so that batches come to be over."""
        self.clock += days * DAY
        self.say([raw], 0, 0)

    @rule(back=st.integers(1, 6))
    def undo_the_last(self, back: int) -> None:
        if len(self.before) < back:
            return
        seq, stood = self.before[-back]
        last = [number for number in range(seq + 1, self.written + 1) if number not in self.gone]
        if last:
            self._take_back(last)
        assert all(bare(room.standing()) == stood for room in self.books)
        del self.before[-back:]

    @rule(picked=st.sets(st.integers(0, 5_000), min_size=1, max_size=3))
    def take_back(self, picked: set[int]) -> None:
        """Anything, also of long ago."""
        there = [number for number in range(1, self.written + 1) if number not in self.gone]
        if there:
            self._take_back(sorted({there[number % len(there)] for number in picked}))
            self.before, self.whole = [], False

    @rule()
    def start_again(self) -> None:
        self.books = [one.room(room.info.name) for one, room in zip(self.databases, self.books, strict=True)]

    @rule()
    def look_closely(self) -> None:
        for room, database in zip(self.books, self.databases, strict=True):
            assert unlike(room, database) == []

    @invariant()
    def adds_up(self) -> None:
        standings = [room.standing() for room in getattr(self, "books", [])]
        if standings:
            wrong = list(out_of_balance(standings[0]))
            # An arrival taken back after its fish have gone leaves fewer than none, which the bot asks about before.
            assert [said for said in wrong if self.whole or "fewer than none" not in said] == []
            assert len({standing.model_dump_json() for standing in standings}) == 1


@pytest.mark.parametrize("every", [4, 30])
def test_a_long_history_adds_up_whatever_is_taken_back(
    every: int, tmp_path: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(snapshots, "EVERY", every)
    monkeypatch.setattr(snapshots, "NEWEST", 2)
    monkeypatch.setattr(snapshots, "COARSEST", 4)
    monkeypatch.setattr("shared.ledger.standing.LOOKED_OVER_EVERY", 16)
    monkeypatch.setattr("shared.ledger.standing.ALL_LOOKED_OVER_EVERY", 64)
    address = request.getfixturevalue("new_postgres")() if server.binaries() else None

    class OfThisTest(Years):
        folder = str(tmp_path)
        url = address

    OfThisTest.TestCase.settings = settings(
        max_examples=HISTORIES,
        stateful_step_count=STEPS,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        phases=(Phase.explicit, Phase.reuse, Phase.generate),
    )
    OfThisTest.TestCase("runTest").debug()
