"""The book of one room: each message with everything it causes and its answer, in one transaction.

Entries are only ever added. Taking one back is another entry, and what stands is added up anew without it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import sqlalchemy as sa

from shared.ledger.standing import Entry, Standing
from shared.zones import zone_moved_to
from storage import entries, forgetting, pictures, reckoning, snapshots
from storage.claims import Claim
from storage.engine import SETTINGS, Database, RoomInfo, now
from storage.forgetting import Forgotten
from storage.messages import WITH_WORDS, KeptMessage, KeptReply, Message, OpenQuestion, message_of
from storage.people import Members, Person
from storage.pictures import KeptPicture
from storage.snapshots import Running, Sum
from storage.tables import MESSAGES, QUESTIONS, ROOMS
from storage.turn import Turn

__all__ = [
    "Claim",
    "Forgotten",
    "KeptMessage",
    "KeptPicture",
    "KeptReply",
    "Message",
    "OpenQuestion",
    "Person",
    "RoomBook",
    "Turn",
]


class RoomBook(Members):
    """One room's book.

    `standing()` and `Turn.standing` share one running sum: read it, never change it, and read it again after a
    turn. Threads that only read take a book each.
    """

    def __init__(self, database: Database, info: RoomInfo) -> None:
        super().__init__(database, info)
        self._running = Running(info.id)
        self._moved = info  # with the zone as it was found when looked for in that sum
        self._looked: Sum | None = None
        self._looked_at = (-1, info)
        self._in_turn = False
        self._gone: list[str] | None = None  # photos to let go of once the turns kept together are kept

    @property
    def info(self) -> RoomInfo:
        """The room's settings, its zone the one it was said in the chat to have moved to."""
        if self._running.total is None:
            self.standing()
        total = self._running.total
        if total is None:
            return self._info
        if self._looked is not total or self._looked_at != (total.seq, self._info):
            zone = zone_moved_to(total.standing)
            self._moved = replace(self._info, timezone=zone.key) if zone else self._info
            self._looked, self._looked_at = total, (total.seq, self._info)
        return self._moved

    def update_info(self, **changes: str | None) -> RoomInfo:
        """Change room settings (name, timezone, units, gallon, nitrogen_as, date_order, currency)."""
        unknown = set(changes) - set(SETTINGS)
        if unknown:
            raise ValueError(f"no such room setting: {', '.join(sorted(unknown))}")
        if changes:
            with self._writing() as (connection, _):
                connection.execute(ROOMS.update().where(ROOMS.c.id == self._info.id), changes)
            self._info = replace(self._info, **changes)  # type: ignore[arg-type]
        return self._info

    # ---- reading

    def standing(self, at: dt.datetime | None = None, known_at: dt.datetime | None = None) -> Standing:
        """How the room stands now, or stood at `at` by all that is known now (by `known_at`: was said by then)."""
        with self._database.reading() as connection:
            if at is None and known_at is None:
                head = connection.execute(_HEAD, {"room": self._info.id}).scalar_one()
                return self._running.up_to(connection, head).standing
            return snapshots.as_of(connection, self._info.id, at, known_at)

    def entries(
        self,
        *,
        name: str | None = None,
        kinds: Collection[str] | None = None,
        since: dt.datetime | None = None,
        until: dt.datetime | None = None,
        person: str | None = None,
        limit: int | None = None,
        newest_first: bool = False,
        include_retracted: bool = False,
    ) -> list[Entry]:
        """Entries in the order they happened; `name` is any place, batch, line or culture they touch.

        `since` and `until` bound when they happened, both inclusive.
        """
        with self._database.reading() as connection:
            return entries.found(
                connection,
                self._info.id,
                name=name,
                kinds=kinds,
                since=since,
                until=until,
                person=person,
                limit=limit,
                newest_first=newest_first,
                include_retracted=include_retracted,
            )

    def ledger(self) -> Iterator[tuple[Entry, int | None]]:
        """Every entry in the order of the ledger, with the number of the entry that took it back, if one did."""
        with self._database.reading() as connection:
            gone = entries.taken_back_by(connection, self._info.id)
            names = entries.renamings(connection, self._info.id)
            for entry in entries.after(connection, self._info.id, 0, names=names):
                yield entry, gone.get(entry.seq)

    def messages(
        self,
        *,
        since: dt.datetime | None = None,
        until: dt.datetime | None = None,
        person: str | None = None,
        limit: int | None = None,
        newest_first: bool = False,
    ) -> list[KeptMessage]:
        """Messages with their answers, in the order they were sent."""
        wanted = WITH_WORDS.where(MESSAGES.c.room == self._info.id)
        if since is not None:
            wanted = wanted.where(MESSAGES.c.sent >= since)
        if until is not None:
            wanted = wanted.where(MESSAGES.c.sent <= until)
        if person is not None:
            wanted = wanted.where(MESSAGES.c.person == person)
        order = (MESSAGES.c.sent, MESSAGES.c.id)
        if newest_first:
            order = tuple(column.desc() for column in order)  # type: ignore[assignment]
        with self._database.reading() as connection:
            return [message_of(row) for row in connection.execute(wanted.order_by(*order).limit(limit))]

    # ---- photos

    def keep_picture(self, picture: bytes) -> str:
        """Put a photo's bytes on the disk; its hash, for `Turn.keep_picture`, which puts it on record.

        Raises ValueError (what is wrong with it) for anything but a JPEG, PNG or WebP of at most 10 MB.
        """
        return self._database.album.keep(picture)

    def pictures(self, name: str | None = None, limit: int | None = None) -> list[KeptPicture]:
        """Photos on record, newest first; `name`: those of that place or batch."""
        with self._database.reading() as connection:
            return pictures.found(connection, self._info.id, name=name, limit=limit)

    def picture(self, kept: KeptPicture) -> bytes | None:
        """The bytes of a photo; None when its file is not here (it is not part of the database) or was changed."""
        return self._database.album.read(kept.sha256)

    # ---- copies

    @property
    def file(self) -> Path | None:
        """The database's file; None where it is on a server."""
        return self._database.file

    def copy_of_the_day(self, day: dt.date) -> Path | None:
        """The day's copy, made once, in the folder `copies` beside the database; older ones are thinned out.

        None where it stands already, and for PostgreSQL, which is copied by its own programs.
        """
        file = self._database.file
        if file is None:
            return None
        folder = file.with_name("copies")
        if (folder / f"room-{day.isoformat()}.db").exists():
            return None
        from storage.backup import nightly  # needed once a day

        return nightly(self._database, folder, day)

    # ---- whether it is right

    def check(self) -> list[str]:
        """Adds the whole ledger up again from entry 1; sentences saying what is not right. Takes a while for years."""
        with self._database.reading() as connection:
            return list(reckoning.faults(connection, self._info.id, self._running.total))

    def rebuild(self) -> None:
        """Make anew all that is made from the entries: snapshots, sums, and the names they are found by."""
        with self._writing() as (connection, _):
            self._running.drop()
            reckoning.rebuild(connection, self._info.id)

    # ---- forgetting

    def forget(self, key: str, *, at: dt.datetime | None = None) -> Forgotten:
        """Take a person's name, addresses, words and photos out; the ledger and its sums stay as they are."""
        with self._writing() as (connection, _):
            self._running.drop()
            done = forgetting.member(connection, self._info.id, key, at or now())
        self._database.album.let_go(done.pictures)
        self._database.sweep()
        return done

    def forget_buyer(self, name: str) -> Forgotten:
        """Take out the name of someone fish were sold or promised to, or came from, and the messages about them."""
        with self._writing() as (connection, _):
            self._running.drop()
            done = forgetting.buyer(connection, self._info.id, name)
        self._database.sweep()
        return done

    def questions_open(self, since: dt.datetime) -> list[OpenQuestion]:
        """Every question asked since then that nobody has answered, oldest first."""
        wanted = (
            sa.select(QUESTIONS.c.id, QUESTIONS.c.asked, QUESTIONS.c.body)
            .where(QUESTIONS.c.room == self._info.id, QUESTIONS.c.settled.is_(None), QUESTIONS.c.asked >= since)
            .order_by(QUESTIONS.c.id)
        )
        with self._database.reading() as connection:
            return [OpenQuestion(*row) for row in connection.execute(wanted)]

    # ---- writing

    @contextmanager
    def turn(self, message: Message) -> Iterator[Turn]:
        """One message and all it causes: kept together at the end, or on any exception not at all.

        A delivery handled before has its answer in `Turn.earlier`, and nothing more can be added for it.
        Nobody else can write to the room meanwhile: keep it short, and never wait for anything inside.
        """
        if message.sent.tzinfo is None:
            raise ValueError("a message needs the time it was sent, with its zone")
        with self._database.alone():
            if self._in_turn or (self._database.busy and self._gone is None):
                raise RuntimeError("another turn is open")
            self._in_turn = True
            try:
                with self._database.writing() as connection:
                    turn = Turn(connection, self._running, message)
                    yield turn
                    turn.finish()
                if self._gone is None:
                    self._database.album.let_go(turn.pictures_gone)
                else:
                    self._gone += turn.pictures_gone
            except BaseException:  # also when the commit itself fails
                self._running.drop()
                raise
            finally:
                self._in_turn = False

    @contextmanager
    def together(self) -> Iterator[None]:
        """Turns one after the other, kept together at the end, or on any exception none of them.

        What makes a turn slow is waiting for the disk; a backlog waits for it once. Nothing of it may be told to
        anybody before the end.
        """
        with self._database.alone():
            if self._database.busy:
                raise RuntimeError("another turn is open")
            self._gone = []
            try:
                with self._database.writing():
                    yield
                self._database.album.let_go(self._gone)
            except BaseException:
                self._running.drop()
                raise
            finally:
                self._gone = None


_HEAD = sa.select(ROOMS.c.head).where(ROOMS.c.id == sa.bindparam("room"))
