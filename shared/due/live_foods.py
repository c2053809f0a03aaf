"""Live foods on the round: brine shrimp hatched for the fry, worms started afresh, cultures fed."""

from __future__ import annotations

import datetime as dt

from shared.due.rounds import Round
from shared.due.rules import Spot
from shared.due.stops import in_peat
from shared.due.timetable import Clock
from shared.species import TINY

SHRIMP_KEEP = dt.timedelta(days=3)  # a hatchery not seen to by then is dead; common practice, no source
# Fry too small for it in their first week: common practice, no source.
_TINY = (*TINY, "melanotaenia")
_MICROWORMS = ("microworm", "micro worm", "banana worm", "walter worm", "grindal")


def brine_shrimp(round_: Round) -> None:
    """Eggs of brine shrimp set up each evening while fry are there or expected by the next day; seen to a day later."""
    standing, clock, routine = round_.standing, round_.clock, round_.routine
    culture = next((c for c in standing.cultures.values() if "brine" in c.name.casefold()), None)
    if culture is None:
        return
    spot = Spot(culture.name)
    started = _utc(culture.started)
    said = round_.last_done("start_brine_shrimp", culture.name)
    since, wanted = _wanting_shrimp(round_)
    if since is not None:
        done = max((t for t in (started, said) if t), default=None)
        times, _ = round_.daily("start_brine_shrimp", spot, since, done)
        round_.add("start_brine_shrimp", spot, times, wanted, "salt water, warm, light and air for a day")
    if started is None or routine.is_off("harvest_brine_shrimp", spot, clock.today, clock.now):
        return
    ready = started + dt.timedelta(hours=routine.number("brine_shrimp_hours", spot, clock.today, clock.now))
    over = [t.astimezone(dt.UTC) for t in (culture.harvested, culture.crashed) if t]
    over += [t for t in (round_.last_done("harvest_brine_shrimp", culture.name),) if t]
    fed = max((d["feed:brine shrimp"] for d in round_.done.values() if "feed:brine shrimp" in d), default=None)
    eaten = fed is not None and fed >= ready
    if any(t >= started for t in over) or eaten or clock.now - ready > SHRIMP_KEEP:
        return
    times = round_.moved("harvest_brine_shrimp", spot, [ready], max(over, default=None), daily=True)
    why = f"started {clock.day_name(started)}"
    round_.add("harvest_brine_shrimp", spot, times, why, "air off, let shells rise, draw off and rinse")


def _wanting_shrimp(round_: Round) -> tuple[dt.datetime | None, str]:
    """Since when there are fry that take brine shrimp, or will by tomorrow; and whose."""
    standing, clock, routine = round_.standing, round_.clock, round_.routine
    found: list[tuple[dt.datetime, str]] = []
    for place, held in round_.at_place.items():
        kept = standing.places.get(place)
        for holding in held:
            spot = Spot(place, kept.kind if kept else "", frozenset({holding.group}), frozenset({holding.line}))
            if (kept and kept.closed) or routine.is_off("start_brine_shrimp", spot, clock.today, clock.now):
                continue
            begun, batch = holding.since.astimezone(dt.UTC), standing.batches.get(holding.group)
            window, age = round_.windows.get(holding.group), _age_wanted(round_, holding.line, spot)
            if holding.stage == "fry":
                hatched = (batch.fry_seen if batch else None) or begun
                since = max(begun, _eve(clock, hatched, age)) if age else begun
                found.append((since, f"fry in {place or 'hand'}"))
            elif holding.stage == "eggs" and window and window.latest >= clock.now and not in_peat(standing, holding):
                since = max(begun, _eve(clock, window.earliest, age))
                found.append((since, f"{holding.group} may hatch soon"))
    return min(found, default=(None, ""), key=lambda f: f[0] or clock.now)


def _age_wanted(round_: Round, line: str, spot: Spot) -> int:
    """Days from hatching until fry of a line take newly hatched brine shrimp, as said or by their species."""
    kept = round_.standing.lines.get(line)
    tiny = ((kept.species if kept else None) or "").casefold().startswith(_TINY)
    day, now = round_.clock.today, round_.clock.now
    said = round_.routine.number("brine_shrimp_from_days", spot, day, now)
    return round(said or (round_.routine.number("brine_shrimp_from_days_tiny", spot, day, now) if tiny else 0))


def _eve(clock: Clock, hatch: dt.datetime, age: int) -> dt.datetime:
    """The start of the day before fry hatched then are of that age: shrimp set up that evening are ready for them."""
    return clock.moment(clock.local(hatch.astimezone(dt.UTC)).date() + dt.timedelta(days=age - 1), dt.time(0))


def cultures(round_: Round) -> None:
    """Microworms started afresh, all cultures fed; one that crashed wants a new start."""
    standing, clock = round_.standing, round_.clock
    begun = (standing.begun or clock.now).astimezone(dt.UTC)
    for culture in standing.cultures.values():
        name = culture.name.casefold()
        if "brine" in name:
            continue
        spot = Spot(culture.name)
        started, fed, crashed = _utc(culture.started), _utc(culture.fed), _utc(culture.crashed)
        restarted = max((t for t in (started, round_.last_done("culture_restart", culture.name)) if t), default=None)
        if crashed and (restarted is None or restarted < crashed):
            if not round_.routine.is_off("culture_restart", spot, clock.today, clock.now):
                times = round_.moved("culture_restart", spot, [crashed], restarted)
                why = f"crashed {clock.day_name(crashed)}"
                round_.add("culture_restart", spot, times, why, "a clean box, started from another", whole_day=True)
            continue
        if any(word in name for word in _MICROWORMS):
            times, rhythm = round_.interval("culture_restart", spot, begun, restarted)
            why = f"{round_.since_words(restarted, begun, 'started')}, every {rhythm.every:g} days"
            round_.add("culture_restart", spot, times, why, "fresh mash, a spoon of the old on top", whole_day=True)
        told = round_.last_done("culture_feed", culture.name)
        last = max((t for t in (started, fed, told) if t), default=None)
        times, rhythm = round_.interval("culture_feed", spot, begun, last)
        why = f"{round_.since_words(last, begun, 'fed')}, every {rhythm.every:g} days"
        round_.add("culture_feed", spot, times, why, "a little; more when it is eaten", whole_day=True)


def _utc(moment: dt.datetime | None) -> dt.datetime | None:
    return moment.astimezone(dt.UTC) if moment else None
