"""Which stretch of a note says which key of which event.

Nobody marked the words of a note; only what it tells is known. So for each key of each event the likeliest stretch
is looked for: one that can mean the value, near the others of its event.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import Any

from bot.language.learnt.alone import back_in, done_there, measures
from bot.language.learnt.beside import sentences
from bot.language.learnt.bidden import NO_PART, ORDERS, bids, likelier
from bot.language.learnt.joining import many_together
from bot.language.learnt.likeliest import (
    BESIDE,
    Part,
    able_to_say,
    behind_its_place,
    counting,
    falls_on,
    kept_for_places,
    kind_of,
    likeliest,
    only_its_fish,
    own_spots,
    priced,
    says_it,
    sexed,
    surest,
)
from bot.language.learnt.meant import PLACES, can_be_place, can_say
from bot.language.learnt.sounding import UPTO, place_heard, sounds_like
from bot.language.learnt.unfolded import PLACE_AND, said_together, shares, summed
from bot.language.learnt.unplaced import several_mops
from bot.language.learnt.values import places_said
from bot.language.tags import Tag
from bot.language.text.names import Names

Raw = dict[str, Any]
_UNSAID = frozenset(
    "kind text task of made currency unit stage sex action what role given about".split()  # noqa: SIM905
)
_SAID_OF = {"new_place": frozenset(["role"]), "fix": frozenset(["sex", "unit"])}  # but these kinds say it
_ROLES = {"places": "place", "date": "when", "time": "when"}  # else a key is its own role
_FACTS = frozenset(["count", "value", "percent", "litres", "amount", "price", "food", "substance", "quantity", "item"])
_STANDS_FOR_MANY = frozenset(["place", "places", "date", "time", "batch", "line", "food"])  # said once for several


def parts_of(
    tags: Sequence[Tag], events: Sequence[Raw], names: Names, sent: dt.datetime | None = None
) -> list[Part | None]:
    """For each tag its part in one of the events, in the order the events are told.

    An order of which no tag says anything is said by its word alone, which has no role: "undo".
    """
    parts: list[Part | None] = [None] * len(tags)
    for at, n in shares(tags, events, names).items():
        parts[at] = Part("water_change", PLACE_AND, n)
    last, audible = 0, [at for at, tag in enumerate(tags) if tag.kind in ("num", "len") or sounds_like(tag)]
    for n, event in enumerate(events):
        together, said = said_together(tags, event, names, parts)
        for at, role in together.items():
            parts[at] = Part(kind_of(event), role, n)
        found = list(together) or [at for at, part in enumerate(parts) if part and part.event == n]
        said |= {"percent"} if found and not together else set()  # "14 ½"
        row = _in_a_row(tags, event, names, parts)
        for key, value in values_of(event):
            if key in said or (key == "count" and _counted_by_sex(event, parts, n)):
                continue
            if key == "places" and (value in row or _told_together(tags, event, parts, found, names)):
                continue
            able = able_to_say(tags, key, value, event, names, sent, audible)
            shared = event["kind"] == "pull" and any(_is_at(e, value) for e in events[n + 1 :])
            able = surest(tags, able, key, event, parts, found, last, shared=shared)
            if key == "places" and (group := _all_in_one(tags, event, names, parts)):
                able = group
            if key in PLACES and str(value).startswith("all"):
                able = [at for at in able if tags[at].one("group") == value] or able
            if key == "date" and sent is not None:
                able = [at for at in able if falls_on(tags[at], str(value), event, sent)] or able
            if key == "count":
                able = counting(tags, able, event, kept_for_places(tags, event, names, parts))
                if not able and (both := summed(tags, event, parts, kept_for_places(tags, event, names, parts))):
                    parts[both[0]] = Part(kind_of(event), key, n)
                    parts[both[1]] = Part(kind_of(event), "more", n)
                    found += both
                    continue
            if key in ("male", "female"):
                able = sexed(tags, able)
                if value == 1:  # "the male out of 1"
                    able = [at for at in able if at not in kept_for_places(tags, event, names, parts)]
            if key == "price":
                able = priced(tags, able, event["price"])
            if key in PLACES and (own := only_its_fish(tags, able, parts, n)):
                able = own
            elif key in PLACES and any(says_it(parts[at], n, _role(key, tags[at])) for at in able):
                continue  # "F and G", "all egg tubs": one stretch for several
            free = [at for at in able if (part := parts[at]) is None or (key == "amount" and part.event == n)]
            if key == "amount" and not free:
                free = [at for at in measures(tags, key, event, names) if parts[at] is None]
            free = behind_its_place(tags, free, key, event, names)
            if key == "item":
                exact = [at for at in free if tags[at].one("item") == value]  # "filters: sponges in 1"
                free = exact or [at for at in free if tags[at].says("item")] or free  # "wiped the glass"
                named = any(says_it(parts[at], n - 1, "item") and tags[at].says("item") for at in able)
                free = [at for at in free if tags[at].says("item") or not named]
            if key in PLACES and any((part := parts[at]) and part.role == "place" for at in able):
                free = [at for at in free if tags[at].kind != "clock"]  # "ph 5.6 in 4, a tenth at 4": an hour
            if event["kind"] in ORDERS and key in PLACES:
                free = likelier(tags, free)
            if key in PLACES and _is_told_before(tags, parts, key, value, events, n, free):
                free = []
            if free:
                spots = [] if found else own_spots(tags, parts, key, event, names)
                at = likeliest(tags, free, key, event, found, last, spots)
                parts[at] = _of_what_hatched(parts, at, key, events, n) or Part(kind_of(event), _role(key, tags[at]), n)
                found.append(at)
            elif able and key in _STANDS_FOR_MANY:
                found.append(min(able, key=lambda at: abs(at - last)))
            elif able and key == "to":
                _said_of_all(parts, able, n)
        if event["kind"] in ORDERS and not any(part and part.event == n for part in parts):
            words = [at for at, tag in enumerate(tags) if parts[at] is None and bids(tag, event["kind"])]
            if words:
                at = min(words, key=lambda at: at - last if at >= last else 2 * (last - at))
                parts[at] = Part(kind_of(event), NO_PART, n)
                found.append(at)
        if not any(part and part.event == n for part in parts) and not _of_all_mops(tags, parts, event):
            kind = kind_of(event)
            for at in back_in(tags, parts) if kind == "mop" else done_there(tags, kind, parts, last):
                parts[at] = Part(kind, "there", n)
                found.append(at)
        _deed_alone(tags, parts, n)
        _said_of_each(tags, event, parts, n, names)
        last = max(_without_end(parts, event, found), default=last)
    if sent is not None:
        _said_today(tags, events, parts, sent)
    _alike_in_order(tags, events, parts)
    _said_again(tags, events, parts, names)
    _called(tags, events, parts)
    return parts


def _deed_alone(tags: Sequence[Tag], parts: list[Part | None], n: int) -> None:
    """A deed that says its gear, where nothing else of it is said, was done there: "20 % in 8, wiped it too"."""
    own = [at for at, part in enumerate(parts) if part and part.event == n]
    part = parts[own[0]] if len(own) == 1 else None
    if part is not None and part.role == "item" and tags[own[0]].says("cue", "clean") and not tags[own[0]].says("item"):
        parts[own[0]] = Part(part.kind, "there", n)


def _without_end(parts: Sequence[Part | None], event: Raw, found: list[int]) -> list[int]:
    """Where an event is told; where the eggs of a pull went may stand behind all the pulls."""
    if event["kind"] != "pull":
        return found
    behind = ("to", "to_all", "line")
    return [at for at in found if (part := parts[at]) is None or part.role not in behind] or found


def _of_all_mops(tags: Sequence[Tag], parts: Sequence[Part | None], event: Raw) -> bool:
    """Whether a mop put back was told of with others: "both mops back in"."""
    there = [at for at, part in enumerate(parts) if part and (part.kind, part.role) == ("mop", "there")]
    return event["kind"] == "mop" and any(several_mops(tags, at) for at in there)


def _alike_in_order(tags: Sequence[Tag], events: Sequence[Raw], parts: list[Part | None]) -> None:
    """A count that is the number of its tank stands where those of the other events do: "3: 9, 5: 5, 8: 2"."""
    own = [[at for at, part in enumerate(parts) if part and part.event == n] for n in range(len(events))]
    pairs = [
        tuple(next((at for at in its if parts[at].role == role), -1) for role in ("place", "count"))  # type: ignore[union-attr]
        for its in own
    ]
    sure = {place < count for place, count in pairs if min(place, count) >= 0 and not _same_figure(tags, place, count)}
    for place, count in pairs:
        if min(place, count) >= 0 and _same_figure(tags, place, count) and sure == {count < place}:
            parts[place], parts[count] = parts[count], parts[place]


def _same_figure(tags: Sequence[Tag], one: int, other: int) -> bool:
    return tags[one].kind == tags[other].kind == "num" and bool(tags[one].value == tags[other].value)


def _all_in_one(tags: Sequence[Tag], event: Raw, names: Names, parts: Sequence[Part | None]) -> list[int]:
    """The group that says all places of an event, where not each of them is named: "all three tubs … one bad in B"."""
    told = set(event["places"])
    groups = [at for at, tag in enumerate(tags) if set(places_said(tag, names)) == told]
    free = [tag for at, tag in enumerate(tags) if at not in groups and parts[at] is None]
    return [] if all(any(can_be_place(tag, str(place), names) for tag in free) for place in told) else groups


def _said_today(tags: Sequence[Tag], events: Sequence[Raw], parts: list[Part | None], sent: dt.datetime) -> None:
    """The day of what was done today, where other days are told of as well: "sat and sun, 25 % each day"."""
    days = [at for at, tag in enumerate(tags) if tag.kind == "day" and not tag.value.vague]
    for n, event in enumerate(events):
        today = [at for at in days if parts[at] is None and falls_on(tags[at], sent.date().isoformat(), event, sent)]
        today = [
            at for at in today if at - 1 not in days or tags[at - 1].value.weekday is not None
        ]  # "a week ago today"
        if "date" in event or event["kind"] in ORDERS or not today or all(parts[at] is None for at in days):
            continue
        own = [at for at, part in enumerate(parts) if part and part.event == n]
        at = min(today, key=lambda at: min((abs(at - other) for other in own), default=0))
        parts[at] = Part(kind_of(event), "when", n)


def _is_told_before(
    tags: Sequence[Tag],
    parts: Sequence[Part | None],
    key: str,
    value: object,
    events: Sequence[Raw],
    n: int,
    free: list[int],
) -> bool:
    """Whether the last of its kind told the place already, and it is said again only in a sentence behind both."""
    own = [at for at, part in enumerate(parts) if part and part.event == n]
    first = n
    while first and events[first - 1]["kind"] == "measure" and events[first - 1].get("place") == value:
        first -= 1
    before = [at for at, part in enumerate(parts) if part and first <= part.event < n and part.role == "place"]
    if key != "place" or events[n]["kind"] != "measure" or not own or not before or not free:
        return False
    between = tags[max(own) : min(free)]
    return before[-1] < min(own) < max(own) < min(free) and any(t.kind in ("stop", "sep") for t in between)


def _of_what_hatched(parts: Sequence[Part | None], at: int, key: str, events: Sequence[Raw], n: int) -> Part | None:
    """The line that a hatch names, told only with the move of its fry."""
    if key != "line" or not n or (events[n]["kind"], events[n - 1]["kind"]) != ("move", "hatch"):
        return None
    before = any(part is not None and part.event == n - 1 for part in parts[at + 1 :])
    return Part("hatch", "line", n - 1) if before else None


def _counted_by_sex(event: Raw, parts: Sequence[Part | None], n: int) -> bool:
    """Whether all the fish are of one sex, and how many was found: a like figure elsewhere is of others."""
    own = [part.role for part in parts if part and part.event == n and part.role in ("male", "female")]
    return any(event.get(sex) == event["count"] for sex in own)


def _is_at(event: Raw, place: object) -> bool:
    return place in (event.get("places") or [event.get("place")])


def _said_again(tags: Sequence[Tag], events: Sequence[Raw], parts: list[Part | None], names: Names) -> None:
    """What is said once more for each place of an event: "30 % in 1, 30 % in 5"."""
    for n, event in enumerate(events):
        if len(event.get("places") or ()) < 2:
            continue
        where = [at for at, part in enumerate(parts) if part and part.event == n and part.role in ("place", "line")]
        said = {part.role for part in parts if part and part.event == n} & _FACTS
        for at, tag in enumerate(tags):
            if parts[at] is None and any(abs(at - other) <= BESIDE for other in where):
                able = said if tag.one("item") == event.get("item") else said - {"item"}  # "filters: a sponge in 1"
                key = next((key for key in able if can_say(tag, key, event[key], event, names)), None)
                parts[at] = Part(kind_of(event), key, n) if key else None


def _said_of_each(tags: Sequence[Tag], event: Raw, parts: list[Part | None], n: int, names: Names) -> None:
    """How much is said anew right behind each place of an event, or before it: "2: 20 %, 3: 20 %, 5: 20 %"."""
    where = [at for at, part in enumerate(parts) if part and part.event == n and part.role in ("place", "line")]
    said = [at for at, part in enumerate(parts) if part and part.event == n and part.role in ("percent", "litres")]
    if len(said) != 1 or len(where) < 2:
        return
    step = 1 if said[0] > min(where, key=lambda at: abs(at - said[0])) else -1
    role = parts[said[0]].role  # type: ignore[union-attr]
    for place in where:
        beside = next((at for at in _from(tags, place, step) if parts[at] or _is_figure(tags[at])), None)
        if beside is not None and parts[beside] is None and tags[beside].value == tags[said[0]].value:
            parts[beside] = Part(kind_of(event), role, n)


def _from(tags: Sequence[Tag], at: int, step: int) -> Iterator[int]:
    """Where the tags behind one stand, or those before it from there back, in its sentence or line."""
    at += step
    while 0 <= at < len(tags) and tags[at].kind != "sep":
        yield at
        at += step


def _is_figure(tag: Tag) -> bool:
    return isinstance(tag.value, int | float) or tag.kind in ("place", "line", "size", "batch", "clock")


def _called(tags: Sequence[Tag], events: Sequence[Raw], parts: list[Part | None]) -> None:
    """The rest of a name of several words: "Tom B"."""
    for at, part in [(at, part) for at, part in enumerate(parts) if part and part.role in ("buyer", "source")]:
        name = str(events[part.event].get(part.role) or "").casefold().split()
        for beside in (at - 1, at + 1):
            if 0 <= beside < len(tags) and parts[beside] is None and tags[at].kind != "place":
                parts[beside] = part if tags[beside].word.removesuffix("'s") in name else None


def _said_of_all(parts: list[Part | None], able: Sequence[int], event: int) -> None:
    """Where the eggs of several pulls went, said once: "12 from 2, 7 from 3, all in B"."""
    for at in able:
        part = parts[at]
        if part is not None and part.role in ("to", "to_all") and part.kind == "pull" and part.event < event:
            parts[at] = Part(part.kind, "to_all", event)
            return


def values_of(event: Raw) -> Iterator[tuple[str, object]]:
    """What an event says, key by key: the surest to be found first, days last."""
    said = _SAID_OF.get(event["kind"], frozenset())
    keys = [key for key in event if key not in _UNSAID - said and event[key] is not None]
    keys.sort(
        key=lambda k: (k in ("date", "time"), k in ("line", "batch"), k not in ("male", "female"), k not in _FACTS)
    )
    for key in keys:
        for value in event[key] if isinstance(event[key], list) else [event[key]]:
            yield key, value


def _told_together(
    tags: Sequence[Tag], event: Raw, parts: Sequence[Part | None], found: Sequence[int], names: Names
) -> bool:
    """Whether "both" or "all three" says the places of an event, that were all told of before."""
    places = event["places"]
    near = [at for sentence in sentences(tags) if set(found) & set(sentence) for at in sentence]
    if many_together(tags, near) != len(places):
        return False
    told = [at for at in range(min(found)) if (part := parts[at]) is not None and part.role == "place"]
    return all(any(can_be_place(tags[at], str(place), names) for at in told) for place in places)


def _in_a_row(tags: Sequence[Tag], event: Raw, names: Names, parts: Sequence[Part | None]) -> list[str]:
    """The places between the two that "A through D" names, where all of them are told of."""
    told = [str(place) for place in event.get("places") or ()]
    known = [place.name for place in names.places]
    for at in range(1, len(tags) - 1):
        beside = {(part.event, part.role) if part else None for part in (parts[at - 1], parts[at + 1])}
        if tags[at].word not in UPTO or len(beside) > 1:  # a row may have been told of another event before
            continue
        ends = [next((p for p in told if _names(tags, n, p, names)), "") for n in (at - 1, at + 1)]
        if all(ends):
            row = known[known.index(ends[0]) : known.index(ends[1]) + 1]
            if len(row) > len(ends) and set(row) <= set(told):
                return row[1:-1]
    return []


def _names(tags: Sequence[Tag], at: int, place: str, names: Names) -> bool:
    return can_be_place(tags[at], place, names) or place_heard(tags, at, names) == place


def _role(key: str, tag: Tag) -> str:
    if key == "batch":
        return "place" if tag.kind in ("batch", "num") else "line"
    role = _ROLES.get(key, key)
    return "line" if tag.kind == "line" and role in ("place", "to", "from") else role
