"""The answer to an open question: whose it is, and what it logs, mends or leaves as it is."""

from __future__ import annotations

from typing import Any

from bot import sentences as say
from bot.language import Reader, Reading
from bot.reply import Reply
from bot.talk import questions
from bot.talk.members import People
from bot.talk.questions import Asked
from bot.talk.soon_after import SoonAfter
from shared.events import Corrected
from storage.messages import OpenQuestion


class Settling(SoonAfter):
    """A message that may answer what was asked before it."""

    people: People

    def _settle(self, reader: Reader, text: str, asking: int | None) -> bool:
        """Take the message as the answer to an open question, if it is one."""
        waiting = self.turn.open_questions(self.message.person, self.message.chat)
        if not waiting:
            return False
        return any(
            self._answers(kept, reader, text, just_asked=kept.id == asking)
            for kept in reversed(questions.answerable(waiting, asking, text, self.now))
        )

    def _answers(self, kept: OpenQuestion, reader: Reader, text: str, *, just_asked: bool) -> bool:
        """Whether it is the answer to that question; if so, it is taken.

        Words of one's own answer only what was asked just now; the name of a choice answers it later too.
        """
        if "picture" in kept.body or "put_out" in kept.body:
            of = self.photos if "picture" in kept.body else self.people
            told = of.settle(kept, text, just_asked=just_asked)
            if told is None:
                return False
            self._settled(kept)
            self.said.lines.append(told)
            return True
        asked = Asked.of(kept.body)
        found = questions.settle(asked, text, reader, self.now, just_asked=just_asked)
        if found is None:
            return False
        self._settled(kept)
        self._take_answer(found, asked, text)
        photo = self.photos.follow(kept.body.get("message"))
        if photo:
            self.said.after.append(photo)
        return True

    def _asked_once_more(self) -> Reply | None:
        """What was asked just now, for words that are neither its answer nor a note: it stays open."""
        asking = self._asking()
        mine = self.turn.open_questions(self.message.person, self.message.chat) if asking else []
        kept = next((q for q in mine if q.id == asking and self.now - q.asked_at <= questions.NAMED_FOR), None)
        if kept is None or "picture" in kept.body or "put_out" in kept.body:
            return None
        asked = Asked.of(kept.body)
        return Reply(f"I did not understand that. {asked.again}", "ask", options=tuple(asked.labels), asking=kept.id)

    def _settled(self, kept: OpenQuestion) -> None:
        self.turn.settle(kept.id)
        self.said.settled = True

    def _take_answer(self, found: Reading, asked: Asked, text: str) -> None:
        """What the answer tells, logged, mended or asked on."""
        if not found.events and not found.doubts:
            self.said.lines.append("Kept apart." if text.casefold().strip(" .!") == "apart" else "Left as it is.")
        crossed = asked.text.endswith(questions.ALL_THE_SAME)
        for event in found.events:
            if isinstance(event, Corrected):
                trouble = self._mended(event, self._meant(event), crossed=crossed)
                self.said.lines += [trouble] if trouble else []
            else:
                self._log(event, text, at=asked.at_for(event), sure=True, crossed=crossed)
        if len(found.events) > 2 and all(e.kind == "new_place" for e in found.events):
            self.said.lines = self._places_told([e.outside() for e in found.events])
        for doubt in found.doubts:
            self.said.asked.append(questions.of_doubt(doubt, self.now))

    def _places_told(self, places: list[dict[str, Any]]) -> list[str]:
        """Places set up, drawn together by size and role."""
        told: dict[str, list[str]] = {}
        for raw in places:
            if raw["kind"] == "new_place":
                size = say.volume(raw["litres"], self.info.units, self.info.gallon) if raw.get("litres") else ""
                traits = ", ".join(t for t in (size, raw.get("role") or "", raw.get("line") or "") if t)
                told.setdefault(traits, []).append(raw["place"])
        return ["Set up:", *(f"{say.places(n)}{f' ({traits})' if traits else ''}" for traits, n in told.items())]
