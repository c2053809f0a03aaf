"""What has a day of its own: promises, the keeper's reminders, the wetting of peat, what was put off in words."""

from __future__ import annotations

import datetime as dt
import re
from calendar import monthrange

from shared.due.rounds import Round
from shared.due.rules import Spot, clock_time
from shared.due.stops import in_peat
from shared.due.tasks import same_thing, tasks_meant, telling_words
from shared.due.timetable import EARLY, Clock, Rhythm
from shared.events import FishPromised, ReminderAsked
from shared.ledger.standing import Batch, Kept

WETTING = "cool water, a shallow tray; look after an hour and the next morning"


def promises(round_: Round) -> None:
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


def reminders(round_: Round) -> None:
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
        again = asked.every_days or asked.month_day
        if asked.month_day:
            times = _monthly(clock, first, asked.month_day)
        elif asked.every_days:
            times = _every(clock, first, asked.every_days)
        wet = _wets(asked)
        task = "wet_peat" if wet else "reminder"
        if routine.is_off(task, spot, clock.today, clock.now):
            continue
        done = _reminder_done(round_, kept, asked, spot)
        if done and again:
            times = [t for t in times if done < _counts_from(clock, t, time)]
        elif done and (wet or _told(round_, kept, asked.text) or done >= _counts_from(clock, first, time)):
            continue
        put_off = _put_off(round_, kept, asked.text, asked.place, asked.batch, task)
        if put_off and (done is None or done < put_off):
            times = sorted({max(t, put_off) for t in times})
        often = f", every {asked.every_days:g} days" if asked.every_days else ""
        often = f", every month on the {day_of_month(asked.month_day)}" if asked.month_day else often
        why = f"you asked {clock.day_name(kept.said.astimezone(dt.UTC))}{often}"
        times = [t for t in times if t < clock.horizon]
        round_.add(task, spot, times, why, WETTING if wet else None, text=asked.text, whole_day=time is None)


def put_off_in_words(round_: Round) -> None:
    """What was put off in words for no chore of ours comes back at its time, as a reminder."""
    asked = [k.event.text for k in round_.standing.reminders if isinstance(k.event, ReminderAsked)]
    for put in round_.put_off:
        if put.tasks or not put.words or put.until >= round_.clock.horizon:
            continue
        told = [t for key, t in round_.standing.done.items() if same_thing(key.rpartition("|")[0], put.words)]
        if any(t >= put.said for t in told) or any(same_thing(put.words, text) for text in asked):
            continue
        spot = _about(round_, put.place, put.batch, None)
        why = f"put off {round_.clock.day_name(put.said)}"
        round_.add("reminder", spot, [put.until], why, text=put.words, whole_day=True)


def peat_to_wet(round_: Round) -> None:
    """Peat put up for so many weeks, unless the keeper asked to be reminded himself."""
    clock, routine = round_.clock, round_.routine
    asked = {k.event.batch for k in round_.standing.reminders if isinstance(k.event, ReminderAsked) if _wets(k.event)}
    for place, held in round_.at_place.items():
        for holding in held:
            batch = round_.standing.batches.get(holding.group)
            if holding.stage != "eggs" or batch is None or batch.name in asked or not in_peat(round_.standing, holding):
                continue
            spot = _about(round_, place or None, batch.name, batch.line)
            weeks = _weeks(round_, batch, spot)
            if not weeks or routine.is_off("wet_peat", spot, clock.today, clock.now):
                continue
            put_up = (batch.bagged or batch.laid_to or holding.since).astimezone(dt.UTC)
            at = clock.moment(clock.next_day(put_up, Rhythm((), 7 * weeks)), routine.time("morning_at", clock.now))
            times = round_.moved("wet_peat", spot, [at], put_up)
            why = f"in peat since {clock.day_name(put_up)}, {weeks:g} weeks"
            round_.add("wet_peat", spot, times, why, WETTING, whole_day=True)


def _weeks(round_: Round, batch: Batch, spot: Spot) -> float:
    """For how many weeks a batch was put up: as said of it, of its line, or when it was bagged."""
    said = round_.routine.number("peat_weeks", spot, round_.clock.today, round_.clock.now)
    return said or batch.peat_weeks or 0.0


def _wets(asked: ReminderAsked) -> bool:
    return bool(asked.batch) and tasks_meant(asked.text)[:1] == ("wet_peat",)


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
    if asked.date is None and asked.month_day:
        at = clock.moment(_of_month(day, asked.month_day), hour)
        return at if at > said else clock.moment(_of_month(_next_month(day), asked.month_day), hour)
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


def day_of_month(number: int) -> str:
    """A day of the month: `1st`, `22nd`, `13th`; the 31st is every month's last day."""
    if number == 31:
        return "last day"
    ending = "th" if 10 < number % 100 < 14 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def _of_month(day: dt.date, number: int) -> dt.date:
    """That day of a day's month; the last where it has fewer."""
    return day.replace(day=min(number, monthrange(day.year, day.month)[1]))


def _next_month(day: dt.date) -> dt.date:
    return day.replace(day=1) + dt.timedelta(days=monthrange(day.year, day.month)[1])


def _monthly(clock: Clock, first: dt.datetime, number: int) -> list[dt.datetime]:
    """The newest time gone by and those to come of what comes on one day of every month, from `first` on."""
    start = clock.local(first)
    day = max(start.date(), clock.today - dt.timedelta(days=62)).replace(day=1)
    found: list[dt.datetime] = []
    while (at := clock.moment(_of_month(day, number), start.time())) < clock.horizon:
        day = _next_month(day)
        if at < first:
            continue
        if found and at <= clock.now:
            found.pop()
        found.append(at)
    return found or [first]


def _counts_from(clock: Clock, at: dt.datetime, time: dt.time | None) -> dt.datetime:
    """From when on a reminder's doing counts for that time of it: two hours before, or its whole day."""
    return at - EARLY if time else clock.moment(clock.local(at).date(), dt.time(0))


def _told(round_: Round, kept: Kept, text: str, name: str = "") -> dt.datetime | None:
    """When the keeper said that this was done, after it was asked for."""
    may_be = round_.all_done if name else [pair for word in telling_words(text) for pair in round_.done_in(word)]
    said = [
        at
        for words, at in may_be
        if at >= kept.said and (same_thing(words, text) or (name and name.casefold() in words.casefold()))
    ]
    return max(said).astimezone(dt.UTC) if said else None


def _reminder_done(round_: Round, kept: Kept, asked: ReminderAsked, spot: Spot) -> dt.datetime | None:
    """When what a reminder asks for was last done since: said so, or logged as the chore its words mean."""
    found = [t for t in (_told(round_, kept, asked.text),) if t]
    batch = round_.standing.batches.get(asked.batch or "")
    for task in tasks_meant(asked.text):
        if task == "wet_peat" and batch and batch.wetted:
            found.append(batch.wetted.astimezone(dt.UTC))
        if spot.place:
            last = round_.last_done(task, spot.place, tuple(spot.batches))
            if last:
                found.append(last)
    if batch and batch.bagged and re.search(r"\bbag\b", asked.text):
        found.append(batch.bagged.astimezone(dt.UTC))
    return max((t for t in found if t >= kept.said), default=None)


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
        and (same_thing(p.words, text) or (task in p.tasks and (p.place or p.batch)))
    ]
    return max(reversed(fits), key=lambda p: p.said).until if fits else None
