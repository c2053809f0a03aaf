"""What a note asks, put together from what the net says of it: what it is about, and which names play a part in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

from bot.language.asking.queries import query_of
from bot.language.learnt.taking import called
from bot.language.learnt.values import likely_spot_of_line, spot_of
from bot.language.reading import Query
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.names import Names
from shared.events import Event

ASKS = "Q"
_NAMED = frozenset(["place", "size", "batch", "line", "culture", "person"])
_MAY_BE_A_PLACE = frozenset(["num", "clock", "word", "person"])
_WHERE = frozenset(["place", "line", "there"])
_OF_A_LINE = frozenset(["history", "last", "stock"])
_OF_NOTHING = frozenset(["due", "help", "calc"])  # asked of no place, though one was just told of


def asked(
    names: Names, sent: dt.datetime, tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str], about: str
) -> Query:
    """The question of what a note asks about; what plays a part in it is its place, batch, line, culture or buyer.

    What is only told beside it names nothing that is asked of. Days, readings and amounts are found by their words.
    """
    teller = Teller(names, sent, all_tags=list(tags))
    heard: list[Tag] = []
    buyer, placed, quantity = "", False, None
    for at, tag in enumerate(tags):
        if kinds[at] != ASKS:
            if roles[at] == "_" and tag.kind not in _NAMED:
                heard.append(replace(tag))
            continue
        heard.append(replace(tag))
        placed = placed or roles[at] in _WHERE
        if roles[at] == "place" and (tag.kind in _MAY_BE_A_PLACE or tag.says("role")):
            spot = spot_of(tags, at, ASKS, teller)
            if spot is not None:
                heard[-1].kind, heard[-1].value = ("batch", spot.batch) if spot.batch else ("place", spot.places)
        elif roles[at] == "line" and tag.kind == "line":
            _settle_fish(heard[-1], tags, at, about, teller)
        elif roles[at] == "buyer":
            buyer = f"{buyer} {called(tag)}".strip()
        elif roles[at] == "quantity":
            quantity = tag.one("quantity") or quantity
        elif roles[at] == "_" and tag.kind in _NAMED:
            heard[-1].kind, heard[-1].value = "word", None
    made = query_of(heard, teller, [Part(heard, "", 0, 0)], about) or Query(about)
    if (
        not (made.place or made.batch or made.line)
        and about in _OF_A_LINE
        and any(t.says("noun", "peat") for t in heard)
    ):
        made = replace(made, line=_only_in_peat(names))
    if about == "due" and not placed:
        made = replace(made, batch=None)  # "any peat to do?"
    where = made.place if placed else None  # "are 2 males too many" is of no tank
    return replace(made, about=about, place=where, buyer=buyer or None, quantity=made.quantity or quantity)


def _only_in_peat(names: Names) -> str | None:
    found = [line.name for line in names.lines if line.eggs == "peat"]
    return found[0] if len(found) == 1 else None


def _settle_fish(heard: Tag, tags: Sequence[Tag], at: int, about: str, teller: Teller) -> None:
    """Make of fish the tank they are in, where that is asked of; of fish of several lines those likeliest meant."""
    beside = [*tags[max(0, at - 3) : at], *tags[at + 1 : at + 3]]
    kept = about == "due" or any(t.says("noun", "tank") and not t.word.endswith("s") for t in beside)
    spot = (spot_of(tags, at, ASKS, teller) or likely_spot_of_line(tags, at, ASKS, teller)) if kept else None
    if spot is not None and not spot.batch and len(spot.places) == 1:
        heard.kind, heard.value = "place", spot.places
    elif len(heard.value) <= _FEW:
        heard.value = tuple(heard.value)[:1]  # "the rainbows", not "the killies"


_FEW = 2


def about_what_was_told(query: Query, events: Sequence[Event], tags: Sequence[Tag] = ()) -> Query:
    """A question that names nothing, beside what was told of one place, batch, culture or buyer, is of that."""
    again = query.about == "due" and not _AGAIN.isdisjoint({f" {tag.word}" for tag in tags} | _in_pairs(tags))
    if (query.about in _OF_NOTHING and not again) or query.batch or query.line or query.culture:
        return query
    raws = [event.outside() for event in events]
    if query.about in _OF_READINGS and query.quantity is None:
        query = replace(query, quantity=_one(raws, "quantity"))
    if query.place:
        return query
    if query.about == "culture":
        return replace(query, culture=_one(raws, "culture"))
    if query.about in _OF_EGGS_NOW and (end := _one(raws, "to")) is not None:
        return replace(query, place=end)  # "12 from 3 into B, when do they hatch"
    spots = {
        (key, str(place))
        for raw in raws
        for key in ("place", "batch")
        for place in [*([raw[key]] if raw.get(key) else []), *((raw.get("places") or []) if key == "place" else [])]
    }
    if len(spots) == 1:
        key, name = spots.pop()
        return replace(query, place=name) if key == "place" else replace(query, batch=name)
    if not spots and query.about == "history" and query.buyer is None:
        return replace(query, buyer=_one(raws, "buyer"))
    return query if spots else replace(query, line=_one(raws, "line"))


def _in_pairs(tags: Sequence[Tag]) -> set[str]:
    return {f"{one.word} {two.word}" for one, two in pairwise(tags)}


_AGAIN = frozenset([" when", " soonest", "due there"])  # "fed 3 at 8, when next?"
_OF_EGGS_NOW = frozenset(["hatch", "stock", "dose", "batch", "place", "advice"])
_OF_READINGS = frozenset(["history", "last"])


def _one(raws: Sequence[dict[str, Any]], key: str) -> str | None:
    """What all that is told says of one thing, if it says it of one alone."""
    said = {str(raw[key]) for raw in raws if raw.get(key)}
    return said.pop() if len(said) == 1 else None
