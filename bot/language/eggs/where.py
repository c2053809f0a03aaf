"""Where eggs lie, where they come from and where they go."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Teller


def breeders(teller: Teller, place: str) -> bool:
    """Whether a place holds fish that lay: anything but egg and fry tubs and grow-outs."""
    its = teller.names.place_of.get(place)
    return its is not None and its.role not in ("eggs", "fry") and not (its.role is None and its.kind != "tank")


def egg_places(part: Part | Group, teller: Teller) -> bool:
    """Whether a place or batch named holds eggs."""
    for tag in part.kind("place", "batch"):
        names = tag.value if tag.kind == "place" else (tag.value,)
        for name in names or ():
            if name in teller.names.place_of and (
                teller.names.place_of[name].role == "eggs"
                or any(b.stage == "eggs" for b in teller.names.batches_in(name))
            ):
                return True
            if name in teller.names.batch_of and teller.names.batch_of[name].stage == "eggs":
                return True
    return False


def plain_numbers(part: Part) -> list[Tag]:
    return [
        t
        for t in part.tags
        if (t.kind == "num" and t.claimed != "wrong" and t.note != "quoted" and not t.claimed)
        or t.word in ("nothing", "none", "zip", "zilch", "nada", "nil")
    ]


def eggs_or_mop(part: Part) -> bool:
    return bool(part.noun("eggs") or part.noun("mop"))


_LEFT_THERE = re.compile(
    r"(?:couldn't|could not|can't|cannot) (?:reach|get|collect)\b"
    r"|(?:did not|didn't|haven't|not) (?:collect|collected|pull|pick|take them)\b|\bi left (?:them|it)\b"
    r"|\| left(?: there)? ?$|\bleave them\b"
    r"|\b(?:left|leaving) (?:them|it|those|em|all)(?: (?:in|there|where|be|alone|for)\b| ?$| \|)"
    r"|\bleaving (?:them|it)\b|\bleft (?:em|those|in place|for tomorrow)\b"
)


def left_in(part: Part) -> bool:
    """Whether the eggs seen were left where they are: nothing was collected or picked out."""
    near = part.text() + (" | " + part.after.text() if part.after is not None else "")
    if part.after is not None and part.after.after is not None and len(part.after.tags) <= 3:
        near += " | " + part.after.after.text()
    if "left" not in near and "leav" not in near and "n't" not in near and "not" not in near:
        return False  # as nearly always
    return _LEFT_THERE.search(near) is not None
