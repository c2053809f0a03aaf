"""What a look at the numbers suggests: groups to keep apart, young to move up or thin out, a quarantine over."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Literal

from shared.due.rounds import plain_number
from shared.due.stops import Stop
from shared.due.tasks import NEVER
from shared.due.timetable import Rhythm
from shared.husbandry.growth import move_up as big_enough
from shared.ledger.standing import Holding, Standing


def suggest(stop: Stop) -> None:
    """Every suggestion for one place."""
    _keep_apart(stop)
    if not stop.adults:
        nursery = not stop.small and stop.role not in ("grow-out", "quarantine")
        for holding in (*stop.fry, *stop.young):
            if stop.small:
                _move_up(stop, holding, "move_up_days", "a nursery tank")
            elif nursery:
                _move_up(stop, holding, "grow_out_days", "a grow-out tank")
        _thin_out(stop)
    if stop.role == "quarantine" and stop.fish:
        _quarantine(stop)


def _keep_apart(stop: Stop) -> None:
    """Groups in one place that nobody can tell apart later, or of which one eats the other."""
    groups = [h for h in stop.held if h.stage != "adults"]
    if stop.place.startswith("peat"):  # each batch lies in a bag of its own
        return
    if len(groups) < 2:
        return
    days = stop.number("apart_days", stop.spot([]))
    pair = _mixed(stop.round.standing, sorted(groups, key=lambda h: (_utc(h.since), h.group)), days)
    if not pair:
        return
    older, newer, reason = pair
    round_, clock, spot, since = stop.round, stop.round.clock, stop.spot([newer]), _utc(newer.since)
    done = round_.last_done("keep_apart", stop.place, [newer.group, older.group])
    if (done and done >= since) or round_.routine.is_off("keep_apart", spot, clock.today, clock.now):
        return
    how = f"move {newer.group} to a place of its own, or say “{older.group} and {newer.group} stay together”"
    times = round_.moved("keep_apart", spot, [since], since)
    round_.add("keep_apart", spot, times, f"with {older.group}: {reason}", how)


def _mixed(standing: Standing, groups: Sequence[Holding], days: float) -> tuple[Holding, Holding, str] | None:
    """The newest group that should not be with an older one here, and why."""
    for i in range(len(groups) - 1, 0, -1):
        newer = groups[i]
        for older in groups[:i]:
            if older.group == newer.group:
                continue
            if older.line != newer.line:
                return older, newer, f"{older.line} and {newer.line} together"
            apart = days_apart(standing, older, newer)
            if apart is not None and 0 < days < apart:
                return older, newer, f"{round(apart)} days apart in age"
    return None


def days_apart(standing: Standing, one: Holding, other: Holding) -> float | None:
    """Days between two batches' ages, by when they were laid or else first seen as fry; None where not known."""
    batches = [standing.batches.get(h.group) for h in (one, other)]
    laid = [b.laid_to for b in batches if b and b.laid_to]
    seen = [b.fry_seen for b in batches if b and b.fry_seen]
    # of one only the laying is known, of the other only the hatch: then they are at least so far apart
    mixed = [m for b in batches if b and (m := b.fry_seen or b.laid_to)]
    for moments in (laid, seen, mixed):
        if len(moments) == 2:
            return abs((_utc(moments[0]) - _utc(moments[1])).total_seconds()) / 86400
    return None


def _move_up(stop: Stop, holding: Holding, key: str, where: str) -> None:
    round_, clock, spot = stop.round, stop.round.clock, stop.spot([holding])
    days = stop.number(key, spot)
    if days <= 0 or round_.routine.is_off("move_up", spot, clock.today, clock.now):
        return
    batch, since = round_.standing.batches.get(holding.group), _utc(holding.since)
    hatched = _utc(batch.fry_seen) if batch and batch.fry_seen else since
    day, because = clock.next_day(hatched, Rhythm((), days)), f"from about {plain_number(days)} days"
    measured = _measured(stop, holding, hatched)
    if measured:
        line = round_.standing.lines.get(holding.line)
        leaving: Literal["tub", "nursery"] = "tub" if stop.small else "nursery"
        grown = big_enough(line.species if line else None, clock.local(hatched).date(), leaving, measured)
        if grown.day:
            day, because = grown.day, f"from about {plain_number(grown.length)} mm"
    at = max(clock.moment(day, round_.routine.time("morning_at", clock.now)), since)
    done = round_.last_done("move_up", stop.place, [holding.group])
    if done and done >= at:
        return
    age = (clock.today - clock.local(hatched).date()).days
    size = f", {plain_number(measured[-1][1])} mm at {plain_number(round(measured[-1][0]))} days" if measured else ""
    why = f"{age} days old{size}; {because} {where} suits them better"
    times = round_.moved("move_up", spot, [at], max(done, since) if done else since)
    round_.add("move_up", spot, times, why, "only if they are big enough, never with bigger fish", grace=NEVER)


def _measured(stop: Stop, holding: Holding, hatched: dt.datetime) -> list[tuple[float, float]]:
    """The batch's own lengths: age in days and mm. Of a place with several groups nobody knows whose they are."""
    standing = stop.round.standing
    found = standing.readings_of(holding.group, "length")
    if len(stop.fish) == 1:
        found += [r for r in standing.readings_of(stop.place, "length") if _utc(r.at) >= _utc(holding.since)]
    aged = sorted(((_utc(r.at) - hatched).total_seconds() / 86400, r.value) for r in found)
    return [(age, mm) for age, mm in aged if age >= 0 and 1 <= mm <= 500]


def _thin_out(stop: Stop) -> None:
    """Too many for the water there; the limits are common practice, no source."""
    young = [*stop.fry, *stop.young]
    if not young or not stop.litres:
        return
    round_, clock, spot = stop.round, stop.round.clock, stop.spot(young)
    rhythm = round_.routine.rhythm("thin_out", spot, clock.today, clock.now)
    if not rhythm.times or round_.routine.is_off("thin_out", spot, clock.today, clock.now):
        return
    fry_limit = stop.number("fry_per_litre_tub" if stop.small else "fry_per_litre", spot)
    share = 0.0
    for limit, held in ((fry_limit, stop.fry), (stop.number("juveniles_per_litre", spot), stop.young)):
        share += sum(h.count for h in held) / (limit * stop.litres) if limit > 0 else 0
    if share <= 1:
        return
    since, done = max(_utc(h.since) for h in young), stop.done("thin_out", young)
    at = clock.moment(clock.next_day(done, rhythm), rhythm.times[0]) if done and done >= since else since
    number = sum(h.count for h in young)
    why = f"{number} in {plain_number(round(stop.litres, 1))} l; about {round(number / share)} is plenty"
    times = round_.moved("thin_out", spot, [at], max(done, since) if done else since)
    round_.add("thin_out", spot, times, why, "share them between two places", grace=NEVER)


def quarantine_over(place: str) -> str:
    """The words in which the end of a quarantine is put on the list and ticked off."""
    return f"quarantine in {place} is over"


def _quarantine(stop: Stop) -> None:
    """So many days after the last arrival, the keeper hears that a quarantine is over."""
    round_, clock, spot = stop.round, stop.round.clock, stop.spot(stop.fish)
    days = stop.number("quarantine_days", spot)
    arrived = round_.done.get(stop.place, {}).get("arrival") or max(_utc(h.since) for h in stop.fish)
    morning = round_.routine.time("morning_at", clock.now)
    at = clock.moment(clock.next_day(arrived, Rhythm((), days)), morning)
    told = [
        t
        for key, t in round_.standing.done.items()
        if "quarantine" in key.casefold() and key.rpartition("|")[2] in ("", stop.place) and t >= at
    ]
    if days <= 0 or told or at >= clock.horizon:
        return
    why = f"last arrival {clock.day_name(arrived)}, {plain_number(days)} days"
    how = "only if all have stayed well; nets and hoses stay with this tank"
    round_.add("reminder", spot, [at], why, how, text=quarantine_over(stop.place), grace=NEVER)


def _utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC)
