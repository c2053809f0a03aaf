"""One message being handled: what it causes is collected here and written in the message's own transaction."""

from __future__ import annotations

import datetime as dt
import functools
import json
from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from shared.events import Corrected, Event, Renamed, Undone
from shared.ledger.drafts import Draft
from shared.ledger.renaming import called_anew
from shared.ledger.standing import Entry, Posting, Standing
from storage import entries, pictures, snapshots
from storage.looking_back import LookingBack
from storage.messages import WITH_WORDS, KeptReply, Message, message_of
from storage.pictures import KeptPicture
from storage.prepared import Prepared, prepared
from storage.snapshots import Running, Sum
from storage.tables import (
    ENTRIES,
    ENTRY_WORDS,
    MENTIONS,
    MESSAGE_WORDS,
    MESSAGES,
    QUESTIONS,
    RETRACTIONS,
    ROOMS,
    insert_once,
)


class Turn(LookingBack):
    """A message being handled, inside its transaction."""

    earlier: KeptReply | None
    pictures_gone: list[str]  # hashes of photos nothing refers to any more once this is kept

    def __init__(self, connection: Connection, running: Running, message: Message) -> None:
        self._connection, self._running, self._message = connection, running, message
        self._room = running.room
        self._said = message.sent.astimezone(dt.UTC)
        (row,) = _HEAD.rows(connection, {"room": self._room})
        self._head: int = row.head
        self._head_before = self._head
        self._latest_at: dt.datetime | None = row.latest_at
        self._rows: list[dict[str, Any]] = []
        self._words: list[dict[str, Any]] = []
        self._mentions: list[dict[str, Any]] = []
        self._reply: dict[str, Any] = {"outcome": None, "reply": None, "payload": None}
        self._asked = {}
        self._edits = None
        self.earlier = None
        self.pictures_gone = []
        self._failed = False
        made = _INSERT_MESSAGE.rows(
            connection,
            {
                "room": self._room,
                "door": message.door,
                "delivery": message.delivery,
                "chat": message.chat,
                "person": message.person,
                "sent": self._said,
            },
        )
        if not made:
            kept = message_of(
                connection.execute(
                    WITH_WORDS.where(
                        MESSAGES.c.room == self._room,
                        MESSAGES.c.door == message.door,
                        MESSAGES.c.delivery == message.delivery,
                    )
                ).one()
            )
            self.message_id = kept.id
            self.earlier = kept.reply or KeptReply("", {})
        else:
            self.message_id = made[0].id

    @property
    def standing(self) -> Standing:
        """How the room stands, what this turn has added included."""
        return self._sum().standing

    def _sum(self) -> Sum:
        return self._running.up_to(self._connection, self._head)

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
        running = self._sum()
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
        if entry.retracts:
            self._take_back(entry)
        else:
            running.add(entry)
        if isinstance(event, Renamed):
            self._call_anew(event.old, event.new)
        elif isinstance(event, Undone):
            for new, old in event.renamed:
                self._call_anew(new, old)
        self._failed = False
        return entry

    def enter(self, draft: Draft | Entry) -> Entry:
        """Add an entry as it was booked, or once more as it stood before."""
        return self.append(
            draft.event,
            at=draft.at,
            postings=draft.postings,
            batch=draft.batch,
            place=draft.place,
            line=draft.line,
            laid_from=draft.laid_from,
            laid_to=draft.laid_to,
            joins=draft.joins,
        )

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
        self._running.take_back(self._connection, entry)

    def _call_anew(self, old: str, new: str) -> None:
        """What was found under the old name, or is asked about it, is found under the new one and asked about that."""
        self._flush()
        self._asked.clear()
        waiting = sa.select(QUESTIONS.c.id, QUESTIONS.c.body).where(
            QUESTIONS.c.room == self._room, QUESTIONS.c.settled.is_(None)
        )
        for id, body in self._connection.execute(waiting).all():
            anew = json.dumps(called_anew(json.loads(body), old, new))
            self._connection.execute(QUESTIONS.update().where(QUESTIONS.c.id == id).values(body=anew))
        here = MENTIONS.c.room == self._room, MENTIONS.c.name == old
        self._connection.execute(MENTIONS.update().where(*here).values(name=new))
        pictures.call_anew(self._connection, self._room, old, new)

    def _flush(self) -> None:
        """Write the entries added so far, so that they can be looked up."""
        if self._head == self._head_before:
            return
        written = self._head_before
        new = [row for row in self._rows if row["seq"] > written]
        _INSERT_ENTRIES.run(self._connection, new)
        if self._words:
            _INSERT_ENTRY_WORDS.run(self._connection, self._words)
        if self._mentions:
            _INSERT_MENTIONS.run(self._connection, self._mentions)
        moved = {"room_id": self._room, "new_head": self._head, "new_latest": self._latest_at}
        _MOVE_HEAD.run(self._connection, [moved])
        self._words, self._mentions = [], []
        self._head_before = self._head

    def _still_open(self) -> None:
        if self.earlier is not None:
            raise RuntimeError("this delivery was handled before; nothing can be added for it")

    # ---- questions

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
        self._asked.clear()
        made = self._connection.execute(QUESTIONS.insert().returning(QUESTIONS.c.id), values).scalar_one()
        return int(made)

    def settle(self, question: int) -> None:
        """The question is answered, or no longer waits for an answer."""
        self._still_open()
        self._asked.clear()
        self._connection.execute(
            QUESTIONS.update()
            .where(QUESTIONS.c.room == self._room, QUESTIONS.c.id == question)
            .values(settled=self.message_id)
        )

    # ---- photos

    def keep_picture(self, sha256: str, names: Sequence[str] = ()) -> None:
        """The photo of this message, put on the disk before by `RoomBook.keep_picture`, and what it shows."""
        self._still_open()
        pictures.put(self._connection, self._room, self.message_id, names, sha256, self._said)

    def name_picture(self, message: int, names: Sequence[str]) -> None:
        """Say (anew) what the photo of a message shows."""
        self._still_open()
        pictures.name(self._connection, message, names)

    def picture_of(self, message: int) -> KeptPicture | None:
        """The photo a message brought."""
        found = pictures.found(self._connection, self._room, messages=[message])
        return found[0] if found else None

    def last_picture(self, person: str, chat: str, since: dt.datetime) -> KeptPicture | None:
        """The last photo this person sent in this chat since then, before this message."""
        return pictures.latest_of(self._connection, self._room, person, chat, since, before=self.message_id)

    def drop_picture(self, message: int) -> None:
        """Take the photo of a message off the record, and its bytes off the disk when this turn is kept."""
        self._still_open()
        self.pictures_gone += pictures.drop(self._connection, [message])

    # ---- the end

    def reply(self, text: str, payload: dict[str, Any], outcome: str) -> None:
        """The answer, kept with the message and given again when the same delivery comes again."""
        self._still_open()
        self._reply = {"outcome": outcome, "reply": text, "payload": entries.dumped(payload)}

    def finish(self) -> None:
        """Write what is still to be written; the transaction's end keeps it."""
        if self._failed:
            raise RuntimeError("an entry of this message failed, so nothing of it was kept")
        if self.earlier is not None:
            return
        self._flush()
        words = {"message": self.message_id, "text": self._message.text, **self._reply}
        _INSERT_MESSAGE_WORDS.run(self._connection, [words])
        if self._rows:
            total, first = self._sum(), self._rows[0]["seq"]
            if total.seq // snapshots.EVERY > (first - 1) // snapshots.EVERY:
                snapshots.save(self._connection, self._room, total)


def _utc(moment: dt.datetime) -> dt.datetime:
    if moment.tzinfo is None:
        raise ValueError("an entry needs a time with its zone")
    return moment.astimezone(dt.UTC)


_ENDS = sa.select(ROOMS.c.head, ROOMS.c.latest_at).where(ROOMS.c.id == sa.bindparam("room")).with_for_update()
_MOVED = (
    ROOMS.update()
    .where(ROOMS.c.id == sa.bindparam("room_id"))
    .values(head=sa.bindparam("new_head"), latest_at=sa.bindparam("new_latest"))
)
_HEAD, _MOVE_HEAD = prepared(_ENDS), prepared(_MOVED)
_INSERT_ENTRIES, _INSERT_ENTRY_WORDS = prepared(ENTRIES.insert()), prepared(ENTRY_WORDS.insert())
_INSERT_MENTIONS, _INSERT_MESSAGE_WORDS = prepared(MENTIONS.insert()), prepared(MESSAGE_WORDS.insert())
_INSERT_MESSAGE = Prepared(functools.cache(functools.partial(insert_once, table=MESSAGES)))
