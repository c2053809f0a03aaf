"""Hatch rates with honest widths: small numbers say so, and eggs of one spawn are not independent."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import Literal, TypeAlias

from shared.quantities import Figure

Spawn: TypeAlias = tuple[int, int]  # hatched, eggs
WILSON = "Wilson 1927, score interval"
NEWCOMBE = "Newcombe 1998, Stat. Med. 17:873, hybrid score interval of a difference"
KISH = "design effect of clusters (Kish 1965; Rao & Scott 1992, Biometrics 48:577)"

# Where a room has few spawns, the likeness of eggs within one is taken as this, with the weight of four spawns.
LIKENESS = 0.1
_LIKENESS_WEIGHT = 4


@dataclass(frozen=True, kw_only=True)
class Rate(Figure):
    """A share of a whole, 0–1, from `successes` in `total`, counted over `spawns`.

    `design` is how many times wider the variance is than if every egg stood for itself; `likeness` is the
    correlation of eggs within a spawn behind it.
    """

    successes: int
    total: int
    spawns: int = 1
    design: float = 1.0
    likeness: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Comparison(Figure):
    """One rate less another, −1 to 1; the verdict is "no telling" whenever the width includes nothing at all."""

    one: Rate
    others: Rate
    verdict: Literal["lower", "higher", "no telling"]


def _whole(successes: int, total: int) -> None:
    if total <= 0:
        raise ValueError("nothing has been counted yet, so there is no rate")
    if not 0 <= successes <= total:
        raise ValueError(f"{successes} of {total} cannot be; one of the two counts is wrong")


def _score(share: float, size: float, quantile: float) -> tuple[float, float]:
    square = quantile * quantile
    middle = (share + square / (2 * size)) / (1 + square / size)
    half = quantile * math.sqrt(share * (1 - share) / size + square / (4 * size * size)) / (1 + square / size)
    return (0.0 if share == 0 else max(0.0, middle - half)), (1.0 if share == 1 else min(1.0, middle + half))


@cache
def normal(confidence: float) -> float:
    """Two-sided quantile of the normal distribution. Raises ValueError for a confidence outside 0.5–1."""
    if not 0.5 <= confidence < 1:
        raise ValueError("a confidence lies between 0.5 and 1, like 0.95")
    return NormalDist().inv_cdf(0.5 + confidence / 2)


@cache
def _student(degrees: int, confidence: float) -> float:
    """Two-sided quantile of Student's t, whole degrees of freedom, by its finite series (Abramowitz & Stegun 26.7)."""
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        angle = (low + high) / 2
        cosine, term, total = math.cos(angle), 1.0, 0.0
        if degrees % 2:
            term = cosine
            for k in range(2, degrees, 2):
                total, term = total + term, term * cosine**2 * k / (k + 1)
            inside = 2 / math.pi * (angle + math.sin(angle) * total)
        else:
            for k in range(1, degrees, 2):
                total, term = total + term, term * cosine**2 * k / (k + 1)
            inside = math.sin(angle) * total
        low, high = (angle, high) if inside < confidence else (low, angle)
    return math.sqrt(degrees) * math.tan((low + high) / 2)


def few(total: int, what: str = "counted") -> tuple[str, ...]:
    """A caution when less than twenty were counted, else none."""
    return (f"Only {total} {what}: the true rate may lie anywhere in that width.",) if total < 20 else ()


def wilson(successes: int, total: int, confidence: float = 0.95) -> Rate:
    """A proportion with its Wilson score interval: for counts where each one stands for itself.

    For eggs of several spawns use `hatch_rate`, which is wider. Raises ValueError when nothing was counted or
    successes lie outside 0 to total. Source: Wilson 1927; Newcombe 1998, Stat. Med. 17:857.
    """
    _whole(successes, total)
    low, high = _score(successes / total, total, normal(confidence))
    return Rate(
        value=successes / total,
        unit="share",
        low=low,
        high=high,
        successes=successes,
        total=total,
        basis=f"{successes} of {total}, {confidence:.0%} width",
        sources=(WILSON,),
        cautions=few(total),
    )


def hatch_rate(spawns: Iterable[Spawn], confidence: float = 0.95, likeness: float = LIKENESS) -> Rate:
    """A rate over several spawns, each (hatched, eggs), whose width takes in how much spawns differ.

    The Wilson interval at the effective number of eggs, eggs / design effect, with Student's quantile. The design
    effect comes from the spawns themselves; with few of them it leans on `likeness`, the correlation of eggs within
    a spawn (0–0.9; the room's own from earlier, else 0.1: an assumption, no source). Spawns of no eggs are left out.
    Raises ValueError when there are no eggs or a count cannot be.
    """
    counted = [spawn for spawn in spawns if spawn[1] or spawn[0]]
    for hatched, eggs in counted:
        _whole(hatched, eggs)
    successes, total, number = sum(s[0] for s in counted), sum(s[1] for s in counted), len(counted)
    _whole(successes, total)
    if not 0 <= likeness <= 0.9:
        raise ValueError("the likeness of eggs within a spawn lies between 0 and 0.9")
    share = successes / total
    extra = sum(eggs * eggs for _, eggs in counted) / total - 1  # eggs a typical egg shares its spawn with
    prior = 1 + extra * likeness
    seen, degrees = prior, 0
    if number > 1 and 0 < share < 1:
        spread = sum((hatched - share * eggs) ** 2 for hatched, eggs in counted) * number / (number - 1)
        seen, degrees = spread / (total * share * (1 - share)), number - 1
    design = max(1.0, (_LIKENESS_WEIGHT * prior + degrees * seen) / (_LIKENESS_WEIGHT + degrees))
    low, high = _score(share, total / design, _student(min(_LIKENESS_WEIGHT + degrees, 200), confidence))
    cautions = list(few(total, "eggs"))
    if number == 1:
        cautions.append("One spawn only: its eggs share parents, water and day, so the next may be quite different.")
    elif number < 5:
        cautions.append(f"Only {number} spawns: the width leans on how much spawns usually differ.")
    if degrees and seen > 2.5:
        cautions.append("The spawns differ far more than chance: look at them one by one.")
    return Rate(
        value=share,
        unit="share",
        low=low,
        high=high,
        successes=successes,
        total=total,
        spawns=number,
        design=design,
        likeness=min(0.9, (design - 1) / extra) if extra > 0 else likeness,
        basis=f"{successes} of {total} eggs in {number} spawn{'s' * (number != 1)}, {confidence:.0%} width"
        f" that takes in how spawns differ ({design:.1f} times the variance of independent eggs)",
        sources=(WILSON, KISH),
        cautions=tuple(cautions),
    )


def compare(one: Iterable[Spawn], others: Iterable[Spawn], confidence: float = 0.95) -> Comparison:
    """One tank's hatch rate less that of others, each with the width of `hatch_rate`; errors as there.

    Source: Newcombe 1998, hybrid score interval, with each group's own width.
    """
    return _difference(hatch_rate(one, confidence), hatch_rate(others, confidence), confidence)


def compare_each(tanks: Mapping[str, Sequence[Spawn]], confidence: float = 0.95) -> dict[str, Comparison]:
    """Every tank against all the others together; the width grows with the number of tanks looked at.

    (Bonferroni: among twenty tanks one looks bad by chance.) Tanks without eggs are left out.
    Raises ValueError when fewer than two tanks have eggs.
    """
    with_eggs = {name: spawns for name, spawns in tanks.items() if sum(eggs for _, eggs in spawns)}
    if len(with_eggs) < 2:
        raise ValueError("it takes two tanks with eggs to compare them")
    each = 1 - (1 - confidence) / (len(with_eggs) if len(with_eggs) > 2 else 1)
    return {
        name: compare(spawns, [s for other, theirs in with_eggs.items() if other != name for s in theirs], each)
        for name, spawns in with_eggs.items()
    }


def _difference(one: Rate, others: Rate, confidence: float) -> Comparison:
    gap = one.value - others.value
    a_low, a_high, b_low, b_high = (x if x is not None else 0.0 for x in (one.low, one.high, others.low, others.high))
    low = gap - math.hypot(one.value - a_low, b_high - others.value)
    high = gap + math.hypot(a_high - one.value, others.value - b_low)
    verdict: Literal["lower", "higher", "no telling"] = "lower" if high < 0 else "higher" if low > 0 else "no telling"
    cautions = dict.fromkeys((*one.cautions, *others.cautions))
    if verdict == "no telling":
        cautions["The counts are too few, or too alike, to tell the two apart."] = None
    return Comparison(
        value=gap,
        unit="share",
        low=low,
        high=high,
        one=one,
        others=others,
        verdict=verdict,
        basis=f"{one.value:.0%} ({one.basis.partition(',')[0]}) against {others.value:.0%}"
        f" ({others.basis.partition(',')[0]}), {confidence:.3g} confidence",
        sources=(NEWCOMBE, KISH),
        cautions=tuple(cautions),
    )
