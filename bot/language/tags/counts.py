"""What a number counts or measures: eggs, fish, drops, a unit of volume, length, strength or time."""

from __future__ import annotations

from bot.language.tags.plain_words import COUNTED, INTO, JOIN
from bot.language.tags.tag import Marked
from bot.language.text.vocabulary import phrase_at
from shared.room import LITRES

_COUNTED_BY = frozenset(  # what stands behind a number that counts or measures
    ["%", "percent", "of", "x", "°", "more", "gal", "gallon", "gallons", "ml", "l", "litres", "liters", "drops",
     "drop", "ppm", "days", "weeks", "hours", "am", "pm"]
)  # fmt: skip


def is_counted(marked: Marked, at: int) -> bool:
    """Whether the number at an item counts or measures something: eggs, %, drops, or a line's fish."""
    if marked.items[at].num is None:
        return False
    if _taken_from_a_place(marked, at):
        return True
    nxt = marked.w(at + 1)
    if nxt in (".", ":", "/"):
        its = marked.items[at + 1 : at + 3]
        return len(its) == 2 and its[1].num is not None and its[0].glued and its[1].glued
    return nxt in _COUNTED_BY or _counts_what_follows(marked, at)


def _taken_from_a_place(marked: Marked, at: int) -> bool:
    """ "7 in tank 15"; "ten from 1 and six from 3", "nine gallons out of 14 and six out of 13"."""
    nxt, heads = marked.w(at + 1), marked.names.head_words
    if nxt == "in" and marked.w(at + 2) in heads and len(marked.w(at + 2)) > 2:
        return True
    out_of = nxt == "out" and marked.w(at + 2) == "of"
    if not out_of and nxt not in ("from", "off"):
        return False
    where = marked.w(at + 3 if out_of else at + 2)
    return (where in heads or where.isdigit()) and marked.w(at - 1) in JOIN


def _counts_what_follows(marked: Marked, at: int) -> bool:
    """Whether within three words what is counted follows: "12 small eggs", "4 tsp", "3 dead", "6 gardneri"."""
    for step in (1, 2, 3):
        word = marked.w(at + step)
        if not word.isalpha() or marked.items[at + step].num is not None:
            return False
        _size, entries = phrase_at(marked.words, marked.glued, at + step)
        if any(s == "noun" and v in COUNTED for s, v in entries) and word not in ("f", "m", "ones", "fly"):
            return True
        if any(s in ("unit", "volume") for s, _ in entries):
            return step == 1
        if step == 1 and any(s == "cue" and v in ("bad", "eyed", "dead") for s, v in entries):
            return True
        if entries or word in INTO:
            return False
        if marked.names.line_like((word,)):
            return True
    return False


def unit_at(marked: Marked, at: int) -> tuple[int, str, str] | None:
    word = marked.w(at)
    glued = at < len(marked.items) and marked.items[at].glued
    if word == "in" and glued and marked.w(at + 1) in ("", ".", ",", "\n", "long", "now"):
        return 1, "length", "in"  # 1in
    if word in ("h", "hr", "hrs") and (
        glued or (word == "h" and marked.w(at + 1) in ("a", "per", "/") and marked.w(at + 2) == "day")
    ):
        return 1, "dur", "hour"
    if word in (
        "days",
        "day",
        "weeks",
        "week",
        "month",
        "months",
        "hours",
        "hour",
        "minutes",
        "minute",
        "year",
        "years",
        "seconds",
        "feet",
    ):
        return 1, "dur", word.rstrip("s")
    if word in ("f", "c") and glued and not (word == "f" and (marked.items[at - 1].num or 0) < 40):
        return 1, "degree", word
    if word in ("f", "c") and not glued and marked.items[at].raw.isupper() and marked.w(at - 2) not in ("in", "to"):
        if marked.w(at + 1) in ("", ".", ",", "and", "but"):
            return 1, "degree", word
        return None
    if word in ("l", "g") and not glued and (marked.items[at].raw.isupper() and word in marked.names.by_id):
        return None
    if word == "-" and marked.w(at + 1) in ("gallon", "gal", "litre", "liter", "inch", "week", "day"):
        inner = unit_at(marked, at + 1)
        return (inner[0] + 1, inner[1], inner[2]) if inner else None
    if word == "m" or word == "f":
        return None
    if word == "°" and marked.w(at + 1) in ("f", "c", "dgh", "dkh", "dh", "d"):
        return 2, "degree", marked.w(at + 1)
    size, entries = phrase_at(marked.words, marked.glued, at)
    for sort, value in entries:
        if sort in ("volume", "length", "degree", "unit"):
            if sort == "unit" and value in ("leaf",):
                continue
            return size, sort, value
    return None


def litres_of(marked: Marked, value: float, name: str) -> float | None:
    if name == "bucket":
        return None
    if name == "l":
        return value
    return value * LITRES["imperial" if marked.names.gallon == "imperial" else "us"][name]
