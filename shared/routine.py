"""What is due in the room and why: the round through places and batches, live foods, promises and reminders.

A chore's slot is met by what was done from two hours before it on; of slots gone by only the newest counts, and
nothing is due from before the fish stood there or before the rule was made. What comes round by days is due the
morning its days are up. Usual figures stand in `shared.house_rules.USUAL`: common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from zoneinfo import ZoneInfo

from shared.events import FishPromised, ReminderAsked
from shared.house_rules import Routine, Spot, clock_time
from shared.ledger import Kept, Standing
from shared.rounds import Round, in_peat, in_walking_order, walk
from shared.tasks import TASKS, DueTask, HatchWindow, same_thing, task_meant, tasks_meant
from shared.timetable import EARLY, Clock, Rhythm

__all__ = ["TASKS", "DueTask", "HatchWindow", "Routine", "due", "task_meant", "tasks_meant"]

SHRIMP_KEEP = dt.timedelta(days=3)  # a hatchery not seen to by then is dead; common practice, no source
_MICROWORMS = ("microworm", "micro worm", "banana worm", "walter worm", "grindal")


def due(
    standing: Standing,
    now: dt.datetime,
    zone: ZoneInfo,
    *,
    days: int = 1,
    windows: Mapping[str, HatchWindow] | None = None,
    for_person: str | None = None,
) -> list[DueTask]:
    """What is due now and until the end of the day (`days` 1) or of the next `days` days, in walking order.

    `now` is aware. `windows`: by batch, between when fry are expected; while one is open its eggs are looked at in the
    evening too, and first of all. `for_person` leaves out what the routine gives to somebody else.
    Raises ValueError when `now` has no zone or `days` is below 1.
    """
    if now.tzinfo is None:
        raise ValueError("now must have a time zone")
    if days < 1:
        raise ValueError(f"days must be 1 or more, not {days}")
    clock = Clock(now.astimezone(dt.UTC), zone, days)
    routine = Routine.of(standing, for_person=for_person)
    round_ = Round(standing, routine, clock, dict(windows or {}))
    walk(round_)
    _brine_shrimp(round_)
    _cultures(round_)
    _promises(round_)
    _reminders(round_)
    return in_walking_order(round_.found, standing)


def _brine_shrimp(round_: Round) -> None:
    """Eggs of brine shrimp set up each evening while fry are there or expected by the next day; seen to a day later."""
    standing, clock, routine = round_.standing, round_.clock, round_.routine
    culture = next((c for c in standing.cultures.values() if "brine" in c.name.casefold()), None)
    if culture is None:
        return
    spot = Spot(culture.name)
    started = culture.started.astimezone(dt.UTC) if culture.started else None
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
    eaten = fed is not None and fed >= ready - 4 * EARLY
    if any(t >= started for t in over) or eaten or clock.now - ready > SHRIMP_KEEP:
        return
    times = round_._moved("harvest_brine_shrimp", spot, [ready], max(over, default=None), daily=True)
    why = f"started {clock.day_name(started)}"
    round_.add("harvest_brine_shrimp", spot, times, why, "air off, let shells rise, draw off and rinse")


def _wanting_shrimp(round_: Round) -> tuple[dt.datetime | None, str]:
    """Since when there are fry that take brine shrimp, or eggs that may hatch by tomorrow; and whose."""
    standing, clock, routine = round_.standing, round_.clock, round_.routine
    since: list[tuple[dt.datetime, str]] = []
    for place, held in round_.at_place.items():
        kept = standing.places.get(place)
        for holding in held:
            spot = Spot(place, kept.kind if kept else "", frozenset({holding.group}), frozenset({holding.line}))
            if (kept and kept.closed) or routine.is_off("start_brine_shrimp", spot, clock.today, clock.now):
                continue
            begun = holding.since.astimezone(dt.UTC)
            window = round_.windows.get(holding.group)
            if holding.stage == "fry":
                since.append((begun, f"fry in {place or 'hand'}"))
            elif holding.stage == "eggs" and window and not in_peat(standing, holding):
                # set up the evening before: ready when the first fry are
                eve = clock.local(window.earliest.astimezone(dt.UTC)).date() - dt.timedelta(days=1)
                if window.latest >= clock.now:
                    since.append((max(begun, clock.moment(eve, dt.time(0))), f"{holding.group} may hatch by tomorrow"))
    return min(since, default=(None, ""), key=lambda s: s[0] or clock.now)


def _cultures(round_: Round) -> None:
    """Microworms started afresh, all cultures fed; one that crashed wants a new start."""
    standing, clock = round_.standing, round_.clock
    begun = standing.begun or clock.now
    for culture in standing.cultures.values():
        name = culture.name.casefold()
        if "brine" in name:
            continue
        spot = Spot(culture.name)
        started, fed, crashed = (t.astimezone(dt.UTC) if t else None for t in
                                 (culture.started, culture.fed, culture.crashed))  # fmt: skip
        restarted = max((t for t in (started, round_.last_done("culture_restart", culture.name)) if t), default=None)
        if crashed and (restarted is None or restarted < crashed):
            if not round_.routine.is_off("culture_restart", spot, clock.today, clock.now):
                times = round_._moved("culture_restart", spot, [crashed], restarted, daily=False)
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


def _promises(round_: Round) -> None:
    """Fish promised for a day, until they are sold or the promise is released."""
    clock, routine = round_.clock, round_.routine
    for kept in round_.standing.promises:
        promise = kept.event
        if not isinstance(promise, FishPromised) or promise.date is None:
            continue
        spot = _about(round_, promise.place, promise.batch, promise.line)
        if routine.is_off("promised", spot, clock.today, clock.now):
            continue
        time = clock_time(promise.time) if promise.time else None
        at = clock.moment(promise.date, time or routine.time("morning_at"))
        fish = " ".join(str(w) for w in (promise.count, promise.line or promise.batch or "fish") if w)
        text = f"{fish} for {promise.buyer}" if promise.buyer else fish
        done = _told(round_, kept, text, promise.buyer or "")
        if done:
            continue
        put_off = _put_off(round_, kept, text, promise.place, promise.batch, "promised")
        at = max(at, put_off) if put_off else at
        if at >= clock.horizon:
            continue
        today = clock.local(at).date() <= clock.today
        said = clock.day_name(kept.said.astimezone(dt.UTC))
        why = f"promised {said} for {clock.local(at):%a} {clock.local(at).day} {clock.local(at):%b}"
        round_.add("promised", spot, [at], why, first=today, text=text, whole_day=time is None)


def _reminders(round_: Round) -> None:
    """The keeper's own tasks, once or every so many days, and what he put off in words of his own."""
    clock, routine = round_.clock, round_.routine
    for kept in round_.standing.reminders:
        asked = kept.event
        if not isinstance(asked, ReminderAsked):
            continue
        spot = _about(round_, asked.place, asked.batch, None)
        time = clock_time(asked.time) if asked.time else None
        first = _first_time(round_, asked, kept.said, time)
        times = [first]
        if asked.every_days:
            times = _every(clock, first, asked.every_days)
        wet = tasks_meant(asked.text)[:1] == ("wet_peat",) and bool(spot.batches)
        task = "wet_peat" if wet else "reminder"
        if routine.is_off(task, spot, clock.today, clock.now):
            continue
        lead = EARLY if time else dt.timedelta(hours=clock.local(first).hour, minutes=clock.local(first).minute)
        done = _reminder_done(round_, kept, asked, spot)
        if asked.every_days:
            times = [t for t in times if done is None or done < t - lead]
        elif (
            done and done >= kept.said.astimezone(dt.UTC) and (_told(round_, kept, asked.text) or done >= first - lead)
        ):
            continue
        put_off = _put_off(round_, kept, asked.text, asked.place, asked.batch, task)
        if put_off and (done is None or done < put_off):
            times = sorted({max(t, put_off) for t in times})
        often = f", every {asked.every_days:g} days" if asked.every_days else ""
        why = f"you asked {clock.day_name(kept.said.astimezone(dt.UTC))}{often}"
        how = "cool water, a shallow tray; look after an hour and the next morning" if wet else None
        times = [t for t in times if t < clock.horizon]
        round_.add(task, spot, times, why, how, text=asked.text, whole_day=time is None)
    for put in round_.put_off:
        known = any(isinstance(k.event, ReminderAsked) and same_thing(put.words, k.event.text)
                    for k in round_.standing.reminders)  # fmt: skip
        told = [t for key, t in round_.standing.done.items() if same_thing(key.rpartition("|")[0], put.words)]
        if put.tasks or known or put.until >= clock.horizon or any(t >= put.said for t in told) or not put.words:
            continue
        spot = _about(round_, put.place, put.batch, None)
        why = f"put off {clock.day_name(put.said)}"
        round_.add("reminder", spot, [put.until], why, text=put.words, whole_day=True)


def _about(round_: Round, place: str | None, batch: str | None, line: str | None) -> Spot:
    kept = round_.standing.batches.get(batch or "")
    line = line or (kept.line if kept else None)
    return Spot(place, "", frozenset({batch} if batch else ()), frozenset({line} if line else ()))


def _first_time(round_: Round, asked: ReminderAsked, said: dt.datetime, time: dt.time | None) -> dt.datetime:
    """When a reminder first comes: at the day and hour said, else the next that fits."""
    clock = round_.clock
    said = said.astimezone(dt.UTC)
    hour = time or round_.routine.time("reminder_at")
    day = asked.date or clock.local(said).date()
    at = clock.moment(day, hour)
    if asked.date is None and asked.every_days:
        return clock.moment(clock.next_day(said, Rhythm((), asked.every_days)), hour)
    if asked.date is None and (at <= said or time is None):
        return clock.moment(day + dt.timedelta(days=1), hour)
    return at


def _every(clock: Clock, first: dt.datetime, every: float) -> list[dt.datetime]:
    """The newest time gone by and those to come of something that repeats from `first` on."""
    start = clock.local(first).replace(tzinfo=None)
    local_now = clock.local(clock.now).replace(tzinfo=None)
    step = dt.timedelta(days=every)
    index = max(0, (local_now - start) // step)
    found: list[dt.datetime] = []
    while True:
        at = start + index * step
        moment = clock.moment(at.date(), at.time())
        if moment >= clock.horizon or len(found) > 400:
            return found
        if found and moment <= clock.now:
            found.pop()
        found.append(moment)
        index += 1


def _told(round_: Round, kept: Kept, text: str, name: str = "") -> dt.datetime | None:
    """When the keeper said that this was done, after it was asked for."""
    said = [
        at
        for key, at in round_.standing.done.items()
        if at >= kept.said
        and (same_thing(words := key.rpartition("|")[0], text) or (name and name.casefold() in words.casefold()))
    ]
    return max(said).astimezone(dt.UTC) if said else None


def _reminder_done(round_: Round, kept: Kept, asked: ReminderAsked, spot: Spot) -> dt.datetime | None:
    """When what a reminder asks for was last done: said so, or logged as the chore its words mean."""
    found = [t for t in (_told(round_, kept, asked.text),) if t]
    batch = round_.standing.batches.get(asked.batch or "")
    for task in tasks_meant(asked.text):
        if task == "wet_peat" and batch and batch.wetted:
            found.append(batch.wetted.astimezone(dt.UTC))
        if spot.place:
            last = round_.last_done(task, spot.place, tuple(spot.batches))
            if last:
                found.append(last)
    return max(found, default=None)


def _put_off(
    round_: Round, kept: Kept, text: str, place: str | None, batch: str | None, task: str
) -> dt.datetime | None:
    """Until when this one was put off, by its own words or its place."""
    fits = [
        p
        for p in round_.put_off
        if p.said >= kept.said.astimezone(dt.UTC)
        and (not p.place or p.place == place)
        and (not p.batch or p.batch == batch)
        and (same_thing(p.words, text) or task in p.tasks)
    ]
    return max(fits, key=lambda p: p.said).until if fits else None
