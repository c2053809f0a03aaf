"""Emergencies: what to save first, in order, from what stands where; and which are still going on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from bot import sentences as say
from bot.talk.alarm import back_again, emergency_in
from shared.due.emergency import LASTS, Emergency, Kind, Room, to_save
from shared.husbandry.water import oxygen_saturation
from shared.ledger.standing import Standing
from storage.journal import RoomBook

__all__ = ["Emergency", "answer_emergency", "emergency_in", "going_on", "open_emergencies", "place_meant"]

MOST_PLACES = 6


def place_meant(words: str | None, standing: Standing) -> str | None:
    """The place of this room that is meant, or None where none or several fit."""
    if not words:
        return None
    names = {p.name.casefold(): p.name for p in standing.places.values() if not p.closed}
    taught = standing.words.get(words)
    for said in (taught or words, f"tank {words}", f"tub {words}"):
        if said.casefold() in names:
            return names[said.casefold()]
    fits = [p.name for p in standing.places.values() if not p.closed and words in (p.line or "", p.role or "")]
    if not fits and words.replace(".", "").isdigit():
        wanted = float(words)
        fits = [
            p.name
            for p in standing.places.values()
            if p.litres and min(abs(p.litres / 3.785411784 - wanted), abs(p.litres - wanted)) < 0.06
        ]
    return fits[0] if len(fits) == 1 else None


# ---- what is still going on

_NAMES: dict[Kind, str] = {
    "power_cut": "Power out",
    "heat_wave": "Heat wave",
    "heater_failed": "Heater out",
    "heater_stuck": "Heater stuck on",
    "leak": "Leak",
}
_NOUNS: dict[Kind, str] = {
    "power_cut": "power cut",
    "heat_wave": "heat wave",
    "heater_failed": "failed heater",
    "heater_stuck": "stuck heater",
    "leak": "leak",
}
_ENDS: dict[Kind, str] = {
    "power_cut": "power back",
    "heat_wave": "heat wave over",
    "heater_failed": "heater works",
    "heater_stuck": "heater works",
    "leak": "leak fixed",
}


def open_emergencies(book: RoomBook, now: dt.datetime) -> list[tuple[Emergency, dt.datetime]]:
    """What was said to be happening and not to be over, with since when; oldest first."""
    told = book.entries(kinds=("remark",), since=now - max(LASTS.values()), until=now)
    going: dict[tuple[Kind, str | None], tuple[Emergency, dt.datetime]] = {}
    for entry in told:
        text = getattr(entry.event, "text", "")
        found = emergency_in(text)
        if found is None and any(kind == "power_cut" for kind, _ in going) and back_again(text):
            found = Emergency("power_cut", over=True)
        if found is None:
            continue
        found = replace(found, place=entry.place or found.place)
        if not found.over:
            going.setdefault((found.kind, found.place), (found, entry.at))
            continue
        for key in list(going):
            if _ended_by(going[key][0], found):
                del going[key]
    return [(found, at) for found, at in going.values() if now - at < LASTS[found.kind]]


def back_on(text: str, book: RoomBook, now: dt.datetime) -> Emergency | None:
    """The end of a power cut that is on, said in no more words than “back on”."""
    if not back_again(text) or all(found.kind != "power_cut" for found, _ in open_emergencies(book, now)):
        return None
    return Emergency("power_cut", over=True)


def _ended_by(emergency: Emergency, end: Emergency) -> bool:
    kinds = ("heater_failed", "heater_stuck") if end.kind == "heater_failed" else (end.kind,)
    return emergency.kind in kinds and (end.place is None or emergency.place in (None, end.place))


def going_on(book: RoomBook, now: dt.datetime) -> list[str]:
    """A line for each emergency still open: `Power out since 14:00; say “power back” when it is over.`"""
    lines = []
    for found, at in open_emergencies(book, now):
        where = f" in {found.place}" if found.place else ""
        lines.append(f"{_NAMES[found.kind]}{where} since {_since(at, now)}; say “{_ENDS[found.kind]}” when it is over.")
    return lines


def _since(at: dt.datetime, now: dt.datetime) -> str:
    local = at.astimezone(now.tzinfo)
    return f"{local:%H:%M}" if local.date() == now.date() else f"{say.day(local, now.date())} {local:%H:%M}"


# ---- the answer


def answer_emergency(
    emergency: Emergency, standing: Standing, book: RoomBook, now: dt.datetime, *, short: bool = False
) -> str:
    """What to do in order, from what stands where; after its end what to look at. `now` in the room's zone.

    `short`, for text messages: the first step whole, for its cautions, of the others what to do and where.
    Empty when something is said to be over that nobody had told of, in a note that says more.
    """
    place = place_meant(emergency.place, standing)
    if emergency.over:
        return _after(replace(emergency, place=place or emergency.place), book, now)
    if emergency.place and place is None:
        name = f"tank {emergency.place}" if emergency.place[0].isdigit() else emergency.place
        head = f"There is no {name} on record here. In any tank:"
    else:
        where = f" in {place}" if place else ""
        before = [at for f, at in open_emergencies(book, now) if (f.kind, f.place) == (emergency.kind, place)]
        since = f" since {_since(before[0], now)}" if before else ""
        head = f"{_NAMES[emergency.kind]}{where}{since}. In this order:"
    room = to_save(standing, now)
    match emergency.kind:
        case "power_cut":
            steps = _power_cut(room)
        case "heat_wave":
            steps = _heat_wave(room, book.info.units)
        case "heater_failed" | "heater_stuck":
            steps = _heater(emergency.kind, place, standing, book.info.units)
        case "leak":
            steps = _leak(place, standing, room)
    steps = [s for s in steps if s]
    if short:
        steps = [steps[0], *(f"{s.partition('. ')[0].rstrip('.')}." for s in steps[1:])]
    lines = [f"{n}. {step}" for n, step in enumerate(steps, 1)]
    return "\n".join([head, *lines, f"Say “{_ENDS[emergency.kind]}” when it is over."])


def _few(names: Sequence[str]) -> str:
    text = say.places(names)
    return text if len(text) <= 60 else _in_order(names)


def _in_order(names: Sequence[str]) -> str:
    """Names kept in their order, since the order is the advice: `tank 13, tank 11`."""
    more = f" and {len(names) - MOST_PLACES} more" if len(names) > MOST_PLACES else ""
    return f"{', '.join(names[:MOST_PLACES])}{more}"


def _air(room: Room) -> str:
    first = _in_order(room.fullest)
    if not first:
        return _few(room.uncounted)
    return f"{first}; then {_few(room.uncounted)} (not counted)" if room.uncounted else first


def _power_cut(room: Room) -> list[str]:
    air = _air(room)
    return [
        "Dry hands, torch: unplug heaters, so that none comes back on dry. No generator or flame indoors.",
        f"Air, fullest first: {air}. Battery pump, or pour their own water back from a jug every 20 minutes."
        if air
        else "",
        f"Fry, youngest first: {_in_order(room.fry)}. Lids on, together in one insulated box." if room.fry else "",
        f"Eggs: {_few(room.eggs)} into the same box; they bear cool water best." if room.eggs else "",
        f"Wrap the small tanks first: {_in_order(room.small)}. Lids shut, lights stay off." if room.small else "",
        "Feed nothing until filters run again. No warm water poured in: slow cooling harms less than a jump.",
        "Log a temperature each hour. Off for 2 hours or more: rinse sponges in tank water before they run.",
    ]


def _heat_wave(room: Room, units: str) -> list[str]:
    warm, usual = oxygen_saturation(30.0), oxygen_saturation(25.0)
    air = _air(room)
    hot = ", ".join(f"{name} {say.temperature(value, units)}" for name, value in room.warm[:MOST_PLACES])
    cool = [*room.fry, *room.eggs]
    jump = "2 °C" if units != "us" else "4 °F"
    return [
        f"Air, fullest first: {air}. Water of {say.temperature(30, units)} holds {warm.value:.1f} mg/L of oxygen, "
        f"of {say.temperature(25, units)} {usual.value:.1f}."
        if air
        else "",
        f"Warmest at the last reading: {hot}." if hot else "Read the temperatures now, and again at noon and evening.",
        "Lights off, heaters unplugged (dry hands), a fan across open water; net over it, fish jump.",
        f"Down to the floor, the coolest spot: {_few(cool)}." if cool else "",
        f"Small water changes, at most {jump} cooler each; no ice in with fish, fry or eggs.",
        "Feed little and take out what is left. Peat bags to the coolest cupboard; other eggs hatch sooner.",
    ]


def _heater(kind: Kind, place: str | None, standing: Standing, units: str) -> list[str]:
    held = standing.at_place(place) if place else []
    young = [h for h in held if h.stage in ("eggs", "fry")]
    where = place or "that tank"
    reading = f"“temp {place} …”" if place else "the tank and the degrees"
    hour = "2 °F" if units == "us" else "1 °C"
    first = f"{say.listed(say.fish(h.number, h.stage) for h in young)} first" if young else ""
    if kind == "heater_stuck":
        return [
            "Dry hands: switch it off at the wall and unplug it; leave it in the water 15 minutes before lifting it.",
            "More air at once: hot water holds little.",
            f"Read {where} and log it: {reading}.",
            f"Let it cool by itself, at most {hour} in half an hour: lid open, small changes a little cooler; no ice.",
            f"Out of there only if it goes on rising: {first or 'the weakest first'}, into water as warm as theirs.",
            "Feed nothing today. That heater is not used again.",
        ]
    return [
        "Dry hands: unplug it at the wall; leave it in the water 15 minutes, then lift it out.",
        f"Read {where} and log it: {reading}.",
        f"{first[:1].upper()}{first[1:]}: float them in a covered cup in a warm tank." if first else "",
        f"Spare heater in; until then wrap sides and lid of {where}. Warm by at most {hour} an hour.",
        "Feed nothing until it is warm again.",
    ]


def _leak(place: str | None, standing: Standing, room: Room) -> list[str]:
    held = standing.at_place(place) if place else []
    order = {"eggs": 0, "fry": 1, "juveniles": 2, "adults": 3}
    who = [
        f"{say.fish(h.number, h.stage)} ({h.line})"
        for h in sorted(held, key=lambda h: (order[h.stage], h.group))
    ]  # fmt: skip
    free = [f for f in room.free if f != place]
    spare = f"{_in_order(free)} {'stands' if len(free) == 1 else 'stand'} free" if free else "no tank stands free"
    return [
        "Dry hands, dry feet: power off at the wall for all that is wet or under it, before you reach in.",
        "Save its water in clean buckets, until the level is below the leak or the fish must out.",
        f"In {place}: {say.listed(who)}{'; in that order' if len(who) > 1 else ''}."
        if who
        else "Eggs and fry first, then the rest.",
        f"Into their own water: {spare}; else lidded buckets with an air stone. Lines apart, each labelled.",
        "Keep the sponge filter wet in one of them. Feed nothing today.",
        f"Log it: “moved all from {place} to …”." if place else "Which tank is it? Say it with its number.",
    ]


def _after(end: Emergency, book: RoomBook, now: dt.datetime) -> str:
    """What to look at when it is over, and how long it was."""
    going = [(found, at) for found, at in open_emergencies(book, now) if _ended_by(found, end)]
    if not going:
        return "" if end.rest else f"Good. No {_NOUNS[end.kind]} was on record."
    since = min(at for _, at in going)
    hours = (now - since).total_seconds() / 3600
    lasted = say.count(round(hours * 60), "minute") if hours < 0.95 else say.count(round(hours), "hour")
    if hours >= 36:
        lasted = say.count(round(hours / 24), "day")
    head = f"{_NAMES[end.kind]} for {lasted}."
    match end.kind:
        case "power_cut":
            rinse = "rinse sponges in tank water first, then air and filters on; " if hours >= 2 else ""
            return (
                f"{head} Now: {rinse}see that every pump runs; heaters in last, covered with water, dry hands. "
                "Log temperatures; feed lightly tomorrow; test ammonia in the fullest tanks."
            )
        case "heat_wave":
            return f"{head} Heaters back in with dry hands, once the water is below their setting. Log temperatures."
        case "leak":
            return f"{head} Fill it and let it stand dry outside for a day before fish go back."
        case _:
            return f"{head} Log the temperature now and in an hour."
