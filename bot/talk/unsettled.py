"""What was asked and never answered, with the words it was asked of and what may be said to it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from bot import sentences as say
from storage.journal import OpenQuestion, RoomBook

MOST_SHOWN = 2


def unsettled(book: RoomBook, asked: Sequence[OpenQuestion], now: dt.datetime) -> list[tuple[str, str]]:
    """Each question in full and, for all of them, in few words; `asked` oldest first, `now` aware."""
    lines = []
    for n, question in enumerate(asked[::-1][:MOST_SHOWN]):
        left = len(asked) - MOST_SHOWN
        more = f" ({left} more)" if left > 0 and n == MOST_SHOWN - 1 else ""
        said = _said_then(book, question)
        brief = f"{say.count(len(asked), 'question')} to settle: {say.trimmed(said, 30)}" if n == 0 else ""
        lines.append((f"{_in_full(question, said, now)}{more}", brief.removesuffix(": ")))
    return lines


def _in_full(question: OpenQuestion, said: str, now: dt.datetime) -> str:
    body = question.body
    text = str(body.get("text", "")).split("\n")[0]
    choices = [str(label) for label, _ in body.get("options", ())] or list((body.get("doubt") or {}).get("options", ()))
    # the choices stand beside the question, not once more with what they hold
    asked = text.partition("?")[0] + "?" if "?" in text and choices else text
    if said and said in asked:
        said = ""  # the question says the words itself
    shown = f" {say.trimmed(' · '.join(choices), 90)}" if choices else ""
    return f"{f'“{said}” ' if said else ''}({question.asked_at.astimezone(now.tzinfo):%H:%M}) – {asked}{shown}"


def _said_then(book: RoomBook, question: OpenQuestion) -> str:
    """The words that were asked about; empty where they are no longer kept."""
    near = book.messages(since=question.asked_at, until=question.asked_at, limit=20)
    words = next((m.text for m in near if m.id == question.body.get("message")), "")
    return say.trimmed(" ".join(words.split()), 60)
