"""Of the stretches that can say a value the one that likeliest does: by its kind, by what is beside it, by nearness."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Sequence
from typing import Any, NamedTuple

from bot.language.learnt.alone import deeds_said, measures
from bot.language.learnt.bidden import ORDERS, can_order
from bot.language.learnt.meant import PLACES, can_be_place, can_say
from bot.language.learnt.sounding import UPTO, can_be_heard
from bot.language.learnt.values import ONE, PER, count_of, lot_of
from bot.language.tags import Tag
from bot.language.text.names import Names

Raw = dict[str, Any]
BESIDE = 4  # how far from a place what is said of it stands


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


def able_to_say(
    tags: Sequence[Tag],
    key: str,
    value: object,
    event: Raw,
    names: Names,
    sent: dt.datetime | None,
    audible: Sequence[int],
) -> list[int]:
    """Where the tags stand that can say a value; `audible` may say it as it sounds: "too" for 2."""
    able = _as_written(tags, key, value, event, names, sent)
    sure = any(tags[at].kind != "line" for at in able)
    able += [at for at in audible if at not in able and can_be_heard(tags, at, key, value, names, sure=sure)]
    if key in ("amount", "litres") and not (able and _has_unit(tags, able, key, event)):
        able = measures(tags, key, event, names) or able
    if key in PLACES:
        able = [at for at in able if not _is_article(tags, at) and not _counts_places(tags, at)] or able
    return able


def _as_written(
    tags: Sequence[Tag], key: str, value: object, event: Raw, names: Names, sent: dt.datetime | None
) -> list[int]:
    """Where the tags stand that can say a value as they are written, or as an order may be."""
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


def surest(
    tags: Sequence[Tag],
    able: list[int],
    key: str,
    event: Raw,
    parts: Sequence[Part | None],
    found: list[int],
    last: int,
    *,
    shared: bool,
) -> list[int]:
    """Of the tags that can say a value those surest to, as far as their kinds tell.

    `shared`: an event told later is at that place, and may be the one that its name says.
    """
    own = _by_its_fish(tags, able, key, parts, found or [last], shared=shared) or _by_kind(tags, able, key, found)
    if key in PLACES and event["kind"] == "pull":
        return _beside_its_fish(tags, able, found, parts) or own
    return own


def _by_kind(tags: Sequence[Tag], able: list[int], key: str, counted: Sequence[int]) -> list[int]:
    """Fish and groups say where they are only where nothing else does."""
    if key == "batch":
        return [at for at in able if tags[at].kind == "batch"] or able
    if key in PLACES and all(tags[at].kind == "line" or (at in counted and tags[at].kind == "num") for at in able):
        return [at for at in able if at not in counted] or able  # "the medaka gave nine", where they are in tank 9
    if key in PLACES:
        able = [at for at in able if tags[at].kind != "line"] or able
        return [at for at in able if not {"group", "role"} & tags[at].senses.keys()] or able
    if key in ("culture", "litres"):
        kind = {"culture": "culture", "litres": "vol"}[key]
        return [at for at in able if tags[at].kind == kind] or able
    return able


def _by_its_fish(
    tags: Sequence[Tag], able: list[int], key: str, parts: Sequence[Part | None], near: Sequence[int], *, shared: bool
) -> list[int]:
    """The fish that say a place, where its name is told of something else: "topped up 9, and the medaka had flake"."""
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


def only_its_fish(tags: Sequence[Tag], able: list[int], parts: Sequence[Part | None], event: int) -> list[int]:
    """The fish that say one place more, beside a word for several sorts: "the rainbows and the forktails"."""
    said = [at for at in able if says_it(parts[at], event, "line")]
    if not said or any(tags[at].kind != "line" or len(tags[at].value) == 1 for at in said):
        return []
    return [at for at in able if parts[at] is None and tags[at].kind == "line" and len(tags[at].value) == 1]


def behind_its_place(tags: Sequence[Tag], free: list[int], key: str, event: Raw, names: Names) -> list[int]:
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


def kept_for_places(tags: Sequence[Tag], event: Raw, names: Names, parts: Sequence[Part | None]) -> set[int]:
    """The numbers that alone can say a place of an event: no count, where that follows from the words."""
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


def counting(tags: Sequence[Tag], able: list[int], event: Raw, kept: set[int]) -> list[int]:
    """The figures that may count, as they stand or with "pair" or the like behind."""
    count = event["count"]
    eggs = event["kind"] == "eyed"  # a pair of eyes is one egg's
    able = [at for at in able if not any(t.word in _NO_FISH for t in tags[at + 1 : at + 2])]
    able = [at for at in able if tags[at].word != "half" or count_of(tags, at) == count]  # "half a doz"
    fit = [at for at in able if tags[at].kind != "num" or tags[at].value * (1 if eggs else lot_of(tags, at)) == count]
    follows = count <= _FOLLOWS or (event.get("male") or 0) + (event.get("female") or 0) == count
    return [at for at in fit if not (follows and (at in kept or tags[at].unit in _OF_AN_ADDITIVE))]


_FOLLOWS = 3  # "a", "the male", "a pair", "a trio"
_NO_FISH = frozenset(["sales", "people", "strangers", "customers", "buyers", "visitors", "reminders", "things"])
_OF_AN_ADDITIVE = frozenset(["tsp", "tbsp", "ml", "cup", "drop"])


def sexed(tags: Sequence[Tag], able: list[int]) -> list[int]:
    """The figures that may count males or females: not of pairs, and a word for one only with the sex behind it."""
    return [
        at
        for at in able
        if lot_of(tags, at) == 1
        and (tags[at].kind == "num" or any(t.says("noun", "male", "female") for t in tags[at + 1 : at + 4]))
    ]


def priced(tags: Sequence[Tag], able: list[int], price: object) -> list[int]:
    """The figures that are the price, where none may be that of one: not the twelve of "3 from twelve for eighteen"."""
    if any(tag.says("each") or tag.word in PER - {"pair", "pr"} for tag in tags):
        return able
    return [at for at in able if tags[at].value == price] or able


def falls_on(tag: Tag, date: str, event: Raw, sent: dt.datetime) -> bool:
    day = tag.value.on(sent, event["kind"] == "reserve") if tag.kind == "day" else None
    return day is not None and bool(day.isoformat() == date)


def says_it(part: Part | None, event: int, role: str) -> bool:
    return part is not None and (part.event, part.role) == (event, role)


def likeliest(
    tags: Sequence[Tag], free: list[int], key: str, event: Raw, found: list[int], last: int, spots: Sequence[int]
) -> int:
    """The one of several tags nearest to the rest of its event and to its places, and likest in kind."""
    return min(free, key=lambda at: _away(tags, at, key, event, found, last) + _off(at, spots))


def own_spots(tags: Sequence[Tag], parts: Sequence[Part | None], key: str, event: Raw, names: Names) -> list[int]:
    """Where the first place of a water change may be said, when the figure that says how much is looked for."""
    if key not in ("percent", "litres") or not event.get("places"):
        return []
    place = str(event["places"][0])
    return [at for at, tag in enumerate(tags) if parts[at] is None and can_be_place(tag, place, names)]


def _off(at: int, spots: Sequence[int]) -> int:
    """How far off the nearest of its places a figure stands."""
    return _DRAWN * min((abs(at - spot) for spot in spots if spot != at), default=BESIDE if spots else 0)


_DRAWN = 3  # how much more a figure's nearness to its place tells than that to what was told before


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
