"""A note's sentences and clauses, and what earlier ones leave behind for later ones."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from bot.language.tags import Tag
from bot.language.times.days import Clock, Day

COUNTED = ("eggs", "fry", "juveniles", "adults", "male", "female", "pair", "trio", "fish")


@dataclass
class Part:
    """A clause: its tags without the joining word, which is kept as `joiner`."""

    tags: list[Tag]
    joiner: str = ""
    sentence: int = 0
    line: int = 0
    asks: bool = False  # the clause is a question
    before: Part | None = None  # the clause it follows in the sentence
    after: Part | None = None  # the clause that follows in the sentence
    muted: str = ""  # why nothing in it may be logged: wish, if, hearsay, quoted
    apart: bool = False  # it is talk, and belongs to none of its neighbours

    def cues(self, *values: str) -> list[Tag]:
        """The tags that say one of these signs, where nothing forbids them and nothing has claimed them."""
        return [
            t
            for t in self.tags
            if t.senses
            and not t.claimed
            and (its := t.senses.get("cue")) is not None
            and t.note != "muted"
            and not (values and its.isdisjoint(values))
        ]  # spelt out, for it is asked hundreds of times a note

    def has(self, *values: str) -> bool:
        return bool(self.cues(*values))

    def noun(self, *values: str) -> list[Tag]:
        return [
            t
            for t in self.tags
            if t.senses
            and (its := t.senses.get("noun")) is not None
            and t.note != "muted"
            and not (values and its.isdisjoint(values))
        ]

    def kind(self, *kinds: str) -> list[Tag]:
        return [t for t in self.tags if t.kind in kinds and t.note != "quoted"]

    def sense(self, sort: str) -> list[Tag]:
        return [t for t in self.tags if t.senses and t.says(sort) and t.note != "muted"]

    def words(self) -> set[str]:
        return {t.word for t in self.tags}

    def before_all(self) -> list[Part]:
        """This clause with those before it in its sentence, first to last."""
        out: list[Part] = [self]
        while out[0].before is not None:
            out.insert(0, out[0].before)
        return out

    def whole(self) -> list[Part]:
        """All clauses of its sentence."""
        out = self.before_all()
        while out[-1].after is not None:
            out.append(out[-1].after)
        return out

    def senses_cue(self) -> bool:
        return any(t.senses.get("cue") for t in self.tags)

    def text(self) -> str:
        return " ".join([t.word for t in self.tags])


@dataclass
class Sentence:
    """Clauses up to a stop."""

    parts: list[Part]
    tags: list[Tag]
    line: int
    stop: str = ""
    after: Sentence | None = None  # what was told in the same breath, where this asks about it

    def words(self) -> list[str]:
        return [w for t in self.tags for w in t.word.split()]

    def text(self) -> str:
        return " ".join([t.word for t in self.tags])


@dataclass
class Context:
    """What earlier clauses leave behind for later ones."""

    places: tuple[str, ...] = ()
    batch: str | None = None
    line: str | None = None
    kind: str = ""
    count: int | None = None
    day: Day | None = None
    clock: Clock | None = None
    quantity: str | None = None
    food: str | None = None
    substance: str | None = None
    event: dict[str, Any] | None = None
    header: bool = False  # the places come from a heading, not from an event
    sentence: int = -1
    values: dict[str, object] = field(default_factory=dict)
