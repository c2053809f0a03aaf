"""What one word alone says: a measure how much, a mop that it went back in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bot.language.learnt.values import tells_of_a_mop
from bot.language.tags import Tag

Raw = dict[str, Any]


def measure_of(tags: Sequence[Tag], at: int) -> float | None:
    """How much a measure alone says: "a teaspoon", "half a leaf"; None where it is the measure of another figure."""
    if not tags[at].says("unit") or tags[at].kind == "amount":
        return None
    before = [t.word for t in tags[max(0, at - 2) : at]]
    if "half" in before:
        return 0.5
    if tags[at].word.endswith("s") or (at and isinstance(tags[at - 1].value, int | float)):
        return None
    return 1.0


def measures(tags: Sequence[Tag], event: Raw) -> list[int]:
    """Where a measure alone says how much of an event: "a teaspoon of salt"."""
    unit = str(event.get("unit") or "")
    return [at for at, tag in enumerate(tags) if tag.says("unit", unit) and measure_of(tags, at) == event["amount"]]


def back_in(tags: Sequence[Tag], parts: Sequence[object]) -> list[int]:
    """Where a mop put back where it came out is told by its name alone, said last: "40 eggs from 3, mop back in"."""
    return [at for at, tag in enumerate(tags) if parts[at] is None and tells_of_a_mop(tag)][-1:]
