"""What is unlike this room: more deaths than usual, a tank that stopped laying, a reading out of band."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

FEWEST_DEATHS = 3  # one or two fish are lost in any room; house rule, no source
UNLIKELY = 0.01
ENOUGH_DAYS = 14  # of record before deaths can be called unusual; until then FEWEST_DEATHS_NEW are
FEWEST_DEATHS_NEW = 5
FEWEST_PULLS = 3  # with eggs, before nothing twice running means anything
FEWEST_READINGS = 4

FIRST_COLOUR = 0.25  # mg/L: the first step of a drop test above nothing; common practice, no source
CELSIUS = (16.0, 31.0)  # outside it a heater or the weather is looked at; common practice, no source
OFF_USUAL = {"temperature": 3.0, "ph": 0.8}  # that far from the place's own middle; house rule, no source


def chance_of(many: int, before: Sequence[int]) -> float:
    """The chance of so many deaths or more in a day, by the days `before` (deaths in each, at least one day).

    Poisson deaths at a rate of which only those days are known, with Jeffreys' prior: the day to come is then negative
    binomial (Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.6; from memory). Raises ValueError without days.
    """
    if not before:
        raise ValueError("deaths are compared with at least one day before")
    size, days = sum(before) + 0.5, len(before)
    share = days / (days + 1)

    def at(n: int) -> float:
        ways = math.lgamma(size + n) - math.lgamma(size) - math.lgamma(n + 1)
        return math.exp(ways + size * math.log(share) + n * math.log(1 - share))

    return max(0.0, 1 - sum(at(n) for n in range(many)))


def many_deaths(many: int, before: Sequence[int]) -> bool:
    """Whether so many deaths in a day are more than this room is used to, by the deaths of each day `before`."""
    if len(before) < ENOUGH_DAYS:
        return many >= FEWEST_DEATHS_NEW
    return many >= FEWEST_DEATHS and chance_of(many, before) < UNLIKELY


def stopped_laying(counts: Sequence[int]) -> float | None:
    """The usual number of eggs a pull of a tank that gave none twice running (`counts`, oldest first); else None.

    Only where two in three of the earlier pulls had eggs, and three or more of them.
    """
    if len(counts) < 2 or any(counts[-2:]):
        return None
    earlier = counts[:-2]
    laid = [n for n in earlier if n]
    if len(laid) < FEWEST_PULLS or 3 * len(laid) < 2 * len(earlier):
        return None
    return sum(earlier) / len(earlier)


def out_of_band(quantity: str, value: float, earlier: Sequence[float]) -> tuple[bool, float | None]:
    """Whether a reading wants looking at, and the place's usual one where that is the reason.

    Temperature in °C, ammonia and nitrite in mg/L; `earlier` readings of the same place, any order.
    """
    usual = median(earlier) if len(earlier) >= FEWEST_READINGS else None
    if quantity in ("ammonia", "nitrite"):
        return value >= FIRST_COLOUR, None
    far = OFF_USUAL.get(quantity)
    if far is not None and usual is not None and abs(value - usual) >= far:
        return True, usual
    return quantity == "temperature" and not CELSIUS[0] <= value <= CELSIUS[1], None
