"""How many of the young live on, and whether a week's losses are out of the common; sold fish are not dead fish."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass

from shared.husbandry.rates import WILSON, few, normal, wilson
from shared.quantities import PRACTICE, Figure

KAPLAN_MEIER = "Kaplan & Meier 1958; Greenwood's variance on the log-log scale"


@dataclass(frozen=True)
class Life:
    """`count` fish seen from age `entered` to age `days`, where they died, or left alive (sold, moved, still here)."""

    days: float
    died: bool
    count: int = 1
    entered: float = 0.0


@dataclass(frozen=True)
class Step:
    """Survival from this day on: how many were at risk before it, died on it, and the share alive with its width."""

    day: float
    at_risk: int
    died: int
    survival: float
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Week(Figure):
    """Losses of one week as a share of those there; `unusual` when the weeks before make so many deaths unlikely."""

    starts: dt.date
    at_risk: int
    died: int
    unusual: bool


def survival(lives: Iterable[Life], confidence: float = 0.95) -> tuple[Step, ...]:
    """The Kaplan–Meier curve over age in days; fish sold, moved or still here count as seen until then, not as dead.

    One step for each day with deaths; before the first all are alive. Fish that came in at an age count from
    `entered`. Raises ValueError for ages below zero, counts below one, or an end not after the start.
    """
    seen = list(lives)
    for life in seen:
        if life.entered < 0 or life.days < life.entered or life.count < 1 or not math.isfinite(life.days):
            raise ValueError("a fish must be seen from some age to a later one, and be at least one fish")
    quantile, share, greenwood = normal(confidence), 1.0, 0.0
    steps = []
    for day in sorted({life.days for life in seen if life.died}):
        at_risk = sum(life.count for life in seen if life.days >= day and (life.entered < day or life.entered == 0))
        died = sum(life.count for life in seen if life.died and life.days == day)
        share *= 1 - died / at_risk
        low = high = 0.0
        if at_risk > died:
            greenwood += died / (at_risk * (at_risk - died))
            bend = quantile * math.sqrt(greenwood) / math.log(share)
            low, high = share ** math.exp(-bend), share ** math.exp(bend)
        steps.append(Step(day, at_risk, died, share, min(low, high), max(low, high)))
        if at_risk == died:
            break
    return tuple(steps)


def survival_at(lives: Iterable[Life], day: float, confidence: float = 0.95) -> Figure:
    """Share alive at an age in days, with its width; errors as `survival`, and for a day nobody has been seen at."""
    seen = list(lives)
    steps = survival(seen, confidence)
    number = sum(life.count for life in seen)
    if not number or day < 0 or (day > max(life.days for life in seen) and not (steps and steps[-1].survival == 0)):
        raise ValueError(f"no fish has been followed to day {day:g} yet")
    now = next((step for step in reversed(steps) if step.day <= day), None)
    deaths = sum(life.count for life in seen if life.died)
    cautions = list(few(number, "fish"))
    if deaths < 5:
        cautions.append(f"Only {deaths} death{'s' * (deaths != 1)} behind this curve.")
    return Figure(
        value=now.survival if now else 1.0,
        unit="share",
        low=now.low if now else None,
        high=now.high if now else None,
        basis=f"{number} fish, {deaths} deaths; those sold, moved or still here counted until then",
        sources=(KAPLAN_MEIER,),
        cautions=tuple(cautions),
    )


def _at_least(died: int, at_risk: int, rate: float) -> float:
    """Chance of so many deaths or more among so many at this rate."""
    return 1 - sum(math.comb(at_risk, k) * rate**k * (1 - rate) ** (at_risk - k) for k in range(died))


def weekly_losses(
    deaths: Iterable[tuple[dt.date, int]],
    alive: int,
    until: dt.date,
    weeks: int = 4,
    moves: Iterable[tuple[dt.date, int]] = (),
) -> tuple[Week, ...]:
    """Deaths week by week up to and including `until`, oldest first, as a share of the fish that were there.

    `alive` is the count at the end of `until`; `moves` are fish that came (plus) or went alive (minus).
    A week is unusual when the weeks before make so many deaths less likely than one in a hundred.
    Raises ValueError for counts below zero or weeks outside 1–520.
    """
    lost, moved = list(deaths), list(moves)
    if alive < 0 or any(count < 0 for _, count in lost) or not 1 <= weeks <= 520:
        raise ValueError("counts of fish cannot be below zero, and weeks run from 1 to 520")
    found: list[Week] = []
    spans: list[tuple[dt.date, int, int]] = []
    there = alive
    for back in range(weeks):
        last = until - dt.timedelta(days=7 * back)
        first = last - dt.timedelta(days=6)
        died = sum(count for day, count in lost if first <= day <= last)
        shifted = [count for day, count in moved if first <= day <= last]
        before = there + died - sum(shifted)
        spans.append((first, before + sum(count for count in shifted if count > 0), died))
        there = before
    earlier_died = earlier_risk = 0
    for first, at_risk, died in reversed(spans):
        if at_risk < died or at_risk < 0:
            raise ValueError(f"more fish died or left in the week of {first} than were there; a count is wrong")
        usual = (earlier_died + 0.5) / (earlier_risk + 1)
        unusual = bool(earlier_risk) and died > 1 and _at_least(died, at_risk, min(usual, 1.0)) < 0.01
        rate = wilson(died, at_risk) if at_risk else None
        found.append(
            Week(
                value=rate.value if rate else 0.0,
                unit="share",
                low=rate.low if rate else None,
                high=rate.high if rate else None,
                starts=first,
                at_risk=at_risk,
                died=died,
                unusual=unusual,
                basis=f"{died} of {at_risk} in the week of {first}",
                sources=(WILSON, f"unusual below 1 in 100: {PRACTICE}"),
                cautions=rate.cautions if rate else ("No fish there that week.",),
            )
        )
        earlier_died, earlier_risk = earlier_died + died, earlier_risk + at_risk
    return tuple(found)
