"""Mops put in and taken out."""

from __future__ import annotations

from bot.language.clauses.group import Group
from bot.language.eggs.where import plain_numbers
from bot.language.scene import Part
from bot.language.telling import Sight, Teller


def sees_mop(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("mop_in")
    if (
        not cue
        and part.noun("mop")
        and len(part.tags) <= 6
        and part.tags[-1].word in ("in", "back in", "back")
        and part.kind("place", "num", "size")
        and not part.has("pull")
    ):
        return Sight(5, tuple(part.noun("mop")))
    if (
        not cue
        and part.noun("mop")
        and any(t.kind == "ordinal" for t in part.tags)
        and part.words() & {"dropped", "put", "popped", "added", "hung", "in"}
        and part.kind("place", "num")
        and not part.has("pull")
    ):
        return Sight(5, tuple(part.noun("mop")))  # "dropped 2nd mop in 9"
    if not cue:
        return None
    if any(t.word == "hung" for t in cue) and not part.noun("mop") and not any("mop" in t.word for t in cue):
        return None
    if part.noun("eggs") and plain_numbers(part):
        return None
    return Sight(4, (*cue, *part.noun("mop")))


def tell_mop(group: Group, teller: Teller) -> None:
    seq = group.sequence("place")
    named = [t for t in group.kind("place") if t.value]
    first = next((group._index(t) for t in group.cues("mop_in")), 0)
    places = [
        p
        for kind, value, tag in seq
        if kind == "P" and not (named and tag.kind == "num" and group._index(tag) < first)  # "3 new mops t5"
        for p in value
    ]
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "mop"})
        return
    if not places:
        found, sort = teller.where(group, "mop")
        places = list(found) if sort == "P" else []
    if not places:
        teller.ask_place(group, {"kind": "mop"})
    for place in places:
        teller.tell("mop", group, place=place)
