"""How a note was read, word by word, for a keeper who wants to see why it came out as it did."""

from __future__ import annotations

import datetime as dt

from bot.language import Reader
from storage.journal import Message, RoomBook

_SORTS = {
    "place": "a place",
    "batch": "a batch",
    "line": "a line",
    "culture": "a live food",
    "person": "a name",
    "num": "a number",
    "pct": "per cent",
    "day": "a day",
    "clock": "a clock time",
    "group": "a group of places",
    "guard": "a word that keeps it from being logged, or asks",
    "size": "a size",
    "money": "a price",
    "unit": "a unit",
}
MOST_WORDS = 14


def word_by_word(book: RoomBook, message: Message, now: dt.datetime, reader: Reader) -> str:
    """The note before this one, and what each of its words was taken for."""
    kept = book.messages(person=message.person, limit=8, newest_first=True)
    last = next((m for m in kept if m.chat == message.chat and m.delivery != message.delivery and m.text.strip()), None)
    if last is None:
        return "There is no earlier note of yours here."
    reading = reader.read(last.text, last.sent.astimezone(now.tzinfo))
    lines = [f"“{' '.join(last.text.split())[:120]}”"]
    for span in reading.spans[:MOST_WORDS]:
        lines.append(f"{span.words} → {_SORTS.get(span.claimed_by) or span.claimed_by}")
    if len(reading.spans) > MOST_WORDS:
        lines.append(f"… and {len(reading.spans) - MOST_WORDS} more.")
    taken = [e.kind.replace("_", " ") for e in reading.events]
    if reading.query:
        taken.append(f"a question ({reading.query.about})")
    taken += ["something to ask about"] * bool(reading.doubts)
    lines.append(f"Taken for: {', '.join(taken) or 'nothing to log'}.")
    return "\n".join(lines)
