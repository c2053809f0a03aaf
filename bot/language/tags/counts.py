"""What a number counts or measures: eggs, fish, drops, a unit of volume, length, strength or time."""

from __future__ import annotations

from bot.language.tags.plain_words import COUNTED, INTO, JOIN
from bot.language.tags.tag import Marked
from bot.language.text.vocabulary import phrase_at
from shared.room import LITRES


def is_counted(marked: Marked, at: int) -> bool:
    """Whether the number at an item counts or measures something: eggs, %, drops, or a line's fish."""
    if marked.items[at].num is None:
        return False
    nxt = marked.w(at + 1)
    if nxt == "in" and marked.w(at + 2) in marked.names.head_words and len(marked.w(at + 2)) > 2:
        return True  # "7 in tank 15"
    where = at + 3 if nxt == "out" and marked.w(at + 2) == "of" else at + 2
    if (
        (nxt in ("from", "off") or where > at + 2)
        and (marked.w(where) in marked.names.head_words or marked.w(where).isdigit())
        and marked.w(at - 1) in JOIN
    ):
        return True  # "ten from 1 and six from 3", "nine gallons out of 14 and six out of 13"
    if nxt in (
        "%",
        "percent",
        "of",
        "x",
        "/",
        ":",
        "°",
        "more",
        "gal",
        "gallon",
        "gallons",
        "ml",
        "l",
        "litres",
        "liters",
        "drops",
        "drop",
        "ppm",
        "days",
        "weeks",
        "hours",
        "am",
        "pm",
        ".",
    ):
        if nxt == "." or nxt == ":" or nxt == "/":
            return bool(
                marked.items[at + 2 : at + 3]
                and marked.items[at + 2].num is not None
                and marked.items[at + 1].glued
                and marked.items[at + 2].glued
            )
        return True
    for step in (1, 2, 3):
        if (
            at + step >= len(marked.items)
            or marked.items[at + step].num is not None
            or not marked.w(at + step).isalpha()
        ):
            return False
        _size, entries = phrase_at(marked.words, marked.glued, at + step)
        senses = {(s, v) for s, v in entries}
        if any(s == "noun" and v in COUNTED for s, v in senses) and marked.w(at + step) not in (
            "f",
            "m",
            "ones",
            "fly",
        ):
            return True
        if any(s in ("unit", "volume") for s, _ in senses):
            return step == 1
        if any(s == "cue" and v in ("bad", "eyed") for s, v in senses) and step == 1:
            return True
        if any(s == "cue" for s, _ in senses) and any(v in ("dead",) for _, v in senses) and step == 1:
            return True
        if entries or marked.w(at + step) in INTO:
            return False
        if marked.names.line_like((marked.w(at + step),)):
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
            if sort == "volume" and value == "gal" and word == "g":
                if not glued:
                    continue
                return (1, "unit", "g") if marked.names.metric or _dosed_near(marked, at) else (1, "volume", "gal")
            return size, sort, value
    return None


def litres_of(marked: Marked, value: float, name: str) -> float | None:
    if name == "bucket":
        return None
    if name == "l":
        return value
    return value * LITRES["imperial" if marked.names.gallon == "imperial" else "us"][name]


def _dosed_near(marked: Marked, at: int) -> bool:
    for step in range(-4, 4):
        if 0 <= at + step < len(marked.items):
            _, entries = phrase_at(marked.words, marked.glued, at + step)
            if any(s == "substance" for s, _ in entries):
                return True
    return False
