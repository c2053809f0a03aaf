"""Taking back and mending what the last note logged, without breaking what later notes built on it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from pydantic import ValidationError

from bot import sentences as say
from bot.orders.collecting import collected
from bot.routine.shown import changes, chores
from shared.due.tasks import TASKS
from shared.events import (
    Corrected,
    EggsPulled,
    Event,
    FishMoved,
    Measured,
    PlaceOpened,
    Renamed,
    RoutineSet,
    Undone,
    event_from,
)
from shared.ledger.posting import post
from shared.ledger.standing import OF_THE_FISH, Entry, Standing
from storage.journal import Turn

HOTTEST_C = 45
_IN_THE_WAY = "Later notes build on that ({}); take those back first. Nothing was changed."


def built_on(entries: list[Entry], standing: Standing) -> str | None:
    """The group that would go below nothing if these entries were taken back, or None."""
    change: dict[str, int] = {}
    for entry in entries:
        for p in entry.postings:
            if p.target:
                change[p.target.key] = change.get(p.target.key, 0) - (p.count or int(p.whole))
            if p.source:
                change[p.source.key] = change.get(p.source.key, 0) + (p.count or 0)
    for key, by in change.items():
        held = standing.holdings.get(key)
        group = key.split("|")[0]
        if by < 0 and (held is None or (held.counted and held.count + by < 0)):
            return group
    return None


def short(entry: Entry) -> str:
    """One entry in a few words, for lists."""
    event = entry.event
    if isinstance(event, RoutineSet) and event.what.startswith("price_"):
        unit = event.what.removeprefix("price_").replace("_", " ")
        return f"{event.line}: price {unit} {say.number(float(event.value or 0))}"
    if isinstance(event, RoutineSet) and event.what not in OF_THE_FISH:
        return "; ".join(changes([event], entry.said)) or event.what.replace("_", " ")
    number = getattr(event, "count", None)
    where = entry.place or entry.batch or ""
    if isinstance(event, FishMoved) and where == event.to:
        where = entry.batch or ""
    task = getattr(event, "task", "")
    task = chores([task]) if task in TASKS else _quoted(task.replace("_", " "))
    if isinstance(event, PlaceOpened) and event.collect:
        return f"{event.place}: {collected(event.collect)}"
    what = {
        "pull": say.count(number, "egg"),
        "bad_eggs": f"{number if number is not None else 'some'} bad eggs",
        "hatch": f"{number if number is not None else 'some'} fry hatched",
        "death": f"{number if number is not None else 'some'} dead",
        "move": f"{number if number is not None else 'all'} moved to {getattr(event, 'to', None)}",
        "water_change": "water changed",
        "feed": "fed",
        "measure": getattr(event, "quantity", ""),
        "headcount": f"{number} counted",
        "dose": f"{getattr(event, 'substance', None) or 'peroxide'}",
        "reserve": f"{number or ''} {getattr(event, 'line', None) or 'fish'} kept for {getattr(event, 'buyer', None)}",
        "sale": f"{number or ''} {getattr(event, 'line', None) or entry.line or 'fish'} sold",
        "refund": f"refund for {getattr(event, 'buyer', None)}",
        "new_place": "set up",
        "close_place": "out of use",
        "new_line": f"line {getattr(event, 'line', '')}",
        "new_batch": f"{say.fish_of(number, getattr(event, 'line', ''), getattr(event, 'stage', ''))} on hand",
        "done": task if task.startswith("“") else f"{task} {'dropped' if getattr(event, 'ends', None) else 'done'}",
        "remind": f"reminder: {getattr(event, 'text', '')}",
        "snooze": f"{task} put off",
        "rename": f"{getattr(event, 'old', '')} called {getattr(event, 'new', '')}",
        "word": f"“{getattr(event, 'word', '')}”",
        "remark": f"“{getattr(event, 'text', '')[:60]}”",
        "culture": f"{getattr(event, 'culture', '')} {getattr(event, 'action', '')}",
        "service": f"{getattr(event, 'item', '')} done",
    }.get(event.kind, event.kind.replace("_", " "))
    return f"{where}: {what}" if where else what


def _quoted(task: str) -> str:
    """The words of a note that say themselves that something is done, in quotes."""
    return f"“{task}”" if re.search(r"\b(?:did|done|finished)\b", task) else task


def take_back(entries: list[Entry], turn: Turn, standing: Standing) -> tuple[str, bool]:
    """Take the entries back by one more entry; a sentence, and whether it was done."""
    logged = [e for e in entries if not e.retracts]
    blocked = built_on(logged, standing)
    if blocked:
        return _IN_THE_WAY.format(blocked), False
    mended = [seq for e in entries for seq in e.retracts]
    if logged:
        renamed = tuple((e.event.new, e.event.old) for e in reversed(logged) if isinstance(e.event, Renamed))
        if taken := next((old for _, old in renamed if old in standing.places), None):
            return f"There is another {taken} by now; rename one of them first. Nothing was changed.", False
        turn.retract([e.seq for e in logged], Undone(renamed=renamed))
    back = [_again(e, turn) for e in turn.entries_numbered(mended)]
    if back:
        return f"Taken back; as it was before: {'; '.join(dict.fromkeys(short(e) for e in back))}.", True
    shown = list(dict.fromkeys(short(e) for e in logged))
    more = f" and {len(shown) - 3} more" if len(shown) > 3 else ""
    return f"Taken back: {'; '.join(shown[:3])}{more}.", True


def _again(entry: Entry, turn: Turn) -> Entry:
    """Log an entry anew that a mending had taken back."""
    return turn.enter(entry)


def to_mend(
    event: Corrected,
    entries: list[Entry],
    standing: Standing,
    of_batch: Callable[[str], list[Entry]] = lambda _: [],
) -> tuple[list[Entry], Event] | str:
    """The entries that are meant, and the event as it should have been; or a sentence why not. Nothing is changed yet.

    Of an event told of several places, only what stood at the place named is meant.
    """
    if not entries:
        return "There is no note of yours from the last day to mend; say it anew."
    changes, fits, of = _meant(event, entries)
    if not fits:
        return "I can't tell what to mend there; take it back with “undo” and say it anew. Nothing was changed."
    if len(fits) > 1:
        whats = [short(g[0]) for g in fits[:4]]
        return f"Which of them: {'; '.join(whats)}? Say it with the tank or tub. Nothing was changed yet."
    group = fits[0]
    if set(changes) == {"place"} and _is_a_tub(changes["place"], standing) and isinstance(group[0].event, EggsPulled):
        changes = {"to": changes["place"]}  # eggs are put into a tub and never pulled out of one
    if of.get("place"):
        group = [e for e in group if _stands_at(e, of["place"])] or group
    blocked = built_on(group, standing) or _uncounted_and_on(group[0], of_batch)
    if blocked and (put := _put_into(group, changes, of_batch, standing)):
        assert isinstance(put.event, FishMoved)  # the eggs went into their tub whole: they go there as mended
        group, changes, blocked = [*group, put], {**changes, "to": put.event.to}, None
    if blocked:
        return _IN_THE_WAY.format(blocked)
    batch = getattr(group[0].event, "batch", None)
    if "from" in changes and not any(h.group == batch for h in standing.at_place(changes["from"])):
        changes = {**changes, "batch": None}  # others than those that stand in the place first said
    try:
        fixed = event_from(_mended(group[:1] if "to" in changes else group, changes))
    except ValidationError:
        return "That does not fit the last note; take it back with “undo” and say it anew. Nothing was changed."
    return group, fixed


def _is_a_tub(name: str, standing: Standing) -> bool:
    place = standing.places.get(name)
    return place is not None and place.kind != "tank" and place.role != "breeders"


def without(standing: Standing, entries: list[Entry]) -> Standing:
    """How fish would stand had these entries not been, near enough for who would share water with whom."""
    before = standing.model_copy(deep=True)
    for entry in reversed(entries):
        for p in reversed(entry.postings):
            if p.count is not None or p.whole:
                back = p.model_copy(update={"source": p.target, "target": p.source, "counts": False, "sexes": None})
                post(before, entry, back)
    return before


def _put_into(
    group: list[Entry], changes: dict[str, Any], of_batch: Callable[[str], list[Entry]], standing: Standing
) -> Entry | None:
    """The answer to “which tub” after a pull whose number is mended: all its eggs into one, and nothing else since."""
    pull = group[0]
    if len(group) != 1 or not isinstance(pull.event, EggsPulled) or pull.event.to or set(changes) != {"count"}:
        return None
    since = [e for e in of_batch(pull.batch or "") if e.seq > pull.seq and e.postings]
    held = standing.of_group(pull.batch or "")
    if len(since) != 1 or len(held) != 1 or held[0].number != pull.event.count:
        return None
    moved = since[0].event
    whole = isinstance(moved, FishMoved) and moved.count is None and moved.to == held[0].place
    return since[0] if whole else None


def _uncounted_and_on(pull: Entry, of_batch: Callable[[str], list[Entry]]) -> str | None:
    """The batch of a pull nobody counted whose eggs were moved since: no number shows that they would be missed."""
    if not isinstance(pull.event, EggsPulled) or pull.event.count is not None or pull.event.to or not pull.batch:
        return None
    return pull.batch if any(e.seq > pull.seq and e.postings for e in of_batch(pull.batch)) else None


def can_mend(event: Corrected, entries: list[Entry]) -> bool:
    """Whether one of these entries can be what the correction means."""
    return bool(_meant(event, entries)[1])


def _meant(event: Corrected, entries: list[Entry]) -> tuple[dict[str, Any], list[list[Entry]], dict[str, Any]]:
    """The changes, the entries they may be of, told together as one, and by what those are known."""
    changes, of = dict(event.changes), dict(event.of or {})
    place = changes.get("place")
    if place and "place" not in of and len(changes) > 1 and any(_stands_at(e, place) for e in entries):
        of["place"] = changes.pop("place")  # the tank tells which entry is meant, and stays as it is
    groups = _said_together(entries)
    if "count" in changes and not any(_fits(e, {"count": 1}, None) for e in entries):
        changes, of = _as_reading(changes), _as_reading(of)
    return changes, [g for g in groups if any(_fits(e, changes, of) for e in g)], of


def _as_reading(told: dict[str, Any]) -> dict[str, Any]:
    """A bare number, said of a note that counted nothing, is the value of a reading."""
    return {"value" if key == "count" else key: value for key, value in told.items()}


def _in_units(told: dict[str, Any], reading: Measured) -> dict[str, Any]:
    """Degrees too hot for any fish are °F."""
    value = told.get("value")
    if reading.quantity != "temperature" or not isinstance(value, int | float) or value <= HOTTEST_C:
        return told
    return {**told, "value": round((value - 32) / 1.8, 1)}


def _stands_at(entry: Entry, place: str) -> bool:
    return place.casefold() in {n.casefold() for n in entry.names}


def _said_together(entries: list[Entry]) -> list[list[Entry]]:
    """Entries of one event over several places count as one."""
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        raw = entry.event.outside()
        raw.pop("places", None)
        if entry.event.kind in ("water_change", "feed", "top_off", "dose", "service"):
            raw.pop("place", None)
        groups.setdefault(repr(sorted(raw.items(), key=lambda kv: kv[0])), []).append(entry)
    return list(groups.values())


def _fits(entry: Entry, changes: dict[str, Any], of: dict[str, Any] | None) -> bool:
    raw = entry.event.outside()
    if entry.event.kind in ("undo", "fix", "remark"):
        return False
    if isinstance(entry.event, Measured):
        of = _in_units(of or {}, entry.event)
    if of:
        if (of.get("kind") and of["kind"] != raw["kind"]) or of.get("id") not in (None, entry.seq):
            return False
        names = {n.casefold() for n in entry.names}
        for key in ("place", "batch", "line", "from", "to"):
            if of.get(key) and str(of[key]).casefold() not in names:
                return False
        for key in ("count", "amount", "value", "percent", "litres", "price"):
            if of.get(key) is not None and (raw.get(key) is None or abs(float(raw[key]) - float(of[key])) > 0.06):
                return False
    fields = set(type(entry.event).model_fields) | {f.alias for f in type(entry.event).model_fields.values() if f.alias}
    return all(key in fields or (key == "place" and "places" in fields) for key in changes)


def _mended(group: list[Entry], changes: dict[str, Any]) -> dict[str, Any]:
    raw = dict(group[0].event.outside())
    if isinstance(group[0].event, Measured):
        changes = _in_units(changes, group[0].event)
    if len(group) > 1:
        spots = [s for e in group for s in (e.event.spots if hasattr(e.event, "spots") else ())]
        raw.pop("place", None)
        raw["places"] = spots
    for key, value in changes.items():
        if key == "place" and "place" not in type(group[0].event).model_fields:
            raw["places"] = [value]
        elif key == "place":
            raw.pop("places", None)
            raw["place"] = value
            if raw.get("batch") and raw["kind"] in ("bad_eggs", "hatch", "death", "headcount", "eyed"):
                raw.pop("batch")
        else:
            raw[key] = value
    if "place" in changes and raw["kind"] == "pull":
        raw.pop("line", None)
    return raw
