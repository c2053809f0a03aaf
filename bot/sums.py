"""Answers that are sums: is this water dangerous, how many drops, when can they move, conversions."""

from __future__ import annotations

import datetime as dt

from bot import sentences as say
from bot.language import Query
from shared import doses, water
from shared.growth import SALE_MM, When, move_up, sale_size
from shared.ledger import Batch, Standing
from shared.quantities import Gallon, convert
from storage.engine import RoomInfo


def _given(query: Query, *names: str) -> float | None:
    for name in names:
        value = query.given.get(name)
        if isinstance(value, int | float):
            return float(value)
    return None


def _latest(query: Query, standing: Standing, quantity: str) -> float | None:
    found = standing.latest(query.place, quantity) if query.place else None
    return found.value if found else None


Told = tuple[str, tuple[str, ...]]  # the answer, and what it rests on


def ammonia(query: Query, standing: Standing, info: RoomInfo) -> Told:
    """Whether an ammonia, nitrite or nitrate reading is dangerous, with the numbers the question gives."""
    as_n: water.As = "ion" if info.nitrogen_as == "ion" else "n"
    try:
        nitrite = _given(query, "nitrite")
        if nitrite is not None or query.quantity == "nitrite":
            value = nitrite if nitrite is not None else _latest(query, standing, "nitrite")
            if value is None:
                return "What does the test read? Say it like “is 0.25 nitrite bad”.", ()
            found = water.nitrite(value, as_n)
            return _reading(f"Nitrite {say.number(value)} mg/L", found)
        nitrate = _given(query, "nitrate")
        if nitrate is not None or query.quantity == "nitrate":
            value = nitrate if nitrate is not None else _latest(query, standing, "nitrate")
            if value is None:
                return "What does the test read? Say it like “is 40 nitrate bad”.", ()
            return _reading(f"Nitrate {say.number(value)} mg/L", water.nitrate(value, as_n))
        total = _given(query, "ammonia")
        total = total if total is not None else _latest(query, standing, "ammonia")
        if total is None:
            return "What does the test read? Say it like “is 0.5 ammonia at pH 8 and 78F bad”.", ()
        ph = _given(query, "ph")
        celsius = _given(query, "temperature")
        ph = ph if ph is not None else _latest(query, standing, "ph")
        celsius = celsius if celsius is not None else _latest(query, standing, "temperature")
        found = water.ammonia(total, ph, celsius, as_n)
        at = [f"pH {say.number(ph)}"] if ph is not None else []
        at += [say.temperature(celsius, info.units)] if celsius is not None else []
        head = f"Total ammonia {say.number(total)} mg/L{f' at {say.listed(at)}' if at else ''}: "
        return _reading(f"{head}{found.value:.3f} mg/L of it un-ionised", found)
    except ValueError as trouble:
        return f"{str(trouble).rstrip('.')}. Check the reading.", ()


def _reading(head: str, found: water.Reading) -> Told:
    first = " ".join(found.first[:2])
    caution = found.cautions[0] if found.cautions else ""
    why = (f"{found.basis}.", *(f"Source: {s}." for s in found.sources), *found.cautions[1:])
    return f"{head}: {found.band}.\n{first} {caution}".strip(), why


def dose(query: Query, standing: Standing, info: RoomInfo) -> Told:
    """How much to put in: drops for an egg tub, salt, a dye; a refusal with its reason where none is given."""
    substance = doses.substance_of(str(query.given.get("substance", "peroxide")))
    litres = _given(query, "litres", "volume")
    place = standing.places.get(query.place or "")
    if litres is None and place:
        litres = place.litres
    percent = _given(query, "percent", "strength")
    try:
        refused = doses.refusal(substance, percent, litres)
        if refused:
            return f"No dose for {refused.substance}: {refused.reason} {refused.instead}", refused.sources
        if substance == "salt":
            found: doses.Dose | doses.Refusal = doses.salt(_given(query, "g_per_l") or 1.0, litres or 10.0)
        elif substance == "peroxide":
            found = doses.peroxide(litres or 2 * 0.2365882365, percent or doses.PEROXIDE_PERCENT)
        else:
            return f"For {substance} go by the label of your bottle; a vet knows more. No dose from here.", ()
    except ValueError as trouble:
        return f"{str(trouble).rstrip('.')}.", ()
    if isinstance(found, doses.Refusal):
        return f"No dose for {found.substance}: {found.reason} {found.instead}", found.sources
    where = f"{query.place} ({say.volume(litres, info.units, info.gallon)})" if query.place and litres else ""
    where = where or say.volume(litres or 2 * 0.2365882365, info.units, info.gallon)
    width = f" ({say.number(found.low or 0)}–{say.number(found.high or 0)})" if found.low != found.high else ""
    much = f"{say.number(round(found.value, 1))} {found.unit}{width} of {substance}"
    text = f"{where}: {much}, about {found.mg_per_l:.0f} mg/L."
    fry = query.place and any(h.stage == "fry" for h in standing.at_place(query.place))
    if fry and substance == "peroxide":
        return f"{query.place} holds fry: no more peroxide once fry are seen.", ()
    caution = found.cautions[0] if found.cautions else say.caution_for(substance)
    return f"{text}\n{found.basis}. {caution}", tuple(f"Source: {s}." for s in found.sources)


def calc(query: Query, standing: Standing, info: RoomInfo) -> str:
    """A conversion or sum from the numbers the question gives."""
    given = query.given
    amount, unit, to = _given(query, "amount", "value"), given.get("unit"), given.get("to")
    celsius = _given(query, "temperature")
    try:
        if amount is not None and isinstance(unit, str) and isinstance(to, str):
            gallon: Gallon = "imperial" if info.gallon == "imperial" else "us"
            found = convert(amount, unit, to, gallon)
            return f"{say.number(amount)} {unit} is {say.number(round(found.value, 2))} {found.unit}."
        if celsius is not None:
            return f"{say.number(round(celsius, 1))} °C is {say.number(round(celsius * 9 / 5 + 32, 1))} °F."
    except ValueError as trouble:
        return f"{str(trouble).rstrip('.')}."
    place = standing.places.get(query.place or "")
    percent, litres = _given(query, "percent"), _given(query, "litres")
    litres = litres if litres is not None else (place.litres if place else None)
    if percent is not None and litres is not None:
        part = litres * percent / 100
        whole = say.volume(litres, info.units, info.gallon)
        return f"{say.number(percent)} % of {whole} is {say.volume(part, info.units, info.gallon)}."
    return "Say the sum with its numbers and units, like “28 c in f” or “30% of tank 7”."


def ready(query: Query, standing: Standing, now: dt.datetime) -> str:
    """When fish will be big enough to move or sell."""
    groups = [query.batch] if query.batch else []
    if not groups and query.place:
        groups = [h.group for h in standing.fish_at(query.place)]
    if not groups and query.line:
        groups = [
            h.group for h in standing.holdings.values() if h.line == query.line and h.stage in ("fry", "juveniles")
        ]
    lines = []
    for name in dict.fromkeys(groups):
        batch = standing.batches.get(name)
        if batch is None or batch.fry_seen is None:
            continue
        lines.append(_ready_line(name, batch, standing, now))
    return "\n".join(lines) or "No fry of that are on record, so no date."


def _ready_line(name: str, batch: Batch, standing: Standing, now: dt.datetime) -> str:
    """Age, when next to move, when sale size, each with its width."""
    assert batch.fry_seen is not None
    line = standing.lines.get(batch.line)
    species = line.species if line else None
    hatched = batch.fry_seen.date()
    measured = [
        ((r.at - batch.fry_seen).days, r.value)
        for r in standing.readings.get(f"{name}|length", [])
        if r.at > batch.fry_seen
    ]
    spots = [standing.places[h.place] for h in standing.of_group(name) if h.place in standing.places]
    in_tub = any(p.kind == "tub" for p in spots)
    parts = [f"{name} ({batch.line}): {say.count((now - batch.fry_seen).days, 'day')} old"]
    if not any(p.role == "grow-out" for p in spots):
        up = move_up(species, hatched, "tub" if in_tub else "nursery", measured)
        parts.append(f"to move up {_when(up, now)}")
    parts.append(f"sale size ({say.number(SALE_MM)} mm) {_when(sale_size(species, hatched, measured), now)}")
    basis = (
        f"{len(measured)} lengths measured here" if measured else (line.species if line and species else "no figures")
    )
    return f"{'; '.join(parts)} (80 % windows; {basis})."


def _when(when: When, now: dt.datetime) -> str:
    if when.earliest is None or when.latest is None:
        return "cannot be said yet"
    if when.latest <= now.date():
        return "by now"
    return f"{say.day(max(when.earliest, now.date()), now.date())} to {say.day(when.latest, now.date())}"


def advice(query: Query, standing: Standing, info: RoomInfo, now: dt.datetime) -> str:
    """What to do, where the record or the figures say something; else who knows."""
    if any(k in query.given for k in ("ammonia", "nitrite", "nitrate")):
        return ammonia(query, standing, info)[0]
    if query.place and query.place in standing.places:
        parts = [
            f"{q} {say.number(found.value)}"
            for q in ("ammonia", "nitrite", "nitrate")
            if (found := standing.latest(query.place, q))
        ]
        tested = (
            f"Last tests in {query.place}: {', '.join(parts)}. " if parts else f"No tests on record for {query.place}. "
        )
        return tested + "First steps that do no harm: test ammonia and nitrite, change a third of the water, feed less."
    return (
        "That goes beyond the record. First steps that do no harm: test ammonia and nitrite, change a third of the "
        "water, feed less; for sick fish ask a vet."
    )
