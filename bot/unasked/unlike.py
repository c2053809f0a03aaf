"""What is unlike this room, as a night's message says it: deaths, tanks that stopped laying, readings, late eggs."""

from __future__ import annotations

import datetime as dt
from collections import Counter

from bot import sentences as say
from bot.answers.found import Found
from bot.routine.chore_list import eggs_named
from bot.unasked.night import Line, Night, few
from shared.due.unlike import many_deaths, out_of_band, stopped_laying
from shared.ledger.standing import Entry, cause_of


def unlike(night: Night) -> list[Line]:
    """All that is unlike this room tonight, the worst first."""
    return [*_deaths(night), *_stopped(night), *_readings(night), *_past(night)]


def _deaths(night: Night) -> list[Line]:
    died = Found.of(night.today).dead
    month = night.midnight - dt.timedelta(days=28)
    begun = night.standing.begun or night.midnight
    days = min(28, (night.midnight.date() - begun.astimezone(night.now.tzinfo).date()).days)
    per_day: Counter[dt.date] = Counter()
    for entry in night.book.entries(kinds=("death",), since=month, until=night.midnight - dt.timedelta(seconds=1)):
        if cause_of(getattr(entry.event, "cause", None)) != "culled":
            per_day[entry.at.astimezone(night.now.tzinfo).date()] += getattr(entry.event, "count", 0) or 0
    before = [per_day[night.now.date() - dt.timedelta(days=n)] for n in range(1, days + 1)]
    if not many_deaths(died.number, before):
        return []
    usual = f", against {say.number(round(sum(before) / days, 1))} a day in {days} days" if days else ""
    where = f" ({', '.join(f'{n} in {place}' for place, n in died.by.most_common(3))})" if died.by else ""
    text = f"More deaths than usual: {died.number}{usual}{where}. Test the water there."
    return [Line(text, f"Many deaths: {died.number}{where}.", 1)]


def _stopped(night: Night) -> list[Line]:
    """Tanks that gave nothing twice running, said on the night of the second time."""
    pulled = {s for e in night.today if e.event.kind == "pull" for s in getattr(e.event, "spots", ())}
    lines = []
    for name in sorted(pulled):
        pulls = night.book.entries(name=name, kinds=("pull",), until=night.now, limit=10, newest_first=True)
        counts = [c for e in pulls if (c := getattr(e.event, "count", None)) is not None and name in _spots(e)]
        usual = stopped_laying(counts[::-1])
        if usual is not None:
            about = say.number(round(usual))
            text = f"{name} has stopped laying: nothing twice running, {about} a pull before."
            lines.append(Line(text, f"{name} no eggs twice.", 3))
    return lines


def _spots(entry: Entry) -> tuple[str, ...]:
    return tuple(getattr(entry.event, "spots", ()))


def _readings(night: Night) -> list[Line]:
    lines = []
    taken = night.standing.readings
    for where, quantity in sorted((where, quantity) for where, there in taken.items() for quantity in there):
        kept = taken[where][quantity]
        latest = kept[-1]
        if not where or latest.at < night.midnight:
            continue
        odd, usual = out_of_band(quantity, latest.value, kept.value[:-1])
        if odd:
            units = night.book.info.units
            reading = say.reading(quantity, latest.value, units)
            than = f", usually {say.reading(quantity, usual, units)}" if usual is not None else ""
            lines.append(Line(f"{where}: {reading} at the last test{than}.", f"{where} {reading}.", 1))
    return lines


def _past(night: Night) -> list[Line]:
    """Batches whose window closed since the last two messages; each is said no longer than that."""
    past = [n for n, w in night.windows.items() if dt.timedelta(0) < night.now - w.latest < dt.timedelta(days=2)]
    if not past:
        return []
    names = eggs_named(night.standing, past)
    return [
        Line(f"Past the window: {names}. Look for white or clear eggs.", f"Past window: {few(past)}.", 5),
    ]
