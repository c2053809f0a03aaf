"""From what a note says to what the ledger books: which batch, which accounts, and what must be asked first.

`book` never guesses: what cannot be placed comes back as a question whose every answer says what it would log.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal, TypeAlias

from shared.events import (
    GROUPS,
    BadEggsRemoved,
    BatchOpened,
    CultureTended,
    Dosed,
    EggsEyed,
    EggsPulled,
    Event,
    Fed,
    FishDied,
    FishMoved,
    FishPromised,
    FishSold,
    FryHatched,
    GearServiced,
    HeadsCounted,
    Measured,
    MopHung,
    PeatHandled,
    PlaceClosed,
    PlaceOpened,
    Remarked,
    Stage,
    StockArrived,
    TaskDone,
    ToppedOff,
    WaterChanged,
)
from shared.ledger import Account, Batch, Holding, Posting, Side, Standing, side_of

JOIN_DAYS = 3  # eggs laid within so many days of a tub's batch join it
LONGEST_ON_MOP = dt.timedelta(days=10)  # older eggs would have hatched or been eaten
TOO_FRESH = dt.timedelta(days=4)  # no fish of these rooms hatches sooner in numbers; common practice, no source
USUAL_ON_MOP = dt.timedelta(days=3)  # when nobody knows when the mop was last pulled

Trouble: TypeAlias = Literal[
    "which_group",  # several batches or lines fit
    "nothing_there",  # the record knows of none there
    "too_many",  # more than stand there
    "no_such_batch",
    "difference",  # a head count that differs from the record
    "join_or_apart",  # eggs into a tub with older eggs of the line
    "where",  # no place and no batch
    "which_line",
]
Remark: TypeAlias = Literal[
    "found",
    "other_line",
    "joined",
    "many_losses",
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


def book(event: Event, at: dt.datetime, standing: Standing) -> Booking:
    """Book one event as the room stands. Pure: changes nothing."""
    match event:
        case EggsPulled():
            return _pull(event, at, standing)
        case BadEggsRemoved():
            return _bad_eggs(event, at, standing)
        case EggsEyed():
            return _eyed(event, at, standing)
        case FryHatched():
            return _hatch(event, at, standing)
        case FishMoved():
            return _move(event, at, standing)
        case FishDied():
            return _death(event, at, standing)
        case HeadsCounted():
            return _headcount(event, at, standing)
        case FishSold():
            return _sale(event, at, standing)
        case StockArrived():
            return _arrival(event, at, standing)
        case PeatHandled():
            return _peat(event, at, standing)
        case BatchOpened():
            return _opening(event, at)
        case WaterChanged() | ToppedOff() | Fed():
            spots = expand(event.spots, standing, excepted=event.excepted, eggs=not isinstance(event, Fed))
            if not spots:
                return Booking(question=Question("where", event.outside()))
            return Booking(
                tuple(Draft(event.model_copy(update={"places": (s,), "excepted": ()}), at, place=s) for s in spots)
            )
        case Dosed() | GearServiced() | Remarked() | Measured() if event.places or event.place in GROUPS:
            spots = expand(event.spots, standing)
            if not spots:
                return Booking(question=Question("where", event.outside()))
            return Booking(
                tuple(Draft(event.model_copy(update={"places": (), "place": s}), at, place=s) for s in spots)
            )
        case Dosed() | GearServiced() | Measured() | Remarked():
            batch = getattr(event, "batch", None)
            place = event.place or place_of_batch(standing, batch)
            return Booking((Draft(event, at, place=place, batch=_known(standing, batch)),))
        case PlaceOpened():
            postings: tuple[Posting, ...] = ()
            if event.line and event.role == "breeders" and not standing.fish_at(event.place):
                account = Account(group=event.line, place=event.place, stage="adults")
                postings = (Posting(target=account, outside="start"),)
            return Booking((Draft(event, at, postings, place=event.place, line=event.line),))
        case PlaceClosed():
            left = standing.at_place(event.place)
            notices = (
                (Notice("still_in_use", {"place": event.place, "groups": [h.group for h in left]}),) if left else ()
            )
            return Booking((Draft(event, at, place=event.place),), notices)
        case MopHung():
            return Booking((Draft(event, at, place=event.place),))
        case TaskDone():
            return Booking((Draft(event, at, place=event.place, batch=_known(standing, event.batch)),))
        case CultureTended() | FishPromised() | _:
            return Booking((Draft(event, at, place=getattr(event, "place", None)),))


# ---- finding where


def expand(
    names: Sequence[str], standing: Standing, *, excepted: Sequence[str] = (), eggs: bool = True
) -> tuple[str, ...]:
    """The places a list of names and groups means, in the room's order; `eggs` false leaves egg tubs out of "all"."""
    out: list[str] = []
    places = [p for p in standing.places.values() if not p.closed]
    left_out = set(expand(excepted, standing)) if excepted else set()

    def has(place: str, *stages: Stage) -> bool:
        return any(h.stage in stages for h in standing.at_place(place))

    for name in names:
        match name:
            case "all":
                found = [p.name for p in places if (standing.at_place(p.name) if eggs else standing.fish_at(p.name))]
            case "all tanks":
                found = [p.name for p in places if p.kind == "tank" and standing.at_place(p.name)]
            case "all tubs":
                found = [p.name for p in places if p.kind == "tub" and standing.at_place(p.name)]
            case "all egg tubs":
                found = [p.name for p in places if has(p.name, "eggs") and p.role != "breeders"]
            case "all fry tubs":
                found = [p.name for p in places if p.kind == "tub" and has(p.name, "fry")]
            case "all fry":
                found = [p.name for p in places if has(p.name, "fry")]
            case "all adults":
                found = [p.name for p in places if has(p.name, "adults")]
            case _:
                found = [name]
        out += [f for f in found if f not in out and f not in left_out]
    return tuple(out)


def _known(standing: Standing, batch: str | None) -> str | None:
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
    """The holdings that fit what was said, most fish first."""
    fits = [
        h
        for h in standing.holdings.values()
        if side_of(h.stage) == side
        and (not place or h.place == place)
        and (not batch or h.group == batch)
        and (not line or h.line == line)
    ]
    staged = [h for h in fits if h.stage == stage] if stage else fits
    return sorted(staged or fits, key=lambda h: -h.count)


def _label(holding: Holding) -> str:
    return f"{holding.group} in {holding.place}" if holding.place else holding.group


def _ask_group(event: Event, fits: list[Holding]) -> Booking:
    raw = event.outside()
    raw.pop("places", None)
    one_place = len({h.place for h in fits}) == 1
    options = []
    for h in fits:
        patch: dict[str, Any] = {"batch": h.group} if h.group.startswith("B") or h.group != h.line else {"line": h.line}
        key = "from" if event.kind == "move" else "place"
        options.append(Option(h.group if one_place else _label(h), ({**raw, **patch, key: h.place or None},)))
    return Booking(question=Question("which_group", raw, {"labels": [o.label for o in options]}, tuple(options)))


def _too_many(event: Event, count: int, holding: Holding) -> Booking:
    raw = event.outside()
    where: dict[str, Any] = {"place": holding.place} if holding.place else {"batch": holding.group}
    recount = {"kind": "headcount", **where, "batch": holding.group, "count": count, "stage": holding.stage}
    if holding.group == holding.line:
        recount = {**recount, "line": holding.line}
        del recount["batch"]
    options = (
        Option(str(holding.count), ({**raw, "count": holding.count},)),
        Option(f"yes, {count}", ({**recount, "difference": "unaccounted"}, raw)),
        Option("neither"),
    )
    facts = {
        "said": count,
        "held": holding.count,
        "group": holding.group,
        "place": holding.place,
        "stage": holding.stage,
    }
    return Booking(question=Question("too_many", raw, facts, options))


# ---- eggs


def lay_window(places: Sequence[str], at: dt.datetime, standing: Standing) -> tuple[dt.datetime, dt.datetime]:
    """Between when the eggs now collected were laid: since these mops were last pulled or hung, ten days at most."""
    begins = []
    for place in places:
        before = [t for c in ("pull", "mop") for t in standing.times(place, c) if t < at]
        begins.append(max(before) if before else at - USUAL_ON_MOP)
    begin = min(begins, default=at - USUAL_ON_MOP)
    return max(begin, at - LONGEST_ON_MOP), at


def _pull(event: EggsPulled, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    place = event.place or (event.places[0] if event.places else None)
    lines = {standing.places[p].line for p in event.spots if p in standing.places}
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
        near = [h for h in same if _near(standing.batches.get(h.group), laid_from)]
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
        if any(h.line != line for h in there):
            others = sorted({h.line for h in there if h.line != line})
            notices.append(Notice("other_line", {"place": event.to, "lines": others, "line": line}))
    target = Account(group=name, place=event.to or "", stage="eggs")
    posting = Posting(
        target=target,
        outside="pulled",
        count=event.count,
        estimated=event.estimated,
        counts=event.count is not None and name not in standing.batches,
    )
    draft = Draft(event, at, (posting,), name, place, line, laid_from, laid_to)
    return Booking((draft,), tuple(notices), question)


def _near(batch: Batch | None, laid_from: dt.datetime) -> bool:
    """Whether eggs laid from then on are within the days that may share a batch."""
    if batch is None or batch.laid_to is None or batch.fry_seen is not None:
        return False
    return laid_from - batch.laid_to <= dt.timedelta(days=JOIN_DAYS)


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


def _bad_eggs(event: BadEggsRemoved, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    fits = _egg_holdings(event, standing)
    if not fits:
        draft = Draft(event, at, place=event.spots[0] if event.spots else None)
        return Booking((draft,), (Notice("nothing_on_record", {"place": draft.place, "what": "eggs"}),))
    if len(fits) > 1:
        return _ask_group(event, fits)
    eggs = fits[0]
    if eggs.counted and event.count is not None and event.count > eggs.count:
        return _too_many(event, event.count, eggs)
    posting = Posting(source=eggs.account, outside="bad", count=event.count)
    return Booking((Draft(event, at, (posting,), eggs.group, eggs.place or None),))


def _eyed(event: EggsEyed, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    fits = _egg_holdings(event, standing)
    if len({h.group for h in fits}) > 1:
        return _ask_group(event, fits)
    batch = fits[0].group if fits else _known(standing, event.batch)
    place = (fits[0].place or None) if fits else (event.spots[0] if event.spots else None)
    return Booking((Draft(event, at, batch=batch, place=place),))


def _hatch(event: FryHatched, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    place = event.spots[0] if event.spots else None
    fits = find(standing, "eggs", place=place, batch=event.batch, line=event.line)
    if len(fits) > 1:
        fits = _old_enough(fits, at, standing)
    if len(fits) > 1:
        return _ask_group(event, fits)
    if not fits:
        return _hatch_unlogged(event, at, standing, place)
    eggs = fits[0]
    return Booking(*_hatching(event, at, eggs, event.count, eggs.place, event.estimated))


def _old_enough(fits: list[Holding], at: dt.datetime, standing: Standing) -> list[Holding]:
    """Of several batches in a tub, the one that is hatching already, where the others are too fresh to."""
    begun = [h for h in fits if (b := standing.batches.get(h.group)) and b.fry_seen and b.fry_seen <= at]
    fresh = [
        h
        for h in fits
        if (b := standing.batches.get(h.group)) and not b.fry_seen and b.laid_from and at - b.laid_from < TOO_FRESH
    ]
    return begun if len(begun) == 1 and len(begun) + len(fresh) == len(fits) else fits


def _hatching(
    event: Event, at: dt.datetime, eggs: Holding, count: int | None, to: str, estimated: bool
) -> tuple[tuple[Draft, ...], tuple[Notice, ...]]:
    """Eggs become fry; fry beyond the eggs on record were eggs nobody had counted."""
    postings, notices = [], []
    if count is not None and eggs.counted and count > eggs.count:
        more = count - eggs.count
        postings.append(Posting(target=eggs.account, outside="unaccounted", count=more))
        notices.append(Notice("found", {"count": more, "batch": eggs.group}))
    fry = Account(group=eggs.group, place=to, stage="fry")
    postings.append(
        Posting(source=eggs.account, target=fry, count=count, estimated=estimated, counts=count is not None)
    )
    return (Draft(event, at, tuple(postings), eggs.group, eggs.place or None),), tuple(notices)


def _hatch_unlogged(event: FryHatched, at: dt.datetime, standing: Standing, place: str | None) -> Booking:
    """Fry where no eggs were logged: a batch with no egg count and an unknown lay date."""
    fry = find(standing, "fish", place=place, batch=event.batch, stage="fry")
    kept = standing.places.get(place or "")
    line = event.line or (fry[0].line if fry else None) or (kept.line if kept else None)
    name = _known(standing, event.batch) or (fry[0].group if fry and fry[0].stage == "fry" else None)
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
    return Booking((Draft(event, at, postings, name, where or None, line),))


# ---- fish


def _stage_in(role: str | None, stage: Stage) -> Stage:
    """What fish are called once they stand in a place of that role."""
    if stage == "eggs":
        return "eggs"
    if role == "grow-out" and stage == "fry":
        return "juveniles"
    if role == "breeders":
        return "adults"
    return stage


def _move(event: FishMoved, at: dt.datetime, standing: Standing) -> Booking:
    if event.joins and event.batch:
        return _merge(event, at, standing)
    if not event.source and not event.batch and not event.line:
        return Booking(question=Question("where", event.outside()))
    if not event.to or event.to == event.source:
        return Booking(question=Question("where", event.outside(), {"missing": "to"}))
    sides: tuple[Side, ...] = ("eggs",) if event.stage == "eggs" else ("fish", "eggs")
    fits: list[Holding] = []
    for side in sides:
        fits = find(standing, side, place=event.source, batch=event.batch, line=event.line, stage=event.stage)
        if not fits and event.line and event.source:
            fits = find(standing, side, place=event.source, batch=event.batch, stage=event.stage)
        fits = [h for h in fits if h.place != event.to]
        if fits:
            break
    role = standing.places[event.to].role if event.to in standing.places else None
    if not fits:
        return _move_unlogged(event, at, standing, role)
    whole = event.count is None
    if len(fits) > 1 and not (whole and event.source):
        return _ask_group(event, fits)
    drafts, notices = [], _crossing(event.to, {h.line for h in fits}, standing)
    for held in fits:
        count = event.count
        if held.stage == "eggs" and event.stage != "eggs" and (event.stage or role in ("fry", "nursery", "grow-out")):
            made, more = _hatching(event, at, held, count, event.to, event.estimated)
            drafts += list(made)
            notices += [*more, Notice("implied_hatch", {"batch": held.group, "count": count})]
            continue
        if count is not None and held.counted and count > held.count:
            return _too_many(event, count, held)
        if held.stage == "eggs" and (settled := _into_tub(event, at, held, standing, whole)):
            return settled
        target = Account(group=held.group, place=event.to, stage=_stage_in(role, held.stage))
        all_of_them = whole or (held.counted and count == held.count)
        posting = Posting(
            source=held.account,
            target=target,
            count=None if whole else count,
            male=event.male or 0,
            female=event.female or 0,
            whole=all_of_them,
            estimated=event.estimated,
            counts=not whole and target.key not in standing.holdings,
        )
        batch = held.group if held.group in standing.batches else None
        drafts.append(Draft(event, at, (posting,), batch, held.place or None, held.line))
    return Booking(tuple(drafts), tuple(notices))


def _into_tub(event: FishMoved, at: dt.datetime, held: Holding, standing: Standing, whole: bool) -> Booking | None:
    """Eggs just collected set into a tub with eggs of their line: they join that batch, or it is asked."""
    batch = standing.batches.get(held.group)
    same = [h for h in standing.eggs_at(event.to or "") if h.line == held.line]
    if held.place or batch is None or batch.laid_from is None or not same or not (whole or event.count == held.count):
        return None
    near = [h for h in same if _near(standing.batches.get(h.group), batch.laid_from)]
    if near:
        return _merge(event.model_copy(update={"batch": held.group, "joins": near[-1].group}), at, standing)
    old = same[-1].group
    apart = {"kind": "move", "batch": held.group, "from": event.to, "to": event.to, "stage": "eggs"}
    posting = Posting(source=held.account, target=held.account.model_copy(update={"place": event.to}), whole=True)
    return Booking(
        (Draft(event, at, (posting,), held.group, event.to, held.line),),
        (),
        Question(
            "join_or_apart",
            event.outside(),
            {"batch": held.group, "other": old, "place": event.to},
            (Option(f"with {old}", ({**apart, "joins": old},)), Option("apart")),
        ),
    )


def _merge(event: FishMoved, at: dt.datetime, standing: Standing) -> Booking:
    """A batch becomes part of another one, widening when that one was laid."""
    held = find(standing, "eggs", batch=event.batch) + find(standing, "fish", batch=event.batch)
    other, batch = event.joins, standing.batches.get(event.batch or "")
    if not held or other not in standing.batches or batch is None:
        return Booking(question=Question("no_such_batch", event.outside(), {"batch": event.batch, "other": other}))
    postings = tuple(
        Posting(
            source=h.account,
            target=h.account.model_copy(update={"group": other, "place": event.to or h.place}),
            whole=True,
        )
        for h in held
    )
    widen = Draft(
        event, at, postings, other, event.to or held[0].place or None, batch.line, batch.laid_from, batch.laid_to
    )
    return Booking((widen,), (Notice("joined", {"batch": other, "place": event.to}),))


def _move_unlogged(event: FishMoved, at: dt.datetime, standing: Standing, role: str | None) -> Booking:
    source = standing.places.get(event.source or "")
    line = event.line or (source.line if source else None) or (standing.line_of(event.batch) if event.batch else None)
    notice = Notice("nothing_on_record", {"place": event.source, "what": "fish"})
    if not line or not event.to:
        return Booking((Draft(event, at, place=event.source),), (notice,))
    stage = event.stage or _stage_in(role, "fry" if role in ("fry", "nursery") else "juveniles")
    target = Account(group=_known(standing, event.batch) or line, place=event.to, stage=stage)
    fresh = event.count is not None and target.key not in standing.holdings
    posting = Posting(target=target, outside="start", count=event.count, counts=fresh)
    return Booking((Draft(event, at, (posting,), _known(standing, event.batch), event.source, line),), (notice,))


def _crossing(place: str | None, lines: set[str], standing: Standing) -> list[Notice]:
    """A warning when another line, or another population of the species, already stands there."""
    there = {h.line for h in standing.at_place(place or "")}
    others = sorted(there - lines)
    return [Notice("other_line", {"place": place, "lines": others, "line": ", ".join(sorted(lines))})] if others else []


def _death(event: FishDied, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch and not event.line:
        return Booking(question=Question("where", event.outside()))
    place = event.spots[0] if event.spots else None
    if event.stage == "eggs":
        bad = BadEggsRemoved(place=place, batch=event.batch, count=event.count, date=event.date, time=event.time)
        return _bad_eggs(bad, at, standing)
    fits = find(standing, "fish", place=place, batch=event.batch, line=event.line, stage=event.stage)
    if not fits and event.line:
        fits = find(standing, "fish", place=place, batch=event.batch, stage=event.stage)
    if not fits:
        draft = Draft(event, at, batch=_known(standing, event.batch), place=place, line=event.line)
        return Booking((draft,), (Notice("nothing_on_record", {"place": place, "what": "fish"}),))
    if len(fits) > 1:
        return _ask_group(event, fits)
    fish = fits[0]
    count = event.count
    if count is not None and fish.counted and count > fish.count:
        return _too_many(event, count, fish)
    sexed = {event.sex: count or 0} if event.sex else {}
    posting = Posting(
        source=fish.account,
        outside="died",
        count=count,
        male=sexed.get("male", 0),
        female=sexed.get("female", 0),
    )
    notices = []
    if count and fish.counted and count >= max(3, 0.1 * fish.count):
        notices.append(Notice("many_losses", {"count": count, "place": fish.place}))
    batch = fish.group if fish.group in standing.batches else None
    return Booking((Draft(event, at, (posting,), batch, fish.place or None, fish.line),), tuple(notices))


def _headcount(event: HeadsCounted, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    count = event.count
    if count is None and event.male is not None and event.female is not None:
        count = event.male + event.female
    place = event.spots[0] if event.spots else None
    fits: list[Holding] = []
    for side in ("eggs",) if event.stage == "eggs" else ("fish", "eggs"):
        fits = find(standing, side, place=place, batch=event.batch, line=event.line, stage=event.stage)  # type: ignore[arg-type]
        if fits:
            break
    if len(fits) > 1:
        total_known = all(h.counted for h in fits)
        if total_known and count == sum(h.count for h in fits):
            return Booking((Draft(event, at, place=place),))
        return _ask_group(event, fits)
    if not fits:
        return _first_count(event, at, standing, place, count)
    held = fits[0]
    batch = held.group if held.group in standing.batches else None
    draft = Draft(event, at, (), batch, held.place or None, held.line)
    if count is None:
        return Booking((draft,))
    if not held.counted:
        return Booking((replace(draft, postings=_count_first(standing, held, count, event)),))
    gap = held.count - count
    if gap == 0:
        return Booking((draft,))
    if event.difference == "unaccounted" or gap < 0:
        # More than the record knew were simply missed before; fewer is the keeper's to explain.
        source, target = (held.account, None) if gap > 0 else (None, held.account)
        posting = Posting(source=source, target=target, outside="unaccounted", count=abs(gap))
        notice = () if gap > 0 else (Notice("found", {"count": -gap, "batch": held.group}),)
        return Booking((replace(draft, postings=(posting,)),), notice)
    raw = event.outside()
    named: dict[str, Any] = {"batch": held.group} if batch else {"line": held.line}
    loss: dict[str, Any]
    if held.stage == "eggs":
        loss = {"kind": "bad_eggs", "place": held.place, "batch": held.group, "count": gap}
    else:
        loss = {"kind": "death", "place": held.place, "count": gap, "stage": held.stage, **named}
    unexplained = {**raw, "difference": "unaccounted", "stage": held.stage, **named, "place": held.place}
    options = (
        Option(f"{gap} {'bad' if held.stage == 'eggs' else 'died'}", (loss,)),
        Option(f"{gap} unaccounted for", (unexplained,)),
        Option("leave it"),
    )
    facts = {"gap": gap, "held": held.count, "said": count, "group": held.group, "stage": held.stage}
    return Booking((draft,), (), Question("difference", raw, {**facts, "place": held.place}, options))


def _count_first(standing: Standing, held: Holding, count: int, event: HeadsCounted) -> tuple[Posting, ...]:
    """The first count of fish nobody had counted; fry that hatched uncounted come out of their eggs."""
    missing = count - held.count
    eggs = next((h for h in standing.of_group(held.group) if h.stage == "eggs" and h.counted), None)
    hatched_unknown = "hatched" in standing.tally(held.group, "fish").unknown
    male, female = max(0, (event.male or 0) - held.male), max(0, (event.female or 0) - held.female)
    if held.stage == "fry" and eggs and hatched_unknown and 0 <= missing <= eggs.count:
        return (
            Posting(source=eggs.account, target=held.account, count=missing, counts=True, estimated=event.estimated),
        )
    return (
        Posting(
            target=held.account,
            outside="start",
            count=missing,
            male=male,
            female=female,
            counts=True,
            estimated=event.estimated,
        ),
    )


def _first_count(
    event: HeadsCounted, at: dt.datetime, standing: Standing, place: str | None, count: int | None
) -> Booking:
    """A count where the record knows of nothing: what is there begins here."""
    kept = standing.places.get(place or "")
    line = event.line or (kept.line if kept else None)
    if not line or count is None:
        draft = Draft(event, at, place=place, batch=_known(standing, event.batch))
        return Booking((draft,), (Notice("nothing_on_record", {"place": place, "what": "fish"}),))
    stage: Stage = event.stage or _stage_in(kept.role if kept else None, "juveniles")
    account = Account(group=_known(standing, event.batch) or line, place=place or "", stage=stage)
    posting = Posting(
        target=account,
        outside="start",
        count=count,
        male=event.male or 0,
        female=event.female or 0,
        counts=True,
        estimated=event.estimated,
    )
    return Booking((Draft(event, at, (posting,), _known(standing, event.batch), place, line),))


def _sale(event: FishSold, at: dt.datetime, standing: Standing) -> Booking:
    side: Side = "eggs" if event.stage == "eggs" else "fish"
    fits = find(standing, side, place=event.place, batch=event.batch, line=event.line, stage=event.stage)
    if not event.place and not event.batch and not event.stage:
        young = [h for h in fits if h.stage == "juveniles"]
        fits = young or [h for h in fits if h.stage == "adults"] or fits
        enough = [h for h in fits if h.counted and h.count >= (event.count or 1)]
        fits = enough or fits
    if not (event.place or event.batch or event.line):
        fits = []
    if len(fits) > 1:
        return _ask_group(event, fits)
    if not fits:
        draft = Draft(event, at, place=event.place, batch=_known(standing, event.batch), line=event.line)
        return Booking((draft,), (Notice("nothing_on_record", {"place": event.place, "what": "fish"}),))
    fish, count = fits[0], event.count
    if count is not None and fish.counted and count > fish.count:
        return _too_many(event, count, fish)
    posting = Posting(source=fish.account, outside="sold", count=count, male=event.male or 0, female=event.female or 0)
    batch = fish.group if fish.group in standing.batches else None
    return Booking((Draft(event, at, (posting,), batch, fish.place or None, fish.line),))


def _arrival(event: StockArrived, at: dt.datetime, standing: Standing) -> Booking:
    if not event.line:
        return Booking(question=Question("which_line", event.outside(), {"place": event.place}))
    stage: Stage = event.stage or "adults"
    name = standing.next_batch_name() if stage == "eggs" else None
    account = Account(group=name or event.line, place=event.place or "", stage=stage)
    posting = Posting(
        target=account,
        outside="moved_in",
        count=event.count,
        male=event.male or 0,
        female=event.female or 0,
        counts=event.count is not None and account.key not in standing.holdings,
    )
    notices = _crossing(event.place, {event.line}, standing) if event.place else []
    return Booking((Draft(event, at, (posting,), name, event.place, event.line),), tuple(notices))


def _peat(event: PeatHandled, at: dt.datetime, standing: Standing) -> Booking:
    place = event.spots[0] if event.spots else None
    kept = standing.places.get(place or "")
    line = event.line or (kept.line if kept else None) or (standing.line_of(event.batch) if event.batch else None)
    bags = [h for h in find(standing, "eggs", batch=event.batch, line=line) if h.place.startswith("peat")]
    if event.action == "wet" or event.batch:
        if len(bags) > 1 and not event.batch:
            return _ask_group(event, bags)
        if not bags and not event.batch:
            return Booking(
                (Draft(event, at, place=place, line=line),), (Notice("nothing_on_record", {"what": "peat"}),)
            )
        batch = bags[0].group if bags else _known(standing, event.batch)
        return Booking((Draft(event, at, batch=batch, place=place, line=line),))
    if not line:
        return Booking(question=Question("which_line", event.outside(), {"place": place}))
    drying = [
        h
        for h in bags
        if (b := standing.batches.get(h.group)) and b.laid_to and at - b.laid_to < dt.timedelta(days=JOIN_DAYS)
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
    return Booking((Draft(event, at, (posting,), name, place, line, laid_from, at),))


def _opening(event: BatchOpened, at: dt.datetime) -> Booking:
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
