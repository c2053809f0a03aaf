"""When eggs will hatch: the published pace of development, the room's own earlier batches, and how sure that is.

Ages are days from laying. A window is an 80 % predictive interval, p10 to p90, for one batch whose eggs are good.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from statistics import NormalDist
from typing import NamedTuple

from shared.hatching.basis import PAST, WAIT, basis_of, cautions_for, lent_warmth, sources_of, stray_readings
from shared.hatching.development import (
    REFERENCE_C,
    SOURCE_SPREAD,
    UNKNOWN_TEMP_C,
    UNKNOWN_TEMP_SPREAD_C,
    within_batch,
)
from shared.hatching.experience import (
    NOBODY,
    ROOM_SWING_C,
    Experience,
    Learned,
    PastBatch,
    check_aware,
    check_laying,
    check_temperature,
    first_fry,
    first_fry_variance,
    who,
)
from shared.hatching.incubation import Clock, Elsewhere, days_between, readings_since
from shared.quantities import Figure
from shared.species import Species

__all__ = [
    "BatchHatch",
    "Elsewhere",
    "Experience",
    "HatchAge",
    "PastBatch",
    "Window",
    "batch_hatch",
    "degree_days_to_hatch",
    "hatch_age",
]

_NORMAL = NormalDist()
_Z90 = _NORMAL.inv_cdf(0.9)
KAMLER = "Kamler 2002, Rev. Fish Biol. Fish. 12:79–103"
PAST_CHANCE = 0.975  # a good batch shows fry before this point of its window


@dataclass(frozen=True)
class HatchAge:
    """Age from laying at which half of a new batch has hatched, at one temperature."""

    species: str | None
    temp_c: float | None
    median_days: float | None
    p10_days: float | None
    p90_days: float | None
    earliest_days: float | None  # eggs that wait: none is ready before
    within_range: bool
    basis: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class DegreeDays(Figure):
    """Degree-days (°C) to half hatch of a species, counted above its own base."""

    base_c: float
    temp_low: float  # °C, where they hold
    temp_high: float


@dataclass(frozen=True)
class Window:
    """80 % of good batches fall between p10 and p90."""

    p10: datetime
    p50: datetime
    p90: datetime


@dataclass(frozen=True)
class BatchHatch:
    """When one batch will hatch. Windows are None where no honest figure can be given."""

    temp_c: float | None  # mean of the readings since laying; None when there are none
    lent_c: float | None  # taken from other places, where these have no readings
    basis: str
    earlier_batches: int
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    first_fry: Window | None = None  # when fry are first there to be seen
    half_hatched: Window | None = None
    last_fry: Window | None = None
    earliest: datetime | None = None  # eggs that wait: none is ready before
    usual: tuple[datetime, datetime] | None = None  # eggs in peat: when they are usually ready
    chance_by_now: float | None = None  # that first fry are there by now, if the eggs are good
    past_window: bool = False


def hatch_age(species: str | None, temp_c: float | None, earlier: Sequence[PastBatch] | Experience = ()) -> HatchAge:
    """Age at which half of a new batch of that species has hatched at `temp_c` (°C; None: a usual fish room).

    Raises ValueError outside 0 to 45 °C. No figure, only cautions, outside the species' range, for eggs that
    wait, and for fish nobody has figures for.
    """
    if temp_c is not None:
        check_temperature(temp_c)
    key, known, pace = who(species, None)
    fish = known or NOBODY
    temp = temp_c if temp_c is not None else UNKNOWN_TEMP_C
    within = fish.temp_low <= temp <= fish.temp_high
    learned = _experience(earlier).learned(key, None, pace, temp_c)
    median = p10 = p90 = None
    if within and not fish.waits and (pace.level != "nothing" or learned.count):
        middle, sd = math.log(pace.days(temp)) + learned.mean, math.sqrt(learned.variance)
        median, p10, p90 = math.exp(middle), math.exp(middle - _Z90 * sd), math.exp(middle + _Z90 * sd)
    return HatchAge(
        species=known.name if known else species,
        temp_c=temp_c,
        median_days=median,
        p10_days=p10,
        p90_days=p90,
        earliest_days=fish.earliest_days if fish.waits and within else None,
        within_range=within,
        basis=basis_of(known, pace, learned, temp_c),
        sources=sources_of(known, pace),
        cautions=cautions_for(known, species, pace, learned, temp_c),
    )


def degree_days_to_hatch(species: str) -> DegreeDays:
    """K of 1/D = (T − T0)/K for a species, with T0 and the range of °C it holds in; 80 % width about K.

    Raises ValueError for a fish nobody has figures for and for eggs that wait for water. Source: the published
    hatch rows behind `hatch_age`; the line itself Kamler 2002.
    """
    _, known, pace = who(species, None)
    if known is None or pace.level == "nothing":
        raise ValueError(f"nobody has figures for “{species}”, so there are no degree-days")
    if known.waits:
        raise ValueError(f"eggs of {known.name} wait for water, for weeks to months: degree-days do not tell their day")
    width = math.exp(_Z90 * math.sqrt(pace.variance(REFERENCE_C) + SOURCE_SPREAD**2))
    return DegreeDays(
        value=pace.degree_days,
        low=pace.degree_days / width,
        high=pace.degree_days * width,
        unit="degree-days",
        basis=basis_of(known, pace, Learned(0.0, 0.0, 0), None).removesuffix(", temperature not known"),
        sources=(KAMLER, *sources_of(known, pace)),
        cautions=("Degree-days counted from 0 °C are no constant: count above the base (Kamler 2002).",),
        base_c=pace.cold_limit_c,
        temp_low=known.temp_low,
        temp_high=known.temp_high,
    )


def batch_hatch(
    species: str | None,
    laid_from: datetime,
    laid_to: datetime,
    now: datetime,
    temperatures: Sequence[tuple[datetime, float]] = (),
    line: str | None = None,
    earlier: Sequence[PastBatch] | Experience = (),
    clear_until: datetime | None = None,
    eggs: int | None = None,
    medium: str | None = None,
    elsewhere: Elsewhere | None = None,
) -> BatchHatch:
    """When a batch laid between two times will hatch, as far as is known `now`.

    `temperatures` are readings in °C, joined by straight lines and held after the last; `clear_until` is the
    last look without fry; `eggs` how many (30 assumed); `medium` "peat" means they wait for water; `elsewhere` is
    taken where there are no readings. Times are aware. Raises ValueError for times in the wrong order and
    temperatures outside 0–45 °C.
    """
    check_laying(laid_from, laid_to)
    check_aware(now)
    if laid_from > now:
        raise ValueError("the eggs are said to be laid in the future; check the date")
    if clear_until is not None:
        check_aware(clear_until)
        clear_until = min(clear_until, now)
    key, known, pace = who(species, line)
    fish = known or NOBODY
    since = readings_since(laid_from, temperatures)
    lent = elsewhere if elsewhere is not None and not since and elsewhere.spread_c < UNKNOWN_TEMP_SPREAD_C else None
    clock = Clock(pace, laid_from, since or [(laid_from, lent.mean_c if lent else UNKNOWN_TEMP_C)])
    temp = clock.mean(days_between(laid_from, now))
    mean_c = temp if since or lent else None
    learned = _experience(earlier).learned(key, line, pace, mean_c)
    if lent:
        learned = replace(learned, variance=learned.variance + pace.unsure_of_temp(lent.spread_c))
    answer = BatchHatch(
        temp_c=None if lent else mean_c,
        lent_c=lent.mean_c if lent else None,
        basis=basis_of(known, pace, learned, mean_c) + (" as in the other tanks" if lent else ""),
        earlier_batches=learned.count,
        sources=sources_of(known, pace),
        cautions=(
            *((lent_warmth(lent),) if lent else ()),
            *cautions_for(known, species, pace, learned, mean_c),
            *stray_readings(fish, laid_from, now, since),
        ),
    )
    if not fish.temp_low <= temp <= fish.temp_high or (pace.level == "nothing" and not learned.count):
        return answer
    laid = _Laid(laid_from, laid_to, known, clock, learned)
    if fish.waits or medium == "peat":
        return _waiting(answer, laid, medium)
    swing = pace.unsure_of_temp(ROOM_SWING_C) if mean_c is not None else 0.0
    return _hatching(answer, laid, eggs, swing, now, clear_until)


class _Laid(NamedTuple):
    """One batch's eggs, and how fast they come on."""

    begin: datetime
    end: datetime
    species: Species | None
    clock: Clock
    learned: Learned


def _waiting(answer: BatchHatch, laid: _Laid, medium: str | None) -> BatchHatch:
    """Eggs that wait for water: before when none is ready, and when they usually are."""
    fish, learned = laid.species or NOBODY, laid.learned
    days = fish.earliest_days or laid.clock.day(math.exp(learned.mean - _Z90 * math.sqrt(learned.variance)))
    usual = None
    if fish.usual_weeks and medium != "water":
        low, high = fish.usual_weeks
        usual = laid.begin + timedelta(weeks=low), laid.end + timedelta(weeks=high)
    return replace(
        answer,
        earliest=laid.begin + timedelta(days=days),
        usual=usual,
        cautions=answer.cautions if fish.waits else (*answer.cautions, WAIT),
    )


def _hatching(
    answer: BatchHatch, laid: _Laid, eggs: int | None, swing: float, now: datetime, clear_until: datetime | None
) -> BatchHatch:
    """The windows of eggs that hatch by themselves; `swing` is how unsure the warmth still to come makes them."""
    clock, learned = laid.clock, laid.learned
    within = within_batch(laid.species)
    laying = clock.done(days_between(laid.begin, laid.end))
    factor, start = first_fry(laying, within, eggs, laid.species)
    size = math.exp(learned.mean) * factor
    # what is still to come happens at a warmth nobody has measured yet
    ahead = min(max(1 - clock.done(days_between(laid.begin, now)) / size, 0.0), 1.0)
    weather = ahead**2 * swing
    sd = math.sqrt(learned.variance + weather + first_fry_variance(laying, within, laid.species) / size**2)

    def by(moment: datetime) -> float:
        done = clock.done(days_between(laid.begin, moment)) - start
        return _NORMAL.cdf((math.log(done / factor) - learned.mean) / sd) if done > 0 else 0.0

    clear = by(clear_until) if clear_until is not None and clear_until > laid.begin else 0.0
    past = (clear if clear_until is not None else by(now)) > PAST_CHANCE
    passed = 0.0 if past else clear  # past it, the windows say when it was due
    ages = [math.exp(learned.mean + sd * _NORMAL.inv_cdf(passed + share * (1 - passed))) for share in (0.1, 0.5, 0.9)]

    def window(scale: float, later: float) -> Window:
        return Window(*(laid.begin + timedelta(days=clock.day(age * scale + later)) for age in ages))

    return replace(
        answer,
        first_fry=window(factor, start),
        half_hatched=window(1.0, laying / 2),
        last_fry=window(2 - factor, laying - start),
        chance_by_now=(by(now) - clear) / (1 - clear) if clear < 1 else 0.0,
        past_window=past,
        cautions=(*answer.cautions, PAST) if past else answer.cautions,
    )


def _experience(earlier: Sequence[PastBatch] | Experience) -> Experience:
    return earlier if isinstance(earlier, Experience) else Experience.of(earlier)
