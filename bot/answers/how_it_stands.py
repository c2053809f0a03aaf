"""How a tank, a tub or a batch stands: what is in it, how warm and how old it is, and its sums."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace

from bot import sentences as say
from bot.answers.asking import Asking, time_in_peat
from bot.answers.found import causes, survived
from bot.answers.hatch_dates import species_named
from bot.answers.parentage import generations_there, mixed_told, parents_told
from bot.answers.past import last
from bot.language.asking.given import celsius_said
from bot.orders.collecting import collected
from bot.readback.besides import window_line
from bot.routine.courses_shown import course_lines
from shared.ledger.standing import Batch, Holding
from shared.species import find_species


def holding_text(h: Holding, called: str | None = None) -> str:
    """`52 eggs of B22, gardneri F2`, `gardneri adults, not counted`; `called` is the generation of a batch."""
    about = "about " if h.estimated and h.counted else ""
    unsexed = f", {h.unsexed} unsexed" if h.counted and h.unsexed else ""
    sexes = f" ({h.male} m, {h.female} f{unsexed})" if h.male or h.female else ""
    if h.group == h.line:
        return f"{h.line} {h.stage}{f': {about}{h.count}' if h.counted else ', not counted'}{sexes}"
    return f"{about}{say.fish(h.number, h.stage)} of {h.group}, {h.line}{f' {called}' if called else ''}{sexes}"


def place_text(ask: Asking, name: str) -> str:
    """How a tank or tub stands: what is in it, when it was last tended, its last readings."""
    standing = ask.standing
    place = standing.places.get(name)
    if place is None:
        return f"There is no {name} in this room."
    traits = [say.volume(place.litres, ask.units, ask.book.info.gallon)] if place.litres else []
    traits += [place.role] if place.role and place.role != "empty" else []
    traits += [collected(place.collect)] if place.collect else []
    head = f"{name} ({', '.join(traits)})" if traits else name
    batches = standing.batches
    held = [
        holding_text(h, batches[h.group].generation if h.group in batches else None) + generations_there(standing, h)
        for h in standing.at_place(name)
    ]
    lines = [f"{head}: {'; '.join(held) if held else 'empty'}."]
    lines += mixed_told(standing, name, ask.now, ask.book.info.zone)
    for h in standing.eggs_at(name):
        seen = window_text(ask, h.group)
        if seen:
            lines.append(seen)
    lines += course_lines(standing, name, ask.now, ask.book.info.zone)
    tended = []
    for chore, words in (("pull", "mop pulled"), ("water", "water changed"), ("feed", "fed"), ("count", "counted")):
        last = standing.last(name, chore)
        if last:
            tended.append(f"{words} {say.moment(last, ask.book.info.zone, ask.now)}")
    if tended:
        lines.append(f"{say.first_up(say.listed(tended))}.")
    # looked for only between the times that stand, and not through all the years of a place without any
    when = standing.times(name, "pull")[-5:]
    if when:
        since, until = when[0], when[-1]
        pulls = ask.book.entries(name=name, kinds=("pull",), since=since, until=until, limit=5, newest_first=True)
        shown = ", ".join(
            f"{getattr(e.event, 'count', None) if getattr(e.event, 'count', None) is not None else '?'} "
            f"{_on(e.at.astimezone(ask.book.info.zone), ask.now.date())}"
            for e in pulls
        )
        lines.append(f"Eggs: {shown}.")
    readings = []
    for quantity in ("temperature", "ph", "ammonia", "nitrite", "nitrate", "gh", "kh", "tds", "conductivity"):
        found = standing.latest(name, quantity)
        if found:
            readings.append(f"{say.reading(quantity, found.value, ask.units)} ({say.ago(found.at, ask.now)})")
    if readings:
        lines.append(f"{'; '.join(readings[:4])}.")
    return "\n".join(lines)


def _on(when: dt.datetime, today: dt.date) -> str:
    """`today`, `yesterday`, `on Sat 14 Mar`."""
    day = say.day(when, today)
    return day if day in ("today", "yesterday") else f"on {day}"


def window_text(ask: Asking, batch: str) -> str | None:
    """The hatch window of a batch in one line."""
    return window_line(ask.standing, batch, ask.now, ask.book.info)


def size(ask: Asking) -> str | None:
    """How much water a place holds."""
    place = ask.standing.places.get(ask.query.place or "")
    if place is None:
        return None
    if place.litres is None:
        return f"Nobody said how much water is in {place.name}."
    gallon = ask.book.info.gallon
    here = say.volume(place.litres, ask.units, gallon)
    litres, gallons = f"{say.number(round(place.litres, 1))} litres", say.volume(place.litres, "us", gallon)
    other = litres if ask.units == "us" else gallons
    return f"{place.name}: {here}, that is {other}{f'; {place.role}' if place.role else ''}."


def warmth(ask: Asking) -> str | None:
    """The last temperature of a place, beside the range of the fish in it where that is known."""
    place = ask.standing.places.get(ask.query.place or "")
    if place is None:
        return _suits(ask)
    text = last(replace(ask, query=replace(ask.query, quantity="temperature")))
    held = ask.standing.at_place(place.name)
    kept = ask.standing.lines.get(held[0].line if held else place.line or "")
    fish = find_species(kept.species) if kept and kept.species else None
    if fish and re.search(r"\b(?:enough|too|ok|okay|right|fine|good)\b", ask.text.casefold()):
        low, high = (say.temperature(t, ask.units) for t in (fish.temp_low, fish.temp_high))
        text += f"\nEggs of {fish.name} are said to do well between {low} and {high} ({fish.basis})."
    return text


_DEGREES = re.compile(r"\b(\d\d(?:[.,]\d)?)\s*(?:°|deg(?:rees)?)?\s*([cf])?\b")


def _suits(ask: Asking) -> str | None:
    """Whether a temperature that is named suits a line or species: beside what is published for it."""
    kept = ask.standing.lines.get(ask.query.line or "")
    fish = find_species(kept.species) if kept and kept.species else find_species(species_named(ask.text) or "")
    said = _DEGREES.search(ask.text.casefold())
    if fish is None or said is None:
        return None
    value = celsius_said(float(said[1].replace(",", ".")), said[2] or "", ask.units != "us")
    low, high = (say.temperature(t, ask.units) for t in (fish.temp_low, fish.temp_high))
    where = "above" if value > fish.temp_high else "below" if value < fish.temp_low else "within"
    return (
        f"{say.temperature(value, ask.units)} is {where} the range eggs of {fish.name} are said to do well in: "
        f"{low} to {high} ({fish.basis})."
    )


def ages(ask: Asking) -> str | None:
    """How old the fish or eggs of a place or batch are."""
    names = [ask.query.batch] if ask.query.batch else []
    if ask.query.place:
        names = [h.group for h in ask.standing.at_place(ask.query.place)]
    lines = []
    for name in dict.fromkeys(names):
        batch = ask.standing.batches.get(name or "")
        if batch is None:
            continue
        begun, word = (batch.fry_seen, "hatched") if batch.fry_seen else (batch.laid_from, "laid")
        if begun is None:
            lines.append(f"{batch.name} ({batch.line}): nobody said when they were laid or hatched.")
            continue
        days = (ask.now - begun).days
        age = (
            f"{say.number(round(days / 7, 1))} weeks in peat"
            if batch.medium == "peat" and not batch.fry_seen
            else (f"{say.count(days, 'day')} old")
        )
        day = say.day(begun.astimezone(ask.book.info.zone), ask.now.date())
        lines.append(f"{batch.name} ({batch.line}): {age}, {word} from {day} on.")
    return "\n".join(lines) or None


def batch_text(ask: Asking, name: str) -> str:
    """How a batch stands: where, laid when, its window or age, and its sums."""
    batch = ask.standing.batches.get(name)
    if batch is None:
        old = ask.book.entries(name=name)
        if not old:
            return f"There is no batch {name} in the record."
        return f"{name}: nothing left of it; last entry {say.moment(old[-1].at, ask.book.info.zone, ask.now)}."
    zone = ask.book.info.zone
    where = [
        f"{'about ' if h.estimated and h.counted else ''}{say.fish(h.number, h.stage)} in {h.place or 'hand'}"
        for h in ask.standing.of_group(name)
    ]
    called = f" {batch.generation}" if batch.generation else ""
    lines = [f"{name}, {batch.line}{called}: {say.listed(where) if where else 'nothing left'}."]
    lines += _laid(ask, batch)
    if batch.medium in ("moss", "mop") and ask.standing.of_group(name) and not batch.fry_seen:
        lines.append(f"Kept in damp {batch.medium}.")
    if re.search(r"\b(?:generation|parents?|f\d)\b", ask.text.casefold()):
        of = parents_told(ask.standing, batch, zone)
        lines.append(f"{of}; generation {ask.standing.generation_of(name) or 'not said'}.")
    lines += [*_hatching(ask, batch), *_in_peat(ask, batch), *_sums_of(batch), *survived(batch.fish)]
    return "\n".join(lines)


def _laid(ask: Asking, batch: Batch) -> list[str]:
    zone = ask.book.info.zone
    if batch.laid_from and batch.laid_to:
        return [f"Laid {say.span(batch.laid_from, batch.laid_to, zone)}{_parents(batch.parents)}."]
    if batch.laid_to and not batch.fry_seen:
        return [f"Laid by {say.day(batch.laid_to.astimezone(zone), ask.now.date())}, nobody said since when."]
    return []


def _hatching(ask: Asking, batch: Batch) -> list[str]:
    """How old the fry are, or when they are to come."""
    if batch.fry_seen:
        seen = say.day(batch.fry_seen.astimezone(ask.book.info.zone), ask.now.date())
        return [f"First fry {seen}, {say.count((ask.now - batch.fry_seen).days, 'day')} old."]
    window = window_text(ask, batch.name)
    return [window] if window else []


def _in_peat(ask: Asking, batch: Batch) -> list[str]:
    age = time_in_peat(ask.standing, batch, ask.now)
    if batch.medium != "peat":
        return []
    if batch.wetted:
        return [f"Peat wetted {say.day(batch.wetted.astimezone(ask.book.info.zone), ask.now.date())}."]
    return [f"In peat {age}."] if age else []


def _sums_of(batch: Batch) -> list[str]:
    """What was pulled and became of it, in one line."""
    sums = []
    for side in (batch.eggs, batch.fish):
        for key in ("pulled", "bad", "hatched", "died", "sold"):
            value = getattr(side, key)
            if value and not (side is batch.fish and key == "hatched"):
                sums.append(f"{key} {value}{causes(side) if key == 'died' else ''}")
    gone = batch.eggs.unaccounted + batch.fish.unaccounted
    if gone > 0:
        sums.append(f"unaccounted for {gone}")
    elif gone and (batch.eggs.pulled or batch.eggs.start):
        sums.append(f"{-gone} more than were counted")
    return [f"{say.first_up(', '.join(sums))}."] if sums else []


def _parents(parents: list[str]) -> str:
    return f" in {say.places(parents)}" if parents else ""
