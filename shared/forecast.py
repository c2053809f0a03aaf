"""When the batches that stand in the room will hatch: the record's dates and temperatures put into the estimate."""

from __future__ import annotations

import datetime as dt

from shared.hatching import BatchHatch, PastBatch, batch_hatch
from shared.ledger import Batch, Standing


def hatches(batch: Batch) -> bool:
    """Whether this batch is eggs still waited for, with a lay date to reckon from."""
    return batch.fry_seen is None and batch.joined is None and batch.laid_from is not None


def temperatures(standing: Standing, batch: Batch) -> list[tuple[dt.datetime, float]]:
    """What was logged where the eggs stand, else where they were laid; °C, oldest first."""
    spots = [h.place for h in standing.of_group(batch.name) if h.stage == "eggs" and h.place]
    for spot in (*spots, *batch.parents):
        kept = standing.readings.get(f"{spot}|temperature")
        if kept:
            return [(r.at, r.value) for r in kept]
    return []


def experience(standing: Standing, line: str) -> list[PastBatch]:
    """The room's own finished batches, its other lines included: each line learns a little from all."""
    past = []
    for name, kept in standing.past.items():
        species = standing.lines[name].species if name in standing.lines else None
        past += [
            PastBatch(
                laid_from=p.laid_from,
                laid_to=p.laid_to,
                clear_until=p.clear_until if p.clear_until and p.clear_until < p.fry_seen else None,
                fry_seen=p.fry_seen,
                temp_c=p.temp_c,
                species=species,
                line=name,
            )
            for p in kept
            if p.fry_seen >= p.laid_from
        ]
    return past


def forecast(standing: Standing, name: str, now: dt.datetime) -> BatchHatch | None:
    """The hatch estimate of a batch, or None where there is nothing to reckon from."""
    batch = standing.batches.get(name)
    if batch is None or batch.laid_from is None:
        return None
    line = standing.lines.get(batch.line)
    looks = [t for h in standing.of_group(name) for t in standing.times(h.place, "look") if t >= batch.laid_from]
    return batch_hatch(
        line.species if line else None,
        batch.laid_from,
        batch.laid_to or batch.laid_from,
        now,
        temperatures=[(at, value) for at, value in temperatures(standing, batch) if at <= now],
        line=batch.line,
        earlier=experience(standing, batch.line),
        clear_until=max(looks, default=None) if batch.fry_seen is None else batch.clear_until,
        eggs=sum(h.count for h in standing.of_group(name) if h.stage == "eggs" and h.counted) or None,
        medium=batch.medium,
    )
