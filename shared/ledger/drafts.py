"""What a booking is made of: drafts of entries, questions and notices, and how the fish meant are found."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

from shared.events import Event, FishMoved, HeadsCounted, Stage, StockArrived
from shared.kin.lineage import crossing_caution
from shared.ledger.standing import Account, Holding, Outside, Posting, Side, Standing, side_of

Trouble: TypeAlias = Literal[
    "which_group",  # several batches or lines fit
    "nothing_there",  # the record knows of none there
    "too_many",  # more than stand there
    "no_such_batch",
    "difference",  # a head count that differs from the record
    "join_or_apart",  # eggs into a tub with older eggs of the line
    "where",  # no place and no batch
    "which_line",
    "before_laid",  # fry at a time before these eggs were laid
    "which_generation",  # parents of unlike generations
    "sexes",  # more males and females than fish
    "wrong_sex",  # more of a sex than the record has room for
    "no_such_line",
    "eggs_not_fish",  # losses where only eggs are on record
    "when_laid",  # a laying date that is none
    "which_population",  # fish of a population the line is not known to be of
]
Remark: TypeAlias = Literal[
    "found",
    "other_line",
    "same_species",  # two populations or lines of one species in one place
    "two_generations",  # merged: what they are together nobody can say
    "counted_apart",  # of another generation than the line's fish there: a batch of their own
    "two_lines",  # eggs that may be of two lines
    "shared",  # booked over the batches of a mixed group by the rule
    "mixed",  # a place holds two batches of a line from now on
    "sex_not_said",  # fish lost whose sex was not said: the sexes left are the least that is certain
    "no_lay_date",
    "not_identified",
    "joined",
    "many_losses",
    "at_odds",
    "nothing_on_record",
    "estimated_now",
    "still_in_use",
    "implied_hatch",
]


@dataclass(frozen=True)
class Option:
    """One answer to a question: what it says and the events it would log."""

    label: str
    events: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True)
class Question:
    """Something only the keeper can say. `facts` are for wording it."""

    trouble: Trouble
    event: dict[str, Any]
    facts: dict[str, Any] = field(default_factory=dict)
    options: tuple[Option, ...] = ()


@dataclass(frozen=True)
class Notice:
    """Something the keeper should hear about what was booked."""

    remark: Remark
    facts: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Draft:
    """An entry ready to be appended."""

    event: Event
    at: dt.datetime
    postings: tuple[Posting, ...] = ()
    batch: str | None = None
    place: str | None = None
    line: str | None = None
    laid_from: dt.datetime | None = None
    laid_to: dt.datetime | None = None
    joins: str | None = None


@dataclass(frozen=True)
class Booking:
    """What one event becomes. With a question and drafts, the drafts are safe to log before the answer."""

    drafts: tuple[Draft, ...] = ()
    notices: tuple[Notice, ...] = ()
    question: Question | None = None


# ---- finding what is meant


def known(standing: Standing, batch: str | None) -> str | None:
    """The batch, where the record has it."""
    return batch if batch in standing.batches else None


def place_of_batch(standing: Standing, batch: str | None, side: Side | None = None) -> str | None:
    """The one place a batch stands in, or None."""
    if not batch:
        return None
    spots = {h.place for h in standing.of_group(batch) if side is None or side_of(h.stage) == side}
    return spots.pop() or None if len(spots) == 1 else None


def find(
    standing: Standing,
    side: Side,
    *,
    place: str | None = None,
    batch: str | None = None,
    line: str | None = None,
    stage: Stage | None = None,
) -> list[Holding]:
    """The holdings that fit what was said, most fish first; fry that nobody logged are never the adults they are of."""
    fits = [
        h
        for h in standing.holdings.values()
        if side_of(h.stage) == side
        and (not place or h.place == place)
        and (not batch or h.group == batch)
        and (not line or h.line == line)
    ]
    staged = [h for h in fits if h.stage == stage] if stage else fits
    near = [h for h in fits if {h.stage, stage} != {"fry", "adults"}]
    return sorted(staged or near, key=lambda h: -h.count)


def coming(
    event: FishMoved | HeadsCounted | StockArrived, count: int | None, to: Account, outside: Outside, *, counts: bool
) -> Posting:
    """Fish of which the record knew nothing before, as many and of such sexes as the event says."""
    sexes = {"male": event.male or 0, "female": event.female or 0}
    return Posting(target=to, outside=outside, count=count, counts=counts, estimated=event.estimated, **sexes)


# ---- asking and warning


def label(holding: Holding) -> str:
    """A group by its name and place."""
    return f"{holding.group} in {holding.place}" if holding.place else holding.group


def ask_group(event: Event, fits: list[Holding]) -> Booking:
    """The question which of several groups is meant; each answer says what it would log."""
    raw = event.outside()
    raw.pop("places", None)
    one_place = len({h.place for h in fits}) == 1
    staged = len({(h.group, h.place) for h in fits}) < len(fits) and "stage" in type(event).model_fields
    options = []
    for h in fits:
        patch: dict[str, Any] = {"batch": h.group}
        alone = not any(other.line == h.line and other is not h for other in fits)
        if h.group == h.line and alone:
            patch = {"line": h.line} if "line" in type(event).model_fields else {}
        key = "from" if event.kind == "move" else "place"
        if staged:  # a batch at two stages in one place
            patch["stage"] = h.stage
        name = f"{h.group if one_place else label(h)}{f' {h.stage}' if staged else ''}"
        options.append(Option(name, ({**raw, **patch, key: h.place or None},)))
    return Booking(question=Question("which_group", raw, {"labels": [o.label for o in options]}, tuple(options)))


def too_many(event: Event, count: int, held: Sequence[Holding]) -> Booking:
    """More than the record has: as many as it has, or a count that makes room for them first."""
    first, total = held[0], sum(h.count for h in held)
    raw = event.outside()
    named = {"line": first.line} if len(held) > 1 or first.group == first.line else {"batch": first.group}
    where = {"place": first.place} if first.place else {}
    recount = {"kind": "headcount", **where, **named, "count": count, "stage": first.stage}
    options = (
        Option(str(total), ({**raw, "count": total},)),
        Option(f"yes, {count}", ({**recount, "difference": "unaccounted"}, raw)),
        Option("neither"),
    )
    facts = {"said": count, "held": total, "group": first.group, "place": first.place, "stage": first.stage}
    return Booking(question=Question("too_many", raw, facts, options))


def crossing(place: str | None, lines: set[str], standing: Standing) -> list[Notice]:
    """Warnings when another line already stands there: above all another population of the same species."""
    others = sorted({h.line for h in standing.at_place(place or "")} - lines) if place else []
    kin = [(ours, other) for ours in sorted(lines) for other in others if one_species(standing, ours, other)]
    notices = []
    for ours, other in kin:
        caution = crossing_caution(_population(standing, ours), _population(standing, other))
        facts = {"place": place, "line": ours, "other": other, "caution": caution}
        notices.append(Notice("same_species", facts))
    rest = [other for other in others if other not in {o for _, o in kin}]
    if rest:
        notices.append(Notice("other_line", {"place": place, "lines": rest, "line": ", ".join(sorted(lines))}))
    return notices


def one_species(standing: Standing, one: str, other: str) -> bool:
    """Whether two lines are known to be of one species."""
    both = [standing.lines[name].species for name in (one, other) if name in standing.lines]
    return len(both) == 2 and bool(both[0]) and (both[0] or "").casefold() == (both[1] or "").casefold()


def _population(standing: Standing, line: str) -> str | None:
    return standing.lines[line].population if line in standing.lines else None
