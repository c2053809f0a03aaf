"""One tag for each thing said: "2:10" is a place and a count, "24 , 6" one number, "A and B" two places with a list.

The same reading serves to find which tags say a value, and to tell the value from them.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from bot.language.learnt.grouping import stretches
from bot.language.learnt.places_and_numbers import MAIN
from bot.language.learnt.values import base, count_of
from bot.language.tags import Tag
from bot.language.text.names import Names

Raw = dict[str, Any]
TENTHS = "tenths"  # the role of what stands behind a decimal comma
PLACE_AND = "place_and"  # the role of a place with its number in one: "3-14", "2:10", "2/10", "B3"
FOLDED = frozenset([TENTHS, PLACE_AND])  # roles that no tag has once all is unfolded
_ALONE = {"measure": "value", "dose": "amount", "water_change": "litres"}  # what ",25" says
_DECIMAL = frozenset(["value", "amount", "litres"])
_COMMAS = frozenset([",", "."])


# ---- a number in two tags


def decimal_at(tags: Sequence[Tag], at: int) -> tuple[int | None, float] | None:
    """Where the whole of a number stands whose tenths are at a tag behind commas, and the number; None for no such."""
    tenths = tags[at]
    if not _is_whole(tenths) or not at or tags[at - 1].word not in _COMMAS:
        return None
    before = at - 1
    while before >= 0 and tags[before].word in _COMMAS:
        before -= 1
    digits = tenths.word if tenths.word.isdigit() else str(int(tenths.value))
    whole = tags[before] if before >= 0 else None
    if whole is None or whole.kind != "num" or not _is_whole(whole):
        return None, float(f"0.{digits}")
    return before, float(f"{int(whole.value)}.{digits}")


def _is_whole(tag: Tag) -> bool:
    figure = tag.kind in _FIGURES and tag.low is None and isinstance(tag.value, int | float)
    return figure and tag.value == int(tag.value) and 0 <= tag.value < 1000


def _decimal(tags: Sequence[Tag], key: str, value: object, taken: Sequence[object]) -> dict[int, str]:
    """The roles of the tags that together say a number with a decimal comma: its whole and its tenths."""
    if not isinstance(value, float) or value == int(value):
        return {}
    if any(taken[at] is None and tag.kind in _FIGURES and tag.value == value for at, tag in enumerate(tags)):
        return {}
    for at in range(len(tags)):
        if taken[at] is None and (said := decimal_at(tags, at)) is not None and abs(said[1] - value) < 1e-6:
            if said[0] is None:
                return {at: TENTHS}
            if taken[said[0]] is None:
                return {said[0]: key, at: TENTHS}
    return {}


_FIGURES = frozenset(["num", "deg", "amount", "vol"])


# ---- a place and its number in one tag


def place_and_share(tag: Tag) -> tuple[Tag, float] | None:
    """The places and the percents that a figure with a fraction says of a water change: "14 ½", "13-14 ⅓"."""
    if tag.kind != "num" or not tag.word.isdigit() or tag.value == int(tag.value):
        return None
    share = round((tag.value - int(tag.value)) * 100, 1)
    return replace(tag, value=float(int(tag.value))), share


def shares(tags: Sequence[Tag], events: Sequence[Raw], names: Names) -> dict[int, int]:
    """The figures that say a place and how much of its water, and the event each says it of: "14 ½", "½ 14 ⅓ 13"."""
    changes = [n for n, e in enumerate(events) if e["kind"] == "water_change"]
    told = {place for n in changes for place in events[n].get("places") or ()}
    found: dict[int, int] = {}
    for at, tag in enumerate(tags):
        said = place_and_share(tag)
        if said is None or not (places := _numbered(said[0], names)) or not set(places) <= told:
            continue
        able = [n for n in changes if abs(said[1] - (events[n].get("percent") or 0)) <= _NEAR_SHARE]
        own = [n for n in able if set(places) <= set(events[n]["places"])]
        if own or able:
            found[at] = (own or able)[0]
    return found


_NEAR_SHARE = 0.6  # a third is 33 as well as 33.3


def _numbered(tag: Tag, names: Names) -> list[str]:
    first = tag.value if tag.low is None else tag.low
    return [place for n in range(int(first), int(tag.value) + 1) for place in names.by_id.get(str(n), ())]


def place_and_number(tag: Tag, names: Names) -> tuple[str, float] | None:
    """The place and the number that one tag says: "2:10", "3-14", "2/10", "B3" where there is no such batch."""
    if tag.kind == "num" and tag.low is not None and tag.low == int(tag.low):
        place, number = str(int(tag.low)), float(tag.value)
    elif tag.kind == "clock" and not tag.value.half:
        place, number = str(tag.value.hour), float(tag.value.minute)
    elif tag.kind == "day" and (figures := _figures_of(tag)):
        place, number = str(figures[0]), float(figures[1])
    elif tag.kind == "batch" and tag.value not in names.batch_of and tag.note[1:].isdigit():
        place, number = tag.note[0].lower(), float(tag.note[1:])
    else:
        return None
    return (place, number) if len(names.by_id.get(place, ())) == 1 else None


def _figures_of(day: Tag) -> list[int]:
    """The two figures of a day that may be none: "2/10"."""
    figures = day.word.split(" / ")
    return [int(figure) for figure in figures] if len(figures) == 2 and all(map(str.isdigit, figures)) else []


def _both(tags: Sequence[Tag], event: Raw, names: Names, taken: Sequence[object]) -> dict[int, str]:
    """The roles of the tag that says the place of an event and its number in one, and of its tenths behind."""
    main, place = MAIN.get(event["kind"], ""), event.get("place") or event.get("places")
    place = place[0] if isinstance(place, list) and len(place) == 1 else place
    if place is None or event.get(main) is None:
        return {}
    for at, tag in enumerate(tags):
        said = place_and_number(tag, names) if taken[at] is None else None
        if said is None or names.by_id[said[0]] != (place,):
            continue
        if said[1] == event[main]:
            return {at: PLACE_AND}
        tenths = _tenths_behind(tags, at) if said[1].is_integer() else 0
        if tenths and float(f"{int(said[1])}.{tags[tenths].word}") == event[main]:
            return {at: PLACE_AND, tenths: TENTHS}
    return {}


def _tenths_behind(tags: Sequence[Tag], at: int) -> int:
    behind = next((n for n in range(at + 1, len(tags)) if tags[n].word not in _COMMAS), 0)
    return behind if behind > at + 1 and tags[behind].word.isdigit() else 0


def said_together(
    tags: Sequence[Tag], event: Raw, names: Names, taken: Sequence[object]
) -> tuple[dict[int, str], set[str]]:
    """The roles of tags that say two keys of an event in one, or one key in two; and those keys."""
    if roles := _both(tags, event, names, taken):
        return roles, {"place", "places", MAIN[event["kind"]]}
    for key in _DECIMAL & event.keys():
        if roles := _decimal(tags, key, event[key], taken):
            return roles, {key}
    return {}, set()


# ---- a count in two


def summed(tags: Sequence[Tag], event: Raw, taken: Sequence[object], kept: set[int]) -> tuple[int, int] | None:
    """The two figures that together are a count: "two brown, two clear", "sold 2, gave 1"."""
    if event["kind"] not in _SUMMED or any(event.get(sex) is not None for sex in ("male", "female")):
        return None
    counts = {
        at: count_of(tags, at)
        for at, tag in enumerate(tags)
        if taken[at] is None and at not in kept and tag.kind == "num" and tag.low is None
    }
    for one, other in itertools.pairwise(counts):
        together = (counts[one] or 0) + (counts[other] or 0)
        if counts[one] and counts[other] and together == event["count"] and other - one <= _NEAR:
            return one, other
    return None


_SUMMED = frozenset(["pull", "bad_eggs", "death", "hatch", "sale", "move", "eyed"])
_NEAR = 9


# ---- unfolding


def unfolded(
    tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str], names: Names
) -> tuple[list[Tag], list[str], list[str]]:
    """The tags of a note with their kinds and roles, one tag for each thing said."""
    if TENTHS not in roles and PLACE_AND not in roles and "place" not in roles:
        return list(tags), list(kinds), list(roles)
    out: list[tuple[Tag, str, str]] = []
    for tag, kind, role in zip(tags, kinds, roles, strict=True):
        share = place_and_share(tag) if (base(kind), role) == ("water_change", PLACE_AND) else None
        if share is not None:
            out.append((share[0], kind, "place"))
            out.append((replace(tag, kind="frac", value=share[1], low=None, word="/"), kind, "percent"))
            continue
        said = place_and_number(tag, names) if role == PLACE_AND else None
        if said is None:
            out.append((tag, kind, role))
            continue
        out.append((_place_tag(tag, said[0]), kind, "place"))
        number = replace(tag, kind="num", value=said[1], low=None, word=f"{said[1]:g}", note="", senses={})
        out.append((number, kind, MAIN.get(base(kind), "_")))
    _join_decimals(out)
    return _one_by_one(out, names)


def _place_tag(tag: Tag, place: str) -> Tag:
    figure = place.isdigit()
    return replace(
        tag, kind="num" if figure else "word", value=float(place) if figure else place, low=None, word=place, note=""
    )


def _join_decimals(out: list[tuple[Tag, str, str]]) -> None:
    for at, (tag, kind, role) in enumerate(out):
        said = decimal_at([t for t, _, _ in out], at) if role == TENTHS else None
        if said is None:
            continue
        whole, number = said
        if whole is not None and out[whole][2] in _DECIMAL:
            first = out[whole]
            joined = first[0] if tag.kind == "num" else tag
            out[whole] = (replace(joined, value=number), first[1], first[2])
            out[at] = (replace(tag, kind="word", word=""), kind, "_")
        else:
            out[at] = (replace(tag, value=number), kind, _ALONE.get(base(kind), TENTHS))


def _one_by_one(said: list[tuple[Tag, str, str]], names: Names) -> tuple[list[Tag], list[str], list[str]]:
    """With the places of "A, B and C" each a tag, where a list of as many numbers goes with them."""
    tags, kinds, roles = [t for t, _, _ in said], [k for _, k, _ in said], [r for _, _, r in said]
    several: dict[int, list[Tag]] = {}
    for kind, stretch in stretches(kinds):
        where = [at for at in stretch if roles[at] == "place"]
        numbers = sum(roles[at] == MAIN.get(base(kind)) for at in stretch)
        if numbers <= len(where):
            continue
        each = {at: _each_place(tags[at], names) for at in where}
        if sum(map(len, each.values())) == numbers:
            several.update((at, its) for at, its in each.items() if len(its) > 1)
    if not several:
        return tags, kinds, roles
    out = [(tag, k, r) for at, (_, k, r) in enumerate(said) for tag in several.get(at, [tags[at]])]
    return [t for t, _, _ in out], [k for _, k, _ in out], [r for _, _, r in out]


def _each_place(tag: Tag, names: Names) -> list[Tag]:
    if tag.kind == "place" and tag.value:
        return [replace(tag, value=(place,)) for place in tag.value]
    if tag.kind == "num" and tag.low is not None and tag.low == int(tag.low) and tag.value - tag.low < 30:
        return [replace(tag, value=float(n), low=None) for n in range(int(tag.low), int(tag.value) + 1)]
    return [tag]
