"""Tubs called by the fish whose eggs or fry they hold: "the gularis tub"."""

from __future__ import annotations

from itertools import pairwise

from bot.language.tags.tag import Marked, Tag

_OF_EGGS = ("bad", "bad_weak", "eyed", "hatch")


def tubs_by_fish(marked: Marked) -> None:
    """Make a place of a line and the word for a tub behind it; of several such tubs the one with eggs, or with fry.

    A tank called by its fish is the one that breeds them, which the reading of clauses knows.
    """
    for line, noun in list(pairwise(marked.tags)):
        heads = marked.names.head_words.get(noun.word, ()) if line.kind == "line" and noun.says("noun", "tank") else ()
        if not heads or "tank" in heads or len(line.value) != 1 or noun.word.endswith("s"):
            continue
        here = [p for p in marked.names.places if any(p.name.casefold().startswith(f"{h} ") for h in heads)]
        its = [p for p in here if line.value[0] in marked.names.lines_in(p.name)]
        if len(its) > 1:
            role = _meant(marked.tags)
            its = [p for p in its if p.role == role]
        if len(its) == 1:
            line.kind, line.value, line.word = "place", (its[0].name,), f"{line.word} {noun.word}"
            line.upto = noun.upto
            marked.tags.remove(noun)


def _meant(tags: list[Tag]) -> str:
    """Whether a note speaks of eggs or of fry; empty when of neither or both."""
    eggs = any(t.says("noun", "eggs") or t.says("cue", *_OF_EGGS) for t in tags)
    fry = any(t.says("noun", "fry") and not t.says("cue") for t in tags)
    return "eggs" if eggs and not fry else "fry" if fry and not eggs else ""
