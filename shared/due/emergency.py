"""An emergency of the room: what is to be saved first, from what stands where.

The order is common practice, no source: people's safety, then air, then what cools or warms fastest, then the rest.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from shared.ledger.standing import Holding, Place, Standing

Kind: TypeAlias = Literal["power_cut", "heat_wave", "heater_failed", "heater_stuck", "leak"]
KINDS: tuple[Kind, ...] = ("power_cut", "heat_wave", "heater_failed", "heater_stuck", "leak")

# So long one is taken to last when nobody says that it is over; house rule, no source.
LASTS: dict[Kind, dt.timedelta] = {
    "power_cut": dt.timedelta(days=2),
    "heat_wave": dt.timedelta(days=10),
    "heater_failed": dt.timedelta(days=2),
    "heater_stuck": dt.timedelta(days=2),
    "leak": dt.timedelta(days=2),
}
# Lengths to rank tanks by where nobody measured, mm; assumptions, no source.
_MM = {"eggs": 0.0, "fry": 7.0, "juveniles": 18.0, "adults": 40.0}
# mm² of fish (by length) to the litre: a hundred of just under an inch in 30 gallons, half changed daily, is full.
_FULL = 568.0
_WARM = 27.0  # °C from which a tank is named in a heat wave; house rule, no source
SMALL_TANK = 45.0  # litres below which a tank cools in hours; common practice, no source


@dataclass(frozen=True)
class Emergency:
    """What a note says is happening now, or over. `place` in the note's words; `rest`: what else the note says."""

    kind: Kind
    place: str | None = None
    over: bool = False
    rest: str = ""


@dataclass(frozen=True)
class Room:
    """The places of a room in the order they are saved in, each list the most pressing first."""

    fullest: tuple[str, ...]  # most fish for their water: they run short of air first
    uncounted: tuple[str, ...]  # with fish, but how many nobody knows
    fry: tuple[str, ...]  # small vessels with fry, the youngest first
    eggs: tuple[str, ...]
    small: tuple[str, ...]  # small tanks with fish, the smallest first
    free: tuple[str, ...]  # nothing stands in them, the largest first, a quarantine tank last
    warm: tuple[tuple[str, float], ...]  # last temperature of the day, °C, the warmest first


def to_save(standing: Standing, now: dt.datetime, apart: Iterable[str] = ()) -> Room:
    """What stands where, in the order to save it; places in `apart` are left out."""
    left_out = set(apart)
    held: dict[str, list[Holding]] = {}
    for holding in standing.holdings.values():
        if holding.place and holding.place not in left_out:
            held.setdefault(holding.place, []).append(holding)
    places = {p.name: p for p in standing.places.values() if not p.closed and p.name not in left_out}
    fish = {name: [h for h in mine if h.stage != "eggs"] for name, mine in held.items()}
    tanks = {name: mine for name, mine in fish.items() if mine and not _tub(places.get(name), name)}
    load = {name: _load(places[name], mine) for name, mine in tanks.items() if name in places}
    full = [name for name, share in load.items() if share is not None and share >= 0.1]
    unknown = [name for name in tanks if load.get(name) is None]
    young = [n for n, mine in fish.items() if n not in tanks and any(h.stage in ("fry", "juveniles") for h in mine)]
    wet = [
        n
        for n, mine in held.items()
        if not fish[n] and any(h.stage == "eggs" for h in mine) and n in places and places[n].kind != "bag"
    ]
    small = [n for n in tanks if n in places and 0 < (places[n].litres or 0) < SMALL_TANK]
    free = [p for n, p in places.items() if n not in held and p.role not in ("eggs",) and p.kind == "tank"]
    latest = {name: reading for name in held if (reading := standing.latest(name, "temperature"))}
    warm = [(n, r.value) for n, r in latest.items() if r.value >= _WARM and now - r.at < dt.timedelta(hours=24)]
    return Room(
        fullest=tuple(sorted(full, key=lambda n: (-(load[n] or 0), n))),
        uncounted=tuple(unknown),
        fry=tuple(sorted(young, key=lambda n: (-_hatched(standing, fish[n]).timestamp(), n))),
        eggs=tuple(sorted(wet)),
        small=tuple(sorted(small, key=lambda n: (places[n].litres or 0, n))),
        free=tuple(p.name for p in sorted(free, key=lambda p: (p.role == "quarantine", -(p.litres or 0), p.name))),
        warm=tuple(sorted(warm, key=lambda nr: (-nr[1], nr[0]))),
    )


def _tub(place: Place | None, name: str) -> bool:
    kind = place.kind if place else name.split()[0].casefold()
    return kind != "tank" or (place is not None and place.litres is not None and place.litres <= 8)


def _load(place: Place, held: list[Holding]) -> float | None:
    """How full a tank is, 1 as full as practice goes with water changed daily; None where nobody counted."""
    if not place.litres or not any(h.counted for h in held):
        return None
    return sum(h.count * _MM[h.stage] ** 2 for h in held if h.counted) / (_FULL * place.litres)


def _hatched(standing: Standing, held: list[Holding]) -> dt.datetime:
    """When the youngest there were first seen as fry, or came to stand there."""
    seen = [
        (b.fry_seen if (b := standing.batches.get(h.group)) and b.fry_seen else h.since).astimezone(dt.UTC)
        for h in held
    ]
    return max(seen)
