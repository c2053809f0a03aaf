"""What a room's own earlier batches teach about hatching, summed up once a line so that asking stays cheap.

A batch is compared with the published pace of its species; the log of that ratio is pooled over batches, lines
and species by normal–normal updating in closed form.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from operator import mul
from statistics import NormalDist
from typing import NamedTuple

from shared.hatching.development import (
    BATCH_SPREAD,
    SOURCE_SPREAD,
    UNKNOWN_TEMP_C,
    UNKNOWN_TEMP_SPREAD_C,
    Pace,
    published,
    within_batch,
)
from shared.species import Species, find_species

DAY_SECONDS = 86400.0
LINE_SPREAD = 0.06  # lines of one species in one room
BATCH_PRIOR_WEIGHT = 8.0  # how many batches the assumed batch spread counts for
OUTLIER_SPREADS = 4.0  # a batch further off than this is taken for a wrong date and teaches nothing
ROOM_SWING_C = 0.7  # of a room's mean warmth from one incubation to the next, no source
CHECK_GAP_DAYS = 1.0  # eggs are looked at once a day at least (common practice, no source)
USUAL_EGGS = 30
COLDEST_C, WARMEST_C = 0.0, 45.0  # outside this a reading is a slip
_NORMAL = NormalDist()

# Stands for a fish nobody has figures for: no relatives, and a range wide enough for any warm-water room.
NOBODY = Species("unknown", (), "unknown", "unknown", False, 15.0, 31.0, "", True)


@dataclass(frozen=True)
class PastBatch:
    """An earlier batch of this room, eggs in water. ValueError when its times cannot be.

    `clear_until`: last look without fry; `fry_seen`: first look with fry, None when it failed; `temp_c`: mean.
    """

    laid_from: datetime
    laid_to: datetime
    clear_until: datetime | None = None
    fry_seen: datetime | None = None
    temp_c: float | None = None
    species: str | None = None
    line: str | None = None
    eggs: int | None = None

    def __post_init__(self) -> None:
        check_laying(self.laid_from, self.laid_to)
        if self.temp_c is not None:
            check_temperature(self.temp_c)
        if self.fry_seen is not None:
            check_aware(self.fry_seen)
            if self.fry_seen < self.laid_from:
                raise ValueError("the fry were seen before the eggs were laid; check the two dates")
        if self.clear_until is not None:
            check_aware(self.clear_until)
            if self.fry_seen is not None and self.clear_until > self.fry_seen:
                raise ValueError("fry were seen before the last look without fry; check the two dates")


class _Seen(NamedTuple):
    """What one batch shows: log of its age over the published pace, and the variance of knowing it that coarsely."""

    deviation: float
    measured: float
    known_temp: bool


class _Tally(NamedTuple):
    """What a line's batches show together; enough to update on, whatever their number."""

    batches: int
    weight: float
    mean: float
    scatter: float  # sum of squares about the mean beyond what coarse looking explains
    at_known_temp: int

    @classmethod
    def of(cls, seen: Sequence[_Seen]) -> _Tally:
        """Sums are exact before they are rounded, so the order of the batches makes no difference, not to the bit."""
        count = len(seen)
        weights = [1 / (BATCH_SPREAD**2 + one.measured) for one in seen]
        weight = math.fsum(weights)
        middle = math.fsum(one.deviation for one in seen) / count
        about = math.fsum((one.deviation - middle) ** 2 for one in seen)
        coarse = math.fsum(one.measured for one in seen) * (count - 1) / count
        return cls(
            batches=count,
            weight=weight,
            mean=math.fsum(map(mul, weights, (one.deviation for one in seen))) / weight,
            scatter=max(about - coarse, 0.0),
            at_known_temp=sum(one.known_temp for one in seen),
        )


@dataclass(frozen=True)
class Learned:
    """Log age of a new batch of a line over the published pace: mean, variance, and the batches it rests on."""

    mean: float
    variance: float
    count: int


@dataclass(frozen=True)
class Experience:
    """The room's earlier batches summed up once, so that each further question costs the same."""

    _tallies: dict[str, dict[str | None, _Tally]] = field(default_factory=dict)

    @classmethod
    def of(cls, past: Iterable[PastBatch]) -> Experience:
        """Sum up earlier batches. Failed ones and eggs that wait for water teach no hatching age."""
        seen: dict[str, dict[str | None, list[_Seen]]] = {}
        for batch in past:
            key, species, pace = who(batch.species, batch.line)
            if batch.fry_seen is None or (species is not None and species.waits):
                continue
            shown = _shown(batch, species, pace)
            if shown is not None:
                seen.setdefault(key, {}).setdefault(batch.line, []).append(shown)
        return cls({key: {line: _Tally.of(of) for line, of in lines.items()} for key, lines in seen.items()})

    @classmethod
    def together(cls, parts: Iterable[Experience]) -> Experience:
        """One room's, of parts no two of which tell of the same line."""
        tallies: dict[str, dict[str | None, _Tally]] = {}
        for part in parts:
            for key, lines in part._tallies.items():
                tallies.setdefault(key, {}).update(lines)
        return cls(tallies)

    def learned(self, key: str, line: str | None, pace: Pace, temp_c: float | None) -> Learned:
        """What to expect of a new batch of `line` at `temp_c`; the batch spread is pooled over the lines."""
        lines = self._tallies.get(key, {})
        told = [lines[line]] if line in lines else list(lines.values())
        count = sum(tally.batches for tally in told)
        scatter = math.fsum(tally.scatter for tally in lines.values())
        freedom = sum(tally.batches - 1 for tally in lines.values())
        batch = (BATCH_PRIOR_WEIGHT * BATCH_SPREAD**2 + scatter) / (BATCH_PRIOR_WEIGHT + freedom)
        prior = _prior_variance(pace, temp_c)
        # Batches of a room whose warmth was never known taught their age together with that warmth.
        taught_blind = 2 * sum(tally.at_known_temp for tally in told) < count
        if taught_blind and temp_c is None:
            prior += pace.unsure_of_temp(UNKNOWN_TEMP_SPREAD_C)
            batch += pace.unsure_of_temp(ROOM_SWING_C)
        elif taught_blind or temp_c is None:
            batch += pace.unsure_of_temp(UNKNOWN_TEMP_SPREAD_C)
        others = [tally for name, tally in lines.items() if name != line]
        weights = [1 / (LINE_SPREAD**2 + 1 / tally.weight) for tally in others]
        precision = 1 / prior + math.fsum(weights)
        mean = math.fsum(map(mul, weights, (tally.mean for tally in others))) / precision
        variance = 1 / precision + LINE_SPREAD**2
        if line in lines:
            own = lines[line]
            precision = 1 / variance + own.weight
            mean, variance = (mean / variance + own.weight * own.mean) / precision, 1 / precision
        return Learned(mean, variance + batch, count)


def _prior_variance(pace: Pace, temp_c: float | None) -> float:
    """Of a room's log age about the published pace, before any batch of its own."""
    return pace.variance(temp_c if temp_c is not None else UNKNOWN_TEMP_C) + SOURCE_SPREAD**2


@lru_cache(maxsize=4096)
def who(name: str | None, line: str | None) -> tuple[str, Species | None, Pace]:
    """The key a batch is counted under, its species if known, and the published pace to measure it against."""
    species = find_species(name) if name else None
    if species is not None:
        return species.name, species, published().pace(species)
    key = f"? {' '.join(name.casefold().split())}" if name else f"line {line}"
    return key, None, published().pace(NOBODY)


def _shown(batch: PastBatch, species: Species | None, pace: Pace) -> _Seen | None:
    """The observed over the published half-hatch age.

    None when it cannot be compared: outside the species' temperatures, or so far off that a date must be wrong.
    """
    assert batch.fry_seen is not None
    temp = batch.temp_c if batch.temp_c is not None else UNKNOWN_TEMP_C
    fish = species or NOBODY
    if not fish.temp_low <= temp <= fish.temp_high:
        return None
    unit = pace.days(temp) * DAY_SECONDS
    laying = (batch.laid_to - batch.laid_from).total_seconds() / unit
    late = (batch.fry_seen - batch.laid_from).total_seconds() / unit
    early = late - CHECK_GAP_DAYS * DAY_SECONDS / unit
    if batch.clear_until is not None:
        early = max((batch.clear_until - batch.laid_from).total_seconds() / unit, 0.0)
    within = within_batch(species)
    factor, start = first_fry(laying, within, batch.eggs, species)
    middle = (early + late) / 2 - start
    if middle <= 0:
        return None
    gap = (late - early) / middle
    unsure = gap * gap / 12 + first_fry_variance(laying, within, species) / middle**2
    if batch.temp_c is None:
        unsure += pace.unsure_of_temp(ROOM_SWING_C)
    deviation = math.log(middle / factor)
    usual = _prior_variance(pace, temp) + BATCH_SPREAD**2 + unsure
    if deviation**2 > OUTLIER_SPREADS**2 * usual:
        return None
    return _Seen(deviation, unsure, batch.temp_c is not None)


# ---- first fry of a batch laid over a while


def first_fry(laying: float, within: float, eggs: int | None, species: Species | None) -> tuple[float, float]:
    """First fry come at factor · age + start; `laying`, start and age in units of the published half-hatch age.

    Last fry mirror them: (2 − factor) · age + laying − start.
    """
    count = min(max(eggs or USUAL_EGGS, 1), 1000)
    early = _offset(0.0, count)
    if species is not None and not species.lays_daily:  # one spawning, somewhere within the laying interval
        return 1 + within * early, laying / 2
    spell = round(min(laying / within, 60.0), 1)
    share = min((_offset(spell, count) - early) / spell, 0.5) if spell else 0.0
    return 1 + within * early, laying * share


def first_fry_variance(laying: float, within: float, species: Species | None) -> float:
    """Variance of first fry, in the same units squared, beyond that of the batch: order and laying."""
    if species is not None and not species.lays_daily:
        return (0.4 * within) ** 2 + laying * laying / 12
    return (0.4 * within) ** 2 + (0.15 * laying) ** 2


@lru_cache(maxsize=4096)
def _offset(spell: float, eggs: int) -> float:
    """Median of the earliest of `eggs` eggs, in within-batch sds after the median age of the oldest.

    Laid evenly over a spell of that many sds; the sum of a uniform and a normal age, inverted by halving.
    """
    share = 1 - 0.5 ** (1 / eggs)
    low, high = -5.0, spell + 5.0
    for _ in range(40):
        middle = (low + high) / 2
        below = (_ramp(middle) - _ramp(middle - spell)) / spell if spell else _NORMAL.cdf(middle)
        low, high = (middle, high) if below < share else (low, middle)
    return (low + high) / 2


def _ramp(z: float) -> float:
    return z * _NORMAL.cdf(z) + _NORMAL.pdf(z)


# ---- what cannot be


def check_temperature(temp_c: float) -> None:
    """Raises ValueError for what eggs cannot have been kept at."""
    if not COLDEST_C <= temp_c <= WARMEST_C:  # also refuses nan
        raise ValueError(f"{temp_c:g} °C cannot be the temperature of eggs; 0 to 45 °C is taken")


def check_aware(moment: datetime) -> None:
    """Raises ValueError for a time without a zone."""
    if moment.tzinfo is None:
        raise ValueError("a time without a time zone cannot be placed; give it one")


def check_laying(laid_from: datetime, laid_to: datetime) -> None:
    """Raises ValueError where a laying ends before it begins."""
    check_aware(laid_from)
    check_aware(laid_to)
    if laid_from > laid_to:
        raise ValueError("the laying is said to end before it begins; check the two dates")
