"""The book of one room: each message with everything it causes and its answer, in one transaction.

Entries are only ever added. Taking one back is another entry, and what stands is added up anew without it.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Connection

from shared.events import Corrected, Event
from shared.ledger import Entry, Posting, Standing
from storage import entries, forgetting, reckoning, snapshots
from storage.engine import SETTINGS, Database, RoomInfo, now
from storage.forgetting import Forgotten
from storage.people import Claim, Members, Person
from storage.snapshots import Sum
from storage.tables import (
    ENTRIES,
    ENTRY_WORDS,
    MENTIONS,
    MESSAGE_WORDS,
    MESSAGES,
    QUESTIONS,
    RETRACTIONS,
    ROOMS,
)

__all__ = ["Claim", "Forgotten", "KeptMessage", "KeptReply", "Message", "OpenQuestion", "Person", "RoomBook", "Turn"]


@dataclass(frozen=True)
class Message:
    """What came in at a door ("terminal", "telegram", "sms", "replay", "say"); `delivery` is the door's own id."""

    door: str
    delivery: str
    chat: str
    person: str  # the person's key
    text: str
    sent: dt.datetime  # aware


@dataclass(frozen=True)
class KeptReply:
    """An answer as it was given: its text, and what a program was told (outcome, events, options, cautions)."""

    text: str
    payload: dict[str, Any]


@dataclass(frozen=True)
class KeptMessage:
    """A message as it is kept, with its answer. `text` is empty once the person is forgotten."""

    id: int
    door: str
    delivery: str
    chat: str
    person: str
    sent: dt.datetime
    text: str
    outcome: str | None
    reply: KeptReply | None


@dataclass(frozen=True)
class OpenQuestion:
    """A question the room still waits for an answer to; `body` is the asker's own."""

    id: int
    asked_at: dt.datetime
    body: dict[str, Any]


class RoomBook(Members):
    """One room's book. `standing()` and `Turn.standing` share one running sum: read it, never change it."""

    def __init__(self, database: Database, info: RoomInfo) -> None:
        super().__init__(database, info)
        self._running: Sum | None = None

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
                head = connection.execute(_HEAD_ALONE, {"room": self._info.id}).scalar_one()
                return self._sum(connection, head).standing
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
            for entry in entries.after(connection, self._info.id, 0):
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
        wanted = _MESSAGES.where(MESSAGES.c.room == self._info.id)
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
            return [_message(row) for row in connection.execute(wanted.order_by(*order).limit(limit))]

    # ---- whether it is right

    def check(self) -> list[str]:
        """Adds the whole ledger up again from entry 1; sentences saying what is not right. Takes a while for years."""
        with self._database.reading() as connection:
            return list(reckoning.faults(connection, self._info.id, self._running))

    def rebuild(self) -> None:
        """Make anew all that is made from the entries: snapshots, sums, and the names they are found by."""
        with self._writing() as (connection, _):
            self._running = None
            self._running = reckoning.rebuild(connection, self._info.id)

    # ---- forgetting

    def forget(self, key: str, *, at: dt.datetime | None = None) -> Forgotten:
        """Take a person's name, addresses and words out; the ledger and its sums stay as they are."""
        with self._writing() as (connection, _):
            self._running = None
            done = forgetting.member(connection, self._info.id, key, at or now())
        self._database.sweep()
        return done

    def forget_buyer(self, name: str) -> Forgotten:
        """Take out the name of someone fish were sold or promised to, or came from, and the messages about them."""
        with self._writing() as (connection, _):
            self._running = None
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
            return [OpenQuestion(id, asked, json.loads(body)) for id, asked, body in connection.execute(wanted)]

    # ---- writing

    @contextmanager
    def turn(self, message: Message) -> Iterator[Turn]:
        """One message and all it causes: kept together at the end, or on any exception not at all.

        A delivery handled before has its answer in `Turn.earlier`, and nothing more can be added for it.
        Nobody else can write to the room meanwhile: keep it short, and never wait for anything inside.
        """
        if message.sent.tzinfo is None:
            raise ValueError("a message needs the time it was sent, with its zone")
        if self._database.busy:
            raise RuntimeError("another turn is open")
        try:
            with self._database.writing() as connection:
                turn = Turn(self, connection, message)
                yield turn
                turn._finish()
        except BaseException:  # also when the commit itself fails
            self._running = None
            raise

    def _sum(self, connection: Connection, head: int) -> Sum:
        if self._running is None or self._running.seq != head:
            self._running = snapshots.catch_up(connection, self._info.id, self._running)
        return self._running


class Turn:
    """A message being handled, inside its transaction."""

    earlier: KeptReply | None
    message_id: int

    def __init__(self, book: RoomBook, connection: Connection, message: Message) -> None:
        self._book, self._connection, self._message = book, connection, message
        self._room = book.info.id
        self._said = message.sent.astimezone(dt.UTC)
        row = connection.execute(_HEAD, {"room": self._room}).one()
        self._head: int = row.head
        self._head_before = self._head
        self._latest_at: dt.datetime | None = row.latest_at
        self._rows: list[dict[str, Any]] = []
        self._words: list[dict[str, Any]] = []
        self._mentions: list[dict[str, Any]] = []
        self._reply: dict[str, Any] = {"outcome": None, "reply": None, "payload": None}
        self.earlier = None
        self._failed = False
        insert = _INSERT_MESSAGE[connection.dialect.name]
        made = connection.execute(
            insert,
            {
                "room": self._room,
                "door": message.door,
                "delivery": message.delivery,
                "chat": message.chat,
                "person": message.person,
                "sent": self._said,
            },
        ).scalar()
        if made is None:
            kept = _message(
                connection.execute(
                    _MESSAGES.where(
                        MESSAGES.c.room == self._room,
                        MESSAGES.c.door == message.door,
                        MESSAGES.c.delivery == message.delivery,
                    )
                ).one()
            )
            self.message_id = kept.id
            self.earlier = kept.reply or KeptReply("", {})
        else:
            self.message_id = made

    @property
    def standing(self) -> Standing:
        """How the room stands, what this turn has added included."""
        return self._sum().standing

    def _sum(self) -> Sum:
        if self._rows:
            assert self._book._running is not None
            return self._book._running
        return self._book._sum(self._connection, self._head)

    # ---- adding

    def append(
        self,
        event: Event,
        *,
        at: dt.datetime,
        postings: Sequence[Posting] = (),
        batch: str | None = None,
        place: str | None = None,
        line: str | None = None,
        laid_from: dt.datetime | None = None,
        laid_to: dt.datetime | None = None,
        retracts: Sequence[int] = (),
        joins: str | None = None,
    ) -> Entry:
        """Add an entry to the ledger. `at` (aware) is when it happened; it gets the room's next number."""
        self._still_open()
        self._check_to_take_back(retracts)
        entry = Entry(
            seq=self._head + 1,
            event=event,
            at=_utc(at),
            said=self._said,
            person=self._message.person,
            message=self.message_id,
            postings=tuple(postings),
            batch=batch,
            place=place,
            line=line,
            laid_from=laid_from and _utc(laid_from),
            laid_to=laid_to and _utc(laid_to),
            retracts=tuple(retracts),
            joins=joins,
        )
        if isinstance(event, Corrected):
            entry = entries.canonical(entry)
        running = None if entry.retracts else self._sum()
        self._failed = True  # until all of it is done: half an entry is never kept
        row, words = entries.row_of(self._room, entry, late=bool(self._latest_at and entry.at < self._latest_at))
        self._rows.append(row)
        if words:
            self._words.append(words)
        self._mentions += [
            {"room": self._room, "name": name, "at": entry.at, "seq": entry.seq} for name in sorted(entry.names)
        ]
        self._head = entry.seq
        self._latest_at = max(self._latest_at or entry.at, entry.at)
        if running is None:
            self._take_back(entry)
        else:
            running.add(entry)
        self._failed = False
        return entry

    def retract(self, seqs: Sequence[int], event: Event) -> Entry:
        """Take entries back by one more entry; afterwards the room stands as if they had not been.

        Raises ValueError when one of them is not there or was taken back before.
        """
        if not seqs:
            raise ValueError("nothing to take back")
        return self.append(event, at=self._said, retracts=seqs)

    def _check_to_take_back(self, seqs: Sequence[int]) -> None:
        if not seqs:
            return
        for seq in seqs:
            if not 1 <= seq <= self._head:
                raise ValueError(f"there is no entry {seq} to take back")
        known = RETRACTIONS.c.room == self._room, RETRACTIONS.c.seq.in_(list(seqs))
        before = self._connection.execute(sa.select(RETRACTIONS.c.seq).where(*known)).scalars().first()
        if before is not None:
            raise ValueError(f"entry {before} was taken back before")

    def _take_back(self, entry: Entry) -> None:
        self._flush()
        taken = [{"room": self._room, "seq": seq, "by": entry.seq} for seq in sorted(set(entry.retracts))]
        self._connection.execute(RETRACTIONS.insert(), taken)
        snapshots.drop(self._connection, self._room, taken[0]["seq"])
        self._book._running = snapshots.catch_up(self._connection, self._room, None, keep=True)

    def _flush(self) -> None:
        """Write the entries added so far, so that they can be looked up."""
        if self._head == self._head_before:
            return
        written = self._head_before
        new = [row for row in self._rows if row["seq"] > written]
        self._connection.execute(ENTRIES.insert(), new)
        if self._words:
            self._connection.execute(ENTRY_WORDS.insert(), self._words)
        if self._mentions:
            self._connection.execute(MENTIONS.insert(), self._mentions)
        self._connection.execute(
            _MOVE_HEAD, {"room_id": self._room, "new_head": self._head, "new_latest": self._latest_at}
        )
        self._words, self._mentions = [], []
        self._head_before = self._head

    def _still_open(self) -> None:
        if self.earlier is not None:
            raise RuntimeError("this delivery was handled before; nothing can be added for it")

    # ---- looking back

    def last_message_with_entries(self, person: str, chat: str, since: dt.datetime) -> tuple[int, list[Entry]] | None:
        """The last message of this person in this chat, sent since, that logged something still standing."""
        self._flush()
        undone = RETRACTIONS.c.room == ENTRIES.c.room, RETRACTIONS.c.seq == ENTRIES.c.seq
        wanted = (
            sa.select(MESSAGES.c.id)
            .join(ENTRIES, ENTRIES.c.message == MESSAGES.c.id)
            .where(
                MESSAGES.c.room == self._room,
                MESSAGES.c.person == person,
                MESSAGES.c.chat == chat,
                MESSAGES.c.sent >= since,
                ENTRIES.c.kind != "undo",
                ~sa.exists().where(*undone),
            )
            .order_by(MESSAGES.c.id.desc())
            .limit(1)
        )
        message = self._connection.execute(wanted).scalar()
        if message is None:
            return None
        return message, [e for e in self.entries_of(message) if e.event.kind != "undo"]

    def entries_of(self, message: int) -> list[Entry]:
        """The entries a message logged that still stand, in the order they were logged."""
        self._flush()
        listed = entries.found(self._connection, self._room, messages=[message])
        return sorted(listed, key=lambda entry: entry.seq)

    def entries_numbered(self, seqs: Sequence[int]) -> list[Entry]:
        """Entries by their numbers, whether they still stand or not."""
        self._flush()
        return entries.numbered(self._connection, self._room, seqs)

    def message_of_delivery(self, door: str, delivery: str) -> KeptMessage | None:
        """The message that came under that id."""
        wanted = _MESSAGES.where(
            MESSAGES.c.room == self._room, MESSAGES.c.door == door, MESSAGES.c.delivery == delivery
        )
        row = self._connection.execute(wanted).first()
        return _message(row) if row else None

    def entries_of_delivery(self, door: str, delivery: str) -> list[Entry]:
        """What that message logged and still stands (for answers to it, and when it was edited)."""
        message = self.message_of_delivery(door, delivery)
        return self.entries_of(message.id) if message else []

    # ---- questions

    def open_questions(self, person: str | None = None, chat: str | None = None) -> list[OpenQuestion]:
        """What is still asked of a person in a chat (by default those of the message), oldest first."""
        wanted = (
            sa.select(QUESTIONS.c.id, QUESTIONS.c.asked, QUESTIONS.c.body)
            .where(
                QUESTIONS.c.room == self._room,
                QUESTIONS.c.person == (person or self._message.person),
                QUESTIONS.c.chat == (chat or self._message.chat),
                QUESTIONS.c.settled.is_(None),
            )
            .order_by(QUESTIONS.c.id)
        )
        return [OpenQuestion(id, asked, json.loads(body)) for id, asked, body in self._connection.execute(wanted)]

    def ask(self, body: dict[str, Any]) -> int:
        """Keep a question open for the person and chat of this message."""
        self._still_open()
        values = {
            "room": self._room,
            "person": self._message.person,
            "chat": self._message.chat,
            "asked": self._said,
            "message": self.message_id,
            "body": json.dumps(body),
        }
        made = self._connection.execute(QUESTIONS.insert().returning(QUESTIONS.c.id), values).scalar_one()
        return int(made)

    def settle(self, question: int) -> None:
        """The question is answered, or no longer waits for an answer."""
        self._still_open()
        self._connection.execute(
            QUESTIONS.update()
            .where(QUESTIONS.c.room == self._room, QUESTIONS.c.id == question)
            .values(settled=self.message_id)
        )

    # ---- the end

    def reply(self, text: str, payload: dict[str, Any], outcome: str) -> None:
        """The answer, kept with the message and given again when the same delivery comes again."""
        self._still_open()
        dumped = json.dumps(payload, separators=(",", ":"))
        self._reply = {"outcome": outcome, "reply": text, "payload": dumped}

    def _finish(self) -> None:
        if self._failed:
            raise RuntimeError("an entry of this message failed, so nothing of it was kept")
        if self.earlier is not None:
            return
        self._flush()
        self._connection.execute(
            MESSAGE_WORDS.insert(), {"message": self.message_id, "text": self._message.text, **self._reply}
        )
        running = self._book._running
        if self._rows and running is not None:
            first: int = self._rows[0]["seq"]
            if running.seq // snapshots.EVERY > (first - 1) // snapshots.EVERY:
                snapshots.save(self._connection, self._room, running)


def _utc(moment: dt.datetime) -> dt.datetime:
    if moment.tzinfo is None:
        raise ValueError("an entry needs a time with its zone")
    return moment.astimezone(dt.UTC)


_HEAD = sa.select(ROOMS.c.head, ROOMS.c.latest_at).where(ROOMS.c.id == sa.bindparam("room")).with_for_update()
_HEAD_ALONE = sa.select(ROOMS.c.head).where(ROOMS.c.id == sa.bindparam("room"))
_MOVE_HEAD = (
    ROOMS.update()
    .where(ROOMS.c.id == sa.bindparam("room_id"))
    .values(head=sa.bindparam("new_head"), latest_at=sa.bindparam("new_latest"))
)
_INSERT_MESSAGE = {
    "sqlite": sqlite.insert(MESSAGES).on_conflict_do_nothing().returning(MESSAGES.c.id),
    "postgresql": postgresql.insert(MESSAGES).on_conflict_do_nothing().returning(MESSAGES.c.id),
}
_MESSAGES = sa.select(MESSAGES, MESSAGE_WORDS).join(MESSAGE_WORDS, MESSAGE_WORDS.c.message == MESSAGES.c.id)


def _message(row: Any) -> KeptMessage:
    reply = None if row.reply is None else KeptReply(row.reply, json.loads(row.payload or "{}"))
    return KeptMessage(
        id=row.id,
        door=row.door,
        delivery=row.delivery,
        chat=row.chat,
        person=row.person,
        sent=row.sent,
        text=row.text,
        outcome=row.outcome,
        reply=reply,
    )
