"""Mixed groups: two hatches of a line in one place, and the rule by which losses there are booked to each."""

from __future__ import annotations

from collections.abc import Sequence

from shared.ledger import Holding

RULE = "by their numbers, the remainder to the larger"


def mixed(fits: Sequence[Holding]) -> bool:
    """Whether these are counted fish of several batches that nobody can tell apart: one line, place and stage."""
    alike = {(h.line, h.place, h.stage) for h in fits}
    return len(fits) > 1 and len(alike) == 1 and all(h.counted for h in fits) and fits[0].stage != "eggs"


def shares(count: int, weights: Sequence[int]) -> list[int]:
    """`count` split in proportion to `weights`, what is left over to the largest remainders, then to the larger.

    The shares add up to `count`; none exceeds its weight where `count` is at most their sum. With one fish it is
    the largest that bears it. Raises ValueError for weights that are all nothing.
    """
    total = sum(weights)
    if total <= 0:
        raise ValueError("there is nothing to share by")
    parts = [count * weight // total for weight in weights]
    rest = [count * weight % total for weight in weights]
    order = sorted(range(len(weights)), key=lambda n: (-rest[n], -weights[n], n))
    for n in order[: count - sum(parts)]:
        parts[n] += 1
    return parts
