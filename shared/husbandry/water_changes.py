"""The sums of changing water: what a change leaves, how many it takes, what to mix and have standing for tomorrow."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from shared.quantities import NIST, PRACTICE, Figure, Gallon, convert, sane_amount, sane_litres, sane_percent

MASS_BALANCE = "mass balance of a well-mixed tank"
HEAT_BALANCE = "heat balance of waters poured together"


@dataclass(frozen=True, kw_only=True)
class Steady(Figure):
    """Where a waste settles under the same change again and again: `value` just before a change, `after` just after."""

    after: float


@dataclass(frozen=True)
class Change:
    """A change of `percent` of a place that holds `litres`, done `times` that day."""

    litres: float
    percent: float
    times: int = 1


def _share(percent: float) -> float:
    if sane_percent(percent) == 0:
        raise ValueError("a change of 0 % changes nothing")
    return percent / 100


def after_changes(start: float, percent: float, changes: int, fresh: float = 0.0) -> Figure:
    """What is left of `start` mg/L after so many equal changes with water that holds `fresh` mg/L.

    C = fresh + (start − fresh)(1 − f)ⁿ; percent above 0 to 100, changes 0 or more, concentrations 0 or more.
    With start=1 it is the fraction left. Raises ValueError out of range.
    """
    if changes < 0:
        raise ValueError("a number of changes cannot be below zero")
    sane_amount(start, "a concentration"), sane_amount(fresh, "a concentration")
    value = fresh + (start - fresh) * (1 - _share(percent)) ** changes
    basis = f"each change leaves {100 - percent:g} % of what was above the new water"
    return Figure(value=value, unit="mg/L", basis=basis, sources=(MASS_BALANCE,))


def changes_needed(start: float, target: float, percent: float, fresh: float = 0.0) -> Figure:
    """How many equal changes bring `start` down to `target` mg/L or under, with `fresh` mg/L in the new water.

    Raises ValueError when the new water holds as much as the target or more, and out of range.
    """
    share, gap = _share(percent), _gap(start, target, fresh)
    exact = 0.0 if gap >= 1 else 1.0 if share == 1 else math.log(gap) / math.log(1 - share)
    changes = math.ceil(exact - 1e-9)
    ends = after_changes(start, percent, changes, fresh).value
    return Figure(
        value=changes,
        unit="changes",
        basis=f"ends at {ends:.3g} mg/L, if nothing is added meanwhile",
        sources=(MASS_BALANCE,),
    )


def percent_needed(start: float, target: float, fresh: float = 0.0) -> Figure:
    """The one change, in per cent, that brings `start` down to `target` mg/L; 50 halves it if `fresh` is 0.

    Raises ValueError when the new water holds as much as the target or more, and out of range.
    """
    value = max(0.0, 100 * (1 - _gap(start, target, fresh)))
    cautions: tuple[str, ...] = ()
    if value > 50:
        cautions = ("More than half at once is a shock unless the water matches; split it over some days.",)
    basis = f"new water with {fresh:g} mg/L"
    return Figure(value=value, unit="%", basis=basis, sources=(MASS_BALANCE,), cautions=cautions)


def _gap(start: float, target: float, fresh: float) -> float:
    """What must be left of the distance to the new water, as a share."""
    for amount in (start, target, fresh):
        sane_amount(amount, "a concentration")
    if start <= target:
        return 1.0
    if fresh >= target:
        raise ValueError(f"no change gets below the {fresh:g} mg/L that the new water itself holds")
    return (target - fresh) / (start - fresh)


def steady_state(gained: float, percent: float, fresh: float = 0.0) -> Steady:
    """Where a waste settles: `gained` mg/L between changes of `percent`, new water with `fresh` mg/L.

    Before a change fresh + P/f, after it fresh + P(1 − f)/f. Raises ValueError for amounts below zero, percent
    of 0 or above 100.
    """
    share = _share(percent)
    sane_amount(fresh, "a concentration")
    extra = sane_amount(gained, "what is gained between changes") / share
    return Steady(
        value=fresh + extra,
        after=fresh + extra * (1 - share),
        unit="mg/L",
        basis=f"gains {gained:g} mg/L between changes of {percent:g} %",
        sources=(MASS_BALANCE,),
        cautions=("The same waste each time is assumed; growing fry make more each week.",),
    )


def exchanged(volumes: float) -> Figure:
    """Share of the old water replaced, 0–1, when so many tank volumes have run through a well-mixed tank.

    1 − exp(−Qt/V). Raises ValueError below zero. Source: Prog. Fish-Culturist 47(1):69 (1985).
    """
    value = -math.expm1(-sane_amount(volumes, "a number of tank volumes"))
    return Figure(
        value=value, unit="share", basis="continuous exchange", sources=("Prog. Fish-Culturist 47(1):69 (1985)",)
    )


def volumes_to_exchange(percent: float) -> Figure:
    """Tank volumes that must run through to replace `percent` (0 to under 100) of the water; the inverse."""
    if sane_percent(percent) == 100:
        raise ValueError("running water through never replaces quite all of it; ask for 99.9 %")
    value = -math.log1p(-percent / 100)
    return Figure(
        value=value,
        unit="tank volumes",
        basis="continuous exchange",
        sources=("Prog. Fish-Culturist 47(1):69 (1985)",),
    )


def mixed(parts: Iterable[tuple[float, float]]) -> Figure:
    """Hardness, TDS, salt or temperature of waters poured together, each as (volume, value), volumes in one unit.

    Raises ValueError for no water or negative amounts. Not for pH, which does not mix by proportion.
    """
    waters = [(sane_amount(volume, "a volume"), value) for volume, value in parts]
    whole = sum(volume for volume, _ in waters)
    if whole <= 0:
        raise ValueError("there is no water to mix")
    value = sum(volume * strength for volume, strength in waters) / whole
    values = [strength for volume, strength in waters if volume]
    cautions = ("pH does not mix like this; measure it.",)
    return Figure(
        value=value,
        unit="as given",
        low=min(values),
        high=max(values),
        basis="by proportion of the volumes; low and high are the softest and hardest part",
        sources=(MASS_BALANCE,),
        cautions=cautions,
    )


def tap_share(target: float, tap: float, pure: float = 0.0) -> Figure:
    """Per cent of tap water, the rest being RO or rain, that makes `target` (any one unit: °d, mg/L TDS, µS/cm).

    Raises ValueError when the target does not lie between the two waters, or below zero.
    """
    for amount in (target, tap, pure):
        sane_amount(amount, "a hardness")
    if not min(pure, tap) <= target <= max(pure, tap) or pure == tap:
        raise ValueError(f"{target:g} does not lie between the two waters ({pure:g} and {tap:g})")
    value = 100 * (target - pure) / (tap - pure)
    cautions = ("Very soft water holds its pH badly; measure the mix before fish go in.",)
    return Figure(value=value, unit="% tap", basis="by proportion", sources=(MASS_BALANCE,), cautions=cautions)


def hot_share(target_c: float, cold_c: float, hot_c: float) -> Figure:
    """Per cent of hot water, the rest being cold, that makes `target_c`. Raises ValueError unless it lies between."""
    if not cold_c <= target_c <= hot_c or cold_c == hot_c:
        raise ValueError("what is wanted does not lie between the cold and the hot water")
    value = 100 * (target_c - cold_c) / (hot_c - cold_c)
    return Figure(value=value, unit="% hot", basis="by proportion of the warmth; no heat lost", sources=(HEAT_BALANCE,))


def aged_water(changes: Iterable[Change], reserve_percent: float = 10.0) -> Figure:
    """Litres of aged, chlorine-free water to have standing for these changes, with a reserve.

    `value` is with the reserve, `low` without. Raises ValueError for impossible volumes, percentages or times.
    """
    need = 0.0
    for change in changes:
        if change.times < 0:
            raise ValueError("a number of changes cannot be below zero")
        need += sane_litres(change.litres) * sane_percent(change.percent) / 100 * change.times
    value = need * (1 + sane_percent(reserve_percent) / 100)
    basis = f"{need:.3g} l of changes and {reserve_percent:g} % to spare"
    return Figure(value=value, unit="l", low=need, high=value, basis=basis, sources=(MASS_BALANCE, PRACTICE))


def box_volume(length: float, width: float, height: float, unit: str = "in", gallon: Gallon = "us") -> Figure:
    """Litres of a box with these sides (in, cm, mm, ft, each above zero); outside sizes, brim full.

    `low` is 80 % of it: glass, gravel and the gap at the top take some. `gallon` only words the basis.
    Raises ValueError for a side of zero or less or an unknown unit.
    """
    sides = [convert(side, unit, "cm").value for side in (length, width, height)]
    if min(sides) <= 0:
        raise ValueError("every side of a tank must be longer than nothing")
    value = sane_litres(math.prod(sides) / 1000)
    gallons = convert(value, "l", "gal", gallon).value
    return Figure(
        value=value,
        unit="l",
        low=0.8 * value,
        high=value,
        basis=f"{length:g} × {width:g} × {height:g} {unit}, {gallons:.1f} {gallon} gal brim full",
        sources=(NIST, f"real water 80 to 100 % of it: {PRACTICE}"),
        cautions=("Outside sizes and a full brim: the water in it is less. Dose by the water.",),
    )
