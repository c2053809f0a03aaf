"""When eggs will hatch: published pace of development, the room's own earlier batches, and how sure that is.

Ages are days from laying. A window is an 80 % predictive interval, p10 to p90, for one batch whose eggs are good.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from statistics import NormalDist

from .development import (
    BATCH_SPREAD,
    SOURCE_SPREAD,
    UNKNOWN_TEMP_C,
    UNKNOWN_TEMP_SPREAD_C,
    Pace,
    published,
    within_batch,
)
from .species import Species, find_species

_NORMAL = NormalDist()
_Z90 = _NORMAL.inv_cdf(0.9)
LINE_SPREAD = 0.06  # lines of one species in one room
BATCH_PRIOR_WEIGHT = 8.0  # how many batches the assumed batch spread counts for
ROOM_SWING_C = 0.7  # from batch to batch in a room whose warmth nobody logs, no source
CHECK_GAP_DAYS = 1.0  # eggs are looked at once a day at least (common practice, no source)
USUAL_EGGS = 30
PAST_CHANCE = 0.975  # a good batch shows fry before this point of its window
_DAY = 86400.0


@dataclass(frozen=True)
class HatchAge:
    """Age from laying at which half of a new batch has hatched, at one temperature."""

    species: str | None
    temp_c: float | None
    median_days: float | None
    p10_days: float | None
    p90_days: float | None
    earliest_days: float | None
    within_range: bool
    basis: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class PastBatch:
    """An earlier batch of this room. ValueError when its times cannot be: naive, or in the wrong order.

    `clear_until`: last look without fry; `fry_seen`: first look with fry, None when it failed.
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
        _check_laying(self.laid_from, self.laid_to)
        if self.temp_c is not None:
            _check_temperature(self.temp_c)
        if self.fry_seen is not None:
            _check_aware(self.fry_seen)
            if self.fry_seen < self.laid_from:
                raise ValueError("the fry were seen before the eggs were laid; check the two dates")
        if self.clear_until is not None:
            _check_aware(self.clear_until)
            if self.fry_seen is not None and self.clear_until > self.fry_seen:
                raise ValueError("fry were seen before the last look without fry; check the two dates")


@dataclass(frozen=True)
class Window:
    """80 % of good batches fall between p10 and p90."""

    p10: datetime
    p50: datetime
    p90: datetime


@dataclass(frozen=True)
class BatchHatch:
    """When one batch will hatch. Windows are None where no honest figure can be given."""

    first_fry: Window | None  # when fry are first there to be seen
    half_hatched: Window | None
    last_fry: Window | None
    earliest: datetime | None  # eggs that wait: not ready before this
    chance_by_now: float | None  # that first fry are there by now, if the eggs are good
    past_window: bool
    temp_c: float | None  # mean since laying; None when unknown
    basis: str
    earlier_batches: int
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


# ---- earlier batches, summed up


@dataclass
class _Tally:
    """Deviations of log age from the published pace, weighted; enough to update on, whatever their number."""

    count: int = 0
    weight: float = 0.0
    weighted: float = 0.0
    total: float = 0.0
    squares: float = 0.0
    measured: float = 0.0
    at_known_temp: int = 0

    def add(self, deviation: float, measured: float, known_temp: bool) -> None:
        weight = 1 / (BATCH_SPREAD**2 + measured)
        self.count += 1
        self.weight += weight
        self.weighted += weight * deviation
        self.total += deviation
        self.squares += deviation * deviation
        self.measured += measured
        self.at_known_temp += known_temp

    @property
    def mean(self) -> float:
        return self.weighted / self.weight

    @property
    def scatter(self) -> float:
        """Sum of squares about the mean beyond what coarse looking explains."""
        if self.count < 2:
            return 0.0
        about = self.squares - self.total * self.total / self.count
        return max(about - self.measured * (self.count - 1) / self.count, 0.0)


@dataclass(frozen=True)
class _Learned:
    """Deviation of log age from the published pace: mean, variance for a new batch of a line, batches it rests on."""

    mean: float
    variance: float
    count: int


@dataclass(frozen=True)
class Experience:
    """The room's earlier batches summed up once, so that each further question costs the same."""

    _tallies: dict[str, dict[str | None, _Tally]] = field(default_factory=dict)
    _failed: dict[str, int] = field(default_factory=dict)

    @classmethod
    def of(cls, past: Iterable[PastBatch]) -> Experience:
        """Sum up earlier batches. Failed ones and eggs that wait for water teach no hatching age."""
        tallies: dict[str, dict[str | None, _Tally]] = {}
        failed: dict[str, int] = {}
        for batch in past:
            key, species, pace = _who(batch.species, batch.line)
            if batch.fry_seen is None:
                failed[key] = failed.get(key, 0) + 1
                continue
            if species is not None and species.waits:
                continue
            seen = _deviation(batch, species, pace)
            if seen is not None:
                tally = tallies.setdefault(key, {}).setdefault(batch.line, _Tally())
                tally.add(*seen, batch.temp_c is not None)
        return cls(tallies, failed)

    def _learned(self, key: str, line: str | None, pace: Pace, temp_c: float | None) -> _Learned:
        """Normal–normal updating over species, line and batch; the batch spread is pooled over the lines."""
        lines = self._tallies.get(key, {})
        told = [lines[line]] if line in lines else list(lines.values())
        count = sum(tally.count for tally in told)
        scatter = sum(tally.scatter for tally in lines.values())
        freedom = sum(tally.count - 1 for tally in lines.values())
        batch = (BATCH_PRIOR_WEIGHT * BATCH_SPREAD**2 + scatter) / (BATCH_PRIOR_WEIGHT + freedom)
        prior = pace.variance(temp_c if temp_c is not None else UNKNOWN_TEMP_C) + SOURCE_SPREAD**2
        if temp_c is None:  # a room whose warmth was never known taught its age together with that warmth
            taught_blind = 2 * sum(tally.at_known_temp for tally in told) < count
            unsure = pace.unsure_of_temp(ROOM_SWING_C if taught_blind else UNKNOWN_TEMP_SPREAD_C)
            batch += unsure
            if taught_blind:
                prior += pace.unsure_of_temp(UNKNOWN_TEMP_SPREAD_C)
        precision, weighted = 1 / prior, 0.0
        for name, tally in lines.items():
            if name != line:
                weight = 1 / (LINE_SPREAD**2 + 1 / tally.weight)
                precision += weight
                weighted += weight * tally.mean
        mean, variance = weighted / precision, 1 / precision + LINE_SPREAD**2
        if line in lines:
            own = lines[line]
            precision = 1 / variance + own.weight
            mean, variance = (mean / variance + own.weighted) / precision, 1 / precision
        return _Learned(mean, variance + batch, count)


# Stands for a fish nobody has figures for: no relatives, and a range wide enough for any warm-water room.
_NOBODY = Species("unknown", (), "unknown", "unknown", False, 15.0, 31.0, "", True)


@lru_cache(maxsize=4096)
def _who(name: str | None, line: str | None) -> tuple[str, Species | None, Pace]:
    """The key a batch is counted under, its species if known, and the published pace to measure it against."""
    species = find_species(name) if name else None
    if species is not None:
        return species.name, species, published().pace(species)
    key = f"? {' '.join(name.casefold().split())}" if name else f"line {line}"
    return key, None, published().pace(_NOBODY)


def _deviation(batch: PastBatch, species: Species | None, pace: Pace) -> tuple[float, float] | None:
    """Log of the observed over the published half-hatch age, and the variance of knowing it that coarsely."""
    assert batch.fry_seen is not None
    temp = batch.temp_c if batch.temp_c is not None else UNKNOWN_TEMP_C
    low, high = _range(species)
    if not low <= temp <= high:
        return None
    scale = pace.days(temp)
    laying = (batch.laid_to - batch.laid_from).total_seconds() / _DAY / scale
    late = (batch.fry_seen - batch.laid_from).total_seconds() / _DAY / scale
    early = late - CHECK_GAP_DAYS / scale
    if batch.clear_until is not None:
        early = max((batch.clear_until - batch.laid_from).total_seconds() / _DAY / scale, 0.0)
    within = within_batch(species)
    factor, start = _first(laying, within, batch.eggs, species)
    middle = (early + late) / 2 - start
    if middle <= 0.05:
        return None
    gap = (late - early) / middle
    unsure = (gap * gap / 12) + _first_variance(laying, within, species) / middle**2
    if batch.temp_c is None:
        unsure += pace.unsure_of_temp(ROOM_SWING_C)
    return math.log(middle / factor), unsure


# ---- first, half and last of a batch laid over a while


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


def _first(laying: float, within: float, eggs: int | None, species: Species | None) -> tuple[float, float]:
    """First fry come at factor · age + start, in units of the published half-hatch age."""
    count = min(max(eggs or USUAL_EGGS, 1), 1000)
    if species is not None and not species.lays_daily:  # one spawning, somewhere within the laying interval
        return max(1 + within * _offset(0.0, count), 0.3), laying / 2
    spell = round(min(laying / within, 60.0), 1)
    return max(1 + within * _offset(spell, count), 0.3), 0.0


def _first_variance(laying: float, within: float, species: Species | None) -> float:
    """Variance of first fry, in the same units squared, beyond that of the batch: order and laying."""
    if species is not None and not species.lays_daily:
        return (0.4 * within) ** 2 + laying * laying / 12
    return (0.4 * within) ** 2 + (0.15 * laying) ** 2


# ---- temperature over time


class _Clock:
    """Published development done since laying, as a share of half hatch, over a temperature that changed."""

    def __init__(self, pace: Pace, laid: datetime, temperatures: Sequence[tuple[datetime, float]]) -> None:
        self._days: list[float] = []
        self._done: list[float] = []
        self._rates: list[float] = []
        start = max(bisect_right(temperatures, laid, key=lambda reading: reading[0]) - 1, 0)
        done, day, rate = 0.0, 0.0, 1 / pace.days(temperatures[start][1])
        last = temperatures[start]
        for reading in temperatures[start + 1 :]:
            to = (reading[0] - laid).total_seconds() / _DAY
            if to <= 0:
                continue
            begin = (last[0] - laid).total_seconds() / _DAY
            # straight line between two readings: exact for a pace linear in temperature
            end_rate = 1 / pace.days(reading[1])
            if begin < 0 < to:
                rate = rate + (end_rate - rate) * (0 - begin) / (to - begin)
                begin = 0.0
            if begin > day:
                self._mark(day, done, rate)
                done += rate * (begin - day)
                day = begin
            self._mark(day, done, (rate + end_rate) / 2)
            done += (rate + end_rate) / 2 * (to - day)
            day, rate, last = to, end_rate, reading
        self._mark(day, done, rate)

    def _mark(self, day: float, done: float, rate: float) -> None:
        self._days.append(day)
        self._done.append(done)
        self._rates.append(rate)

    def done(self, day: float) -> float:
        at = max(bisect_right(self._days, day) - 1, 0)
        return self._done[at] + (day - self._days[at]) * self._rates[at]

    def day(self, done: float) -> float:
        at = max(bisect_right(self._done, done) - 1, 0)
        return self._days[at] + (done - self._done[at]) / self._rates[at]


# ---- questions


def hatch_age(species: str | None, temp_c: float | None, earlier: Sequence[PastBatch] | Experience = ()) -> HatchAge:
    """Age at which half of a new batch of that species has hatched at `temp_c` (°C; None: a usual fish room).

    Raises ValueError outside 0 to 45 °C. No figure, only cautions, outside the species' range, for eggs that
    wait, and for fish nobody has figures for.
    """
    if temp_c is not None:
        _check_temperature(temp_c)
    key, known, pace = _who(species, None)
    temp = temp_c if temp_c is not None else UNKNOWN_TEMP_C
    low, high = _range(known)
    within = low <= temp <= high
    learned = _experience(earlier)._learned(key, None, pace, temp_c)
    cautions = _cautions(known, species, pace, temp_c, learned.count)
    median = p10 = p90 = None
    waits = known is not None and known.waits
    if within and not waits and (pace.level != "nothing" or learned.count):
        middle = math.log(pace.days(temp)) + learned.mean
        sd = math.sqrt(learned.variance)
        median, p10, p90 = math.exp(middle), math.exp(middle - _Z90 * sd), math.exp(middle + _Z90 * sd)
    return HatchAge(
        species=known.name if known else species,
        temp_c=temp_c,
        median_days=median,
        p10_days=p10,
        p90_days=p90,
        earliest_days=known.earliest_days if known and waits and within else None,
        within_range=within,
        basis=_basis(known, pace, learned, temp_c),
        sources=_sources(known, pace),
        cautions=cautions,
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
) -> BatchHatch:
    """When a batch laid between two times will hatch, as far as is known `now`.

    `temperatures` are readings in time order, °C, joined by straight lines and held after the last;
    `clear_until` is the last look without fry; `eggs` how many (30 assumed); `medium` "peat" means they wait
    for water. Times are aware. Raises ValueError for times in the wrong order and temperatures outside 0–45 °C.
    """
    _check_laying(laid_from, laid_to)
    _check_aware(now)
    if laid_from > now:
        raise ValueError("the eggs are said to be laid in the future; check the date")
    if clear_until is not None:
        _check_aware(clear_until)
        if clear_until <= laid_from:
            clear_until = None
    for _, degrees in temperatures:
        _check_temperature(degrees)
    if any(one[0] > two[0] for one, two in pairwise(temperatures)):
        temperatures = sorted(temperatures)
    key, known, pace = _who(species, line)
    mean_c = _mean_temperature(laid_from, now, temperatures)
    temp = mean_c if mean_c is not None else UNKNOWN_TEMP_C
    learned = _experience(earlier)._learned(key, line, pace, mean_c)
    cautions = _cautions(known, species, pace, mean_c, learned.count)
    low, high = _range(known)
    waits = (known is not None and known.waits) or medium == "peat"
    nothing = BatchHatch(
        first_fry=None,
        half_hatched=None,
        last_fry=None,
        earliest=None,
        chance_by_now=None,
        past_window=False,
        temp_c=mean_c,
        basis=_basis(known, pace, learned, mean_c),
        earlier_batches=learned.count,
        sources=_sources(known, pace),
        cautions=cautions,
    )
    if not low <= temp <= high or (pace.level == "nothing" and not learned.count):
        return nothing
    held = [(at, min(max(degrees, low), high)) for at, degrees in temperatures] or [(laid_from, temp)]
    clock = _Clock(pace, laid_from, held)
    spread = math.sqrt(learned.variance)
    if waits:
        return _waiting(nothing, known, clock, laid_from, learned.mean - _Z90 * spread)

    within = within_batch(known)
    laying = clock.done((laid_to - laid_from).total_seconds() / _DAY)
    factor, start = _first(laying, within, eggs, known)
    size = math.exp(learned.mean)
    sd = math.sqrt(spread * spread + _first_variance(laying, within, known) / (size * factor) ** 2)

    def by(day: float) -> float:
        done = clock.done(day) - start
        return _NORMAL.cdf((math.log(done / factor) - learned.mean) / sd) if done > 0 else 0.0

    now_day = (now - laid_from).total_seconds() / _DAY
    looked = by((clear_until - laid_from).total_seconds() / _DAY) if clear_until is not None else 0.0
    past = (looked if clear_until is not None else by(now_day)) > PAST_CHANCE
    left = 0.0 if past else looked  # past it, the window says when it was due
    last_factor, last_start = 2 - factor, laying
    if known is not None and not known.lays_daily:
        last_start = start
    firsts: list[datetime] = []
    halves: list[datetime] = []
    lasts: list[datetime] = []
    for share in (0.1, 0.5, 0.9):
        age = math.exp(learned.mean + sd * _NORMAL.inv_cdf(left + share * (1 - left)))
        for times, done in (
            (firsts, age * factor + start),
            (halves, age + laying / 2),
            (lasts, age * last_factor + last_start),
        ):
            times.append(laid_from + timedelta(days=clock.day(done)))
    chance = max((by(now_day) - looked) / (1 - looked), 0.0) if looked < 1 else 1.0
    return BatchHatch(
        first_fry=Window(*firsts),
        half_hatched=Window(*halves),
        last_fry=Window(*lasts),
        earliest=None,
        chance_by_now=chance,
        past_window=past,
        temp_c=mean_c,
        basis=nothing.basis,
        earlier_batches=learned.count,
        sources=nothing.sources,
        cautions=(*cautions, _PAST) if past else cautions,
    )


def _waiting(nothing: BatchHatch, known: Species | None, clock: _Clock, laid: datetime, log_age: float) -> BatchHatch:
    """Eggs that wait for water: only when they may be ready at the earliest."""
    days = known.earliest_days if known and known.earliest_days else clock.day(math.exp(log_age))
    cautions = nothing.cautions if _WAIT in nothing.cautions else (*nothing.cautions, _WAIT)
    return BatchHatch(
        None,
        None,
        None,
        laid + timedelta(days=days),
        None,
        False,
        nothing.temp_c,
        nothing.basis,
        nothing.earlier_batches,
        nothing.sources,
        cautions,
    )


# ---- words and checks

_WAIT = (
    "these eggs wait for water, for weeks to months, so there is no hatch date: look at them, and when the eyes are "
    "ringed gold wet a pinch first; dry what does not hatch and wet it again weeks later (common practice, no source)"
)
_PAST = (
    "no fry although nearly all good batches hatch by now: look at the eggs for white or furry ones, for clear ones "
    "without an embryo, and for eyes that move; eyed eggs may still hatch, often after fresh water "
    "(common practice, no source)"
)


def _experience(earlier: Sequence[PastBatch] | Experience) -> Experience:
    return earlier if isinstance(earlier, Experience) else Experience.of(earlier)


def _range(species: Species | None) -> tuple[float, float]:
    return (species or _NOBODY).temp_low, (species or _NOBODY).temp_high


def _mean_temperature(laid: datetime, now: datetime, temperatures: Sequence[tuple[datetime, float]]) -> float | None:
    """Mean over the readings since laying, or the last one before it."""
    if not temperatures:
        return None
    since = bisect_right(temperatures, laid, key=lambda reading: reading[0])
    until = bisect_right(temperatures, now, key=lambda reading: reading[0])
    chosen = temperatures[since:until] or temperatures[max(since - 1, 0) : max(since, 1)]
    return sum(degrees for _, degrees in chosen) / len(chosen)


def _basis(species: Species | None, pace: Pace, learned: _Learned, temp_c: float | None) -> str:
    warmth = f"{temp_c:.1f} °C" if temp_c is not None else "temperature not known"
    if learned.count:
        batches = "1 earlier batch" if learned.count == 1 else f"{learned.count} earlier batches"
        return f"{batches} here, {warmth}"
    if species is None or pace.level == "nothing":
        return f"no figures for this fish, {warmth}"
    count = len(pace.rows)
    figures = "1 published figure" if count == 1 else f"{count} published figures"
    whose = {
        "species": f"for {species.name}",
        "genus": f"for others of the genus {species.genus}, none for {species.name}",
        "family": f"for others of its family {species.family}, none nearer",
        "egg_type": f"for other {species.egg_type} fish, no relative among them",
    }[pace.level]
    return f"{figures} {whose}, {warmth}"


def _sources(species: Species | None, pace: Pace) -> tuple[str, ...]:
    if species is None:
        return ()
    cited = tuple(dict.fromkeys(row.cited for row in pace.rows))
    return cited[:6] if not species.waits else (species.basis, *cited[:5])


def _cautions(
    species: Species | None, name: str | None, pace: Pace, temp_c: float | None, count: int
) -> tuple[str, ...]:
    said = []
    if species is None:
        who = f"“{name}” is not a fish with figures here" if name else "the species is not known"
        said.append(who + ("; this rests on your own batches alone" if count else ", so there is no estimate"))
    elif species.genus_level:
        said.append(f"{species.name} is not in the table; its range is {species.basis}")
    low, high = _range(species)
    if temp_c is not None and not low <= temp_c <= high:
        said.append(
            f"{temp_c:.1f} °C is outside {low:g}–{high:g} °C, where these eggs are known to develop; no estimate"
        )
    if temp_c is None:
        said.append(
            f"no temperature known; {UNKNOWN_TEMP_C - UNKNOWN_TEMP_SPREAD_C:g}–"
            f"{UNKNOWN_TEMP_C + UNKNOWN_TEMP_SPREAD_C:g} °C is assumed, so the window is wider"
        )
    if species is not None and species.waits:
        said.append(_WAIT)
    elif species is not None and not count and pace.level in ("family", "egg_type"):
        said.append("no figures for this fish or its genus; the window is very wide until your own batches narrow it")
    return tuple(said)


def _check_temperature(temp_c: float) -> None:
    if not 0 <= temp_c <= 45:  # also refuses nan
        raise ValueError(f"{temp_c:g} °C cannot be the temperature of eggs; 0 to 45 °C is taken")


def _check_aware(moment: datetime) -> None:
    if moment.tzinfo is None:
        raise ValueError("a time without a time zone cannot be placed; give it one")


def _check_laying(laid_from: datetime, laid_to: datetime) -> None:
    _check_aware(laid_from)
    _check_aware(laid_to)
    if laid_from > laid_to:
        raise ValueError("the laying is said to end before it begins; check the two dates")
