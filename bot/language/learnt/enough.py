"""Whether an event put together from a note has all it needs, and numbers that can be."""

from __future__ import annotations

from typing import Any

from bot.language.learnt.bidden import ORDERS
from bot.language.learnt.orders import complete
from bot.language.telling import LIMITS, MOST

Raw = dict[str, Any]

# What happened in the room; then what is ordered of the hand itself.
TOLD = frozenset(
    ["pull", "mop", "bad_eggs", "eyed", "hatch", "move", "death", "headcount", "water_change", "top_off", "dose"]
) | {"feed", "measure", "stock_in", "sale", "reserve", "release", "culture", "service", "peat"}
TELLABLE = TOLD | ORDERS
MANY = frozenset(["water_change", "feed", "top_off"])  # places are a list even when there is one
_NEEDS_SPOT = frozenset(["pull", "mop", "bad_eggs", "eyed", "hatch", "death", "headcount", "measure", "service"])
_NEEDS = {
    "measure": ("quantity", "value"),
    "service": ("item",),
    "culture": ("culture", "action"),
    "peat": ("action",),
    "move": ("to",),
}


def is_complete(event: Raw) -> bool:
    """Whether an event has all that it cannot be told without."""
    kind = event["kind"]
    if kind in ORDERS:
        return complete(event)
    if kind not in TELLABLE:
        return False
    if kind in _NEEDS_SPOT and not (event.get("place") or event.get("places") or event.get("batch")):
        return False
    if kind in MANY and not event.get("places"):
        return False
    if any(event.get(key) in (None, "") for key in _NEEDS.get(kind, ())):
        return False
    if kind == "move" and not (event.get("from") or event.get("batch")):
        return False
    if kind == "peat" and not (event.get("place") or event.get("batch") or event.get("line")):
        return False
    return kind != "headcount" or any(event.get(k) is not None for k in ("count", "male", "female"))


def is_possible(event: Raw) -> bool:
    """Whether the numbers of an event are such as an aquarium can show."""
    low, high = LIMITS.get(str(event.get("quantity")), (float("-inf"), float("inf")))
    if event["kind"] == "measure" and not low <= float(event.get("value") or 0.0) <= high:
        return False
    percent, count = event.get("percent"), event.get("count")
    return not (percent is not None and not 0 < percent <= 100) and not (count or 0) > MOST.get(event["kind"], 100000)
