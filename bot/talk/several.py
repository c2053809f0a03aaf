"""Several questions in one message, each with its own words; and the words that ask beside a note."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace

from bot.language import Query, Reader, Reading

MOST_QUESTIONS = 3
_ASKING = r"(?:how|what|what's|whats|when|which|who|where|is|are|does|do|did|has|have|can|any)\b"
_BETWEEN = re.compile(
    rf"\?\s+(?=\S)|(?:[,;.]\s*|\s+)(?:and|also|and also|then|plus)\s+(?={_ASKING})|[;.]\s+(?={_ASKING})", re.IGNORECASE
)
_POINTING = re.compile(r"\b(?:it|its|they|them|their|there|that|those)\b", re.IGNORECASE)
_SAME = re.compile(r"\?\s+(?=\S)|[.;!]\s+|\n+")
# What to do is asked of the question before it, and is answered with it.
_OF_THE_OTHER = frozenset({"advice", "ammonia"})


def questions_in(text: str, reading: Reading, reader: Reader, now: dt.datetime) -> list[tuple[str, Query]]:
    """The questions of a message with the words of each, as the reader took them; mostly one with all the words."""
    if reading.query is None:
        return []
    whole = [(text, reading.query)]
    if reading.outcome != "answer":
        query = _of_the_note(text, reading)
        return _beside_a_note(text, query, reader, now) or [(text, query)]
    parts = [p.strip() for p in _BETWEEN.split(text) if p and p.strip()]
    if not 1 < len(parts) <= MOST_QUESTIONS:
        return whole
    asked: list[tuple[str, Query]] = []
    for part in parts:
        found = reader.read(part, now)
        if found.outcome != "answer" or found.query is None or found.query.about in _OF_THE_OTHER:
            return whole
        asked.append((part, _pointed(part, found.query, asked[-1][1] if asked else None)))
    return asked


def _pointed(part: str, query: Query, before: Query | None) -> Query:
    """“…and when does it hatch”: what the question before named."""
    if before is None or query.place or query.batch or query.line or not _POINTING.search(part):
        return query
    return replace(query, place=before.place, batch=before.batch, line=before.line)


def _of_the_note(text: str, reading: Reading) -> Query:
    """“2 dead in tank 14, how many are left”: left where the note tells of."""
    query = reading.query
    assert query is not None
    if query.about != "stock" or query.place or query.batch or query.line or query.buyer:
        return query
    raws = [e.outside() for e in reading.events]
    spots = {str(p) for raw in raws for p in (raw.get("places") or [raw.get("place") or raw.get("from")]) if p}
    batches = {str(raw["batch"]) for raw in raws if raw.get("batch")}
    if not re.search(r"\b(?:left|now|remain\w*|there|they|it)\b", text.casefold()):
        return query
    if len(batches) == 1 and not spots:
        return replace(query, batch=batches.pop())
    return replace(query, place=spots.pop()) if len(spots) == 1 else query


def _beside_a_note(text: str, query: Query, reader: Reader, now: dt.datetime) -> list[tuple[str, Query]]:
    """The sentence that asks, so that a note's own days and numbers are not taken for the question's."""
    for part in (p.strip() for p in _SAME.split(text)):
        if part and reader.read(part, now).outcome == "answer":
            return [(part, query)]
    return []
