"""What a hatch teaches the next: put down with the first fry, put right by what is told of it later."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from shared.ledger.accounts import KEPT_MEASURES, KEPT_PAST, Batch, PastHatch

if TYPE_CHECKING:
    from shared.ledger.standing import Standing


def remember(standing: Standing, batch: Batch) -> None:
    """Put the hatch of a batch down as it is known now, in the place of what was put down of it before."""
    before = _remembered(standing, batch)
    place = KEPT_PAST
    if before is not None:
        place = standing.past[before.line].index(before)
        del standing.past[before.line][place]
    if batch.laid_from and batch.laid_to and batch.fry_seen and batch.medium != "peat":  # there they wait for water
        hatch = PastHatch(
            batch=batch.name,
            line=batch.line,
            laid_from=batch.laid_from,
            laid_to=batch.laid_to,
            clear_until=batch.clear_until,
            fry_seen=batch.fry_seen,
            temp_c=_mean_c(standing, batch, before),
        )
        kept = standing.past.setdefault(batch.line, [])
        kept.insert(place, hatch)
        del kept[:-KEPT_PAST]


def known_better(standing: Standing, batch: Batch) -> None:
    """Something about a batch was put right: if it has hatched, so is what that taught."""
    if _remembered(standing, batch) is not None:
        remember(standing, batch)


def warmth_told_late(standing: Standing, place: str, at: dt.datetime) -> None:
    """How warm it was somewhere is told only now: eggs that stood there then and have hatched had it so warm."""
    for batch in standing.batches.values():
        if batch.hatched_in == place and batch.laid_from and batch.fry_seen and batch.laid_from <= at <= batch.fry_seen:
            known_better(standing, batch)


def _remembered(standing: Standing, batch: Batch) -> PastHatch | None:
    return next((past for kept in standing.past.values() for past in kept if past.batch == batch.name), None)


def _mean_c(standing: Standing, batch: Batch, before: PastHatch | None) -> float | None:
    """How warm the eggs had it by the readings kept; as it was known before where the older ones are let go of."""
    assert batch.laid_from and batch.fry_seen
    kept = standing.readings.get(batch.hatched_in or "", {}).get("temperature")
    values = [r.value for r in kept or () if batch.laid_from <= r.at <= batch.fry_seen]
    whole = before is None or kept is None or len(kept) < KEPT_MEASURES or kept.at[0] <= batch.laid_from
    if values and whole:
        return sum(values) / len(values)
    return before.temp_c if before else None
