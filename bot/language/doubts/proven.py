"""Wordings of which it is known that the rules read them rightly, so that such a note is not read a second time.

A note is known by its words in order, names, numbers and days only by what they are. The wordings stand in proven.txt
as checksums, made from the labelled notes, the golden conversations and the tables of the tests by
`python -m tests.language.learn_proven`.
"""

from __future__ import annotations

import zlib
from array import array
from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from bot.language.doubts.second_opinion import sign_of
from bot.language.tags import Tag
from bot.language.text.names import Names

WORDINGS = Path(__file__).with_name("proven.txt")
_MARKS = frozenset(["stop", "punct", "sep"])


def is_proven(tags: Sequence[Tag], names: Names) -> bool:
    """Whether a note is worded as one that the rules are known to read rightly, or each of its sentences is."""
    return bool(tags) and (_holds(tags, names) or all(_holds(sentence, names) for sentence in _sentences(tags)))


def _sentences(tags: Sequence[Tag]) -> list[list[Tag]]:
    found: list[list[Tag]] = [[]]
    for tag in tags:
        found[-1].append(tag)
        if tag.kind in ("stop", "sep"):
            found.append([])
    return [sentence for sentence in found if any(tag.kind not in _MARKS for tag in sentence)]


def _holds(tags: Sequence[Tag], names: Names) -> bool:
    known, number = _known(), wording(tags, names)
    at = bisect_left(known, number)
    return at < len(known) and known[at] == number


def wording(tags: Sequence[Tag], names: Names) -> int:
    """The checksum of a note's words in order, of its tags before any were read; marks at its ends do not count."""
    first = next((n for n, t in enumerate(tags) if t.kind not in _MARKS), 0)
    last = next((n for n in range(len(tags), 0, -1) if tags[n - 1].kind not in _MARKS), 0)
    asks = "?" if any(t.word == "?" for t in tags[last:]) else ""
    signs = [_sign(tag, names) for tag in tags[first:last]]
    return zlib.crc32("\t".join([*signs, asks]).encode())


def _sign(tag: Tag, names: Names) -> str:
    return "LETTER" if tag.kind == "word" and len(tag.word) == 1 and tag.word in names.by_id else sign_of(tag)


@lru_cache(maxsize=1)
def _known() -> array[int]:
    return array("I", sorted(int(line, 16) for line in WORDINGS.read_text(encoding="utf-8").split()))
