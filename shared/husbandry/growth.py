"""How long fry are at an age, and when they are big enough to move or sell.

Published lengths are few and come from other rooms, so the room's own measurements weigh more as they come in.
"""

from __future__ import annotations

import csv
import datetime as dt
import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from statistics import NormalDist, median
from typing import Literal, TypeAlias

from shared.quantities import PRACTICE, Figure, sane_amount, sane_celsius
from shared.species import TINY

Measured: TypeAlias = tuple[float, float]  # age in days from hatch, total length in mm
WHOLE_LENGTH = 1.2  # total over standard length (without the tail fin), small fish 1.15–1.25: from memory
HATCH_MM = 4.5  # length of most fry at hatching: common practice, no source
MOVE_UP_MM = {"tub": 9.0, "nursery": 15.0}  # big enough to leave it: common practice, no source
SALE_MM = 25.0  # about an inch: common practice, no source

# How far a room's fish may be from published ones, as standard deviations of log length. Assumptions, no source,
# set so that zebrafish at 23 and 28.5 °C (12.7 and 18.5 mm at one age, Delomas & Dabrowski 2018) lie in each
# other's width. Temperature only widens: Austrolebias grow less at 28 °C than at 20 (Fonseca 2013).
_BETWEEN_ROOMS, _BETWEEN_SPECIES, _PER_DEGREE, _ONE_MEASUREMENT, _AHEAD = 0.2, 0.35, 0.05, 0.1, 0.1
_BEYOND = 0.15  # for each e-fold of age beyond the last published one
_MEASURED_LATELY_DAYS = 30.0

# Small species whose fry grow slowly, and the published ones that stand for them: common practice, no source.
_TINY = (
    *TINY,
    "corydoras pygmaeus",
    "corydoras habrosus",
    "corydoras hastatus",
)
_SLOW = ("Paracheirodon innesi", "Oryzias latipes", "Kryptolebias marmoratus")


@dataclass(frozen=True)
class When:
    """A day with its width; None where it lies beyond what is known. `length` is what is waited for, mm."""

    length: float
    day: dt.date | None
    earliest: dt.date | None
    latest: dt.date | None
    basis: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class _Point:
    age: float
    mm: float  # total length
    mg: float | None
    source: str


@dataclass(frozen=True)
class _Curve:
    """Length over age of one published series, straight between its points."""

    species: str
    celsius: float
    points: tuple[_Point, ...]

    def at(self, age: float) -> float:
        known = [(p.age, p.mm) for p in self.points]
        if known[0][0] > 0:
            known.insert(0, (0.0, min(HATCH_MM, known[0][1] / 1.02)))
        later = min(bisect_left([then for then, _ in known], age, lo=1), len(known) - 1)
        (early, short), (late, long) = known[later - 1], known[later]
        slope = (long - short) / (late - early)
        if age <= late:
            return short + slope * (age - early)
        return long + slope * (age - late) * late / age  # growth slows beyond what was seen

    @property
    def last(self) -> float:
        return self.points[-1].age


@cache
def _table() -> tuple[tuple[str, float, _Point], ...]:
    with (Path(__file__).parents[1] / "reference" / "growth.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            (
                row["species"],
                float(row["temp_c"]),
                _Point(
                    float(row["age_days"]),
                    float(row["mm"]) * (WHOLE_LENGTH if row["measure"] == "SL" else 1),
                    float(row["mg"]) if row["mg"] else None,
                    f"{row['source']} ({row['temp_c']} °C)",
                ),
            )
            for row in csv.DictReader(table)
        )


@cache
def _curves() -> tuple[_Curve, ...]:
    """One curve to a species and temperature; series of one species within two degrees continue each other."""
    found: dict[tuple[str, float], list[_Point]] = {}
    for species, celsius, point in _table():
        key = next((k for k in found if k[0] == species and abs(k[1] - celsius) <= 1), (species, celsius))
        found.setdefault(key, []).append(point)
    return tuple(_Curve(*key, tuple(sorted(points, key=lambda p: p.age))) for key, points in found.items())


def species_with_lengths() -> tuple[str, ...]:
    """Scientific names of the species whose growth has been published, as far as it stands in the table."""
    return tuple(dict.fromkeys(curve.species for curve in _curves()))


def published_weights() -> tuple[tuple[float, float], ...]:
    """Every published pair of total length in mm and weight in mg."""
    return tuple((point.mm, point.mg) for _, _, point in _table() if point.mg)


def _plain(species: str | None) -> str:
    return " ".join((species or "").lower().split())


def _nearest(species: str | None, celsius: float | None) -> _Curve | None:
    """The species' own curve, or that of another of its genus, nearest in temperature; None for neither."""
    name = _plain(species)
    tiny = name.startswith(_TINY)
    own = [curve for curve in _curves() if curve.species.lower() == name] or [
        curve for curve in _curves() if name and not tiny and curve.species.lower().split()[0] == name.split()[0]
    ]
    if celsius is None:
        return max(own, key=lambda curve: len(curve.points), default=None)
    return min(own, key=lambda curve: abs(curve.celsius - celsius), default=None)


def _others(age: float, slow: bool = False) -> float:
    """The middle length at an age of all published species, or of the slow ones."""
    return median(curve.at(age) for curve in _curves() if not slow or curve.species in _SLOW)


@dataclass(frozen=True)
class _Growth:
    """The published shape, moved to what this room has measured."""

    curve: _Curve | None
    species: str | None
    measured: tuple[Measured, ...]
    celsius: float | None

    @property
    def tiny(self) -> bool:
        return _plain(self.species).startswith(_TINY)

    @property
    def its_own(self) -> bool:
        """Whether the curve is of this very species."""
        return self.curve is not None and self.curve.species.lower() == _plain(self.species)

    def shape(self, age: float) -> float:
        if self.curve is None:
            return _others(age, self.tiny)
        if age <= self.curve.last:
            return self.curve.at(age)
        return self.curve.at(self.curve.last) * _others(age) / _others(self.curve.last)

    def width(self, age: float, confidence: float = 0.8) -> tuple[float, float, float]:
        prior = _BETWEEN_ROOMS if self.its_own else _BETWEEN_SPECIES
        if self.curve and self.celsius is not None:
            prior = math.hypot(prior, _PER_DEGREE * (self.celsius - self.curve.celsius))
        weights = [
            1 / (_ONE_MEASUREMENT**2 + (_AHEAD * (age - then) / _MEASURED_LATELY_DAYS) ** 2)
            for then, _ in self.measured
        ]
        total = 1 / prior**2 + sum(weights)
        shift = sum(w * math.log(mm / self.shape(then)) for w, (then, mm) in zip(weights, self.measured, strict=True))
        middle = math.log(self.shape(age)) + shift / total
        beyond = max(0.0, math.log(age / self.curve.last)) if self.curve and age > 0 else 0.0
        reach = NormalDist().inv_cdf(0.5 + confidence / 2) * math.sqrt(1 / total + (_BEYOND * beyond) ** 2)
        return math.exp(middle - reach), math.exp(middle), math.exp(middle + reach)

    @property
    def horizon(self) -> float:
        """The oldest age that is still answered: half as old again as what is known."""
        return 1.5 * max(90.0, self.curve.last if self.curve else 0.0, *(age for age, _ in self.measured), 0.0)

    @property
    def basis(self) -> str:
        own = f"{len(self.measured)} of the room's own measurements, " if self.measured else ""
        if self.curve is None:
            return f"{own}the middle of {len(_SLOW) if self.tiny else len(species_with_lengths())} other species"
        many = len(self.curve.points)
        return (
            f"{own}{many} published length{'s' * (many > 1)} of {self.curve.species} at {self.curve.celsius:g} °C"
            f" up to {self.curve.last:g} days, from there as other species grow"
        )

    @property
    def sources(self) -> tuple[str, ...]:
        if self.curve is None:
            return ("the species in growth.csv",)
        return tuple(dict.fromkeys(point.source for point in self.curve.points))

    @property
    def cautions(self) -> tuple[str, ...]:
        found = []
        if not self.its_own:
            like = self.curve.species if self.curve else "slow growers" if self.tiny else "other species"
            found.append(f"No published growth of {self.species or 'this fish'}, so taken from {like}; measure a few.")
        if self.curve and self.celsius is not None and abs(self.celsius - self.curve.celsius) > 2:
            found.append(
                f"Published at {self.curve.celsius:g} °C, kept at {self.celsius:.1f} °C; warmer is not always faster."
            )
        if not self.measured:
            found.append("Food and room for the fry decide more than the species; one measurement narrows this.")
        return tuple(found)


def _growth(species: str | None, measured: Iterable[Measured], celsius: float | None) -> _Growth:
    own = tuple(measured)
    for age, mm in own:
        if not (0 <= age < 5000 and 1 <= mm <= 500):
            raise ValueError(f"{mm:g} mm at {age:g} days is not a length I can use")
    return _Growth(_nearest(species, None if celsius is None else sane_celsius(celsius)), species, own, celsius)


def length_at(
    species: str | None, age_days: float, measured: Iterable[Measured] = (), celsius: float | None = None
) -> Figure:
    """Total length in mm at an age in days from hatch, with an 80 % width.

    `species` is a scientific name, None when unknown; `measured` the room's own (age in days, total length in mm);
    `celsius` widens the answer when far from the published temperature. Published standard lengths are taken as
    total length by 1.2. Raises ValueError for ages below zero or far beyond what is known, and for lengths outside
    1–500 mm. Sources: the papers in reference/growth.csv.
    """
    growth = _growth(species, measured, celsius)
    if not 0 <= age_days <= growth.horizon:
        raise ValueError(f"growth is not known at {age_days:g} days, only up to about {growth.horizon:.0f}")
    low, value, high = growth.width(age_days)
    return Figure(
        value=value,
        unit="mm",
        low=low,
        high=high,
        basis=growth.basis,
        sources=growth.sources,
        cautions=growth.cautions,
    )


def when_length(
    species: str | None,
    mm: float,
    hatched: dt.date,
    measured: Iterable[Measured] = (),
    celsius: float | None = None,
) -> When:
    """The day fry reach a total length in mm (1–500), with an 80 % width; as `length_at`.

    A day is None where it lies beyond what is known. Raises ValueError for impossible lengths.
    """
    if not 1 <= mm <= 500:
        raise ValueError(f"{mm:g} mm is not a length for these fish; it runs from 1 to 500")
    growth = _growth(species, measured, celsius)
    days: list[dt.date | None] = [None, None, None]
    for age in range(int(growth.horizon) + 1):
        for which, reached in enumerate(reversed(growth.width(age))):
            if days[which] is None and reached >= mm:
                days[which] = hatched + dt.timedelta(days=age)
        if days[2] is not None:
            break
    cautions = growth.cautions
    if days[1] is None:
        cautions += (f"{mm:g} mm lies beyond the growth that is known; measure and ask again.",)
    return When(mm, days[1], days[0], days[2], growth.basis, (*growth.sources, PRACTICE), cautions)


def move_up(
    species: str | None,
    hatched: dt.date,
    leaving: Literal["tub", "nursery"] = "tub",
    measured: Iterable[Measured] = (),
    celsius: float | None = None,
    mm: float | None = None,
) -> When:
    """When fry are big enough to leave the tub (about 9 mm) or the nursery (about 15 mm); `mm` sets it otherwise.

    Common practice, no source: one to two weeks in robust species, later in tiny ones. Errors as `when_length`.
    """
    return when_length(species, MOVE_UP_MM[leaving] if mm is None else mm, hatched, measured, celsius)


def sale_size(
    species: str | None,
    hatched: dt.date,
    measured: Iterable[Measured] = (),
    celsius: float | None = None,
    mm: float = SALE_MM,
) -> When:
    """When young fish reach sale size, about an inch unless `mm` says otherwise (tiny species never do).

    Common practice, no source. Errors as `when_length`.
    """
    return when_length(species, mm, hatched, measured, celsius)


def degree_days(celsius: Sequence[float], base: float = 0.0, days_each: float = 1.0) -> Figure:
    """Degree-days above a base temperature from the mean of each stretch of `days_each` days (one scale throughout).

    Days below the base add nothing. The mean of a day is the mean of its highest and lowest. Raises ValueError for
    no temperatures or stretches of zero or less. Not a constant of a species without the right base (Kamler 2002).
    """
    if not celsius or not days_each > 0:
        raise ValueError("degree-days need temperatures, and days above zero")
    value = sum(max(0.0, degrees - base) for degrees in celsius) * days_each
    return Figure(
        value=value,
        unit="degree-days",
        basis=f"{len(celsius) * days_each:g} days above {base:g}",
        sources=("definition of degree-days above a base",),
        cautions=("A sum of degrees fits a species only above its own base (Kamler 2002).",),
    )


def days_left(needed: float, gathered: float, temperature: float, base: float = 0.0) -> Figure:
    """Days until `needed` degree-days are reached at a steady temperature; one scale throughout, 0 when reached.

    Raises ValueError at or below the base, where nothing develops, and for amounts below zero.
    """
    if temperature <= base:
        raise ValueError(f"at {temperature:g} degrees, not above the base of {base:g}, nothing develops")
    still = max(0.0, sane_amount(needed, "degree-days") - sane_amount(gathered, "degree-days"))
    basis = f"{still:g} still to go at {temperature - base:g} a day"
    return Figure(value=still / (temperature - base), unit="days", basis=basis, sources=("degree-day arithmetic",))
