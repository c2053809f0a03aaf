"""How strange a note's wording is: words that no event rests on, in company they never kept in the notes learnt from.

A note of many such words may well say something else than what was read in it, so it is read back and asked about
before anything is logged. The pairs of words that are known stand in familiar.txt, made from the labelled notes by
`python -m tests.language.learn`; names, numbers and days stand in them only by what they are.
"""

from __future__ import annotations

import zlib
from array import array
from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from bot.language.doubts.second_opinion import ORDERS, sign_of
from bot.language.tags import Tag
from shared.events import Event

PAIRS = Path(__file__).with_name("familiar.txt")
MOST = 1  # strange words of the sentences that tell; of new notes with more, a third were misread
_LITTLE = frozenset(
    """
    a an the i we my our it its it's i'm and or but so of in on at to for from with by as is are was were be been am do
    did does have has had just now then there here this that these those them they he she you me us up out off over down
    again also too only about some all both each very really still already today got get not no yes ok okay well oh um
    uh like one ones who which what when while if than more much any bit little lot s t
    d ll ve re since until till before after
    """.split()  # noqa: SIM905
)


def hard_to_believe(events: Sequence[Event], tags: Sequence[Tag]) -> bool:
    """Whether so much of a note is strange that what was read in it is asked about first."""
    plain = {e.kind for e in events} <= ORDERS | {"remark"}
    return not plain and strange_words(tags) > MOST


def strange_words(tags: Sequence[Tag]) -> int:
    """How many words that tell of nothing stand beside a word they were never seen beside."""
    known, row = _known(), in_company(tags)
    strange = [False] * len(row)
    for n, ((one, open_one), (other, open_other)) in enumerate(pairwise(row)):
        if (open_one or open_other) and not _holds(known, _number(one, other)):
            strange[n] |= open_one
            strange[n + 1] |= open_other
    return sum(strange)


def in_company(tags: Sequence[Tag]) -> list[tuple[str, bool]]:
    """A note's words in order, each by what it is a sign of, and whether nothing is known of it; commas are no word."""
    row = [("<", False)]
    for tag in tags:
        if tag.kind == "stop":
            row += [(">", False), ("<", False)]
        elif tag.kind not in ("punct", "sep"):
            row.append((sign_of(tag), not tag.claimed and tells_nothing(tag)))
    row.append((">", False))
    return row


def tells_nothing(tag: Tag) -> bool:
    """Whether a tag is a word of which nothing is known, and none of the little ones."""
    word = tag.word.casefold()
    return tag.kind == "word" and not tag.senses and word[:1].isalpha() and word not in _LITTLE


@lru_cache(maxsize=1)
def _known() -> array[int]:
    rows = (line.split("\t") for line in PAIRS.read_text(encoding="utf-8").splitlines())
    return array("I", sorted(_number(first, second) for first, *after in rows for second in after))


def _number(one: str, other: str) -> int:
    return zlib.crc32(f"{one}\t{other}".encode())


def _holds(known: array[int], number: int) -> bool:
    at = bisect_left(known, number)
    return at < len(known) and known[at] == number
