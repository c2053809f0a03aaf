"""How far apart two words are by their letters. What measures it is loaded with the first word that is not known."""

from __future__ import annotations

import functools
from typing import Any


def ratio(one: str, other: str, least: float = 0) -> float:
    """How alike they are, of 100; 0 where that is below `least`."""
    return float(_loaded()[0](one, other, score_cutoff=least))


def slips(one: str, other: str, most: int | None = None) -> int:
    """How many letters are wrong, missing, too many or changed about; more than `most` where it is more."""
    return int(_loaded()[1](one, other, score_cutoff=most))


@functools.cache
def _loaded() -> tuple[Any, Any]:
    from rapidfuzz import fuzz
    from rapidfuzz.distance import OSA

    return fuzz.ratio, OSA.distance
