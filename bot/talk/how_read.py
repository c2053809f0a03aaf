"""How a note was read, word by word, for a keeper who wants to see why it came out as it did."""

from __future__ import annotations

from bot.language import Reader, Reading, Span
from bot.language.text.figures import items_of
from bot.language.text.vocabulary import LEXICON
from bot.language.text.words import tokens_of
from bot.routine.words import Words
from storage.messages import KeptMessage

MOST_WORDS = 14
_SORTS = {
    "place": "a place",
    "batch": "a batch",
    "line": "a line",
    "culture": "a live food",
    "person": "a person",
    "num": "a number",
    "pct": "per cent",
    "day": "a day",
    "clock": "a clock time",
    "group": "several places",
    "hearsay": "what somebody else says",
    "unit": "a unit",
}
# What a word is a sign of, where the reader's own name for it is no English.
_SIGNS = {"wc": "water change", "bad": "bad eggs", "mop_in": "mop put in", "hold": "promise", "topoff": "top off"}
_GUARDS = "a question, a plan or a no: not logged as done"


def word_by_word(note: KeptMessage, words: Words, reader: Reader) -> str:
    """What each word of the note was taken for, and what became of the whole."""
    reading = reader.read(note.text, note.sent.astimezone(words.now.tzinfo))
    lines = [f"“{' '.join(note.text.split())[:120]}”"]
    lines += [f"{span.words} → {_taken_for(span, words, reading)}" for span in reading.spans[:MOST_WORDS]]
    if len(reading.spans) > MOST_WORDS:
        lines.append(f"… and {len(reading.spans) - MOST_WORDS} more.")
    logged = [str(e["kind"]) for e in note.reply.payload.get("events", ())] if note.reply else []
    kinds = list(dict.fromkeys(k.replace("_", " ") for k in logged or [e.kind for e in reading.events]))
    if logged and not {e.kind for e in reading.events}.intersection(logged):
        lines = [lines[0], "The whole was taken as an order or an answer, not as a note."]
    if reading.query:
        kinds.append(f"a question ({reading.query.about})")
    lines += [f"Asked: {doubt.question}" for doubt in reading.doubts]
    lines.append(f"Taken for: {', '.join(kinds) or 'nothing to log'}.")
    return "\n".join(lines)


def _taken_for(span: Span, words: Words, reading: Reading) -> str:
    """One stretch of words: the name, number or sign it stands for."""
    sort, plain = span.claimed_by, span.words.casefold()
    if sort in ("place", "batch", "line") and (where := words.where(plain)):
        found = [*where.places, *(n for n in (where.batch, where.line) if n)]
        if found:
            return found[0]
    tokens = tokens_of(span.words)
    if sort == "num":
        items = items_of(tokens, [t.word for t in tokens])
        if len(items) != 1:
            return _SORTS[sort]
        return _place_by_number(items[0].word, words, reading) or f"the number {items[0].word}"
    if sort == "pct":
        return f"{plain.rstrip(' %')} per cent"
    if sort == "guard":
        return _GUARDS
    for kind, value in LEXICON.get(tuple(t.word for t in tokens), ()):
        if kind == sort and value:
            return _SIGNS.get(value) or value.replace("_", " ")
    return _SORTS.get(sort) or sort


def _place_by_number(number: str, words: Words, reading: Reading) -> str | None:
    """The place of that number, where an event names it and counts nothing by it."""
    raws = [e.outside() for e in reading.events]
    if any(isinstance(v, int | float) and f"{v:g}" == number for raw in raws for v in raw.values()):
        return None
    named = {p for raw in raws for p in (raw.get("place"), raw.get("from"), raw.get("to"), *raw.get("places", ()))}
    fits = [p for p in words.names.by_id.get(number, ()) if p in named]
    return fits[0] if len(fits) == 1 else None
