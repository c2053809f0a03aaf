"""A stretch of a note and what it is, and the note as it stands while it is being tagged."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from bot.language.text.figures import Item
from bot.language.text.names import Names
from bot.language.text.words import Token


@dataclass(slots=True, eq=False)
class Tag:
    """One stretch of the note: `kind` says what it is, `value` which, `senses` what its words may be signs of."""

    kind: str
    value: Any
    at: int  # first item
    upto: int  # item after the last
    word: str = ""
    senses: dict[str, frozenset[str]] = field(default_factory=dict)
    low: float | None = None  # a range
    approx: bool = False
    unit: str = ""
    note: str = ""
    claimed: str = ""
    typed: str = ""  # the word as typed, where it was taken for a slip of another

    def says(self, sort: str, *values: str) -> bool:
        senses = self.senses
        return sort in senses and (not values or not senses[sort].isdisjoint(values))

    def one(self, sort: str) -> str | None:
        its = self.senses.get(sort)
        return min(its) if its else None

    def copy(self) -> Tag:
        """A copy; spelt out, as that is faster than `replace` and every tag of every note is copied."""
        return Tag(
            self.kind,
            self.value,
            self.at,
            self.upto,
            self.word,
            self.senses,
            self.low,
            self.approx,
            self.unit,
            self.note,
            self.claimed,
            self.typed,
        )


def senses_of(tag: Tag) -> tuple[str, ...]:
    """What a stretch may be a sign of, spelt out in order, as weights learnt from notes know it."""
    return _spelt_out(tuple(tag.senses.items())) if tag.senses else ()


@lru_cache(maxsize=2048)
def _spelt_out(senses: tuple[tuple[str, frozenset[str]], ...]) -> tuple[str, ...]:
    return tuple(sorted(f"{sort}={value}" for sort, values in senses for value in values))


@dataclass(slots=True, eq=False)
class Marked:
    """A note on its way to being tagged: its words and numbers, the room's names, the tags given so far."""

    names: Names
    sent: dt.datetime
    tokens: list[Token]
    items: list[Item]
    words: list[str] = field(init=False)
    glued: list[bool] = field(init=False)
    tags: list[Tag] = field(default_factory=list)
    shouting: bool = field(init=False)

    def __post_init__(self) -> None:
        self.words = [i.word for i in self.items]
        self.glued = [i.glued for i in self.items]
        self.shouting = sum(1 for t in self.tokens if t.raw.isupper() and len(t.raw) > 1) > 3

    def w(self, at: int) -> str:
        return self.words[at] if 0 <= at < len(self.words) else ""

    def is_id(self, item: Item) -> bool:
        return item.whole is not None and str(item.whole) in self.names.by_id
