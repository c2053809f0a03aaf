"""How full a tub or tank is, so that fry are moved or thinned before the water says so."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import median
from typing import Literal, TypeAlias

from shared.husbandry.growth import published_weights
from shared.quantities import PRACTICE, Figure, sane_litres, sane_percent

Fullness: TypeAlias = Literal["roomy", "full", "crowded", "overcrowded"]

# A hundred fish of just under an inch in 30 gallons with half the water changed daily is full: common practice.
_FULL = 100 * 25.4**2 / (30 * 3.785411784)  # mm² of fish to the litre
_FILTER_BEARS = 0.4  # of that, when a running filter does the work of the changes: an assumption
_TEST_VESSEL_G = 0.8  # g/L, OECD 203 (2019), from memory


@dataclass(frozen=True, kw_only=True)
class Crowding(Figure):
    """How full a place is: `value` 1 is as full as practice goes; `most` fish of that length would reach it."""

    band: Fullness
    most: int
    g_per_l: float


@cache
def _bulk() -> tuple[float, float, float]:
    """Milligrams to the cubed millimetre of total length: least, middle and most of the published pairs."""
    pairs = sorted(mg / mm**3 for mm, mg in published_weights())
    return pairs[0], median(pairs), pairs[-1]


def weight_of(mm: float) -> Figure:
    """Milligrams of a fish of so many mm total length (3–150), from the published pairs of length and weight.

    Raises ValueError out of range. Sources: reference/growth.csv.
    """
    if not 3 <= mm <= 150:
        raise ValueError(f"{mm:g} mm is outside the 3 to 150 that weights are known for")
    low, value, high = (bulk * mm**3 for bulk in _bulk())
    basis = "weight by the cube of the length"
    return Figure(value=value, unit="mg", low=low, high=high, basis=basis, sources=("the pairs in growth.csv",))


def crowding(
    count: int,
    mm: float | Figure,
    litres: float,
    changes_per_day: float,
    percent: float,
    filtered: bool = True,
) -> Crowding:
    """How full a tub or tank is with `count` fish of `mm` total length (3–150; or a `length_at`), as a band.

    `changes_per_day` 0–12 changes of `percent` each; `filtered` False for a tub. Load goes with the square of the
    length (small fish eat more for their weight), room with what the changes leave just before the next one, and a
    running filter bears two fifths of a full load alone. Anchored at common practice, no source: a hundred of just
    under an inch in 30 US gallons with half the water changed daily is full. Raises ValueError out of range.
    """
    if count < 0:
        raise ValueError("a number of fish cannot be below zero")
    length = mm.value if isinstance(mm, Figure) else mm
    weight = weight_of(length)
    if not 0 <= changes_per_day <= 12:
        raise ValueError("water changes run from none to twelve a day")
    exchange = changes_per_day * sane_percent(percent) / 50
    room = max(exchange, _FILTER_BEARS if filtered else 0.05)
    limit = _FULL * room * sane_litres(litres)
    value = count * length**2 / limit
    short, long = (mm.low, mm.high) if isinstance(mm, Figure) else (None, None)
    grams = count * weight.value / 1000 / litres
    bands: tuple[Fullness, ...] = ("roomy", "full", "crowded", "overcrowded")
    band = "overcrowded" if grams > _TEST_VESSEL_G else bands[sum(value >= edge for edge in (0.5, 1.0, 2.0))]
    return Crowding(
        value=value,
        unit="of full",
        low=count * (short or 0.9 * length) ** 2 / limit,
        high=count * (long or 1.1 * length) ** 2 / limit,
        band=band,
        most=int(limit / length**2),
        g_per_l=grams,
        basis=f"{count} fish of {length:.0f} mm in {litres:.3g} l, {changes_per_day:g} × {percent:g} % a day: "
        f"{grams:.2f} g/L",
        sources=(
            f"100 fish under an inch in 30 gal with half changed daily: {PRACTICE}",
            "0.8 g/L at most in a test vessel: OECD 203 (2019), from memory",
        ),
        cautions=("Large or quarrelsome species need far more room; ammonia and the fish's breathing decide.",),
    )
