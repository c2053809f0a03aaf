"""Places, batches and numbers of a group in the order said, and which bare numbers are places."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bot.language.clauses.bare_numbers import (
    Said,
    before_its_place,
    heads_a_value,
    is_value,
    read_in_a_tank,
    reads_as_place,
    stands_for_place,
)
from bot.language.clauses.number_pairs import by_turns, matched
from bot.language.tags import Tag

if TYPE_CHECKING:
    from bot.language.clauses.group import Group

_NONE = frozenset(["nothing", "none", "nada", "zip", "zilch", "nil", "nowt", "clean", "zero", "bare", "blank"])


@dataclass
class _Numbers:
    """The bare numbers of a group, and what their order among one another tells of them."""

    all: list[Tag]
    places: list[Tag]  # each followed by its count
    counts: list[Tag]
    by_turns: list[Tag]  # places by their order alone
    named: bool  # a place, batch or size is named besides


def in_order(group: Group, mode: str) -> list[Said]:
    """Places ("P"), batches ("B") and numbers ("N") in the order said.

    `mode` is what a bare number is taken for: place (water, feeding, service), count, or value (readings).
    """
    out: list[Said] = []
    tags = group.tags
    nums = [t for t in tags if t.kind == "num" and t.note != "quoted" and not t.claimed]
    named = any(t.kind in ("place", "batch", "size") for t in tags)
    numbers = _Numbers(nums, *matched(group, mode), by_turns(group, nums, mode), named)
    for n, tag in enumerate(tags):
        if tag.note == "quoted" or tag.claimed:
            continue
        if found := _by_name(group, n):
            out.append((*found, tag))
        elif tag.word in _NONE and (mode == "count" or _idle_none(tags, n)):
            out += [] if _idle_none(tags, n) else [("N", 0, tag)]
        elif tag.kind == "num":
            out.append((*_bare_number(group, n, mode, out, numbers), tag))
    return out


def _bare_number(group: Group, n: int, mode: str, out: list[Said], numbers: _Numbers) -> tuple[str, Any]:
    """Whether a bare number is a place or says how many; "?" where places are listed and it is none."""
    tag = group.tags[n]
    if mode == "value" and read_in_a_tank(group, n):
        return "N", _said(tag)
    if mode == "value" and n > 1 and group.tags[n - 1].word == "in" and read_in_a_tank(group, n - 2):
        return "P", group.ids(tag)
    if tag in numbers.places:
        return "P", group.ids(tag)
    if mode != "place" and (tag in numbers.counts or before_its_place(group, n)):
        return "N", _said(tag)
    if tag in numbers.by_turns:
        return "P", group.ids(tag)
    if mode == "value" and heads_a_value(group.tags, n) and (ids := group.ids(tag)):
        return "P", ids
    if mode == "value" and is_value(group, n, out):
        return "N", _said(tag)
    if mode != "place" and group.counts(tag):
        return "N", _said(tag)
    ids = () if _of_others(group.tags, n, mode) else group.ids(tag)
    if mode == "place":
        return ("P", ids) if ids and stands_for_place(group, n) else ("?", tag.value)
    first = tag is numbers.all[0] and len(numbers.all) > 1 and not numbers.named
    place = ids and reads_as_place(group, n, mode, out, numbers.all, first)
    return ("P", ids) if place else ("N", _said(tag))


def _of_others(tags: list[Tag], n: int, mode: str) -> bool:
    """Whether a number is of some that are not named: "the other 3", "2 fewer"."""
    before = tags[n - 1].word if n > 0 and tags[n - 1].kind != "place" else ""
    if before in ("other", "others", "another", "remaining", "further", "extra", "which"):
        return True
    return mode == "place" and n + 1 < len(tags) and tags[n + 1].word in ("fewer", "less", "extra")


def _by_name(group: Group, n: int) -> tuple[str, Any] | None:
    """A place or batch called by its name, its size, its role or its fish."""
    tag = group.tags[n]
    if tag.kind == "place":
        return ("P", tag.value) if tag.value else None
    if tag.kind == "batch" and tag.value:
        return "B", (tag.value,)
    if tag.kind == "size":
        sized = group.sized(tag)
        return ("P", sized) if sized else None
    if tag.kind != "lex":
        return None
    if (tag.says("role") and not tag.says("noun")) or (
        tag.says("role", "grow-out", "nursery", "quarantine") and not tag.says("volume")
    ):
        its = _with_role(group, n)
        return ("P", its) if len(its) == 1 and not group.kind("place") else None
    if tag.says("noun", "tank") and n > 0 and group.tags[n - 1].kind == "line":
        places = _line_tank(group, group.tags[n - 1], tag)
        return ("P", places) if len(places) == 1 else None
    return None


def _with_role(group: Group, n: int) -> tuple[str, ...]:
    """The places of the role said, by the lines named beside it; () when a number tells which."""
    its = group.names.with_role(group.tags[n].one("role") or "")
    after = group.tags[n + 1] if n + 1 < len(group.tags) else None
    if after is not None and after.kind == "num" and group.place_id(after) in its:
        return ()
    held = group.lines()
    if held:
        its = tuple(p for p in its if set(group.names.lines_in(p)) & set(held))
    return its


def _line_tank(group: Group, tag: Tag, noun: Tag) -> tuple[str, ...]:
    """The tank called by its fish: "the medaka tank"; of a tub it is not known which."""
    names = group.names
    if "tank" not in names.head_words.get(noun.word, ("tank",)):
        return ()
    held = [p.name for p in names.places if p.line in tag.value and p.role == "breeders"]
    if not held:
        held = [p.name for p in names.places if p.kind == "tank" and set(names.lines_in(p.name)) & set(tag.value)]
    return tuple(held) if len(held) == 1 else ()


def _idle_none(tags: list[Tag], n: int) -> bool:
    """Whether "none" or "nothing" counts nothing: "nothing else", "none, the others 4"."""
    after = tags[n + 1].word if n + 1 < len(tags) else ""
    return any(t.word in ("others", "other", "rest") for t in tags[n + 1 : n + 4]) or (
        tags[n].word == "nothing" and after in ("to", "else", "new", "special", "much", "wrong", "unusual")
    )


def _said(tag: Tag) -> float | None:
    """The number said; None when it is a range or vague."""
    return None if tag.low is not None else tag.value
