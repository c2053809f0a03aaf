"""Who the parents were, as far as anybody wrote it down, and what a place holds when hatches grow up together."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from bot import sentences as say
from shared.kin.lineage import Stay
from shared.ledger.standing import Batch, Holding, Standing


def parents_told(standing: Standing, batch: Batch, zone: ZoneInfo) -> str:
    """`Parents: tank 3 (gardneri; B14 5–6 Mar)`: whoever shared the place while these were laid, and when."""
    if not batch.parents:
        return "Parents not on record"
    begin, end = batch.laid_from or batch.opened, batch.laid_to or batch.opened
    found = []
    for place in batch.parents:
        stays = standing.parents_at([place], begin, end)
        first = min((stay.since for stay in stays), default=begin)  # or stood there when the record began
        told = list(dict.fromkeys(_stay(stay, max(begin, first), end, zone) for stay in stays))
        alone = len(told) == 1 and stays[0].group == stays[0].line == batch.line and told[0] == batch.line
        found.append(f"{place} ({'; '.join(told)})" if told and not alone else place)
    return f"Parents: {say.listed(found)}" if any("(" in f for f in found) else f"Parents: {say.places(batch.parents)}"


def _stay(stay: Stay, begin: dt.datetime, end: dt.datetime, zone: ZoneInfo) -> str:
    label = f" {stay.generation}" if stay.generation else ""
    first, last = max(stay.since, begin), min(stay.until or end, end)
    when = f" {say.span(first, last, zone)}" if (first, last) != (begin, end) else ""
    return f"{stay.group}{label}{when}"


def generations_there(standing: Standing, held: Holding) -> str:
    """`, wild`, `, F1 and wild`, `, some wild`: what fish of a line in a place are called, if anybody said."""
    if held.group in standing.batches or held.stage == "eggs":
        return ""
    stays = [s for s in standing.stays.get(held.place, []) if s.until is None and s.group == held.group]
    labels = {s.generation for s in stays if s.stage == held.stage}
    known = sorted(label for label in labels if label)
    return f", {'some ' if None in labels else ''}{say.listed(known)}" if known else ""


def mixed_told(standing: Standing, place: str, now: dt.datetime, zone: ZoneInfo) -> list[str]:
    """Of two hatches or more in one grow-out: how old each is and whose young, and how far apart they are."""
    groups = list(dict.fromkeys(h.group for h in standing.fish_at(place) if h.group in standing.batches))
    if len(groups) < 2:
        return []
    batches = [standing.batches[name] for name in groups]
    batches = [b for b in batches if b.fry_seen or b.parents]  # of bought ones nothing is known
    lines = []
    for batch in batches:
        age = f"{say.count((now - batch.fry_seen).days, 'day')} old" if batch.fry_seen else "hatched nobody said when"
        parents = parents_told(standing, batch, zone)
        lines.append(f"{batch.name}: {age}; {parents[0].lower()}{parents[1:]}.")
    seen = standing.hatched_between(place)
    apart = (seen[1] - seen[0]).days if seen and all(b.fry_seen for b in batches) else 0
    return [*lines, f"Hatched {say.count(apart, 'day')} apart."] if apart else lines
