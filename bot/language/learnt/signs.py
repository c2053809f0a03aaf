"""What the net sees of a tag: what it is, what it may be a sign of, its word, and the pieces the word is made of."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from bot.language.tags import Tag
from bot.language.tags.tag import senses_of

MOST_SENSES = 6
MOST_SIGNS = 24
NOTE_LETTERS = 8
MOST_PIECES = 6  # of one tag
INSIDE = "##"  # marks a piece that does not open its word
_RUNS = re.compile(r"[a-z]+|[0-9]+|[^\sa-z0-9]")
_SAID_AS = {"line": "fish", "batch": "batch", "culture": "culture", "person": "someone"}

_NAMES = frozenset(["person", "line", "place", "batch", "culture"])  # no weight hangs on one room's names


def word_of(tag: Tag) -> str:
    """The word a tag is known by; a name, and what is without a word, by what it is."""
    return (tag.kind if tag.kind in _NAMES else tag.word or tag.kind).lower()


def _note_of(tag: Tag) -> str:
    """A tag's note where it is a word of ours; it may hold names and words of the keeper's as well."""
    return tag.note[:NOTE_LETTERS] if tag.note.isalpha() else "*" if tag.note else ""


def signs_of(tag: Tag) -> list[str]:
    """The signs of a tag, most telling last; a plain word also by how it begins and ends, and how long it is."""
    word = word_of(tag)
    signs = [f"k={tag.kind}", f"n={_note_of(tag)}", f"u={tag.unit}"]
    signs += [f"s={sense}" for sense in senses_of(tag)[:MOST_SENSES]]
    signs.append(f"w={word}")
    if tag.kind == "word":
        signs += [f"p={word[:3]}", f"e={word[-3:]}", f"l={min(9, len(word))}"]
    return signs


def known_signs(tag: Tag, more: Sequence[str], known: Mapping[str, int]) -> list[int]:
    """The numbers of those signs of a tag that were learnt, and of `more` signs."""
    return [known[sign] for sign in (*signs_of(tag), *more) if sign in known][:MOST_SIGNS]


def said_as(tag: Tag) -> str:
    """What is read of a tag: its word, and of a name only what kind of thing has it: a tank, a tub, fish, someone."""
    if tag.kind == "place":
        first = str(tag.value[0]).split()[0].lower() if tag.value else ""
        return first if len(first) > 1 and first.isalpha() else "tank"
    return _SAID_AS.get(tag.kind) or (tag.word or tag.kind).lower()


def pieces_of(word: str, known: Mapping[str, int]) -> list[int]:
    """The numbers of the longest known pieces a word is made of, from left to right; its rest is left out."""
    found: list[int] = []
    for run in _RUNS.findall(word):
        at = 0
        while at < len(run):
            mark = INSIDE if at else ""
            upto = next((end for end in range(len(run), at, -1) if mark + run[at:end] in known), at)
            if upto == at:
                break
            found.append(known[mark + run[at:upto]])
            at = upto
    return found[:MOST_PIECES]
