"""Which of the chores an entry tells were done, where; tending an egg tub is a look into it as well."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from shared.events import (
    BadEggsRemoved,
    Dosed,
    EggsEyed,
    EggsPulled,
    Fed,
    FishMoved,
    FryHatched,
    GearServiced,
    HeadsCounted,
    Measured,
    MopHung,
    PeatHandled,
    StockArrived,
    ToppedOff,
    WaterChanged,
)
from shared.ledger.accounts import DATED_BY, KEPT_TIMES, Batch, Chore, Entry
from shared.ledger.past_hatches import known_better

if TYPE_CHECKING:
    from shared.ledger.standing import Standing

_LOOKED_INTO = (BadEggsRemoved, EggsEyed, FryHatched, WaterChanged)


def note_chores(standing: Standing, entry: Entry) -> None:
    """When each of the entry's chores was done last."""
    for place, chore in _chores_told(entry):
        _done(standing, place, chore, entry.at)


def note_look(standing: Standing, entry: Entry) -> None:
    """Whoever tends an egg tub looks into it: no fry mentioned means none seen."""
    place, at = entry.place, entry.at
    if not place or not isinstance(entry.event, _LOOKED_INTO):
        return
    last = standing.last(place, "look")
    _done(standing, place, "look", at)
    if last and at < last:  # told late: it may lie between the last empty look and the first fry
        for batch in standing.batches.values():
            if batch.hatched_in == place and batch.fry_seen and at < batch.fry_seen:
                _clear(standing, batch, at)


def _chores_told(entry: Entry) -> list[tuple[str, str]]:
    """Places, and what was done there."""
    event = entry.event
    here = [entry.place] if entry.place else []
    match event:
        case EggsPulled():
            return [(place, "pull") for place in event.spots]
        case MopHung():
            return [(event.place, "mop")]
        case BadEggsRemoved():
            return [(place, "pick") for place in here]
        case WaterChanged():
            return [(place, "water") for place in here]
        case ToppedOff():
            return [(place, "top off") for place in here]
        case Dosed():
            return [(place, f"dose:{event.substance or 'peroxide'}") for place in here]
        case Fed():
            fed = ["feed", f"feed:{event.food}"] if event.food else ["feed"]
            return [(place, chore) for place in here for chore in fed]
        case Measured() if event.value is not None:
            return [(entry.place or entry.batch or "", f"test:{event.quantity}")]
        case GearServiced():
            return [(place, f"service:{event.item}") for place in here]
        case PeatHandled():
            return [(place, f"peat:{event.action}") for place in here]
        case HeadsCounted():
            return [(place, "count") for place in here]
        case StockArrived():
            return [(place, "arrival") for place in here]
        case FishMoved() if event.to:
            return [(event.to, "arrival")]
        case _:
            return []


def _done(standing: Standing, place: str, chore: str, at: dt.datetime) -> None:
    there = standing.chores.setdefault(place, {})
    found = there.get(chore)
    if found is None:
        found = there[chore] = Chore([])
    found.add(at, KEPT_TIMES if chore.partition(":")[0] in DATED_BY else 1)


def _clear(standing: Standing, batch: Batch, looked: dt.datetime) -> None:
    """Somebody looked at the eggs and saw no fry yet."""
    if looked < (batch.clear_until or batch.laid_from or batch.opened):
        return
    batch.clear_until = looked
    known_better(standing, batch)
