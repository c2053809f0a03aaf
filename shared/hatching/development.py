"""How fast eggs develop at a temperature: published figures, pooled over species, genus, family and egg type.

Rate is linear in temperature, 1/D = (T − T0)/K (Kamler 2002, Rev. Fish Biol. Fish. 12:79–103). Log D at 25 °C
and T0 are Gaussian effects that near relatives share, so the pooling is one linear solve. Settings below were
fixed from what is known of scatter between sources and species, before any figure was left out and predicted.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from operator import mul
from typing import NamedTuple

from shared.species import REFERENCE, Species, find_species

REFERENCE_C = 25.0
COLD_LIMIT_C = 10.0  # prior mean of T0, about that of zebrafish (Kimmel et al. 1995: 10.4 °C)
MEAN_LOG_DAYS = math.log(6.0)  # prior mean of log days at 25 °C, with the spread `everything` below
# Standard deviations of log days at 25 °C: what fish of one egg type, family, genus and species share.
SPREAD = {"everything": 0.8, "egg_type": 0.5, "family": 0.35, "genus": 0.25, "species": 0.2}
COLD_SPREAD_C = {"everything": 1.0, "family": 2.0, "genus": 1.0, "species": 1.5}  # of T0, °C
SOURCE_SPREAD = 0.15  # one room or paper against another: published pairs differ by 20–60 %
BATCH_SPREAD = 0.09  # batches of one room at one temperature
WITHIN_BATCH = {"plant-spawner": 0.08, "bottom": 0.08, "annual": 0.10}  # eggs of one batch and age
WITHIN_BATCH_FAST = 0.04  # everything else: hatching windows of fast spawners
CONFIDENCE_SPREAD = {"high": 0.06, "medium": 0.10, "low": 0.25}
EVENT_SPREAD = {"half": 0.0, "typical": 0.05, "window": 0.05, "first": 0.07}
UNKNOWN_TEMP_C, UNKNOWN_TEMP_SPREAD_C = 24.5, 1.5  # an unheated to lightly heated fish room, no source


@dataclass(frozen=True)
class HatchRow:
    """One published hatch figure; days are age from laying or fertilisation."""

    row_id: str
    species: str
    event: str  # first, half, typical, window; upper and stage are never fitted
    temp_c: float | None
    days_low: float | None
    days_mid: float | None
    days_high: float | None
    source: str
    year: str
    found: bool  # read in the source or its abstract; otherwise from memory
    confidence: str
    use: str  # fit, check, waits
    notes: str

    @property
    def half_days(self) -> float:
        """The age at which half had hatched, as near as the figure says it. ValueError if it says nothing."""
        if self.days_low and self.days_high:
            return math.sqrt(self.days_low * self.days_high)
        if not self.days_mid:
            raise ValueError(f"row {self.row_id} has no figure")
        if self.event == "first":
            return self.days_mid * math.exp(2 * within_batch(find_species(self.species)))
        return self.days_mid

    @property
    def cited(self) -> str:
        year = f" ({self.year})" if self.year and self.year not in self.source else ""
        return self.source + year + ("" if self.found else ", from memory")


def within_batch(species: Species | None) -> float:
    """Standard deviation of log age at hatch among eggs of one batch laid at one time."""
    return WITHIN_BATCH.get(species.egg_type, WITHIN_BATCH_FAST) if species else 0.08


def _number(cell: str) -> float | None:
    return float(cell) if cell.strip() else None


@cache
def hatch_rows() -> tuple[HatchRow, ...]:
    """Every row of `reference/hatch_rows.csv`."""
    with (REFERENCE / "hatch_rows.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            HatchRow(
                row_id=row["row_id"],
                species=row["species"],
                event=row["event"],
                temp_c=_number(row["temp_c"]),
                days_low=_number(row["days_low"]),
                days_mid=_number(row["days_mid"]),
                days_high=_number(row["days_high"]),
                source=row["source"],
                year=row["year"],
                found=row["tag"] == "found",
                confidence=row["confidence"],
                use=row["use"],
                notes=row["notes"],
            )
            for row in csv.DictReader(table)
        )


@dataclass(frozen=True)
class Pace:
    """What is known of one species' pace: D = days_at_25 · (25 − T0)/(T − T0), with its uncertainty."""

    log_days: float  # mean of log half-hatch age at 25 °C
    cold_limit_c: float  # T0
    var_log: float
    cov: float
    var_cold: float
    level: str  # species, genus, family, egg type, nothing
    rows: tuple[HatchRow, ...]  # the figures that level rests on

    @cached_property
    def cited(self) -> tuple[str, ...]:
        """The sources of those figures, of many only some."""
        return tuple(dict.fromkeys(row.cited for row in self.rows))[:6]

    @cached_property
    def disputed(self) -> bool:
        """Whether a figure for the very species lies off its own pooled pace by more than half."""
        return self.level == "species" and any(
            abs(math.log(row.half_days / self.days(row.temp_c))) > math.log(1.5)
            for row in self.rows
            if row.temp_c is not None
        )

    @property
    def degree_days(self) -> float:
        """K, °C·days above T0."""
        return math.exp(self.log_days) * (REFERENCE_C - self.cold_limit_c)

    def days(self, temp_c: float) -> float:
        """Median age at half hatch at a constant temperature above T0."""
        return self.degree_days / (temp_c - self.cold_limit_c)

    def variance(self, temp_c: float) -> float:
        """Variance of the log of that age, for the species; a room's and a batch's own spread not included."""
        slope = _slope(temp_c, self.cold_limit_c)
        return max(self.var_log + 2 * slope * self.cov + slope * slope * self.var_cold, 1e-4)

    def unsure_of_temp(self, spread_c: float) -> float:
        """Variance of log age from not knowing the temperature better than that, about a usual room's."""
        return (spread_c / (UNKNOWN_TEMP_C - self.cold_limit_c)) ** 2


def _bend(temp_c: float, cold: float) -> float:
    return math.log((REFERENCE_C - cold) / (temp_c - cold))


def _slope(temp_c: float, cold: float) -> float:
    """Change of log days per °C of T0, days at 25 °C held."""
    return (REFERENCE_C - temp_c) / ((temp_c - cold) * (REFERENCE_C - cold))


def _levels(species: Species) -> dict[str, str]:
    return {
        "everything": "",
        "egg_type": species.egg_type,
        "family": species.family,
        "genus": species.genus,
        "species": species.name,
    }


def _shared(one: dict[str, str], other: dict[str, str], spread: dict[str, float]) -> float:
    return sum(sd * sd for level, sd in spread.items() if one[level] == other[level])


class _Kinship(NamedTuple):
    """Covariances of a species' effects with those of each row's species."""

    log: list[float]
    cold: list[float]


class Pooling:
    """The fit of a set of rows; `pace` then answers for any species. Raises ValueError on an unknown species."""

    def __init__(self, rows: Sequence[HatchRow]) -> None:
        self.rows = [row for row in rows if row.use == "fit"]
        self._species = []
        for row in self.rows:
            species = find_species(row.species)
            if species is None:
                raise ValueError(f"row {row.row_id}: {row.species} is not in the species table")
            self._species.append(species)
        self._levels = [_levels(species) for species in self._species]
        self._kinships: dict[tuple[str, ...], _Kinship] = {}
        self._cold: dict[str, float] = {}
        self._paces: dict[tuple[str, ...], Pace] = {}
        for _ in range(3):  # Gauss–Newton: bend the lines at each species' own T0
            self._solve()
            self._cold = {s.name: self._cold_limit(s) for s in {s.name: s for s in self._species}.values()}
        self._solve()

    def _kinship(self, species: Species) -> _Kinship:
        """What a species shares with that of each row."""
        levels = _levels(species)
        key = tuple(levels.values())
        if key not in self._kinships:
            on_log = [_shared(levels, other, SPREAD) for other in self._levels]
            self._kinships[key] = _Kinship(on_log, [_shared(levels, other, COLD_SPREAD_C) for other in self._levels])
        return self._kinships[key]

    def _cold_of(self, species: Species) -> float:
        return self._cold.get(species.name, COLD_LIMIT_C)

    def _solve(self) -> None:
        self._slopes: list[float] = []
        left, noise = [], []
        for row, species in zip(self.rows, self._species, strict=True):
            temp = row.temp_c if row.temp_c is not None else UNKNOWN_TEMP_C
            cold = self._cold_of(species)
            slope = _slope(temp, cold)
            self._slopes.append(slope)
            offset = _bend(temp, cold) - slope * (cold - COLD_LIMIT_C)
            left.append(math.log(row.half_days) - MEAN_LOG_DAYS - offset)
            spread = CONFIDENCE_SPREAD[row.confidence] ** 2 + EVENT_SPREAD[row.event] ** 2
            if row.temp_c is None:
                spread += (UNKNOWN_TEMP_SPREAD_C / (temp - cold)) ** 2
            noise.append(spread)
        lower: list[list[float]] = []
        for i, (row, species) in enumerate(zip(self.rows, self._species, strict=True)):
            kin, slope = self._kinship(species), self._slopes[i]
            sloped = [slope * other for other in self._slopes[: i + 1]]
            line = [log + bent for log, bent in zip(kin.log, map(mul, sloped, kin.cold), strict=False)]
            for j, seen in enumerate(self.rows[: i + 1]):
                if seen.source == row.source and seen.species == row.species:
                    line[j] += SOURCE_SPREAD**2
            line[-1] += noise[i]
            lower.append(_cholesky_line(lower, line))
        self._lower = lower
        self._weights = _backward(lower, _forward(lower, left))

    def _cold_limit(self, species: Species) -> float:
        on_cold = map(mul, self._slopes, self._kinship(species).cold)
        cold: float = COLD_LIMIT_C + sum(map(mul, on_cold, self._weights))
        return min(max(cold, 2.0), 16.0, species.temp_low - 3.0)

    def _effects(self, species: Species) -> tuple[float, float, float, float, float]:
        kin = self._kinship(species)
        on_cold = list(map(mul, self._slopes, kin.cold))
        seen_log, seen_cold = _forward(self._lower, kin.log), _forward(self._lower, on_cold)
        log_days = MEAN_LOG_DAYS + sum(map(mul, kin.log, self._weights))
        return (
            log_days,
            self._cold_limit(species),
            sum(sd * sd for sd in SPREAD.values()) - sum(map(mul, seen_log, seen_log)),
            -sum(map(mul, seen_log, seen_cold)),
            sum(sd * sd for sd in COLD_SPREAD_C.values()) - sum(map(mul, seen_cold, seen_cold)),
        )

    def pace(self, species: Species) -> Pace:
        """The pace of a species, and on whose figures it rests: its own, else its nearest relatives'."""
        key = (species.name, species.family, species.egg_type)
        if key not in self._paces:
            levels = _levels(species)
            level, rows = "nothing", tuple[HatchRow, ...]()
            for name in ("species", "genus", "family", "egg_type"):
                rows = tuple(
                    row for row, other in zip(self.rows, self._levels, strict=True) if other[name] == levels[name]
                )
                if rows:
                    level = name
                    break
            self._paces[key] = Pace(*self._effects(species), level, rows)
        return self._paces[key]


def _cholesky_line(lower: list[list[float]], line: list[float]) -> list[float]:
    """The next line of a lower Cholesky factor, from the same line of the matrix."""
    done: list[float] = []
    for j, value in enumerate(line[:-1]):
        done.append((value - sum(map(mul, done, lower[j]))) / lower[j][j])
    done.append(math.sqrt(line[-1] - sum(map(mul, done, done))))
    return done


def _forward(lower: list[list[float]], right: Sequence[float]) -> list[float]:
    done: list[float] = []
    for line, value in zip(lower, right, strict=True):
        done.append((value - sum(map(mul, done, line))) / line[-1])
    return done


def _backward(lower: list[list[float]], right: Sequence[float]) -> list[float]:
    count = len(right)
    done = [0.0] * count
    for i in range(count - 1, -1, -1):
        rest = sum(lower[k][i] * done[k] for k in range(i + 1, count))
        done[i] = (right[i] - rest) / lower[i][i]
    return done


@cache
def published() -> Pooling:
    """The fit of every published row; made once, at the first question."""
    return Pooling(hatch_rows())
