"""What a note was found to mean: events, a question, what could not be known, and which words said so."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from shared.events import Event

Outcome = Literal["log", "answer", "both", "ask", "none"]


@dataclass(frozen=True)
class Query:
    """A question of the keeper's; `given` holds what the question itself gives to reckon with."""

    about: str
    place: str | None = None
    batch: str | None = None
    line: str | None = None
    culture: str | None = None
    quantity: str | None = None
    buyer: str | None = None
    date: dt.date | None = None
    days: int | None = None
    given: Mapping[str, float | str] = field(default_factory=dict)

    def outside(self) -> dict[str, Any]:
        """The flat JSON form: only what was asked."""
        out: dict[str, Any] = {"about": self.about}
        for key in ("place", "batch", "line", "culture", "quantity", "buyer", "days"):
            value = getattr(self, key)
            if value is not None:
                out[key] = value
        if self.date is not None:
            out["date"] = self.date.isoformat()
        if self.given:
            out["given"] = dict(self.given)
        return out


@dataclass(frozen=True)
class Doubt:
    """Something meant that cannot be known safely: the words, the question back, and what is missing.

    `partial` is the event in its outside form with the gap still open, so that an answer can complete it.
    `likely`: what the words may mean, each as a label with the events it would log. `firm`: the note itself says what
    cannot be or names what is not here, and no other reading of it mends that.
    """

    words: str
    question: str
    options: tuple[str, ...] = ()
    missing: str = "kind"
    partial: dict[str, Any] | None = None
    likely: tuple[tuple[str, tuple[dict[str, Any], ...]], ...] = ()
    firm: bool = False


@dataclass(frozen=True)
class Span:
    """Which words of the note, from `start` to `end`, were taken for what."""

    start: int
    end: int
    words: str
    claimed_by: str


@dataclass(frozen=True)
class Reading:
    """The meaning of one note."""

    outcome: Outcome
    events: tuple[Event, ...] = ()
    query: Query | None = None
    doubts: tuple[Doubt, ...] = ()
    spans: tuple[Span, ...] = ()

    def outside(self) -> dict[str, Any]:
        """The contract's form, without a reply."""
        return {
            "outcome": self.outcome,
            "events": [event.outside() for event in self.events],
            "query": self.query.outside() if self.query else None,
        }

    @property
    def reply(self) -> str:
        """The question back, or a short echo of the kinds read."""
        if self.doubts:
            return " ".join(doubt.question for doubt in self.doubts)
        return ", ".join(event.kind.replace("_", " ") for event in self.events)
