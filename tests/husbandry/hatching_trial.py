"""What the hatching estimates say, batch by batch, in make-believe rooms, beside what then happened."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from shared.hatching.estimate import BatchHatch, PastBatch, batch_hatch
from tests.husbandry.hatching_room import Laid, room


@dataclass(frozen=True)
class Said:
    batch: Laid
    at_pull: BatchHatch
    midway: BatchHatch | None  # at the last look without fry
    afterwards: BatchHatch | None  # failed ones, 60 days later and still no fry

    @property
    def width(self) -> dt.timedelta:
        assert self.at_pull.first_fry
        return self.at_pull.first_fry.p90 - self.at_pull.first_fry.p10


def past(batch: Laid) -> PastBatch:
    return PastBatch(
        batch.laid_from,
        batch.laid_to,
        batch.clear_until,
        batch.fry_seen,
        round(batch.mean_c, 1),
        batch.species,
        batch.line,
        batch.eggs,
    )


def trial(rooms: int, batches: int = 8, first_seed: int = 0) -> Iterator[Said]:
    """Every batch asked about when pulled, knowing only what was known then."""
    for seed in range(first_seed, first_seed + rooms):
        for line in room(seed, batches):
            for number, batch in enumerate(line):
                before = line[:number]

                def ask(
                    now: dt.datetime,
                    clear: dt.datetime | None,
                    batch: Laid = batch,
                    before: list[Laid] = before,
                ) -> BatchHatch:
                    return batch_hatch(
                        batch.species,
                        batch.laid_from,
                        batch.laid_to,
                        now,
                        [reading for reading in batch.readings if reading[0] <= now],
                        line=batch.line,
                        earlier=[past(old) for old in before if old.fry_seen and old.fry_seen <= now],
                        clear_until=clear,
                        eggs=batch.eggs,
                    )

                clear = batch.clear_until
                late = batch.laid_to + dt.timedelta(days=60)
                yield Said(
                    batch,
                    ask(batch.laid_to, None),
                    ask(clear, clear) if clear is not None else None,
                    ask(late, late) if batch.first is None else None,
                )
