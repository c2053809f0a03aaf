"""Which stretch of a note says which key of which event.

Nobody marked the words of a note; only what it tells is known. So for each key of each event the likeliest stretch
is looked for: one that can mean the value, near the others of its event.
"""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from bot.language.learnt.alone import back_in, deeds_said, done_there, measures
from bot.language.learnt.beside import sentences
from bot.language.learnt.bidden import NO_PART, ORDERS, bids, can_order, likelier
from bot.language.learnt.joining import many_together
from bot.language.learnt.meant import PLACES, can_be_place, can_say
from bot.language.learnt.sounding import UPTO, can_be_heard, place_heard, sounds_like
from bot.language.learnt.unfolded import PLACE_AND, said_together, shares, summed
from bot.language.learnt.unplaced import several_mops
from bot.language.learnt.values import ONE, PER, count_of, lot_of, places_said
from bot.language.tags import Tag
from bot.language.text.names import Names

Raw = dict[str, Any]
_UNSAID = frozenset(
    "kind text task of made currency unit stage sex action what role given about".split()  # noqa: SIM905
)
_SAID_OF = {"new_place": frozenset(["role"]), "fix": frozenset(["sex", "unit"])}  # but these kinds say it
_ROLES = {"places": "place", "date": "when", "time": "when"}  # else a key is its own role
_BESIDE = 4  # how far from a place what is said of it stands
_FACTS = frozenset(["count", "value", "percent", "litres", "amount", "price", "food", "substance", "quantity", "item"])
_STANDS_FOR_MANY = frozenset(["place", "places", "date", "time", "batch", "line", "food"])  # said once for several


class Part(NamedTuple):
    """What a tag says: the kind of event (with its action, "culture.feed"), the role, and which of the events."""

    kind: str
    role: str
    event: int


def kind_of(event: Raw) -> str:
    """The kind of an event, with what is done where a kind is several deeds: "culture.feed"."""
    deed = {"culture": "action", "peat": "action", "setting": "what"}.get(event["kind"], "")
    said = str(event.get(deed) or "").replace(" ", "_")
    return f"{event['kind']}.{said}" if said else str(event["kind"])


# ---- which tag says what


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
            able = _able(tags, key, value, event, names, sent)
            sure = any(tags[at].kind != "line" for at in able)
            able += [at for at in audible if at not in able and can_be_heard(tags, at, key, value, names, sure=sure)]
            if key in ("amount", "litres") and not (able and _has_unit(tags, able, key, event)):
                able = measures(tags, key, event, names) or able
            if key in PLACES:
                able = [at for at in able if not _is_article(tags, at) and not _counts_places(tags, at)] or able
            all_able = able
            shared = event["kind"] == "pull" and any(_is_at(e, value) for e in events[n + 1 :])
            able = _by_its_fish(tags, able, key, parts, found or [last], shared=shared) or _surest(
                tags, able, key, found
            )
            if key in PLACES and event["kind"] == "pull":
                able = _beside_its_fish(tags, all_able, found, parts) or able
            if key == "places" and (group := _all_in_one(tags, event, names, parts)):
                able = group
            if key in PLACES and str(value).startswith("all"):
                able = [at for at in able if tags[at].one("group") == value] or able
            if key == "date" and sent is not None:
                able = [at for at in able if _falls_on(tags[at], str(value), event, sent)] or able
            if key == "count":
                able = _counting(tags, able, event, kept_for_places(tags, event, names, parts))
                if not able and (both := summed(tags, event, parts, kept_for_places(tags, event, names, parts))):
                    parts[both[0]] = Part(kind_of(event), key, n)
                    parts[both[1]] = Part(kind_of(event), "more", n)
                    found += both
                    continue
            if key in ("male", "female"):
                able = _sexed(tags, able)
                if value == 1:  # "the male out of 1"
                    able = [at for at in able if at not in kept_for_places(tags, event, names, parts)]
            if key == "price":
                able = _priced(tags, able, event["price"])
            if key in PLACES and (own := _only_its_fish(tags, able, parts, n)):
                able = own
            elif key in PLACES and any(_says_it(parts[at], n, _role(key, tags[at])) for at in able):
                continue  # "F and G", "all egg tubs": one stretch for several
            free = [at for at in able if (part := parts[at]) is None or (key == "amount" and part.event == n)]
            if key == "amount" and not free:
                free = [at for at in measures(tags, key, event, names) if parts[at] is None]
            free = _behind_its_place(tags, free, key, event, names)
            if key == "item":
                exact = [at for at in free if tags[at].one("item") == value]  # "filters: sponges in 1"
                free = exact or [at for at in free if tags[at].says("item")] or free  # "wiped the glass"
                named = any(_says_it(parts[at], n - 1, "item") and tags[at].says("item") for at in able)
                free = [at for at in free if tags[at].says("item") or not named]
            if key in PLACES and any((part := parts[at]) and part.role == "place" for at in able):
                free = [at for at in free if tags[at].kind != "clock"]  # "ph 5.6 in 4, a tenth at 4": an hour
            if event["kind"] in ORDERS and key in PLACES:
                free = likelier(tags, free)
            if key in PLACES and _is_told_before(tags, parts, key, value, events, n, free):
                free = []
            if free:
                spots = [] if found else _own_spots(tags, parts, key, event, names)
                at = min(free, key=lambda at: _away(tags, at, key, event, found, last) + _off(at, spots))
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
        today = [at for at in days if parts[at] is None and _falls_on(tags[at], sent.date().isoformat(), event, sent)]
        today = [
            at for at in today if at - 1 not in days or tags[at - 1].value.weekday is not None
        ]  # "a week ago today"
        if "date" in event or event["kind"] in ORDERS or not today or all(parts[at] is None for at in days):
            continue
        own = [at for at, part in enumerate(parts) if part and part.event == n]
        at = min(today, key=lambda at: min((abs(at - other) for other in own), default=0))
        parts[at] = Part(kind_of(event), "when", n)


def _able(
    tags: Sequence[Tag], key: str, value: object, event: Raw, names: Names, sent: dt.datetime | None
) -> list[int]:
    """Where the tags stand that can say a value."""
    if event["kind"] not in ORDERS:
        return [at for at, tag in enumerate(tags) if can_say(tag, key, value, event, names)]
    bid = [can_order(tags, at, key, value, event, names, sent) for at in range(len(tags))]
    return [
        at for at, tag in enumerate(tags) if (can_say(tag, key, value, event, names) if bid[at] is None else bid[at])
    ]


def _has_unit(tags: Sequence[Tag], able: Sequence[int], key: str, event: Raw) -> bool:
    """Whether a figure has its measure: in it, or beside it where an additive is measured."""
    unit = str(event.get("unit") or "")
    spoken = key == "amount" and any(
        t.says("unit", unit) or t.says("volume", unit) for at in able for t in tags[max(0, at - 1) : at + 4]
    )
    return spoken or any(tags[at].kind in ("vol", "amount") for at in able)


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


def _behind_its_place(tags: Sequence[Tag], free: list[int], key: str, event: Raw, names: Names) -> list[int]:
    """Of a figure said twice in a row the latter, where the former is its place: "3 15, 5 5", "9 gets 9 hours"."""
    if key not in ("value", "count", "amount") or not event.get("place"):
        return free
    nth = [
        at
        for before, at in itertools.pairwise(free)
        if at - before <= _NEXT and can_be_place(tags[before], str(event["place"]), names)
    ]
    return nth if len(free) == 2 and nth else free  # more than two are a list of others


_NEXT = 4


def _of_what_hatched(parts: Sequence[Part | None], at: int, key: str, events: Sequence[Raw], n: int) -> Part | None:
    """The line that a hatch names, told only with the move of its fry."""
    if key != "line" or not n or (events[n]["kind"], events[n - 1]["kind"]) != ("move", "hatch"):
        return None
    before = any(part is not None and part.event == n - 1 for part in parts[at + 1 :])
    return Part("hatch", "line", n - 1) if before else None


def _falls_on(tag: Tag, date: str, event: Raw, sent: dt.datetime) -> bool:
    day = tag.value.on(sent, event["kind"] == "reserve") if tag.kind == "day" else None
    return day is not None and bool(day.isoformat() == date)


def kept_for_places(tags: Sequence[Tag], event: Raw, names: Names, parts: Sequence[Part | None]) -> set[int]:
    """The numbers that alone can say a place of an event: no count where it follows from the words."""
    kept: set[int] = set()
    told = list(enumerate(parts))
    for key in PLACES & event.keys():
        for place in event[key] if isinstance(event[key], list) else [event[key]]:
            if any(part and part.role in _SPOTS and can_be_place(tags[at], str(place), names) for at, part in told):
                continue  # said for another event before
            able = [at for at, tag in enumerate(tags) if parts[at] is None and can_be_place(tag, str(place), names)]
            named = [at for at in able if tags[at].kind != "line"]
            able = [] if event["kind"] == "pull" and len(named) < len(able) else named  # "forktails 1"
            kept |= set(able) if len(able) == 1 and tags[able[0]].kind in ("num", "clock") else set()
    return kept


_SPOTS = frozenset(["place", "to", "from"])


def _counting(tags: Sequence[Tag], able: list[int], event: Raw, kept: set[int]) -> list[int]:
    """The figures that may count, as they stand or with "pair" or the like behind."""
    count = event["count"]
    eggs = event["kind"] == "eyed"  # a pair of eyes is one egg's
    able = [at for at in able if not any(t.word in _NO_FISH for t in tags[at + 1 : at + 2])]
    able = [at for at in able if tags[at].word != "half" or count_of(tags, at) == count]  # "half a doz"
    fit = [at for at in able if tags[at].kind != "num" or tags[at].value * (1 if eggs else lot_of(tags, at)) == count]
    follows = count <= _FOLLOWS or (event.get("male") or 0) + (event.get("female") or 0) == count
    return [at for at in fit if not (follows and (at in kept or tags[at].unit in _OF_AN_ADDITIVE))]


_OF_AN_ADDITIVE = frozenset(["tsp", "tbsp", "ml", "cup", "drop"])


def _priced(tags: Sequence[Tag], able: list[int], price: object) -> list[int]:
    """The figures that are the price, where none may be that of one: not the twelve of "3 from twelve for eighteen"."""
    if any(tag.says("each") or tag.word in PER - {"pair", "pr"} for tag in tags):
        return able
    return [at for at in able if tags[at].value == price] or able


_NO_FISH = frozenset(["sales", "people", "strangers", "customers", "buyers", "visitors", "reminders", "things"])


def _sexed(tags: Sequence[Tag], able: list[int]) -> list[int]:
    """The figures that may count males or females: not of pairs, and a word for one only with the sex behind it."""
    return [
        at
        for at in able
        if lot_of(tags, at) == 1
        and (tags[at].kind == "num" or any(t.says("noun", "male", "female") for t in tags[at + 1 : at + 4]))
    ]


def _counted_by_sex(event: Raw, parts: Sequence[Part | None], n: int) -> bool:
    """Whether all the fish are of one sex, and how many was found: a like figure elsewhere is of others."""
    own = [part.role for part in parts if part and part.event == n and part.role in ("male", "female")]
    return any(event.get(sex) == event["count"] for sex in own)


_FOLLOWS = 3  # "a", "the male", "a pair", "a trio"


def _surest(tags: Sequence[Tag], able: list[int], key: str, counted: Sequence[int]) -> list[int]:
    """Fish and groups say where they are only where nothing else does."""
    if key == "batch":
        return [at for at in able if tags[at].kind == "batch"] or able
    if key in PLACES and all(tags[at].kind == "line" or (at in counted and tags[at].kind == "num") for at in able):
        return [at for at in able if at not in counted] or able  # "the medaka gave nine", where they are in tank 9
    if key in PLACES:
        able = [at for at in able if tags[at].kind != "line"] or able
        return [at for at in able if not {"group", "role"} & tags[at].senses.keys()] or able
    if key in ("culture", "litres"):
        surest = {"culture": "culture", "litres": "vol"}[key]
        return [at for at in able if tags[at].kind == surest] or able
    if key == "litres":
        return [at for at in able if tags[at].kind != "num"] or able
    return able


def _by_its_fish(
    tags: Sequence[Tag], able: list[int], key: str, parts: Sequence[Part | None], near: Sequence[int], *, shared: bool
) -> list[int]:
    """The fish that say a place, where its name is told of something else: "topped up 9, and the medaka had flake".

    `shared`: an event told later is at that place, and may be the one that its name says.
    """
    if key not in ("place", "places"):
        return []
    fish = [at for at in able if tags[at].kind == "line" and parts[at] is None]
    named = [at for at in able if tags[at].kind != "line"]
    if not fish or not named or (any(parts[at] is None for at in named) and (not shared or fish[0] > named[0])):
        return []
    away = [min(abs(at - other) for at in them for other in near) for them in (fish, named)]
    return fish if away[0] < away[1] else []


def _beside_its_fish(
    tags: Sequence[Tag], able: list[int], near: Sequence[int], parts: Sequence[Part | None]
) -> list[int]:
    """The fish right beside a count, where the number of their tank stands far off: "gularis 15, … forktails 1"."""
    if not near or any(tags[at].kind not in ("line", "num") for at in able):
        return []
    away = {at: min(abs(at - other) for other in near) for at in able}
    fish = [at for at in able if tags[at].kind == "line" and parts[at] is None and away[at] <= _RIGHT_BESIDE]
    far = all(away[at] > _FAR for at in able if tags[at].kind == "num")
    return fish if far else []


_RIGHT_BESIDE, _FAR = 2, 6


def _only_its_fish(tags: Sequence[Tag], able: list[int], parts: Sequence[Part | None], event: int) -> list[int]:
    """The fish that say one place more, beside a word for several sorts: "the rainbows and the forktails"."""
    said = [at for at in able if _says_it(parts[at], event, "line")]
    if not said or any(tags[at].kind != "line" or len(tags[at].value) == 1 for at in said):
        return []
    return [at for at in able if parts[at] is None and tags[at].kind == "line" and len(tags[at].value) == 1]


def _is_at(event: Raw, place: object) -> bool:
    return place in (event.get("places") or [event.get("place")])


def _is_article(tags: Sequence[Tag], at: int) -> bool:
    """Whether an "a" that may be tub A is likelier the "a" of what follows: "a pinch", "a good look"; or an "I"."""
    if tags[at].word not in ("a", "i") or tags[at].kind != "word" or at + 1 == len(tags):
        return False
    after = tags[at + 1]
    return after.kind in ("word", "lex", "line", "frac") and after.word not in _BEHIND_A_NAME | UPTO


def _counts_places(tags: Sequence[Tag], at: int) -> bool:
    """Whether a number says how many places there are: "the two gardneri tanks"."""
    tag, before = tags[at], tags[at - 1].word if at else ""
    after = next((t for t in tags[at + 1 : at + 2]), None)
    counted = after is not None and (after.kind == "line" or after.says("noun", "tank") or after.says("role"))
    if tag.kind != "num" or tag.note != "spelled":
        return False
    return before == "same" or (before in ("the", "my", "these", "both") and counted)


_BEHIND_A_NAME = frozenset(
    ["and", "has", "had", "have", "is", "was", "got", "gets", "looks", "with", "for", "at", "again", "now", "this"]
) | {"today", "after", "no", "two", "one", "up", "away", "am", "pm", "down", "did", "does", "can", "needs", "still"}
_BEHIND_A_NAME |= {"since", "ought", "before", "when", "where", "but", "so", "because", "then", "too", "went", "came"}


def _says_it(part: Part | None, event: int, role: str) -> bool:
    return part is not None and (part.event, part.role) == (event, role)


def _said_again(tags: Sequence[Tag], events: Sequence[Raw], parts: list[Part | None], names: Names) -> None:
    """What is said once more for each place of an event: "30 % in 1, 30 % in 5"."""
    for n, event in enumerate(events):
        if len(event.get("places") or ()) < 2:
            continue
        where = [at for at, part in enumerate(parts) if part and part.event == n and part.role in ("place", "line")]
        said = {part.role for part in parts if part and part.event == n} & _FACTS
        for at, tag in enumerate(tags):
            if parts[at] is None and any(abs(at - other) <= _BESIDE for other in where):
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
    """The places between the two that are named of "A through D", where all of them are told of."""
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


def _own_spots(tags: Sequence[Tag], parts: Sequence[Part | None], key: str, event: Raw, names: Names) -> list[int]:
    """Where the first place of a water change may be said, when it is looked for how much that was."""
    if key not in ("percent", "litres") or not event.get("places"):
        return []
    place = str(event["places"][0])
    return [at for at, tag in enumerate(tags) if parts[at] is None and can_be_place(tag, place, names)]


def _off(at: int, spots: Sequence[int]) -> int:
    """How far off the nearest of its places a figure stands."""
    return _DRAWN * min((abs(at - spot) for spot in spots if spot != at), default=_BESIDE if spots else 0)


_DRAWN = 3  # how much more a figure's nearness to its place tells than that to what was told before


def _role(key: str, tag: Tag) -> str:
    if key == "batch":
        return "place" if tag.kind in ("batch", "num") else "line"
    role = _ROLES.get(key, key)
    return "line" if tag.kind == "line" and role in ("place", "to", "from") else role


def _away(tags: Sequence[Tag], at: int, key: str, event: Raw, found: Sequence[int], last: int) -> float:
    """How unlikely a tag is the one that says a key: how far from the rest of its event, and how unlike its kind."""
    if found:
        away = float(min(abs(at - other) for other in found))
    else:
        away = float(at - last if at >= last else 2 * (last - at))
    tag, before = tags[at], tags[at - 1].word if at else ""
    if key == "time" and tag.kind != "clock":
        away += _UNLIKE_A_TIME
    if key == "culture" and (deeds := deeds_said(tags, kind_of(event))):
        away += min(abs(at - deed) for deed in deeds)
    if key in PLACES:
        away += _unlike_a_place(tags, at, key)
    if tag.word in ("a", "an") and tag.kind in ("word", "lex"):
        away += 1.2
    if key == "count":
        away += _unlike_a_count(tag) + (2 if before in ("in", "from") else 0)
    if key == "price" and tag.value != event["price"]:
        away += 0 if any(t.says("each") or t.word in PER for t in tags[at : at + 4]) else 5
    if (key == "to" and before in _TOWARDS) or (key == "from" and before in ("from", "of")):
        away -= 3
    return away


_UNLIKE_A_TIME = 6  # a bare number is an hour where no clock is told of near it
_TOWARDS = frozenset(["to", "into", "in", ">", "->"])
_COUNTED = ("eggs", "fry", "male", "female", "pair", "juveniles", "adults", "fish")


def _unlike_a_place(tags: Sequence[Tag], at: int, key: str) -> float:
    """A bare number is a place less often than a name is, and seldom with fish or eggs behind it."""
    tag, away = tags[at], 0.0
    if tag.kind in ("num", "clock"):
        after = tags[at + 1] if at + 1 < len(tags) else None
        counts = after is not None and (after.says("noun", *_COUNTED) or after.kind == "line")
        away += 7.5 if counts else 1.5
    if key == "except":
        return away
    if tag.kind in ("line", "vol", "amount") or tag.word == "all":
        away += 2.5
    if tag.kind == "word":
        away += 6 if tag.word in ("a", "i") else 2
    return away


def _unlike_a_count(tag: Tag) -> float:
    """A word for one is a count less often than a figure."""
    return 1.0 if tag.kind != "num" and tag.word in ONE else 0.0
