"""What one message gathers while it is taken down, and the reply that is made of it at the end."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from bot import sentences as say
from bot.answers.answer import Answer
from bot.reply import NOTHING, Reply
from bot.routine import ticking
from bot.talk import questions
from bot.talk.questions import Asked
from shared.ledger.standing import Standing
from storage.journal import Message, RoomBook, Turn

MOST_LINES = 8


@dataclass
class Said:
    """What gathers up to be the reply."""

    alarms: list[str] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    after: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    events: list[dict[str, Any]] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
    answers: list[Answer] = field(default_factory=list)
    settled: bool = False  # this message answered a question


class Replying:
    """One message being handled; what it gathers in `said` becomes the reply."""

    def __init__(self, book: RoomBook, turn: Turn, message: Message) -> None:
        self.book, self.turn, self.message = book, turn, message
        self.info, self.zone = book.info, book.info.zone
        self.now = message.sent.astimezone(self.zone)
        self.said = Said()
        self.dosed_before = dict(turn.standing.dosed_by)
        person = book.person(message.person)
        self.may_log = person is None or person.role != "viewer"

    @property
    def standing(self) -> Standing:
        return self.turn.standing

    def _reply(self, outcome: str) -> Reply:
        said = self.said
        if say.lets_go(self.message.text) and say.RELEASE not in said.cautions:
            said.cautions.append(say.RELEASE)
        parts = [*said.alarms, *self._lines_told(), *said.after]
        parts += [a.text for a in said.answers]
        parts += said.cautions
        question, options, asking = self._asked_next()
        parts += question
        if said.asked and outcome in ("log", "both", "none") and not said.events:
            outcome = "ask"
        if not options and self.message.door == "telegram" and said.answers:
            options = said.answers[-1].taps
        pictures = [a.picture for a in said.answers if a.picture]
        return Reply(
            "\n".join(p for p in parts if p) or NOTHING,
            outcome,
            tuple(said.events),
            options,
            tuple(said.cautions),
            pictures[0] if pictures else None,
            tuple(dict.fromkeys(w for a in said.answers for w in a.why)),
            asking,
            "\n".join(a.rest for a in said.answers if a.rest),
        )

    def _lines_told(self) -> list[str]:
        """What was taken down, of very much only the first lines."""
        lines = say.under_one_head(say.together(self.said.lines, self.standing.places))
        if len(lines) > MOST_LINES:
            return [*lines[: MOST_LINES - 1], f"… and {len(lines) - MOST_LINES + 1} more, all logged."]
        return lines

    def _no_older_asked(self) -> None:
        """What is done is asked once: an older such question, nobody answered it, would tick the same off again."""
        for kept in self.turn.open_questions(self.message.person, self.message.chat):
            if str(kept.body.get("text", "")).startswith(ticking.WHAT_IS_DONE):
                self.turn.settle(kept.id)

    def _asked_next(self) -> tuple[list[str], tuple[str, ...], int | None]:
        """The question the reply ends with, its choices, and the number it is kept by."""
        said = self.said
        asking: int | None = None
        if any(a.text.startswith(ticking.WHAT_IS_DONE) for a in said.asked):
            self._no_older_asked()
        for asked in said.asked:
            asking = self.turn.ask({**asked.body(), "message": self.turn.message_id})
        if said.asked:
            # One question at a time: the newest asked is answered first, so the first doubt is asked last.
            first = said.asked[-1]
            told = [first.text[:1].upper() + first.text[1:] if first.doubt and not first.options else first.text]
            if len(said.asked) > 1:
                told.append(f"({len(said.asked) - 1} more to ask after that.)")
            return told, tuple(first.labels), asking
        if said.settled:
            waiting = self.turn.open_questions(self.message.person, self.message.chat)
            fresh = [q for q in waiting if self.now - q.asked_at < questions.OPEN_FOR]
            if fresh:  # one at a time: the next of them
                again = Asked.of(fresh[-1].body)
                return [again.again], tuple(again.labels), fresh[-1].id
        return [], (), None
