"""Fry taken out of a permanent set-up, where they hatched by themselves among their parents."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from bot.orders.arrivals import NUMBER, PLACE, line_first, many, place_said
from bot.routine.taken import Scene, Taken
from shared.events import Event, FishMoved, event_from
from shared.ledger.standing import Standing

_INTO = rf"(?:into|in|to) (?P<to>{PLACE})"
_SKIMMED = (
    re.compile(
        r"^(?:(?:i|we) )?(?:just )?(?:skimmed|scooped|netted|fished|took)(?: (?:off|out|up))? "
        rf"(?P<n>{NUMBER})(?: more)? (?:(?P<line>[\w -]{{3,24}}?) )?fry (?:off|from|in|out of|off of)"
        rf"(?: the top of)? (?P<place>{PLACE})(?:,? (?:and )?(?:(?:put|moved) (?:them )?)?{_INTO})?$"
    ),
    re.compile(
        rf"^(?:(?:i|we) )?(?:just )?(?:found|saw|spotted) (?P<n>{NUMBER})(?: more)? (?:(?P<line>[\w -]{{3,24}}?) )?"
        rf"fry (?:in|with the parents in) (?P<place>{PLACE}),? (?:and )?(?:put|moved|set) them {_INTO}$"
    ),
)
SAME_DAYS = dt.timedelta(days=7)  # a week apart fry are a batch of their own; common practice, no source


def skimmed(text: str, scene: Scene) -> Taken | None:
    """Such a sentence: a batch with no egg count and an unknown lay date, moved where they were put."""
    hit = next(filter(None, (pattern.match(text) for pattern in _SKIMMED)), None)
    place = place_said(hit["place"], scene) if hit else None
    to = place_said(hit["to"], scene) if hit and hit["to"] else None
    if hit is None or place is None or bool(to) != bool(hit["to"]):
        return None
    found = line_first(hit["line"].split(), scene) if hit["line"] else None
    if hit["line"] and (found is None or found[1] != len(hit["line"].split())):
        return None
    return _taken(place, to, many(hit["n"]), found[0] if found else None, scene.standing, scene.now)


def skimmed_off(event: Event, text: str, standing: Standing, now: dt.datetime) -> tuple[Event, ...]:
    """A move of fry out of a tank where only their parents are on record; any other event as it is."""
    if not isinstance(event, FishMoved) or event.batch or event.joins or event.stage not in (None, "fry"):
        return (event,)
    if event.source is None or event.to is None or not re.search(r"\bfry\b", text, re.IGNORECASE):
        return (event,)
    taken = _taken(event.source, event.to, event.count, event.line, standing, now)
    return taken.events if taken else (event,)


def _taken(
    place: str, to: str | None, count: int | None, line: str | None, standing: Standing, now: dt.datetime
) -> Taken | None:
    there = standing.fish_at(place)
    kept = standing.places.get(place)
    line = line or (kept.line if kept else None)
    if standing.eggs_at(place) or {h.stage for h in there} != {"adults"} or line not in {h.line for h in there}:
        return None  # nobody stands there whose fry they could be, or others they are of by the record
    hatched: dict[str, Any] = {"kind": "hatch", "place": place, "count": count, "line": line}
    if to is None:
        return Taken((event_from(hatched),))
    young = [h.group for h in standing.fish_at(to) if h.line == line and h.stage == "fry"]
    mine = [name for name in young if place in getattr(standing.batches.get(name), "parents", ())]
    batch = mine[-1] if mine and _fresh(mine[-1], standing, now) else standing.next_batch_name()
    moved = {"kind": "move", "from": place, "to": to, "count": count, "stage": "fry", "batch": batch}
    return Taken((event_from({**hatched, "batch": batch}), event_from(moved)))


def _fresh(name: str, standing: Standing, now: dt.datetime) -> bool:
    seen = standing.batches[name].fry_seen
    return seen is not None and abs(now - seen) <= SAME_DAYS
