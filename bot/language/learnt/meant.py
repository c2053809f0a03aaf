"""Whether a stretch of a note can mean a value of an event: this place, so many, that food."""

from __future__ import annotations

from typing import Any

from bot.language.learnt.values import (
    BLUE,
    FREE,
    ITEM_OF,
    MOST_IN_A_ROW,
    NONE,
    ONE,
    SHARES,
    WHOLE,
    clock_of,
    culture_like,
    idle_figure,
    idle_number,
    initial_of,
    litres_said,
    places_of_volume,
    places_said,
)
from bot.language.tags import Tag
from bot.language.text.names import Names
from shared.quantities import LITRES

Raw = dict[str, Any]
PLACES = frozenset(["place", "places", "to", "from", "except"])
_FIGURES = frozenset(["num", "count", "pct", "frac", "money", "deg", "amount", "vol", "len", "dur", "times", "ordinal"])
_NUMBERS = frozenset(
    ["count", "male", "female", "price", "percent", "litres", "amount", "value", "weeks", "every_days", "days"]
)
_DAYS = {"day": 1, "week": 7}
# A figure with a unit says only what has one.
_ONLY = {
    "pct": frozenset(["percent", "value"]),
    "dur": frozenset(["weeks", "value", "every_days", "days"]),
    "vol": frozenset(["litres", "amount", "value"]),
    "amount": frozenset(["litres", "amount", "value"]),
    "deg": frozenset(["value"]),
    "len": frozenset(["value"]),
    "money": frozenset(["price", "value"]),
}


def can_say(tag: Tag, key: str, value: object, event: Raw, names: Names) -> bool:
    """Whether a tag can be what says a value."""
    if key in PLACES:
        several = _can_be_group(tag, key, str(value), event, names) or _can_be_range(tag, key, value, event, names)
        return several or can_be_place(tag, str(value), names)
    if key in ("batch", "line", "culture"):
        return _can_be_named(tag, key, str(value), names)
    if key in ("food", "substance", "item", "quantity"):
        senses = tag.senses.get(key, frozenset())
        if key == "food" and tag.kind == "culture" and isinstance(tag.value, str):
            return culture_like(tag.value, str(value))
        if key == "item" and (gear := ITEM_OF.get(tag.word)) is not None and (gear in str(value) or str(value) in gear):
            return True
        blue = key == "substance" and tag.kind == "word" and tag.word == BLUE and value == "methylene blue"
        return blue or any(str(value) in s or s in str(value) for s in senses) or (tag.word != "" and tag.word == value)
    if key in _NUMBERS:
        return _can_be_number(tag, key, value, event, names)
    if key in ("buyer", "source"):
        said = str(value).casefold()
        if tag.kind in ("batch", "place", "num") and (len(tag.word) == 1 or tag.word != said):
            return False  # a phone writes D as "dee", who may be somebody
        person = tag.kind == "person" and str(tag.value).casefold() == said
        words = {word.casefold().removesuffix("'s") for word in (tag.word, tag.typed)}
        if event["kind"] == "release":
            words |= {word.removesuffix("s") for word in words}  # "priyas pair"
        return tag.word != "" and (person or not words.isdisjoint(said.split()))
    if key == "time" and (clock := clock_of(tag)) is not None:
        return any(f"{h:02d}:{m:02d}" == value for half in ("am", "pm") for h, m in clock.options(half))
    if key == "date":
        return tag.kind == "day"
    return key == "cause" and len(tag.word) > 2 and tag.word in str(value)


def can_be_place(tag: Tag, place: str, names: Names) -> bool:
    number = tag.kind == "num" or idle_number(tag)
    if number and isinstance(tag.value, int | float) and tag.value == int(tag.value):
        return place in names.by_id.get(str(int(tag.value)), ())
    if (tag.kind in ("place", "size") and place in (tag.value or ())) or place in places_of_volume(tag, names):
        return True
    if place in names.by_id.get(initial_of(tag), ()):
        return True
    if tag.kind == "clock" and tag.note == "weak" and tag.value.minute == 0:  # "13" that may be one o'clock
        return place in names.by_id.get(str(tag.value.hour), ())
    if tag.kind == "line" and set(tag.value) & _lines_in(place, names):
        return True
    if tag.kind == "batch" and tag.value in names.batch_of:
        return names.batch_of[tag.value].place == place
    role = tag.one("role")
    alone = role is not None and "noun" not in tag.senses
    return alone and any(p.name == place and p.role == role for p in names.places)


def _can_be_group(tag: Tag, key: str, place: str, event: Raw, names: Names) -> bool:
    """Whether a tag says a group: as such ("all fry"), or each of its places, where all are told of."""
    if "group" not in tag.senses and "role" not in tag.senses:
        return False
    group, role = tag.one("group"), tag.one("role")
    if place.startswith("all"):
        of_it = group is not None and (place == group if "all" in (place, group) else True)
        return (of_it and (tag.word != "all" or place == "all")) or place == f"all {role}"
    told, members = event.get(key), places_said(tag, names)
    return isinstance(told, list) and len(told) > 1 and place in members and set(members) <= set(told)


def _can_be_range(tag: Tag, key: str, place: object, event: Raw, names: Names) -> bool:
    """Whether "6-10" says a place, where all of them are told."""
    told = event.get(key)
    if tag.kind != "num" or tag.low is None or tag.low != int(tag.low) or not isinstance(told, list):
        return False
    if tag.value != int(tag.value) or not 0 < tag.value - tag.low < MOST_IN_A_ROW:
        return False
    ends = [names.by_id.get(str(n), ()) for n in range(int(tag.low), int(tag.value) + 1)]
    return all(len(end) == 1 and end[0] in told for end in ends) and (place,) in ends


def _lines_in(place: str, names: Names) -> set[str]:
    """The lines of the fish in a place, or of a batch named as a place."""
    known, batch = names.place_of.get(place), names.batch_of.get(place)
    lines = {known.line if known else None, batch.line if batch else None}
    return {line for line in lines if line} | {b.line for b in names.batches_in(place)}


def _can_be_named(tag: Tag, key: str, name: str, names: Names) -> bool:
    if key == "line":
        return tag.kind == "line" and name in tag.value
    if key == "batch":
        if tag.kind == "line":
            return name in names.batch_of and names.batch_of[name].line in tag.value
        return tag.kind == "batch" and bool(tag.value == name)
    if tag.kind == "culture":
        return bool(tag.value == name) or (isinstance(tag.value, tuple) and name in tag.value)
    if tag.kind == "num":
        return name.endswith(f" {tag.value:g}")  # the second of "microworm 1 and 2"
    return "food" in tag.senses and culture_like(name, tag.one("food"))


def _can_be_number(tag: Tag, key: str, value: object, event: Raw, names: Names) -> bool:
    if tag.kind != "clock" and key in _PLAIN_WORDS and (value, tag.word) in _PLAIN_WORDS[key]:
        return True
    if key == "value" and tag.kind == "clock" and event["kind"] == "measure":
        return bool(tag.note == "weak" and tag.value.minute == 0 and tag.value.hour == value)  # "nitrate at 10"
    if (
        not (tag.kind in _FIGURES or (key == "count" and idle_figure(tag)))
        or not isinstance(tag.value, int | float)
        or not isinstance(value, int | float)
    ):
        return False
    if key in ("every_days", "days") and tag.kind == "dur":
        return bool(tag.value * _DAYS.get(tag.unit, 0) == value)
    if key == "litres" and (litres := litres_said(tag, names)) is not None:
        return abs(litres - value) <= 0.03 * max(litres, value)
    if key == "count" and event["kind"] == "hatch" and tag.kind == "dur" and tag.unit == "hour":
        return bool(tag.value == value)  # "3h" for three hatched
    if key not in _ONLY.get(tag.kind, {key}):
        return False
    near = 0.6 if key == "percent" else 0.06 * (max(1.0, abs(value) / 2) if key == "litres" else 1.0)
    return bool(tag.value == value) or any(abs(other - value) <= near for other in _otherwise(tag, key, event, names))


_COUNTS: set[tuple[object, str]] = {(0, word) for word in NONE} | {(1, word) for word in (ONE - {"a", "an"}) | {"1"}}
_PLAIN_WORDS: dict[str, set[tuple[object, str]]] = {
    "count": _COUNTS | {(6, "half")},
    "male": {(n, word) for n, word in _COUNTS if n},
    "female": {(n, word) for n, word in _COUNTS if n},
    "price": {(0, word) for word in FREE},
    "percent": {(round(share, digits), word) for word, share in SHARES.items() for digits in (0, 1, 2)}
    | {(100, word) for word in WHOLE},
    "value": {(0, word) for word in NONE} | {(share / 100, word) for word, share in SHARES.items()},
}


def _otherwise(tag: Tag, key: str, event: Raw, names: Names) -> list[float]:
    """What a figure may stand for besides itself: other units, pairs, trios, dozens."""
    said = float(tag.value)
    if key == "litres":
        return [said, said * LITRES[names.gallon]["gal"]]  # rounded; "10 gal in 14, 6 in 13"
    if key == "count":
        return [said * 12 / 100] if tag.kind == "frac" else [2 * said, 3 * said, 12 * said]
    if key == "price" and event.get("count"):
        return [said * event["count"] / lot for lot in (1, 2, 3)]
    if key == "percent":
        return [said, 100 * said]
    if key == "amount" and tag.kind in ("frac", "vol"):
        return [said / 100, said / LITRES[names.gallon].get(tag.unit, 1.0)]
    if key != "value":
        return []
    if tag.kind == "frac":
        return [said / 100]
    if event.get("quantity") == "temperature" or event.get("what") == "heater_c":
        return [round((said - 32) * 5 / 9, 1)]
    return [said * 25.4, said * 10] if event.get("quantity") == "length" else []
