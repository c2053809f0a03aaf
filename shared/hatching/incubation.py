"""Development done over a temperature that changed: the sum of (T − T0)·dt over K, day by day and back."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from shared.hatching.development import Pace
from shared.hatching.experience import DAY_SECONDS, check_temperature


def days_between(begin: datetime, end: datetime) -> float:
    """Days from one moment to another, with their fraction."""
    return (end - begin).total_seconds() / DAY_SECONDS


def readings_since(laid: datetime, temperatures: Sequence[tuple[datetime, float]]) -> list[tuple[datetime, float]]:
    """The readings that bear on eggs laid then: the last one before, and all after."""
    times = [reading[0] for reading in temperatures]
    if times != sorted(times):
        temperatures = sorted(temperatures)
        times.sort()
    since = list(temperatures[max(bisect_right(times, laid) - 1, 0) :])
    if since:
        degrees = [reading[1] for reading in since]
        for extreme in (min(degrees), max(degrees), sum(degrees) / len(degrees)):  # the sum betrays a nan
            check_temperature(extreme)
    return since


class Elsewhere(NamedTuple):
    """How warm it is about a room, for eggs whose own water nobody measured."""

    mean_c: float
    spread_c: float  # of one place about that, standard deviation
    places: int


class Clock:
    """Published development done since laying, as a share of half hatch, over a temperature that changed.

    The sum of (T − T0)·dt over K; below T0 it all but stands still.
    """

    def __init__(self, pace: Pace, laid: datetime, since: list[tuple[datetime, float]]) -> None:
        total, cold = pace.degree_days, pace.cold_limit_c
        days = [(at - laid).total_seconds() / DAY_SECONDS for at, _ in since]
        warmth = [degrees for _, degrees in since]
        if days[0] < 0 and len(days) > 1:  # the line between the readings before and after laying, at laying
            warmth[0] += (warmth[1] - warmth[0]) * -days[0] / (days[1] - days[0])
        self._at_laying = warmth[0]
        self._days, self._done, self._heat = [0.0], [0.0], [0.0]
        self._rates: list[float] = []
        self._warmth: list[float] = []
        day, done, heat, last = 0.0, 0.0, 0.0, warmth[0]
        for to, degrees in zip(days, warmth, strict=True):
            if to > day:
                mean = (last + degrees) / 2
                rate = (mean - cold if mean > cold + 0.5 else 0.5) / total
                done += rate * (to - day)
                heat += mean * (to - day)
                day, last = to, degrees
                self._days.append(day)
                self._done.append(done)
                self._heat.append(heat)
                self._rates.append(rate)
                self._warmth.append(mean)
        self._rates.append((last - cold if last > cold + 0.5 else 0.5) / total)
        self._warmth.append(last)

    def done(self, day: float) -> float:
        at = max(bisect_right(self._days, day) - 1, 0)
        return self._done[at] + (day - self._days[at]) * self._rates[at]

    def day(self, done: float) -> float:
        at = max(bisect_right(self._done, done) - 1, 0)
        return self._days[at] + (done - self._done[at]) / self._rates[at]

    def mean(self, day: float) -> float:
        """Mean temperature from laying until then, °C."""
        at = max(bisect_right(self._days, day) - 1, 0)
        heat = self._heat[at] + (day - self._days[at]) * self._warmth[at]
        return round(heat / day, 6) if day > 0 else self._at_laying
