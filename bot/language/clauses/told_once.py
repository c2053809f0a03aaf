"""One event told twice in a note: a later clause that only says it again, or adds a number to it."""

from __future__ import annotations

import re
from collections.abc import Callable

from bot.language.clauses.group import Raw


def same_as_before(raw: Raw, events: list[Raw], note_text: Callable[[], str]) -> Raw | None:
    """An event of this note that a later clause only says again, or adds a number to."""
    kind = raw["kind"]
    plain = {k: v for k, v in raw.items() if k[0] != "_"}
    again = kind in ("pull", "hatch", "bad_eggs", "death", "move", "sale", "stock_in", "eyed") and re.search(
        r"\b(no|wait|sorry|not right|i mean|scratch that|start over|again)\b", note_text()
    )
    for old in reversed(events):
        rip = kind == "death" == old["kind"] and "rip" in raw["_group"].words() and raw.get("place") == old.get("place")
        if rip or (again and raw.get("count") and plain == {k: v for k, v in old.items() if k[0] != "_"}):
            return old  # said once more
        if old["kind"] != kind or old.get("_day") != raw.get("_day"):
            continue
        if _same_chore(raw, old) or _same_eggs_or_fish(raw, old):
            return old
    return None


def _same_chore(raw: Raw, old: Raw) -> bool:
    """Whether tending is told that was told before; what is new of it is put to the old."""
    kind, place = raw["kind"], raw.get("place")
    if kind in ("culture", "service", "mop", "done", "peat") and {k: v for k, v in old.items() if k[0] != "_"} == {
        k: v for k, v in raw.items() if k[0] != "_"
    }:
        return True
    if (
        kind == "water_change"
        and raw.get("places") == old.get("places")
        and raw["_group"].sentence == old["_group"].sentence
        and raw["_clock"] is None
        and not {"percent", "litres"} & raw.keys()
        and raw["_group"].tags[0].word in ("new water", "fresh water", "clean water")
    ):
        return True  # "changed everything in F, new water, new moss"
    if (
        kind == "feed"
        and old.get("places") == raw.get("places")
        and not old.get("food")
        and raw.get("food")
        and old["_group"].sentence == raw["_group"].sentence
        and old.get("except") == raw.get("except")
        and old["_clock"] in (None, raw["_clock"])
    ):
        old["food"] = raw["food"]
        old["_clock"] = raw["_clock"]
        return True
    if (
        kind == "dose"
        and old.get("amount") is None
        and raw.get("substance") in (None, old.get("substance"))
        and (place, raw.get("places")) == (old.get("place"), old.get("places"))
        and raw["_group"].sentence == old["_group"].sentence
    ):
        for key in ("amount", "unit"):
            if raw.get(key) is not None:
                old[key] = raw[key]
        return True
    return False


def _same_eggs_or_fish(raw: Raw, old: Raw) -> bool:
    """Whether eggs or fish are told that were told before; what is new of them is put to the old."""
    kind, place, batch = raw["kind"], raw.get("place"), raw.get("batch")
    if (
        kind in ("pull", "hatch", "eyed")
        and (place, batch) == (old.get("place"), old.get("batch"))
        and "count" not in old
        and "places" not in old
    ):
        if raw["_clock"] is not None:
            old["_clock"] = raw["_clock"]
        for key, value in raw.items():
            if key[0] != "_" and key not in old:
                old[key] = value
        return True
    if kind == "pull" and "count" not in raw and "places" not in raw and place == old.get("place"):
        for key, value in raw.items():
            if key[0] != "_" and key not in old:
                old[key] = value
        return True
    if (
        kind == "headcount"
        and (place, batch) == (old.get("place"), old.get("batch"))
        and raw["_group"].sentence == old["_group"].sentence
        and old.get("stage") == raw.get("stage")
    ):
        old.setdefault("_was", []).append(old.get("count"))
        old["count"] = raw.get("count", old.get("count"))
        return True
    if (
        kind == "bad_eggs"
        and "count" not in raw
        and (place, batch) == (old.get("place"), old.get("batch"))
        and raw["_group"].sentence == old["_group"].sentence
    ):
        return True  # "another four eggs in tub A, milky as anything"
    return bool(kind == "death" and "count" not in raw and (place, batch) == (old.get("place"), old.get("batch")))
