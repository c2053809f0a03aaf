"""Water to draw the evening before, so that it has stood overnight when tomorrow's changes are due."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from shared.due.rounds import Round, natural, plain_number
from shared.due.rules import Spot
from shared.husbandry.water_changes import Change, aged_water

PERCENTS = {
    "grow-out": "grow_out_change_percent",
    "nursery": "nursery_change_percent",
    "fry": "nursery_change_percent",
}
MOST_NAMED = 4
_KINDS = {"egg_water": "egg tubs", "fry_water": "fry tubs"}


def water_to_draw(round_: Round) -> None:
    """One task each evening before a day with water to change: how much must stand overnight, for what."""
    clock = round_.clock
    begun = round_.standing.begun
    if begun is None or not (round_.water_by_hour or round_.water_by_day):
        return
    # what was wanted for today is changed with what there is
    since = max(begun.astimezone(dt.UTC), clock.moment(clock.today, dt.time(0)))
    done = round_.last_done("draw_water", "")
    times, _ = round_.daily("draw_water", Spot(), since, done)
    for at in times:
        day = clock.local(at).date()
        if done and clock.local(done).date() == day:
            continue  # drawn in the morning it stands all the longer
        why = _for_the_day(round_, day + dt.timedelta(days=1))
        if why:
            round_.add("draw_water", Spot(), [at], why, "let it stand overnight, as warm as the room")


def changes_on(round_: Round, day: dt.date) -> Iterator[tuple[str, str, Change | None]]:
    """What is changed that day: its kind, the place, and how much; no change where the size is not known."""
    routine, clock, places = round_.routine, round_.clock, round_.standing.places
    for task, spot, rhythm in round_.water_by_hour:
        times = rhythm.times
        if routine.touched(task, spot):
            off = routine.is_off(task, spot, day, clock.now)
            times = () if off else routine.rhythm(task, spot, day, clock.now).times
        kept = places.get(spot.place or "")
        if times and spot.place:
            litres = kept.litres if kept else None
            yield _KINDS[task], spot.place, Change(litres, 100, len(times)) if litres else None
    for spot, at in round_.water_by_day:
        if not spot.place or clock.local(at).date() != day:
            continue
        kept = places.get(spot.place)
        percent = routine.number(PERCENTS.get((kept.role if kept else "") or "", "adult_change_percent"), spot, day)
        litres = kept.litres if kept else None
        yield "tanks", spot.place, Change(litres, percent) if litres and 0 < percent <= 100 else None


def _for_the_day(round_: Round, day: dt.date) -> str:
    """How much in all and for what, in few words; empty where nothing is changed that day."""
    whole: list[Change] = []
    by_kind: dict[str, float] = {}
    unsized: set[str] = set()
    for kind, place, change in changes_on(round_, day):
        if change is None:
            unsized.add(place)
            continue
        whole.append(change)
        by_kind[kind] = by_kind.get(kind, 0.0) + change.litres * change.percent / 100 * change.times
    names = sorted(unsized, key=natural)
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    rest = f"{', '.join(names[:MOST_NAMED])}{more} of unknown size" if names else ""
    if not whole:
        return rest
    parts = ", ".join(f"{kind} {_litres(litres)}" for kind, litres in by_kind.items())
    return f"{_litres(aged_water(whole).value)}: {parts}, a tenth to spare{f'; {rest}' if rest else ''}"


def _litres(litres: float) -> str:
    return f"{plain_number(round(litres, 1) or 0.1)} l"
