"""Taking back and mending what the notes before brought, with the questions and photos that hang on them."""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.readback.told import money
from bot.reply import Reply
from bot.talk.album import Photos
from bot.talk.corrections import can_mend, take_back, to_mend, without
from bot.talk.estimates import as_estimated
from bot.talk.questions import Asked, before_crossing
from bot.talk.taking_down import TakingDown, own_time
from shared.events import Corrected, Event, FishMoved
from shared.ledger.booking import book
from shared.ledger.standing import Entry
from storage.journal import KeptPicture
from storage.messages import KeptMessage

MENDED = "Mended."
MENDED_BACK = 8  # notes looked through for the one that said what a correction says was wrong


def _ends_of_a_move(event: Corrected, entries: list[Entry], text: str) -> tuple[tuple[str, Corrected], ...]:
    """A place said of fish that were moved: where they went to, or where they came from; both where no word says it."""
    place = event.changes.get("place")
    moved = [e for e in entries if isinstance(e.event, FishMoved)]
    if set(event.changes) != {"place"} or event.of or len(moved) != 1 or can_mend(event, entries):
        return ()
    both = tuple((f"{end} {place}", Corrected.model_validate({end: place})) for end in ("to", "from"))
    said = re.search(rf"\b(?:(to|into|in)|(from|out of)) (?:the )?{re.escape(str(place))}\b", text, re.IGNORECASE)
    return both[:1] if said and said[1] else both[1:] if said else both


class Mending(TakingDown):
    """A message that may be about the notes before it: which they are, and what is taken back or put right."""

    photos: Photos

    def _told_before_this(self) -> KeptMessage | None:
        """This person's message before this one in this chat, questions left out."""
        kept = self.book.messages(person=self.message.person, limit=12, newest_first=True)
        mine = (m for m in kept if m.chat == self.message.chat and m.id != self.turn.message_id)
        return next((m for m in mine if m.outcome != "answer"), None)

    def _last_entries(self) -> list[Entry]:
        found = self._last_notes(1)
        return found[0] if found else []

    def _last_notes(self, most: int) -> list[list[Entry]]:
        since = self.now - dt.timedelta(hours=24)
        return [e for _, e in self.turn.last_messages_with_entries(self.message.person, self.message.chat, since, most)]

    def _undo(self) -> Reply:
        said = set(re.findall(r"[a-z]+", self.message.text.casefold()))
        others = [p.name for p in self.book.people() if p.name and p.key != self.message.person]
        if whose := next((name for name in others if name.casefold() in said), None):
            told = f"“undo” takes back your own notes. {whose} can take this back, or send “undo” as a reply to it."
            return Reply(f"{told} Nothing was changed.", "ask")
        entries = self._last_entries()
        before = self._told_before_this()
        if before and before.outcome == "ask" and not (entries and entries[0].message >= before.id):
            open_ones = self.turn.open_questions(self.message.person, self.message.chat)
            if any(q.body.get("message") == before.id and "picture" not in q.body for q in open_ones):
                self._close_questions(before.id)
                return Reply(f"Dropped: “{before.text[:60]}”. Nothing of it was logged.", "log")
        since = self.now - dt.timedelta(hours=24)
        photo = self.turn.last_picture(self.message.person, self.message.chat, since)
        if photo and entries and photo.message < entries[0].message:
            photo = None
        if photo and entries and photo.message > entries[0].message:
            entries = []
        return self._take_back(entries, photo)

    def _take_back(self, entries: list[Entry], photo: KeptPicture | None) -> Reply:
        """Take back what one message brought: entries, a photo, or both."""
        if not entries and not photo:
            return Reply("There is nothing of yours from the last day to take back.", "none")
        done = True
        if entries:
            told, done = take_back(entries, self.turn, self.standing)
            self.said.lines.append(told)
        if done:
            self._close_questions(photo.message if photo else entries[0].message)
            if photo:
                self.turn.drop_picture(photo.message)
                of = f" of {say.listed(photo.names)}" if photo.names else ""
                self.said.lines.append("Its photo too." if entries else f"Taken back: the photo{of}.")
            if entries:
                self.said.events.append({"kind": "undo"})
        return self._reply("log" if done else "ask")

    def _close_questions(self, message: int, batch: str | None = None) -> None:
        """What was asked of a message is asked no longer; with a batch, but for what is asked of others."""
        for kept in self.turn.open_questions(self.message.person, self.message.chat):
            if kept.body.get("message") != message:
                continue
            about = {e.get("batch") for _, told in Asked.of(kept.body).options for e in told}
            if batch is None or batch in about or not about & self.standing.batches.keys():
                self.turn.settle(kept.id)

    def _meant(self, event: Corrected) -> list[Entry]:
        """The entries a correction can be of: the last note's, or of the last that has what it says was wrong."""
        notes = self._last_notes(MENDED_BACK if event.of else 1)
        return next((e for e in notes if can_mend(event, e)), notes[0] if notes else [])

    def _correct(self, event: Corrected, entries: list[Entry]) -> Reply:
        ends = _ends_of_a_move(event, entries, self.message.text)
        if len(ends) > 1:
            options = tuple((label, (fix.outside(),)) for label, fix in ends)
            self.said.asked.append(Asked("Which is right?", self.now, options))
            return self._reply("ask")
        if asked := self._count_or_price(event, entries):
            self.said.asked.append(asked)
            return self._reply("ask")
        trouble = self._mended(ends[0][1] if ends else event, entries)
        return Reply(trouble, "ask") if trouble else self._reply("log")

    def _count_or_price(self, event: Corrected, entries: list[Entry]) -> Asked | None:
        """“Make that 20” of a note that told a number of fish and a price: which of them is asked."""
        changes, of = event.changes, event.of or {}
        one = entries[0] if len(entries) == 1 else None
        price = getattr(one.event, "price", None) if one else None
        bare = set(changes) == {"count"} and not of and not re.search(r"\b(?:fish|pairs?|eggs?)\b", self.message.text)
        if one is None or price is None or not bare or getattr(one.event, "count", None) is None:
            return None
        fixes = [
            (key, Corrected.model_validate({key: changes["count"], "of": {"id": one.seq}}))
            for key in ("count", "price")
        ]
        labels = (f"{changes['count']} fish", money(float(changes["count"]), self.info))
        options = tuple((label, (fix.outside(),)) for label, (_, fix) in zip(labels, fixes, strict=True))
        return Asked(f"{changes['count']} what?", self.now, (*options, ("neither", ())))

    def _mended(self, event: Corrected, entries: list[Entry], *, crossed: bool = False) -> str:
        """Mend and say so; or why not. `crossed`: that lines come together is known and wanted."""
        found = to_mend(event, entries, self.standing, lambda batch: self.book.entries(name=batch))
        if isinstance(found, str):
            return found
        group, fixed = found
        old = group[0]
        if "count" in dict(event.changes):
            fixed = as_estimated(fixed.model_copy(update={"estimated": False}), self.message.text)
        if not crossed and (asked := self._crosses(event, group, fixed)):
            self.said.asked.append(asked)
            return ""
        self.turn.retract([e.seq for e in group], event)
        self._close_questions(old.message, old.batch)
        for kept in self.turn.open_questions(self.message.person, self.message.chat):
            if any(raw.get("kind") == "fix" for _, told in Asked.of(kept.body).options for raw in told):
                self.turn.settle(kept.id)  # which of two it was is answered
        self.said.lines += [MENDED] if MENDED not in self.said.lines else []
        self.said.events.append(event.outside())
        self._log(
            fixed, "", at=self._at(fixed) if own_time(fixed) else old.at, sure=True, crossed=True, again=old.batch
        )
        self.photos.mended([old])
        return ""

    def _crosses(self, event: Corrected, group: list[Entry], fixed: Event) -> Asked | None:
        """The question before a mending brings two populations or lines together that stood apart."""
        at = self._at(fixed) if own_time(fixed) else group[0].at
        if at is None or fixed.kind not in ("move", "pull", "stock_in", "setting"):
            return None
        booking = book(fixed, at, without(self.standing, group))
        if before_crossing(group[0].event, book(group[0].event, at, without(self.standing, group)), at):
            return None  # it was said before, and wanted
        mending = event.model_copy(update={"of": {**(event.of or {}), "id": group[0].seq}})
        return before_crossing(mending, booking, at)
