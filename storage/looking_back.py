"""What a message being handled looks up of those before it: what they logged, what is asked, how they were edited."""

from __future__ import annotations

import datetime as dt
import operator
from abc import ABC, abstractmethod
from collections.abc import Sequence

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from shared.ledger.standing import Entry
from storage import entries, wordings
from storage.messages import WITH_WORDS, KeptMessage, Message, OpenQuestion, message_of
from storage.prepared import prepared
from storage.tables import ENTRIES, MESSAGES, QUESTIONS, RETRACTIONS

LOOKED_THROUGH = 100  # messages among which the last that logged something is looked for
ASKED_LATELY = dt.timedelta(days=7)  # a question that nobody answered for so long is not answered any more


class LookingBack(ABC):
    """The part of a turn that only reads; what was added before in the same turn is found, too."""

    message_id: int
    _connection: Connection
    _room: int
    _message: Message
    _said: dt.datetime
    _asked: dict[tuple[str, str], list[OpenQuestion]]  # looked up before in this turn
    _edits: list[str] | None

    @abstractmethod
    def _flush(self) -> None:
        """Write what was added so far, so that it can be looked up."""

    def last_messages_with_entries(
        self, person: str, chat: str, since: dt.datetime, most: int = 1
    ) -> list[tuple[int, list[Entry]]]:
        """The last messages of this person in this chat that logged something still standing; newest first."""
        self._flush()
        of = {"of": self._room, "who": person, "where": chat, "since": since, "most": most}
        messages = self._connection.execute(_LAST_TO_LOG, of).scalars().all()
        told: dict[int, list[Entry]] = {message: [] for message in messages}
        for entry in entries.found(self._connection, self._room, messages=messages) if messages else ():
            told[entry.message].append(entry)
        return [(m, sorted((e for e in its if e.event.kind != "undo"), key=_number)) for m, its in told.items()]

    def entries_of(self, message: int) -> list[Entry]:
        """The entries a message logged that still stand, in the order they were logged."""
        self._flush()
        return sorted(entries.found(self._connection, self._room, messages=[message]), key=_number)

    def entries_numbered(self, seqs: Sequence[int]) -> list[Entry]:
        """Entries by their numbers, whether they still stand or not."""
        self._flush()
        return entries.numbered(self._connection, self._room, seqs)

    def message_of_delivery(self, door: str, delivery: str) -> KeptMessage | None:
        """The message that came under that id."""
        wanted = WITH_WORDS.where(
            MESSAGES.c.room == self._room, MESSAGES.c.door == door, MESSAGES.c.delivery == delivery
        )
        row = self._connection.execute(wanted).first()
        return message_of(row) if row else None

    def wordings(self, door: str, delivery: str) -> list[KeptMessage]:
        """The message that came under that id and what it was edited to, as they came; never the one being handled."""
        meant = None if delivery == self._message.delivery else self.message_of_delivery(door, delivery)
        who, sent = (meant.person, meant.sent) if meant else (self._message.person, self._said)
        found = wordings.found(self._connection, self._room, door, delivery, who, sent)
        return [message for message in found if message.id != self.message_id]

    def entries_of_delivery(self, door: str, delivery: str) -> list[Entry]:
        """What that message logged and still stands: by its first wording or an edit, or mended since."""
        self._flush()
        return wordings.entries_of(self._connection, self._room, [m.id for m in self.wordings(door, delivery)])

    def open_questions(self, person: str | None = None, chat: str | None = None) -> list[OpenQuestion]:
        """What was asked of a person in a chat (by default those of the message) lately and still is, oldest first."""
        who, where = person or self._message.person, chat or self._message.chat
        if (who, where) not in self._asked:
            self._look_around(who, where)
        return list(self._asked[who, where])

    def edits_before(self) -> list[str]:
        """The ids of new wordings of this message that came before it did."""
        if self._edits is None:
            self._look_around(self._message.person, self._message.chat)
        return list(self._edits or ())

    def _look_around(self, who: str, where: str) -> None:
        """Look up what is asked of somebody, and edits that came before what they edit: every message needs both."""
        edit = f"{self._message.delivery}:e"
        of = {"of": self._room, "who": who, "where": where, "since": self._said - ASKED_LATELY}
        of |= {"at_door": self._message.door, "edit": edit, "behind": edit[:-1] + "f"}
        of |= {"me": self._message.person, "said": self._said}
        rows = _AROUND.rows(self._connection, of)
        self._asked[who, where] = sorted((OpenQuestion(*row) for row in rows if row.id), key=lambda asked: asked.id)
        self._edits = [row.body for row in rows if not row.id and row.body.startswith(edit)]


_number = operator.attrgetter("seq")


_WAITS_OR_CAME_BEFORE = sa.union_all(
    sa.select(QUESTIONS.c.id, QUESTIONS.c.asked, QUESTIONS.c.body).where(
        QUESTIONS.c.room == sa.bindparam("of"),
        QUESTIONS.c.person == sa.bindparam("who"),
        QUESTIONS.c.chat == sa.bindparam("where"),
        QUESTIONS.c.settled.is_(None),
        QUESTIONS.c.asked >= sa.bindparam("since"),
    ),
    sa.select(sa.literal_column("0").label("id"), MESSAGES.c.sent, MESSAGES.c.delivery).where(
        MESSAGES.c.room == sa.bindparam("of"),
        MESSAGES.c.door == sa.bindparam("at_door"),
        MESSAGES.c.delivery >= sa.bindparam("edit"),
        MESSAGES.c.delivery < sa.bindparam("behind"),
        MESSAGES.c.person == sa.bindparam("me"),
        MESSAGES.c.sent == sa.bindparam("said"),  # an edit has the time of the message it changes
    ),
)
_NEWEST = (  # by when they were sent; which came last, their numbers say: a clock may have been put back since
    sa.select(MESSAGES.c.id)
    .where(
        MESSAGES.c.room == sa.bindparam("of"),
        MESSAGES.c.person == sa.bindparam("who"),
        MESSAGES.c.chat == sa.bindparam("where"),
        MESSAGES.c.sent >= sa.bindparam("since"),
    )
    .order_by(MESSAGES.c.sent.desc(), MESSAGES.c.id.desc())
    .limit(LOOKED_THROUGH)
    .subquery()
)
_STILL_LOGGED = sa.exists().where(
    ENTRIES.c.message == _NEWEST.c.id,
    ENTRIES.c.kind != "undo",
    ~sa.exists().where(RETRACTIONS.c.room == ENTRIES.c.room, RETRACTIONS.c.seq == ENTRIES.c.seq),
)
_LAST_TO_LOG = sa.select(_NEWEST.c.id).where(_STILL_LOGGED).order_by(_NEWEST.c.id.desc()).limit(sa.bindparam("most"))
_AROUND = prepared(_WAITS_OR_CAME_BEFORE)
