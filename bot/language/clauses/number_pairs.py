"""Numbers that stand in pairs: places and their counts list against list, by turns, or about a colon."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from bot.language.tags import Tag

if TYPE_CHECKING:
    from bot.language.clauses.group import Group

_TWO_LISTS = re.compile(r"(?<!N)(NaN),NaN(?!,?N)|(?<!N)(N,N,?aN),N,N,?aN(?!,?N)")


def by_turns(group: Group, nums: list[Tag], mode: str) -> list[Tag]:
    """The numbers that are places by their order alone: of "1 12, 2 9, 3 0", or of "mops 2 & 3: 8 and 22"."""
    if mode == "place":
        return []
    return _alternates(group, nums) or (_before_colon(group, nums) if mode == "count" else [])


def matched(group: Group, mode: str) -> tuple[list[Tag], list[Tag]]:
    """The numbers that are places, and those that are what was counted or read there."""
    if mode == "place":
        return [], []
    firsts, seconds = _colons(group)
    places, counts = _list_after_list(group)
    return [*firsts, *places], [*seconds, *counts]


def _list_after_list(group: Group) -> tuple[list[Tag], list[Tag]]:
    """The places and the counts of "1 and 3, 10 and 14": two lists of one length."""
    tags = group.tags
    shape = "".join(
        "N" if t.kind == "num" and t.low is None and not t.claimed
        else "a" if t.word in ("and", "&")
        else "," if t.kind == "sep"
        else "x"
        for t in tags
    )  # fmt: skip
    found = _TWO_LISTS.search(shape)
    if found is None:
        return [], []
    nums = [t for t in tags[found.start() : found.end()] if t.kind == "num"]
    firsts, seconds = nums[: len(nums) // 2], nums[len(nums) // 2 :]
    return (firsts, seconds) if all(group.place_id(t) for t in firsts) else ([], [])


def _colons(group: Group) -> tuple[list[Tag], list[Tag]]:
    """The figures before and after a colon: in "3: 14" a place and what was counted or read there."""
    tags = group.tags
    firsts: list[Tag] = []
    seconds: list[Tag] = []
    for one, sep, two in zip(tags, tags[1:], tags[2:], strict=False):
        if (
            one.kind == two.kind == "num"
            and sep.kind == "sep"
            and sep.word in (":", "=")
            and group.place_id(one)
            and not group.counts(one)
            and one not in seconds
        ):
            firsts.append(one)
            seconds.append(two)
    nums = [t for t in tags if t.kind == "num"]
    if len(firsts) == 1 and nums[0] is not firsts[0]:
        return [], []  # "2 and 3: 8 and 22"
    if firsts and any(s.kind == "sep" and s.word == "+" for s in tags):
        seconds = [t for t in nums if t not in firsts]  # "3: 12 + 8"
    return firsts, seconds


def _before_colon(group: Group, nums: list[Tag]) -> list[Tag]:
    """In "mops 2 & 3: 8 and 22" the numbers before the colon, when as many follow it."""
    cut = next((n for n, t in enumerate(group.tags) if t.kind == "sep" and t.word == ":"), None)
    if cut is None or any(t.kind in ("place", "batch") for t in group.tags):
        return []
    first = [t for t in nums if group._index(t) < cut]
    last = [t for t in nums if group._index(t) > cut]
    return first if len(first) == len(last) >= 2 and all(group.place_id(t) for t in first) else []


def _alternates(group: Group, nums: list[Tag]) -> list[Tag]:
    """In "1 12, 2 9, 3 0" the first of every pair: bare numbers that are places by their order alone."""
    if len(nums) < 4 or len(nums) % 2 or any(t.kind in ("place", "batch") for t in group.tags):
        return []
    firsts, seconds = nums[::2], nums[1::2]
    if any(group.counts(t) for t in firsts):
        return []
    if not all(group.place_id(t) for t in firsts) or any(t.low is not None for t in nums):
        return []
    for one, two in zip(firsts, seconds, strict=True):
        gap = group.tags[group._index(one) + 1 : group._index(two)]
        if any(t.kind == "sep" for t in gap) or len(gap) > 2:
            return []
    return firsts
