"""From what a note says to what the ledger books: which batch, which accounts, and what must be asked first.

`book` never guesses: what cannot be placed comes back as a question whose every answer says what it would log.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

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
    RoutineSet,
    Stage,
    StockArrived,
    TaskDone,
    ToppedOff,
    WaterChanged,
)
from shared.kin.lineage import STRAY
from shared.ledger.drafts import Booking as Booking
from shared.ledger.drafts import Draft as Draft
from shared.ledger.drafts import Notice as Notice
from shared.ledger.drafts import Option as Option
from shared.ledger.drafts import Question as Question
from shared.ledger.drafts import Trouble, crossing, known, place_of_batch
from shared.ledger.egg_booking import bad_eggs, eyed, hatch, opening, peat, pull
from shared.ledger.fish_booking import arrival, death, headcount, sale
from shared.ledger.move_booking import move
from shared.ledger.standing import OF_THE_FISH, Account, Posting, Standing


def book(event: Event, at: dt.datetime, standing: Standing) -> Booking:
    """Book one event as the room stands. Pure: changes nothing."""
    match event:
        case EggsPulled():
            return pull(event, at, standing)
        case BadEggsRemoved():
            return bad_eggs(event, at, standing)
        case EggsEyed():
            return eyed(event, at, standing)
        case FryHatched():
            return hatch(event, at, standing)
        case FishMoved():
            return move(event, at, standing)
        case FishDied():
            return death(event, at, standing)
        case HeadsCounted():
            return headcount(event, at, standing)
        case FishSold():
            return sale(event, at, standing)
        case StockArrived():
            return arrival(event, at, standing)
        case PeatHandled():
            return peat(event, at, standing)
        case BatchOpened():
            return opening(event, at)
        case WaterChanged() | ToppedOff() | Fed():
            spots = expand(event.spots, standing, excepted=event.excepted, eggs=not isinstance(event, Fed))
            return _in_each(event, at, {spot: {"places": (spot,), "excepted": ()} for spot in spots})
        case Dosed() | GearServiced() | Remarked() | Measured() if event.places or event.place in GROUPS:
            spots = expand(event.spots, standing)
            return _in_each(event, at, {spot: {"places": (), "place": spot} for spot in spots})
        case Dosed() | GearServiced() | Measured() | Remarked():
            batch = getattr(event, "batch", None)
            place = event.place or place_of_batch(standing, batch)
            draft = Draft(event, at, place=place, batch=known(standing, batch))
            return Booking((draft,), _at_odds(event, at, place, standing) if isinstance(event, Measured) else ())
        case PlaceOpened():
            return _place_opened(event, at, standing)
        case PlaceClosed():
            return _place_closed(event, at, standing)
        case MopHung():
            return Booking((Draft(event, at, place=event.place),))
        case TaskDone():
            return Booking((Draft(event, at, place=event.place, batch=known(standing, event.batch)),))
        case RoutineSet() if event.what in OF_THE_FISH:
            return _say(event, at, standing)
        case CultureTended() | FishPromised() | _:
            return Booking((Draft(event, at, place=getattr(event, "place", None)),))


def _in_each(event: Event, at: dt.datetime, alone: Mapping[str, dict[str, Any]]) -> Booking:
    """An entry for each place of what was done in several; `alone` says how the event names it by itself."""
    if not alone:
        return Booking(question=Question("where", event.outside()))
    return Booking(tuple(Draft(event.model_copy(update=named), at, place=place) for place, named in alone.items()))


def _place_opened(event: PlaceOpened, at: dt.datetime, standing: Standing) -> Booking:
    """A place, with the line that breeds in it where nothing is known of its fish yet."""
    postings: tuple[Posting, ...] = ()
    if event.line and event.role == "breeders" and not standing.fish_at(event.place):
        account = Account(group=event.line, place=event.place, stage="adults")
        postings = (Posting(target=account, outside="start"),)
    return Booking((Draft(event, at, postings, place=event.place, line=event.line),))


def _place_closed(event: PlaceClosed, at: dt.datetime, standing: Standing) -> Booking:
    left = standing.at_place(event.place)
    facts = {"place": event.place, "groups": [h.group for h in left]}
    return Booking((Draft(event, at, place=event.place),), (Notice("still_in_use", facts),) if left else ())


# What water cannot do within an hour, by what is measured: °C, pH; common practice, no source.
_LEAPS = {"temperature": 5.0, "ph": 1.5}
_SAME_HOUR = dt.timedelta(hours=1)


def _at_odds(event: Measured, at: dt.datetime, place: str | None, standing: Standing) -> tuple[Notice, ...]:
    """A word on a reading that cannot be true beside the last one of the same hour."""
    last = standing.latest(place, event.quantity) if place else None
    leap = _LEAPS.get(event.quantity)
    if last is None or leap is None or event.value is None or abs(last.at - at) > _SAME_HOUR:
        return ()
    if abs(last.value - event.value) < leap:
        return ()
    facts = {"place": place, "quantity": event.quantity, "value": last.value, "at": last.at}
    return (Notice("at_odds", facts),)


def _say(event: RoutineSet, at: dt.datetime, standing: Standing) -> Booking:
    """What the keeper says fish or eggs are: generation, medium, population, species, line, when they were laid."""
    raw, place = event.outside(), event.spots[0] if event.spots else None
    there = [h.group for h in standing.at_place(place or "") if h.group in standing.batches] if place else []
    batch = known(standing, event.batch) or (there[0] if len(set(there)) == 1 else None)
    draft = Draft(event, at, batch=batch, place=place)
    said = str(event.value or "").strip()
    if event.what == "line":
        return _identify(event, draft, said, standing)
    if event.what == "laid":
        window = _dates(said, at)
        if window is None or batch is None:
            trouble: Trouble = "when_laid" if batch else "where"
            return Booking(question=Question(trouble, raw, {"batch": batch, "said": said}))
        return Booking((replace(draft, laid_from=window[0], laid_to=window[1]),))
    lines = {h.line for h in standing.fish_at(place or "") if h.group == h.line and h.line != STRAY}
    if event.what == "generation" and not event.batch and not event.line and len(lines) == 1:
        return Booking((replace(draft, batch=None),))
    if batch is None and event.line not in standing.lines:
        return Booking(question=Question("where", raw))
    return Booking((draft,))


def _dates(said: str, at: dt.datetime) -> tuple[dt.datetime, dt.datetime] | None:
    """The days `2026-01-10` or `2026-01-10/2026-01-14` mean; None where they are none, or still to come."""
    try:
        days = [dt.date.fromisoformat(part.strip()) for part in said.split("/")]
    except ValueError:
        return None
    begin = dt.datetime.combine(days[0], dt.time(0), at.tzinfo)
    end = min(dt.datetime.combine(days[-1], dt.time(23, 59), at.tzinfo), at)
    return (begin, end) if len(days) <= 2 and begin <= end else None


def _identify(event: RoutineSet, draft: Draft, line: str, standing: Standing) -> Booking:
    """Fish nobody could name get their line: a whole batch, or the unknown fish of a place."""
    if line not in standing.lines:
        return Booking(question=Question("no_such_line", event.outside(), {"line": line}))
    if draft.batch and (event.batch or standing.batches[draft.batch].line == STRAY):
        notices = [n for h in standing.of_group(draft.batch) for n in crossing(h.place, {line, h.line}, standing)]
        return Booking((draft,), tuple(notices))
    strays = [h for h in standing.of_group(STRAY) if not draft.place or h.place == draft.place]
    if not strays or len({h.place for h in strays}) > 1:
        return Booking(question=Question("where", event.outside()))
    postings = tuple(
        Posting(source=h.account, target=h.account.model_copy(update={"group": line}), whole=True) for h in strays
    )
    notices = crossing(strays[0].place, {line, STRAY}, standing)
    return Booking((replace(draft, batch=None, postings=postings, line=line),), tuple(notices))


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
            case "all" if eggs:  # of water: the tanks; tubs have their own rounds
                found = [p.name for p in places if p.kind == "tank" and standing.at_place(p.name)]
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
