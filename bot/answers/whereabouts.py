"""Tanks and tubs asked for by what they are or hold: the empty ones, those with gardneri, those above 76 °F."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from bot import sentences as say
from bot.answers.asking import Asking, places_named, time_in_peat
from bot.language.asking.given import celsius_said
from shared.ledger.standing import Holding, Place, Reading

OLD_DAYS = 7  # a reading older than this is said with its age
MOST_PLACES = 8
FEW_IN_PEAT = 3  # of more each has its line
_QUANTITIES = (
    (r"\b(?:temp\w*|heaters?|thermometers?|warm\w*|hot\w*|cold\w*|cool\w*|degrees?)\b", "temperature"),
    (r"\bammonia\b", "ammonia"),
    (r"\bnitrites?\b", "nitrite"),
    (r"\bnitrates?\b", "nitrate"),
    (r"\bp\.?h\b", "ph"),
    (r"\btds\b", "tds"),
)
_KIND = re.compile(r"\b(tank|tub|bag|jar|box)(?:e?s)?\b")
_EMPTY = re.compile(r"\b(?:empty|vacant|unused|spare|free|nothing in(?: them)?|no fish|not in use)\b")
_WITHOUT = re.compile(r"\b(?:without|no|not|never|lacks?|missing|haven't|hasn't|untested)\b")
_HIGHEST = re.compile(r"\b(?:warmest|hottest|highest|most)\b")
_LOWEST = re.compile(r"\b(?:coldest|coolest|lowest|least)\b")
_ABOVE = re.compile(r"\b(?:above|over|more than|higher than|warmer than|hotter than) (\d+(?:\.\d+)?) ?°?([fc]\b)?")
_BELOW = re.compile(r"\b(?:below|under|less than|lower than|colder than|cooler than) (\d+(?:\.\d+)?) ?°?([fc]\b)?")
_SEVERAL = re.compile(r"\b(?:which|what|any|how many|all|where|list|show)\b")
_THERE_ARE = re.compile(
    r"\b(?:what|which) (?P<kind>tank|tub)s (?:do (?:i|we) have|have (?:i|we)(?: got)?|are (?:there|on record|set up))\b"
)
MOST_LISTED = 16
_VESSEL = {"fry": r" (?:tubs?|tanks?)\b", "eggs": r" (?:tubs?|tanks?)\b", "breeders": r" tanks?\b"}
ROLES = ("nursery", "quarantine", "grow-out", "breeders", "fry", "eggs")


def whereabouts(ask: Asking) -> str | None:
    """Several places by what is said of them; None where one place or batch is asked about."""
    words = ask.text.casefold().replace("’", "'")
    if ask.query.place or ask.query.batch:
        return None
    named = places_named(ask)
    if len(named) > 1:
        return "\n".join(_shortly(ask, name) for name in named[:MOST_PLACES])
    quantity = next((q for pattern, q in _QUANTITIES if re.search(pattern, words)), None)
    if quantity is None and (_ABOVE.search(words) or _BELOW.search(words)):
        quantity = "temperature"
    if quantity and (found := _by_reading(ask, words, quantity)):
        return found
    kind = _KIND.search(words)
    if re.search(r"\bhow many (?:empty |free |open )?(?:tanks?|tubs?|places?)\b", words) and not _EMPTY.search(words):
        return _counted(ask)
    if _EMPTY.search(words) and kind and _SEVERAL.search(words):
        return _empty(ask, kind[1])
    if (asked := _THERE_ARE.search(words)) is not None:
        return all_places(ask, asked["kind"])
    if re.search(r"\bpeat\b", words) and re.search(r"\b(?:which|what|any)\b", words):
        return in_peat(ask)
    if re.search(r"\b(?:oldest|youngest|newest) batch\b", words):
        return _by_age(ask, oldest="oldest" in words)
    if ask.query.line and re.search(r"\b(?:which|what|where|any)\b(?!.*\b(?:sale|sell|spare|left)\b)", words):
        return where_kept(ask, ask.query.line, kind[1] if kind else None)
    role = next((r for r in ROLES if re.search(rf"\b(?:in|the) (?:the )?{r}{_VESSEL.get(r, '')}", words)), None)
    if role and re.search(r"\b(?:what|which|who|where|how|show|list)\b", words):
        spots = [p for p in _open(ask) if p.role == role]
        return "\n".join(_shortly(ask, p.name) for p in spots[:MOST_PLACES]) or None
    return None


def _open(ask: Asking, kind: str | None = None) -> list[Place]:
    return [p for p in ask.standing.places.values() if not p.closed and (kind is None or p.kind == kind)]


def holds(h: Holding) -> str:
    """`73 juveniles of B14`, `adults (not counted)`."""
    number = say.fish(h.number, h.stage) if h.counted else f"{h.stage} (not counted)"
    return f"{'about ' if h.estimated and h.counted else ''}{number}{f' of {h.group}' if h.group != h.line else ''}"


def _shortly(ask: Asking, name: str) -> str:
    held = ask.standing.at_place(name)
    what = "; ".join(f"{holds(h)}, {h.line}" if h.group != h.line else f"{h.line} {holds(h)}" for h in held)
    place = ask.standing.places[name]
    size = f" ({say.volume(place.litres, ask.units, ask.book.info.gallon)})" if place.litres else ""
    return f"{name}{size}: {what or 'empty'}."


def _counted(ask: Asking) -> str:
    parts = []
    for kind, many in (("tank", "tanks"), ("tub", "tubs")):
        spots = _open(ask, kind)
        empty = [p for p in spots if not ask.standing.at_place(p.name)]
        if spots:
            parts.append(f"{say.count(len(spots), kind, many)}, {len(empty)} of them empty")
    return f"{say.first_up('; '.join(parts))}." if parts else "No tanks or tubs are on record."


def all_places(ask: Asking, kind: str) -> str:
    """Every tank or tub in a line with what it holds, the first ones; those without anything together."""
    spots = _open(ask, kind)
    if not spots:
        return f"No {kind}s are on record."
    full = [p.name for p in spots if ask.standing.at_place(p.name)]
    lines = [_shortly(ask, name) for name in full[:MOST_LISTED]]
    if full[MOST_LISTED:]:
        lines.append(f"… and {say.places(full[MOST_LISTED:])}.")
    return "\n".join([*lines, *([_empty(ask, kind)] if len(full) < len(spots) else [])])


def _empty(ask: Asking, kind: str) -> str:
    spots = [p.name for p in _open(ask, kind) if not ask.standing.at_place(p.name)]
    plural = {"box": "boxes"}.get(kind, f"{kind}s")
    if not spots:
        return f"None of the {plural} is empty on record."
    sizes = {say.volume(p.litres, ask.units, ask.book.info.gallon) for p in _open(ask) if p.name in spots and p.litres}
    size = f" ({say.listed(sorted(sizes))})" if len(sizes) == 1 else ""
    return f"Empty: {say.places(spots)}{size}."


def where_kept(ask: Asking, line: str, kind: str | None = None) -> str:
    """`gardneri: adults (not counted) in tanks 2 and 3; 73 juveniles of B14 in tank 13; 27 eggs of B22 in tub B`."""
    kinds = {p.name: p.kind for p in ask.standing.places.values()}
    parts = []
    for stage in ("adults", "juveniles", "fry", "eggs"):
        for h in ask.standing.holdings.values():
            if h.line == line and h.stage == stage and h.number != 0 and kind in (None, kinds.get(h.place)):
                parts.append((f"{holds(h)}", h.place or "hand"))
    merged: dict[str, list[str]] = {}
    for number, place in parts:
        merged.setdefault(number, []).append(place)
    if not merged:
        return f"No {line} are on record{f' in a {kind}' if kind else ''}."
    return f"{line}: {'; '.join(f'{number} in {say.places(places)}' for number, places in merged.items())}."


def in_peat(ask: Asking) -> str:
    """The batches whose eggs lie in peat, and for how long."""
    rows = []
    for batch in ask.standing.batches.values():
        held = [h for h in ask.standing.of_group(batch.name) if h.stage == "eggs"]
        if batch.medium == "peat" and held:
            age = time_in_peat(ask.standing, batch, ask.now)
            rows.append(f"{batch.name} ({batch.line}) in {held[0].place or 'hand'}{f', {age}' if age else ''}")
    if len(rows) > FEW_IN_PEAT:
        return "\n".join(["In peat:", *rows])
    return f"In peat: {'; '.join(rows)}." if rows else "No eggs are in peat on record."


def _by_age(ask: Asking, *, oldest: bool) -> str:
    alive = [b for b in ask.standing.batches.values() if ask.standing.of_group(b.name)]
    aged = sorted((b.fry_seen or b.laid_from or b.opened, b.name) for b in alive)
    if not aged:
        return "No batches are on record."
    at, name = aged[0 if oldest else -1]
    batch = ask.standing.batches[name]
    how = "hatched" if batch.fry_seen else "laid" if batch.laid_from else "begun"
    where = say.listed(f"{holds(h)} in {h.place or 'hand'}" for h in ask.standing.of_group(name))
    return f"{name} ({batch.line}): {how} {say.day(at.astimezone(ask.book.info.zone), ask.now.date())}; {where}."


# ---- by readings


def _by_reading(ask: Asking, words: str, quantity: str) -> str | None:
    kind = _KIND.search(words)
    spots = _open(ask, kind[1] if kind else None)
    latest = {p.name: found for p in spots if (found := ask.standing.latest(p.name, quantity))}
    if _WITHOUT.search(words) and kind:
        return _unread(ask, spots, latest, quantity)
    above, below = _ABOVE.search(words), _BELOW.search(words)
    bound = above or below
    if bound and kind:
        value = float(bound[1])
        if quantity == "temperature":
            value = celsius_said(
                value, bound[2] or ("f" if ask.units == "us" and value > 40 else "c"), ask.units != "us"
            )
        names = [n for n, r in latest.items() if (r.value > value + 0.06 if above else r.value < value - 0.06)]
        side = f"{'above' if above else 'below'} {say.reading(quantity, value, ask.units)}"
        return f"{say.first_up(side)}: {_readings(ask, names, quantity)}{_not_read(spots, latest)}."
    if _HIGHEST.search(words) or _LOWEST.search(words):
        if not latest:
            return f"No {quantity} is on record."
        order = sorted(latest, key=lambda n: latest[n].value, reverse=bool(_HIGHEST.search(words)))
        return f"{say.first_up(_readings(ask, order[:3], quantity))}{_not_read(spots, latest)}."
    return None


def _readings(ask: Asking, names: Iterable[str], quantity: str) -> str:
    parts = []
    for name in names:
        found = ask.standing.latest(name, quantity)
        assert found is not None
        parts.append(f"{name} {say.reading(quantity, found.value, ask.units)} ({say.ago(found.at, ask.now)})")
    more = f" and {len(parts) - MOST_PLACES} more" if len(parts) > MOST_PLACES else ""
    return (", ".join(parts[:MOST_PLACES]) + more) or "none on record"


def _not_read(spots: Sequence[Place], latest: Mapping[str, Reading]) -> str:
    blank = [p for p in spots if p.name not in latest]
    return f"; {len(blank)} of {len(spots)} have no reading" if blank else ""


def _unread(ask: Asking, spots: Sequence[Place], latest: Mapping[str, Reading], quantity: str) -> str:
    held = [p.name for p in spots if ask.standing.at_place(p.name)]
    blank = [n for n in held if n not in latest]
    old = [n for n in held if n in latest and (ask.now - latest[n].at).days > OLD_DAYS]
    what = "pH" if quantity == "ph" else quantity
    lines = [f"No {what} on record: {say.places(blank) if blank else 'none with fish or eggs'}."]
    if old:
        lines.append(f"Older than {OLD_DAYS} days: {_readings(ask, old, quantity)}.")
    return "\n".join(lines)
