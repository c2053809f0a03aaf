"""When the batches that stand in the room will hatch: the record's dates and temperatures put into the estimate."""

from __future__ import annotations

import bisect
import datetime as dt
import math
from collections.abc import Iterable
from operator import attrgetter
from typing import NamedTuple

from shared.hatching.estimate import BatchHatch, Elsewhere, Experience, PastBatch, batch_hatch
from shared.hatching.experience import who
from shared.ledger.standing import Batch, Holding, Readings, Standing

WARMTH_HOLDS = dt.timedelta(days=14)
ENOUGH_PLACES = 3  # fewer say little of a place that is not among them
WITHIN_A_PLACE_C = 0.75  # a small tub by a heated tank, a top shelf by a low one: common practice, no source


def hatches(batch: Batch) -> bool:
    """Whether this batch is eggs still waited for, with a lay date to reckon from."""
    return batch.fry_seen is None and batch.joined is None and batch.laid_from is not None


def temperatures(
    standing: Standing, batch: Batch, until: dt.datetime, held: Iterable[Holding] | None = None
) -> list[tuple[dt.datetime, float]]:
    """What was logged where the eggs stand, else where they were laid; °C, oldest first, from laying on.

    `held` is what stands of the batch, where that was looked up before.
    """
    held = standing.of_group(batch.name) if held is None else held
    spots = [h.place for h in held if h.stage == "eggs" and h.place]
    for spot in (*spots, *batch.parents):
        sane = _sane(standing.readings.get(spot, {}).get("temperature"), until)
        if sane:
            laid = batch.laid_from
            before = bisect.bisect_right(sane, laid, key=lambda reading: reading[0]) if laid else 0
            return sane[max(before - 1, 0) :]
    return []


def _sane(kept: Readings | None, until: dt.datetime) -> list[tuple[dt.datetime, float]]:
    """The readings until then; slips left out."""
    if kept is None:
        return []
    end = bisect.bisect_right(kept.at, until)
    return [its for its in zip(kept.at[:end], kept.value[:end], strict=True) if 0 <= its[1] <= 45]


def _lately(kept: Readings, after: dt.datetime, until: dt.datetime) -> list[float]:
    """The values between two moments, the newest first, without looking at those before; slips left out."""
    found: list[float] = []
    for at, value in zip(reversed(kept.at), reversed(kept.value), strict=True):
        if at <= after:
            break
        if at <= until and 0 <= value <= 45:
            found.append(value)
    return found


class Known(NamedTuple):
    """What the room has shown so far that bears on any of its batches."""

    earlier: Experience
    elsewhere: Elsewhere | None
    held: dict[str, list[Holding]]  # by group


def known(standing: Standing, now: dt.datetime) -> Known:
    """For who asks for many batches at once."""
    held: dict[str, list[Holding]] = {}
    for holding in standing.holdings.values():
        held.setdefault(holding.group, []).append(holding)
    return Known(experience(standing), elsewhere(standing, now), held)


def elsewhere(standing: Standing, now: dt.datetime) -> Elsewhere | None:
    """How warm the measured places were these two weeks; None where fewer than three were measured."""
    means: list[float] = []
    now = now.astimezone(dt.UTC)  # in a room's own zone each comparison would look its offset up
    begin = now - WARMTH_HOLDS
    for there in standing.readings.values():
        kept = there.get("temperature")
        lately = _lately(kept, begin, now) if kept else []
        if lately:
            means.append(math.fsum(lately) / len(lately))
    if len(means) < ENOUGH_PLACES:
        return None
    mean = math.fsum(means) / len(means)
    spread = math.sqrt(math.fsum((one - mean) ** 2 for one in means) / (len(means) - 1))
    return Elsewhere(mean, math.hypot(spread, WITHIN_A_PLACE_C), len(means))


_Hatch = tuple[dt.datetime, dt.datetime, dt.datetime | None, dt.datetime, float | None]
_FIGURES = attrgetter("laid_from", "laid_to", "clear_until", "fry_seen", "temp_c")


def experience(standing: Standing, like: str | None = None) -> Experience:
    """The room's own finished batches, of all its lines: each line learns a little from the others.

    `like`: only the lines of that line's species, which is all that bears on it. Whatever changed a past hatch, only
    its line is summed up anew: what a line shows is kept beside the figures it follows from, and they are compared.
    """
    about = _species_and_key(standing, like)[1] if like is not None else None
    parts = []
    for line, kept in standing.past.items():
        species, key = _species_and_key(standing, line)
        if about is None or key == about:
            parts.append(_of_line(line, species, tuple(map(_FIGURES, kept))))
    return Experience.together(parts)


def _species_and_key(standing: Standing, line: str) -> tuple[str | None, str]:
    """What fish a line is, and under which key experience with it is kept."""
    species = standing.lines[line].species if line in standing.lines else None
    return species, who(species, line)[0]


# By line and species, the figures last asked about and what follows from them. As long as they are the very same
# objects, comparing them costs next to nothing.
_SHOWN: dict[tuple[str, str | None], tuple[tuple[_Hatch, ...], Experience]] = {}
MOST_LINES = 1000  # in all rooms of a process; with more it begins anew


def _of_line(line: str, species: str | None, hatches: tuple[_Hatch, ...]) -> Experience:
    kept = _SHOWN.get((line, species))
    shown = kept[1] if kept and kept[0] == hatches else _summed_up(line, species, hatches)
    if len(_SHOWN) >= MOST_LINES:
        _SHOWN.clear()
    _SHOWN[line, species] = hatches, shown
    return shown


def _summed_up(line: str, species: str | None, hatches: tuple[_Hatch, ...]) -> Experience:
    return Experience.of(
        PastBatch(
            laid_from=laid_from,
            laid_to=max(laid_to, laid_from),
            clear_until=clear_until if clear_until and clear_until < fry_seen else None,
            fry_seen=fry_seen,
            temp_c=temp_c if temp_c is not None and 0 <= temp_c <= 45 else None,
            species=species,
            line=line,
        )
        for laid_from, laid_to, clear_until, fry_seen, temp_c in hatches
        if fry_seen >= laid_from
    )


def forecast(standing: Standing, name: str, now: dt.datetime, so_far: Known | None = None) -> BatchHatch | None:
    """The hatch estimate of a batch, or None where there is nothing to reckon from.

    `so_far` is what `known` says of the room, given by a caller who asks for many batches at once.
    """
    batch = standing.batches.get(name)
    if batch is None or batch.laid_from is None or batch.laid_from > now:
        return None
    line = standing.lines.get(batch.line)
    laid_from = batch.laid_from
    held = so_far.held.get(name, []) if so_far else standing.of_group(name)
    measured = temperatures(standing, batch, now, held)
    if so_far is None:
        so_far = Known(experience(standing, batch.line), None if measured else elsewhere(standing, now), {name: held})
    looks = [t for h in held for t in standing.times(h.place, "look") if laid_from <= t <= now]
    return batch_hatch(
        line.species if line else None,
        laid_from,
        max(batch.laid_to or laid_from, laid_from),
        now,
        temperatures=measured,
        line=batch.line,
        earlier=so_far.earlier,
        clear_until=max(looks, default=None) if batch.fry_seen is None else batch.clear_until,
        eggs=sum(h.count for h in held if h.stage == "eggs" and h.counted) or None,
        medium=batch.medium,
        elsewhere=so_far.elsewhere,
    )
