"""Eggs in the ledger: pulled, set, picked over, eyed and hatched, dried and wetted; which batch each of it is of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from shared.events import BadEggsRemoved, BatchOpened, EggsEyed, EggsPulled, Event, FryHatched, PeatHandled
from shared.kin.lineage import UNKNOWN, Stay, generation_label, young_of
from shared.ledger.accounts import medium_of
from shared.ledger.drafts import (
    Booking,
    Draft,
    Notice,
    Option,
    Question,
    ask_group,
    crossing,
    find,
    known,
    one_species,
    place_of_batch,
    too_many,
)
from shared.ledger.standing import Account, Batch, Holding, Posting, Standing

JOIN_DAYS = 3  # eggs laid within so many days of a tub's batch join it
LONGEST_ON_MOP = dt.timedelta(days=10)  # older eggs would have hatched or been eaten
TOO_FRESH = dt.timedelta(days=4)  # no fish of these rooms hatches sooner in numbers; common practice, no source
USUAL_ON_MOP = dt.timedelta(days=3)  # when nobody knows when the mop was last pulled
ONE_HATCH = dt.timedelta(days=7)  # fry skimmed within so many days are one batch; common practice, no source


def lay_window(places: Sequence[str], at: dt.datetime, standing: Standing) -> tuple[dt.datetime, dt.datetime]:
    """Between when the eggs now collected were laid: since these mops were last pulled or hung, ten days at most."""
    begins = []
    for place in places:
        before = [t for c in ("pull", "mop") for t in standing.times(place, c) if t < at]
        begins.append(max(before) if before else at - USUAL_ON_MOP)
    begin = min(begins, default=at - USUAL_ON_MOP)
    return max(begin, at - LONGEST_ON_MOP), at


def pull(event: EggsPulled, at: dt.datetime, standing: Standing) -> Booking:
    """Eggs collected: a new batch, or part of one laid within days in the tub they go to."""
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    place = event.place or (event.places[0] if event.places else None)
    lines = {standing.places[p].line for p in event.spots if p in standing.places}
    if lines == {None}:  # a tank of no line, where growing fish of one line stand
        lines = {h.line for p in event.spots for h in standing.fish_at(p)}
    line = event.line or (lines.pop() if len(lines) == 1 else None) or "unknown"
    if event.count == 0:
        return Booking((Draft(event, at, place=place, line=line),))
    laid_from, laid_to = lay_window(event.spots, at, standing)
    notices: list[Notice] = []
    name, question = standing.next_batch_name(), None
    if event.batch and event.batch in standing.batches:
        name = event.batch
    elif event.to:
        there = standing.eggs_at(event.to)
        same = [h for h in there if h.line == line]
        near = [h for h in same if near_to(standing.batches.get(h.group), laid_from)]
        if near:
            name = near[-1].group
            notices.append(Notice("joined", {"batch": name, "place": event.to}))
        elif same:
            old = same[-1].group
            merge = {"kind": "move", "batch": name, "from": event.to, "to": event.to, "stage": "eggs", "joins": old}
            question = Question(
                "join_or_apart",
                event.outside(),
                {"batch": name, "other": old, "place": event.to},
                (Option(f"with {old}", (merge,)), Option("apart")),
            )
        notices += crossing(event.to, {line}, standing)
    bag = "peat bag" if medium_of(event.medium) == "peat" else ""
    target = Account(group=name, place=event.to or bag, stage="eggs")
    posting = Posting(
        target=target,
        outside="pulled",
        count=event.count,
        estimated=event.estimated,
        counts=event.count is not None and name not in standing.batches,
    )
    draft = Draft(event, at, (posting,), name, place, line, laid_from, laid_to)
    parents = standing.parents_at(event.spots, laid_from, laid_to)
    notices += _two_lines(name, lines_of(parents, line), standing)
    if question is None and name not in standing.batches:
        question = _which_generation(event, name, parents)
    return Booking((draft,), tuple(notices), question)


def lines_of(parents: Sequence[Stay], line: str) -> list[str]:
    """The lines eggs may be of: the one they are said to be, and those whose fish stood with the mop."""
    return list(dict.fromkeys([line, *(stay.line for stay in parents)]))


def _two_lines(batch: str, lines: Sequence[str], standing: Standing) -> list[Notice]:
    """A warning when eggs may be crosses, or of fish nobody has named; another species alone is no parent."""
    first, others = lines[0], lines[1:]

    def may_be(other: str) -> bool:
        known = [standing.lines[name].species for name in (first, other) if name in standing.lines]
        return len([species for species in known if species]) < 2 or one_species(standing, first, other)

    doubtful = [other for other in others if may_be(other)]
    return [Notice("two_lines", {"batch": batch, "lines": [first, *doubtful]})] if doubtful else []


def _which_generation(event: Event, batch: str, parents: Sequence[Stay]) -> Question | None:
    """Parents of unlike generations, wild with F1: only the keeper can say what the young are called."""
    young = young_of(stay.generation for stay in parents)
    if len(young.options) < 2:
        return None
    labels = list(dict.fromkeys(generation_label(stay.generation) or UNKNOWN for stay in parents))
    options = [
        Option(label, ({"kind": "setting", "batch": batch, "what": "generation", "value": label},))
        for label in (*young.options, UNKNOWN)
    ]
    facts = {"batch": batch, "parents": labels}
    return Question("which_generation", event.outside(), facts, tuple(options))


def near_to(batch: Batch | None, laid_from: dt.datetime) -> bool:
    """Whether eggs laid from then on are within the days that may share a batch."""
    if batch is None or batch.laid_from is None or batch.laid_to is None or batch.fry_seen is not None:
        return False  # bought eggs of no known date stay by themselves
    days = dt.timedelta(days=JOIN_DAYS)
    return laid_from - batch.laid_to <= days and batch.laid_from - laid_from <= days + LONGEST_ON_MOP


def _egg_holdings(event: BadEggsRemoved | EggsEyed, standing: Standing) -> list[Holding]:
    """The eggs an event speaks of; at a breeding tank, those collected from it last."""
    found: list[Holding] = []
    for spot in event.spots or (None,):
        found += find(standing, "eggs", place=spot, batch=event.batch)
    if not found and event.spots and not event.batch:
        fresh = [b for b in standing.batches.values() if set(b.parents) & set(event.spots)]
        if fresh:
            newest = max(fresh, key=lambda b: b.laid_to or b.opened)
            found = find(standing, "eggs", batch=newest.name)
    return found


def bad_eggs(event: BadEggsRemoved, at: dt.datetime, standing: Standing) -> Booking:
    """White, fungused or clear eggs taken out of the one batch that fits."""
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    fits = _egg_holdings(event, standing)
    if not fits:
        draft = Draft(event, at, place=event.spots[0] if event.spots else None)
        return Booking((draft,), (Notice("nothing_on_record", {"place": draft.place, "what": "eggs"}),))
    fits = _there_by(fits, at)
    if len(fits) > 1:
        return ask_group(event, fits)
    eggs = fits[0]
    if eggs.counted and event.count is not None and event.count > eggs.count:
        return too_many(event, event.count, [eggs])
    posting = Posting(source=eggs.account, outside="bad", count=event.count, estimated=event.estimated)
    return Booking((Draft(event, at, (posting,), eggs.group, eggs.place or None),))


def _there_by(fits: list[Holding], at: dt.datetime) -> list[Holding]:
    """Of several that fit a late note, those that were there by then; all where the record cannot tell."""
    return [h for h in fits if h.since <= at] or fits


def eyed(event: EggsEyed, at: dt.datetime, standing: Standing) -> Booking:
    """Eggs seen eyed; no number moves."""
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    fits = _egg_holdings(event, standing)
    if len({h.group for h in fits}) > 1:
        return ask_group(event, fits)
    batch = fits[0].group if fits else known(standing, event.batch)
    place = (fits[0].place or None) if fits else (event.spots[0] if event.spots else None)
    return Booking((Draft(event, at, batch=batch, place=place),))


def hatch(event: FryHatched, at: dt.datetime, standing: Standing) -> Booking:
    """Fry out of the eggs that fit, or of eggs nobody logged; never out of eggs that were not laid yet."""
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    place = event.spots[0] if event.spots else None
    fits = find(standing, "eggs", place=place, batch=event.batch, line=event.line)
    if len(fits) > 1:
        fits = _old_enough(_there_by(fits, at), at, standing)
    if len(fits) > 1:
        return ask_group(event, fits)
    if not fits:
        return _hatch_unlogged(event, at, standing, place)
    eggs = fits[0]
    batch = standing.batches.get(eggs.group)
    others = {"batch": standing.next_batch_name(), "line": eggs.line, "place": eggs.place or place}
    if asked := before_laid(event, at, eggs, standing, others):
        return asked
    own = _next_wetting(batch, at, standing) if batch else None
    return Booking(*hatching(event, at, eggs, event.count, eggs.place, event.estimated, own))


def before_laid(
    event: Event, at: dt.datetime, eggs: Holding, standing: Standing, others: dict[str, Any] | None = None
) -> Booking | None:
    """Fry at a time when these eggs were not laid: asked; `others` says how fry of other eggs would be logged."""
    batch = standing.batches.get(eggs.group)
    if batch is None:
        return None
    begun = batch.laid_from or batch.opened  # eggs of no known date were not here before they came
    if at >= begun:
        return None
    raw = event.outside()
    options = (*((Option("other eggs", ({**raw, **others},)),) if others else ()), Option("leave it"))
    facts = {"batch": eggs.group, "begun": begun, "laid": batch.laid_from is not None, "at": at}
    return Booking(question=Question("before_laid", raw, facts, options))


def _next_wetting(batch: Batch, at: dt.datetime, standing: Standing) -> str | None:
    """Under which name the fry of a later wetting stand: weeks younger than those of the first, they are a batch."""
    if batch.medium != "peat" or not batch.wetted or not batch.fry_seen or at - batch.fry_seen <= ONE_HATCH:
        return None
    if batch.fry_seen > batch.wetted:
        return None
    young = [
        b.name
        for b in standing.batches.values()
        if b.joined == batch.name and b.fry_seen and abs(at - b.fry_seen) <= ONE_HATCH
    ]
    return young[-1] if young else standing.next_batch_name()


def _old_enough(fits: list[Holding], at: dt.datetime, standing: Standing) -> list[Holding]:
    """Of several batches in a tub, the one that is hatching already, where the others are too fresh to."""
    begun = [h for h in fits if (b := standing.batches.get(h.group)) and b.fry_seen and b.fry_seen <= at]
    fresh = [
        h
        for h in fits
        if (b := standing.batches.get(h.group)) and not b.fry_seen and b.laid_from and at - b.laid_from < TOO_FRESH
    ]
    return begun if len(begun) == 1 and len(begun) + len(fresh) == len(fits) else fits


def hatching(
    event: Event, at: dt.datetime, eggs: Holding, count: int | None, to: str, estimated: bool, own: str | None = None
) -> tuple[tuple[Draft, ...], tuple[Notice, ...]]:
    """Eggs become fry, under a name of their `own` where given; fry beyond the eggs on record had not been counted."""
    postings, notices = [], []
    if count is not None and eggs.counted and count > eggs.count:
        more = count - eggs.count
        postings.append(Posting(target=eggs.account, outside="unaccounted", count=more))
        notices.append(Notice("found", {"count": more, "batch": eggs.group}))
    fry = Account(group=own or eggs.group, place=to, stage="fry")
    postings.append(
        Posting(source=eggs.account, target=fry, count=count, estimated=estimated, counts=count is not None)
    )
    draft = Draft(event, at, tuple(postings), eggs.group, eggs.place or None)
    if own:
        draft = replace(draft, batch=own, line=eggs.line, joins=eggs.group)
    return (draft,), tuple(notices)


def _just_hatched(standing: Standing, fry: Holding, at: dt.datetime) -> bool:
    """Whether fry found now may be counted to those: a week apart they are a batch of their own."""
    batch = standing.batches.get(fry.group)
    return batch is not None and (batch.fry_seen is None or abs(at - batch.fry_seen) <= ONE_HATCH)


def _hatch_unlogged(event: FryHatched, at: dt.datetime, standing: Standing, place: str | None) -> Booking:
    """Fry where no eggs were logged: a batch with no egg count and an unknown lay date."""
    fry = find(standing, "fish", place=place, batch=event.batch, stage="fry")
    kept = standing.places.get(place or "")
    line = event.line or (fry[0].line if fry else None) or (kept.line if kept else None)
    young = [h for h in fry if h.stage == "fry" and _just_hatched(standing, h, at)]
    name = known(standing, event.batch) or (young[0].group if young and not event.batch else None)
    if not line:
        return Booking(question=Question("which_line", event.outside(), {"place": place}))
    name = name or standing.next_batch_name()
    where = place or place_of_batch(standing, name) or ""
    eggs = Account(group=name, place=where, stage="eggs")
    target = Account(group=name, place=where, stage="fry")
    count = event.count
    postings: tuple[Posting, ...] = (
        Posting(target=eggs, outside="unaccounted", count=count, counts=True),
        Posting(source=eggs, target=target, count=count, estimated=event.estimated, counts=count is not None),
    )
    if count is None:
        postings = (Posting(target=target, outside="start"),)
    parents = standing.parents_at([where], at, at) if name not in standing.batches else []
    asked = _which_generation(event, name, parents)
    return Booking((Draft(event, at, postings, name, where or None, line),), question=asked)


def peat(event: PeatHandled, at: dt.datetime, standing: Standing) -> Booking:
    """Peat with eggs taken out, put up damp or wetted: a batch of its own from the first of these on."""
    place = event.spots[0] if event.spots else None
    kept = standing.places.get(place or "")
    line = (
        event.line
        or (kept.line if kept else None)
        or (standing.line_of(event.batch or "") if event.batch in standing.batches else None)
    )
    bags = [h for h in find(standing, "eggs", batch=event.batch, line=line) if h.place.startswith("peat")]
    if event.action == "wet" or event.batch:
        if len(bags) > 1 and not event.batch:
            return ask_group(event, bags)
        if not bags and not event.batch:
            return Booking(
                (Draft(event, at, place=place, line=line),), (Notice("nothing_on_record", {"what": "peat"}),)
            )
        batch = bags[0].group if bags else known(standing, event.batch)
        return Booking((Draft(event, at, batch=batch, place=place, line=line),))
    if not line:
        return Booking(question=Question("which_line", event.outside(), {"place": place}))
    drying = [
        h
        for h in bags
        if (b := standing.batches.get(h.group))
        and b.laid_from
        and b.laid_to
        and at - b.laid_to < dt.timedelta(days=JOIN_DAYS)
    ]
    if event.action == "bag" and drying:
        return Booking((Draft(event, at, batch=drying[-1].group, place=place, line=line),))
    name = standing.next_batch_name()
    account = Account(group=name, place="peat bag", stage="eggs")
    before = [
        t for t in (*standing.times(place or "", "peat:collect"), *standing.times(place or "", "peat:bag")) if t < at
    ]
    laid_from = max([*before, at - dt.timedelta(days=14)])
    posting = Posting(target=account, outside="pulled", count=event.count, counts=event.count is not None)
    parents = standing.parents_at([place], laid_from, at) if place else []
    asked = _which_generation(event, name, parents)
    return Booking((Draft(event, at, (posting,), name, place, line, laid_from, at),), question=asked)


def opening(event: BatchOpened, at: dt.datetime) -> Booking:
    """A batch that stood in the room when the record began."""
    account = Account(group=event.batch, place=event.place, stage=event.stage)
    posting = Posting(
        target=account,
        outside="start",
        count=event.count,
        counts=event.count is not None,
        estimated=event.estimated,
    )
    laid_from, laid_to = event.laid_from, event.laid_to or event.laid_from
    return Booking(
        (
            Draft(
                event,
                at,
                (posting,),
                event.batch,
                event.place,
                event.line,
                dt.datetime.combine(laid_from, dt.time(0), at.tzinfo) if laid_from else None,
                dt.datetime.combine(laid_to, dt.time(23, 59), at.tzinfo) if laid_to else None,
            ),
        )
    )
