"""A question with all that is needed to answer it, an answer with all it rests on, and the numbers of a sum."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from bot.language import Query
from bot.language.asking.given import given_in, plain, without_names
from shared.ledger.standing import Batch, Standing
from shared.quantities import Figure, Gallon
from storage.engine import RoomInfo
from storage.journal import RoomBook


@dataclass(frozen=True)
class Answer:
    """What is said, and a picture where one was asked for."""

    text: str
    picture: bytes | None = None
    why: tuple[str, ...] = ()
    rest: str = ""  # lines left out of it, for whoever says “more”
    taps: tuple[str, ...] = ()  # what may be said to it, where that is a button
    both_scales: bool = False  # °C and litres stay as written: they are what was asked for


@dataclass(frozen=True)
class Asking:
    """A question with everything needed to answer it."""

    query: Query
    standing: Standing
    book: RoomBook
    now: dt.datetime
    person: str
    text: str = ""  # the question's own words
    brief: bool = False  # for a text message

    @property
    def units(self) -> str:
        return self.book.info.units


@dataclass(frozen=True)
class Sum:
    """A sum that is asked for: the question's plain words and the numbers in them, the reader's own included."""

    ask: Asking
    given: Mapping[str, float | str] = field(default_factory=dict)
    doubtful: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    @classmethod
    def of(cls, ask: Asking) -> Sum:
        """The reader's numbers over those of the words; where the two differ by more than rounding, neither is sure."""
        info, standing = ask.book.info, ask.standing
        names = (*standing.places, *standing.batches, *standing.cultures)
        mine = given_in(ask.text, names, metric=info.units != "us", gallon=gallon_of(info))
        found, doubtful = {**ask.query.given, **mine}, {}
        for name, theirs in ask.query.given.items():
            own = mine.get(name)
            if not isinstance(own, int | float) or not isinstance(theirs, int | float):
                found[name] = theirs
            elif own >= 0 and abs(own - theirs) > 0.02 * max(abs(own), abs(theirs)):
                doubtful[name] = (own, float(theirs))
        return cls(replace(ask, query=_named(ask)), found, doubtful)

    @property
    def standing(self) -> Standing:
        return self.ask.standing

    @property
    def info(self) -> RoomInfo:
        return self.ask.book.info

    @property
    def metric(self) -> bool:
        return self.info.units != "us"

    @property
    def gallon(self) -> Gallon:
        return gallon_of(self.info)

    @cached_property
    def said(self) -> str:
        """The question in plain words, names of places blotted out."""
        return without_names(plain(self.ask.text), (*self.standing.places, *self.standing.batches))

    def says(self, pattern: str) -> bool:
        return re.search(pattern, self.said) is not None

    def number(self, *names: str) -> float | None:
        """The first of these numbers that is given. Raises ValueError where it may be one of two."""
        for name in names:
            if name in self.doubtful:
                one, other = self.doubtful[name]
                raise ValueError(f"That may be {one:g} or {other:g}; please write it in figures")
            value = self.given.get(name)
            if isinstance(value, int | float):
                return float(value)
        return None

    def word(self, name: str) -> str | None:
        value = self.given.get(name)
        return value if isinstance(value, str) else None


def _named(ask: Asking) -> Query:
    """The question with the one line, batch or place its words name, where the reader gave none."""
    query, standing = ask.query, ask.standing
    if query.line or query.batch or query.place:
        return query
    words = " ".join(re.findall(r"[^\W_]+", ask.text.casefold()))
    text = f" {words} "

    def only(names: Mapping[str, str]) -> str | None:
        said = {full for name, full in names.items() if f" {name.casefold()} " in text}
        return next(iter(said)) if len(said) == 1 else None

    lines = {word: line.name for line in standing.lines.values() for word in (line.name, *line.aka)}
    for word in {w for name in standing.lines for w in name.split() if len(w) > 3}:
        its = [name for name in standing.lines if word in name.split()]
        if len(its) == 1:
            lines.setdefault(word, its[0])  # "the gularis line"
    place, batch = only({p: p for p in standing.places}), only({b: b for b in standing.batches})
    return replace(query, place=place, batch=batch, line=None if place or batch else only(lines))


def places_named(ask: Asking) -> list[str]:
    """The places a question names, in its order: “tank 2 really worse than 3”, “in 13 and 14”."""
    text = ask.text.casefold()
    places = ask.standing.places
    found: dict[str, int] = {}
    for name in places:
        hit = re.search(rf"(?<!\w){re.escape(name.casefold())}(?!\w)", text)
        if hit:
            found[name] = hit.start()
    first = re.search(r"\b(tank|tub)s?\b", text)
    kind = next(iter(sorted(found, key=lambda n: found[n])), "").partition(" ")[0] or (first[1] if first else "tank")
    joined = r"(?:\b(?:than|and|or|vs\.?|versus|to|against|in|tanks|tubs)|,) ?(\w+)\b"
    for hit in re.finditer(joined + r"(?! ?(?:%|days?|weeks?|eggs?|fry|fish|mm|gal|°))", text):
        match = next((n for n in places if n.casefold() == f"{kind} {hit[1]}"), None)
        if match:
            found.setdefault(match, hit.start())
    return sorted(found, key=lambda n: found[n])


def gallon_of(info: RoomInfo) -> Gallon:
    """Which gallon the room means."""
    return "imperial" if info.gallon == "imperial" else "us"


def because(found: Figure, *, said: Iterable[str] = ()) -> tuple[str, ...]:
    """What a figure rests on, its sources, and those of its cautions that were not said."""
    return rests_on(found.basis, found.sources, (c for c in found.cautions if c not in set(said)))


def rests_on(basis: str, sources: Iterable[str], cautions: Iterable[str] = ()) -> tuple[str, ...]:
    """The lines of a "why?": basis, sources, further cautions."""
    first = f"{basis[:1].upper()}{basis[1:].rstrip('.')}."
    return tuple(dict.fromkeys((first, *(f"Source: {s.rstrip('.')}." for s in sources), *cautions)))


def time_in_peat(standing: Standing, batch: Batch, now: dt.datetime) -> str | None:
    """`1.9 weeks`, `3 days`, `since today`: since they were laid, if into peat, else since they were put up."""
    line = standing.lines.get(batch.line)
    laid_there = batch.bagged is None or (line is not None and line.eggs == "peat")
    since = (batch.laid_from if laid_there else None) or batch.bagged or batch.laid_to
    if since is None:
        return None
    days = (now - since).days
    if days < 7:
        return f"{days} day{'s' * (days != 1)}" if days else "since today"
    return f"{round(days / 7, 1):g} week{'s' * (round(days / 7, 1) != 1)}"


def figure(value: float) -> str:
    """A reckoned number to three figures: 0.0279, 3.4, 113.6, 1 200."""
    if value == 0:
        return "0"
    if abs(value) >= 100:
        text = f"{value:,.1f}".rstrip("0").rstrip(".") if abs(value) < 1000 else f"{value:,.0f}"
        return text.replace(",", " ")
    text = f"{value:.3g}"
    return f"{value:.6f}".rstrip("0") if "e" in text else text


def sentence(trouble: ValueError | str) -> str:
    """A trouble as a sentence for a keeper."""
    text = str(trouble).strip().rstrip(".")
    return f"{text}." if text.startswith("pH ") else f"{text[:1].upper()}{text[1:]}."
