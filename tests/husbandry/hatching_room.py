"""A make-believe fish room in which every egg has its own hatching time, to see whether windows hold.

Shares nothing with the estimates. What is known of a species is a few published figures; neither are those its average
nor is a room the average, so both are drawn (see `BETWEEN_SOURCES`). Eggs develop by a constant Q10 (not a threshold),
batches differ by a Weibull factor and eggs of a batch by a gamma factor; temperatures swing and drift, readings are
coarse, a mop holds eggs of several ages, looks are daily and sometimes missed, and some batches never hatch.
"""

from __future__ import annotations

import datetime as dt
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass

START = dt.datetime(2026, 1, 4, tzinfo=dt.UTC)

# species: days to half hatch at 24 °C by the books of this make-believe world, how they lay, and how many published
# figures the books have (rows of shared/reference/hatch_rows.csv that are fitted)
FISH = {
    "Fundulopanchax gardneri": (15.5, "mop", 2),
    "Fundulopanchax sjostedti": (23.0, "mop", 2),
    "Poropanchax normani": (12.5, "mop", 1),
    "Oryzias latipes": (10.5, "mop", 5),
    "Melanotaenia boesemani": (8.2, "mop", 1),
    "Corydoras aeneus": (4.0, "spawn", 1),
}
# How far sources on one species lie apart, as a share. From the published figures themselves, 15 sources on six species
# within 2 °C of one another: 0.14, 90 % interval 0.10 to 0.23 (`test_hatching_room` works it out; a hybrid line of the
# goldfish left out; with it 0.23). A room is one more such source, so it differs from the species by this, and the mean
# of n figures differs from the species by this over √n: from the books, by this times √(1 + 1/n).
BETWEEN_SOURCES = 0.15


@dataclass(frozen=True)
class Laid:
    """One batch as it truly was and as the keeper saw it."""

    species: str
    line: str
    laid_from: dt.datetime
    laid_to: dt.datetime
    eggs: int
    first: dt.datetime | None  # the truth; None: it failed
    half: dt.datetime | None
    clear_until: dt.datetime | None
    fry_seen: dt.datetime | None
    readings: tuple[tuple[dt.datetime, float], ...]  # of the whole room

    @property
    def mean_c(self) -> float:
        end = self.fry_seen or self.laid_to + dt.timedelta(days=20)
        inside = [value for at, value in self.readings if self.laid_from <= at <= end]
        if not inside:  # quicker than the next reading
            return [value for at, value in self.readings if at <= end][-1]
        return sum(inside) / len(inside)


def at(days: float) -> dt.datetime:
    return START + dt.timedelta(days=days)


class Water:
    """Temperature of the room by the hour, and the development it buys, in days at 24 °C."""

    def __init__(self, dice: random.Random, days: int) -> None:
        base = dice.uniform(22.8, 25.2)
        drift, self.hourly, self.bought = 0.0, [], [0.0]
        q10 = dice.uniform(1.8, 2.5)
        for hour in range(days * 24):
            if hour % 24 == 0:
                drift = 0.93 * drift + dice.gauss(0, 0.3)
            warm = base + drift + 0.5 * math.sin((hour - 9) * math.tau / 24)
            self.hourly.append(warm)
            self.bought.append(self.bought[-1] + q10 ** ((warm - 24) / 10) / 24)

    def readings(self, dice: random.Random) -> tuple[tuple[dt.datetime, float], ...]:
        """Every day or three, to half a degree, by a thermometer that is a little off."""
        off, day, said = dice.gauss(0, 0.25), 0.35, []
        while day < len(self.hourly) / 24 - 1:
            said.append((at(day), round(2 * (self.hourly[int(day * 24)] + off)) / 2))
            day += dice.choice((1, 1, 2, 3)) + dice.uniform(-0.05, 0.05)
        return tuple(said)

    def when(self, laid: float, needs: float) -> float:
        """The day on which an egg laid on day `laid` has bought `needs` days at 24 °C."""
        want = self._by(laid) + needs
        low, high = laid, len(self.hourly) / 24 - 0.05
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if self._by(middle) < want else (low, middle)
        return high

    def _by(self, day: float) -> float:
        hour = day * 24
        whole = int(hour)
        return self.bought[whole] + (hour - whole) * (self.bought[whole + 1] - self.bought[whole])


def room(seed: int, batches: int = 8) -> Iterator[list[Laid]]:
    """One room: for each of its lines, its batches in the order they were laid."""
    dice = random.Random(seed)
    days = batches * 14 + 90
    water = Water(dice, days)
    readings = water.readings(dice)
    shape = 1 / BETWEEN_SOURCES**2  # of a gamma factor of mean 1
    for species, (books, way, figures) in FISH.items():
        species_is = dice.gammavariate(shape * figures, 1 / (shape * figures))
        own = books * species_is * dice.gammavariate(shape, 1 / shape)
        day = dice.uniform(0, 3)
        line = []
        for _ in range(batches):
            line.append(_batch(dice, water, readings, species, way, own, day))
            day += dice.uniform(6, 14)
        yield line


def _batch(
    dice: random.Random,
    water: Water,
    readings: tuple[tuple[dt.datetime, float], ...],
    species: str,
    way: str,
    own: float,
    day: float,
) -> Laid:
    span = dice.choice((1.0, 1.0, 2.0, 3.0)) if way == "mop" else 1.0
    eggs = dice.randint(8, 60)
    # Weibull of shape 13.5: spread about 9 % of its mean, with a longer tail to the short side
    factor = own * dice.weibullvariate(1 / 0.9627, 13.5)
    spawned = day + dice.uniform(0, span)
    hatches = []
    for _ in range(eggs):
        laid = day + dice.uniform(0, span) if way == "mop" else spawned + dice.uniform(0, 0.1)
        within = 200 if way == "mop" else 600  # gamma shapes: 7 % and 4 %
        hatches.append(water.when(laid, factor * dice.gammavariate(within, 1 / within)))
    hatches.sort()
    failed = dice.random() < 0.15
    clear, seen, look = day + span, None, math.floor(day + span) + 1.33
    while not failed and seen is None:
        if dice.random() < 0.9:
            now = look + dice.uniform(-0.08, 0.08)
            if hatches[0] <= now:
                seen = now
            else:
                clear = max(clear, now)
        look += 1
    return Laid(
        species=species,
        line=species + " here",
        laid_from=at(day),
        laid_to=at(day + span),
        eggs=eggs,
        first=None if failed else at(hatches[0]),
        half=None if failed else at(hatches[len(hatches) // 2]),
        clear_until=None if failed else at(clear),
        fry_seen=at(seen) if seen is not None else None,
        readings=readings,
    )
