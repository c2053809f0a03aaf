"""Published hatch figures predicted by a fit that has not seen them: one row, or one whole species, left out."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from statistics import NormalDist, median

from shared.hatching.development import BATCH_SPREAD, SOURCE_SPREAD, HatchRow, Pooling, hatch_rows
from shared.species import find_species

Z90 = NormalDist().inv_cdf(0.9)


@dataclass(frozen=True)
class Miss:
    """One figure and what was said of it blind."""

    row: HatchRow
    said_days: float
    spreads_off: float  # log error in predictive standard deviations

    @property
    def relative(self) -> float:
        return abs(self.said_days / self.row.half_days - 1)

    @property
    def held(self) -> bool:
        """Whether the 80 % window held it."""
        return abs(self.spreads_off) <= Z90


def scored() -> list[HatchRow]:
    """Rows fit to be scored: of high or medium confidence, at a stated temperature."""
    return [r for r in hatch_rows() if r.use == "fit" and r.confidence != "low" and r.temp_c is not None]


def _miss(row: HatchRow, pooling: Pooling) -> Miss:
    species = find_species(row.species)
    assert species is not None and row.temp_c is not None
    pace = pooling.pace(species)
    said = pace.days(row.temp_c)
    spread = math.sqrt(pace.variance(row.temp_c) + SOURCE_SPREAD**2 + BATCH_SPREAD**2)
    return Miss(row, said, math.log(row.half_days / said) / spread)


def rows_left_out() -> list[Miss]:
    """Each row of a species that has others, predicted without it."""
    fitted = [row for row in hatch_rows() if row.use == "fit"]
    misses = []
    for row in scored():
        rest = [other for other in fitted if other.row_id != row.row_id]
        if any(other.species == row.species for other in rest):
            misses.append(_miss(row, Pooling(rest)))
    return misses


def species_left_out() -> list[Miss]:
    """Each row, predicted without any figure for its species."""
    fitted = [row for row in hatch_rows() if row.use == "fit"]
    misses = []
    for name in dict.fromkeys(row.species for row in scored()):
        pooling = Pooling([row for row in fitted if row.species != name])
        misses += [_miss(row, pooling) for row in scored() if row.species == name]
    return misses


def median_error(misses: list[Miss]) -> float:
    return median(miss.relative for miss in misses)


def share_held(misses: list[Miss]) -> float:
    return sum(miss.held for miss in misses) / len(misses)


def median_error_between(misses: list[Miss], draws: int = 2000) -> tuple[float, float]:
    """90 % bootstrap interval of the median error, drawing whole species since their rows are not independent."""
    dice = random.Random(4)
    by_species: dict[str, list[Miss]] = {}
    for miss in misses:
        by_species.setdefault(miss.row.species, []).append(miss)
    groups = list(by_species.values())
    drawn = sorted(
        median_error([miss for group in dice.choices(groups, k=len(groups)) for miss in group]) for _ in range(draws)
    )
    return drawn[draws // 20], drawn[-draws // 20]


def wilson(hits: int, of: int, z: float = 1.96) -> tuple[float, float]:
    """95 % interval of a share (Wilson 1927)."""
    share, bend = hits / of, z * z / of
    middle = (share + bend / 2) / (1 + bend)
    half = z / (1 + bend) * math.sqrt(share * (1 - share) / of + bend / (4 * of))
    return middle - half, middle + half
