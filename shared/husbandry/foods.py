"""What the smallest fry can swallow, and when to start it so that it is there on the day they hatch."""

from __future__ import annotations

import csv
import datetime as dt
import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, TypeAlias

from shared.quantities import PRACTICE, Figure, sane_celsius

Mouth: TypeAlias = Literal["tiny", "small", "large"]
MOUTHS: dict[Mouth, float] = {"tiny": 150.0, "small": 300.0, "large": 600.0}  # µm high: common practice, no source

GAPE = "Cunha & Planas 1999, Aquaculture (turbot larvae: best prey 0.36 of the mouth's height)"
ARTEMIA = "FAO Fisheries Technical Paper 428 Annex 4"
_BEST, _LEAST, _MOST = 0.36, 0.2, 0.5  # prey width over mouth height; the range is from memory
_HATCH_HOURS = (18.0, 24.0, 36.0)  # at 25–28 °C: common practice, no source
_COLD_HOURS = 24  # Ghent University Artemia Reference Center: below 10 °C, at most a day
_NAUPLII_A_GRAM = (200_000, 250_000, 300_000)  # good cysts: SRAC Publication 702 (Treece 2000)
_RESTART_DAYS = (14, 21)  # common practice, no source
_FIRST_HARVEST_DAYS = (3, 7)  # common practice, no source


@dataclass(frozen=True)
class Food:
    """A first food: its widths in µm, and the days from starting it to the first to feed."""

    name: str
    narrow_um: float
    wide_um: float
    lead_days: tuple[float, float]
    source: str


@dataclass(frozen=True)
class Fit:
    """How a food suits a mouth; `share` is its middle width over the mouth's height."""

    food: Food
    share: float
    verdict: Literal["suits", "some will take it", "too large", "too small to fill them"]


@dataclass(frozen=True)
class Hatchery:
    """When to start brine shrimp for a feeding: best at `start`, between `earliest` and `latest`."""

    start: dt.datetime
    earliest: dt.datetime
    latest: dt.datetime
    ready: dt.datetime
    feed_within: dt.timedelta
    basis: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Brood:
    """Fry to come: first and last day of hatching, their mouth, and the days from hatching until they eat."""

    batch: str
    first: dt.date
    last: dt.date
    mouth: Mouth | float
    eats_after_days: float = 0.0


@dataclass(frozen=True)
class Start:
    """A food to start for a brood between two days, to be there on `wanted`; `late` when the last day is past."""

    food: str
    batch: str
    earliest: dt.date
    latest: dt.date
    wanted: dt.date
    running: bool
    late: bool
    why: str


@dataclass(frozen=True)
class Restart:
    """When a microworm culture is started anew: from the first day, and before the last."""

    earliest: dt.date
    latest: dt.date
    due: bool
    feeds_from: dt.date
    basis: str
    cautions: tuple[str, ...]


@cache
def foods() -> tuple[Food, ...]:
    """Every first food of the table reference/foods.csv, narrowest first."""
    with (Path(__file__).parents[1] / "reference" / "foods.csv").open(encoding="utf-8", newline="") as table:
        found = [
            Food(
                row["food"],
                float(row["narrow_um"]),
                float(row["wide_um"]),
                (float(row["lead_days_low"]), float(row["lead_days_high"])),
                row["source"],
            )
            for row in csv.DictReader(table)
        ]
    return tuple(sorted(found, key=lambda food: food.narrow_um + food.wide_um))


def _height(mouth: Mouth | float) -> float:
    height = MOUTHS[mouth] if isinstance(mouth, str) else mouth
    if not 30 <= height <= 5000:
        raise ValueError(f"a mouth {height:g} µm high is not that of fry; it runs from 30 to 5000")
    return height


def prey_width(mouth: Mouth | float) -> Figure:
    """Width of food in µm that a mouth of so many µm in height (30–5000, or tiny, small, large) takes best.

    0.36 of the height (Cunha & Planas 1999, in turbot larvae), with 0.2 to 0.5 as its width, from memory: other
    fish are taken to do alike. Raises ValueError out of range.
    """
    height = _height(mouth)
    return Figure(
        value=_BEST * height,
        low=_LEAST * height,
        high=_MOST * height,
        unit="µm",
        basis=f"{_BEST:g} of a mouth {height:g} µm high",
        sources=(GAPE,),
        cautions=("Measured in a sea fish; watch for round, filled bellies an hour after feeding.",),
    )


def first_foods(mouth: Mouth | float) -> tuple[Fit, ...]:
    """Every first food with how it suits a mouth (µm in height, or tiny, small, large), the best first.

    Suits: some of it lies within 0.2–0.5 of the mouth; some will take it: up to 0.8, from memory.
    Raises ValueError out of range. Source: Cunha & Planas 1999 for the best width.
    """
    height = _height(mouth)
    found = []
    for food in foods():
        least, middle, most = (w / height for w in (food.narrow_um, _middle(food), food.wide_um))
        verdict: Literal["suits", "some will take it", "too large", "too small to fill them"] = (
            "suits"
            if least <= _MOST and most >= _LEAST
            else "too small to fill them"
            if most < _LEAST
            else "some will take it"
            if least <= 0.8
            else "too large"
        )
        found.append(Fit(food, middle, verdict))
    order = ("suits", "some will take it", "too small to fill them", "too large")
    return tuple(sorted(found, key=lambda fit: (order.index(fit.verdict), abs(math.log(fit.share / _BEST)))))


def _middle(food: Food) -> float:
    return (food.narrow_um + food.wide_um) / 2


def _ago(moment: dt.datetime, hours: float) -> dt.datetime:
    """So many real hours before; across a change of the clocks too, when the moment knows its zone."""
    if moment.tzinfo is None:
        return moment - dt.timedelta(hours=hours)
    return (moment.astimezone(dt.UTC) - dt.timedelta(hours=hours)).astimezone(moment.tzinfo)


def brine_shrimp(ready: dt.datetime, celsius: float = 26.0, hours: float | None = None) -> Hatchery:
    """When to start a brine shrimp hatch to feed at `ready` (naive, or with a zone: then clock changes are heeded).

    18–36 h at 25–28 °C; 15–33 °C are answered, below 25 slower by a doubling for ten degrees (an assumption, no
    source). `hours` is the room's own time to a full hatch, 8–72. Raises ValueError out of range: cysts above
    33 °C are lost. Sources: FAO FTP 428 Annex 4; times are common practice.
    """
    if not 15 <= sane_celsius(celsius) <= 33:
        raise ValueError(f"brine shrimp do not hatch well at {celsius:g} °C; keep them at 25 to 28")
    if hours is not None and not 8 <= hours <= 72:
        raise ValueError(f"{hours:g} hours is no time for a brine shrimp hatch; it takes 8 to 72")
    slower = 2 ** ((25 - celsius) / 10) if celsius < 25 else 1.0
    short, middle, long = (h * slower for h in _HATCH_HOURS) if hours is None else (hours - 3, hours, hours + 6)
    cautions = ["Rinse them, leave the shells behind, and feed within a few hours: they live on their yolk."]
    if celsius < 25:
        cautions.append(f"At {celsius:g} °C they are slower; 25 to 28 with light and air is best.")
    elif celsius > 30:
        cautions.append(f"{celsius:g} °C is near the 33 at which cysts are lost.")
    return Hatchery(
        start=_ago(ready, middle),
        earliest=_ago(ready, long),
        latest=_ago(ready, short),
        ready=ready,
        feed_within=dt.timedelta(hours=8),
        basis=f"{short:.0f} to {long:.0f} h to hatch at {celsius:g} °C, {middle:.0f} h as a rule;"
        f" in the cold (below 10 °C) they keep {_COLD_HOURS} h at most",
        sources=(ARTEMIA, f"18–36 h: {PRACTICE}", "Ghent University Artemia Reference Center, cold storage"),
        cautions=tuple(cautions),
    )


def cysts_needed(fry: int, nauplii_each: float = 50.0) -> Figure:
    """Milligrams of good brine shrimp cysts that feed so many fry once, at so many nauplii each (5–2000).

    200–300 thousand nauplii to the gram, SRAC Publication 702; 50 each a meal is common practice, no source.
    Raises ValueError for counts below zero or out of range.
    """
    if fry < 0 or not 5 <= nauplii_each <= 2000:
        raise ValueError("fry cannot be fewer than none, and a meal is 5 to 2000 nauplii each")
    most, value, least = (1000 * fry * nauplii_each / a_gram for a_gram in _NAUPLII_A_GRAM)
    return Figure(
        value=value,
        low=least,
        high=most,
        unit="mg",
        basis=f"{fry} fry, {nauplii_each:g} nauplii each, good cysts",
        sources=("SRAC Publication 702 (Treece 2000)", f"{nauplii_each:g} a meal: {PRACTICE}"),
        cautions=("Old cysts hatch far less; what is not eaten in an hour or two dies in fresh water.",),
    )


def live_food_plan(broods: Iterable[Brood], today: dt.date, running: Collection[str] = ()) -> tuple[Start, ...]:
    """What to start, and when, so that every brood to come finds food it can swallow; soonest first.

    From each hatch window backwards: the two foods that suit the mouth best (powder needs no start), and baby
    brine shrimp for the first day where they fit, else a week on. `running` names cultures that already feed.
    Raises ValueError for a window that ends before it begins. Lead times: common practice, no source.
    """
    plan: list[Start] = []
    for brood in broods:
        if brood.last < brood.first:
            raise ValueError(f"the hatch window of {brood.batch} ends before it begins")
        eats = brood.first + dt.timedelta(days=math.floor(brood.eats_after_days))
        fits = {fit.food.name: fit for fit in first_foods(brood.mouth)}
        suiting = [fit.food for fit in fits.values() if fit.verdict == "suits" and fit.food.lead_days[1] > 0]
        shrimp = next(food for food in foods() if food.name == "baby brine shrimp")
        wanted = [(food, eats) for food in suiting if food is not shrimp][:2]
        straight = fits[shrimp.name].verdict == "suits"
        wanted.append((shrimp, eats if straight else eats + dt.timedelta(days=7)))
        for food, day in wanted:
            low, high = food.lead_days
            latest = day - dt.timedelta(days=math.ceil(low))
            late = latest < today and food.name not in running
            plan.append(
                Start(
                    food=food.name,
                    batch=brood.batch,
                    earliest=day - dt.timedelta(days=math.ceil(high)),
                    latest=latest,
                    wanted=day,
                    running=food.name in running,
                    late=late,
                    why=f"{brood.batch} may hatch from {brood.first:%-d %b} to {brood.last:%-d %b}; {food.name} take"
                    f" {low:g} to {high:g} days" + ("; too late, feed powder until then" if late else ""),
                )
            )
    return tuple(sorted(plan, key=lambda start: (start.earliest, start.batch, start.food)))


def microworm_restart(started: dt.date, today: dt.date, others: Iterable[dt.date] = ()) -> Restart:
    """When to start a microworm culture anew: two to three weeks after it was started, before it sours.

    `others` are the starting days of the other cultures; two are kept, of different age, so that one can crash.
    Raises ValueError when it was started after today. Common practice, no source.
    """
    if started > today:
        raise ValueError("a culture cannot have been started in the future")
    rest = [day for day in others if day <= today]
    first, last = (started + dt.timedelta(days=days) for days in _RESTART_DAYS)
    cautions = []
    if not rest:
        cautions.append("It is the only one: start a second now, a crash would leave the fry without.")
    elif all(abs((day - started).days) <= 3 for day in rest):
        cautions.append("All cultures are of one age and will sour together; start one early.")
    if today > last:
        cautions.append("It is past three weeks: smell it, and start from it only if it still crawls and is not sour.")
    again = max(today, first)
    return Restart(
        earliest=first,
        latest=last,
        due=today >= first,
        feeds_from=again + dt.timedelta(days=_FIRST_HARVEST_DAYS[1]),
        basis=f"{_RESTART_DAYS[0]} to {_RESTART_DAYS[1]} days, first harvest after {_FIRST_HARVEST_DAYS[0]} to"
        f" {_FIRST_HARVEST_DAYS[1]}: {PRACTICE}",
        cautions=tuple(cautions),
    )
