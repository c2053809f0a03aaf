"""What was said before in a chat, as far as a new message leans on it: notes, answers, what is still asked."""

from __future__ import annotations

from typing import Any

from bot.language import Reader, Reading
from bot.reply import Reply
from bot.talk import at_hand
from bot.talk.going_on import FOR
from bot.talk.putting_eggs import PuttingEggs
from bot.unasked import notices
from shared.ledger.standing import Entry
from storage.messages import KeptMessage


class SaidBefore(PuttingEggs):
    """Looks back from the message at hand, in its chat and by its person."""

    def _asking(self) -> int | None:
        """The question the last answer in this chat ended with, or the one the night's message showed since."""
        waiting = self.turn.open_questions()
        shown = notices.shown_since(self.message, self.book, self.now) if len(waiting) == 1 else False
        if shown:
            return waiting[0].id
        return next((told.get("asking") for told in self._told_before()), None)

    def _chores_just_told(self) -> list[Entry]:
        """What the last note of this hour in this chat logged, whoever's it was."""
        since = self.now - FOR
        lately = self.book.entries(since=since, until=self.now, limit=30, newest_first=True)
        here = [
            note
            for person in {self.message.person, *(e.person for e in lately)}
            for note in self.turn.last_messages_with_entries(person, self.message.chat, since)
        ]
        message, told = max(here, key=lambda note: note[0], default=(0, []))
        before = self._told_before_this()
        asked = before is not None and before.id > message and before.outcome in ("answer", "ask")
        return [] if asked else told

    def _leaning(self, reader: Reader, text: str) -> Reading | None:
        """A note that points at the places of the message before: “changed it”, “3 drops in both”."""
        if not at_hand.pointing(text) and not at_hand.bare_doing(text):
            return None
        before = self._messages_before()
        spots = at_hand.places_before(before, reader, self.now)
        alarm = bool(before) and at_hand.alarmed(before[0])
        return at_hand.told_in_full(text, spots, reader, self.now, alarm=alarm)

    def _messages_before(self) -> list[KeptMessage]:
        """This person's messages before this one in this chat, newest first, whatever came of them."""
        kept = self.book.messages(person=self.message.person, limit=6, newest_first=True)
        return [m for m in kept if m.chat == self.message.chat and m.id != self.turn.message_id]

    def _fed_just_before(self) -> list[str]:
        """Where this person fed in the last hour, this note left out."""
        fed = self.book.entries(kinds=("feed",), since=self.now - FOR, until=self.now, person=self.message.person)
        return [e.place for e in fed if e.place and e.message != self.turn.message_id]

    def _note_before(self) -> list[Entry]:
        """What the message before this one logged, questions left out; nothing where it logged nothing."""
        before = self._told_before_this()
        last = self._last_entries()
        return last if before and last and last[0].message == before.id else []

    def _batches_just_told(self) -> list[str]:
        """The batches the note before told of, within the hour."""
        told = [e.batch for e in self._note_before() if e.batch and self.now - e.said <= FOR]
        return [name for name in dict.fromkeys(told) if self.standing.of_group(name)]

    def _told_before(self) -> list[dict[str, Any]]:
        """What was answered to this person in this chat, newest first."""
        kept = self.book.messages(person=self.message.person, limit=12, newest_first=True)
        return [
            m.reply.payload for m in kept if m.reply and m.chat == self.message.chat and m.id != self.turn.message_id
        ]

    def _rest(self) -> str:
        """What the answer just before left out."""
        return str(next((told.get("rest", "") for told in self._told_before()), ""))

    def _why(self) -> Reply:
        """What the last answer in this chat rested on."""
        for told in self._told_before():
            why = told.get("why")
            if why:
                return Reply("\n".join(why), "answer", why=tuple(why))
        return Reply("There is no figure of mine to explain just now.", "answer")
