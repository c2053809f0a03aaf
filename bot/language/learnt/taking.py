"""What each part a word plays adds to its event: a count, an end of a move, an amount, a buyer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from bot.language.learnt.alone import litres_alone, measure_of
from bot.language.learnt.cultures import number_of_culture, numbered, stem_of, told_of_all
from bot.language.learnt.sounding import value_heard
from bot.language.learnt.values import (
    BLUE,
    FREE,
    ITEM_OF,
    NONE,
    WHOLE,
    count_of,
    culture_like,
    food_of,
    initial_of,
    litres_said,
    number_of,
    spot_of,
)
from bot.language.tags import Tag
from bot.language.text.everyday import is_everyday
from bot.language.times.days import Clock
from shared.quantities import LITRES

if TYPE_CHECKING:
    from bot.language.learnt.parts import Telling

Raw = dict[str, Any]
Take = Callable[["Telling", Raw, int, str], None]
_SEXED = frozenset(["move", "sale", "stock_in", "reserve"])


def _take_except(telling: Telling, event: Raw, at: int, kind: str) -> None:
    spot = spot_of(telling.tags, at, kind, telling.teller)
    telling.whole = telling.whole and spot is not None and spot.batch is None
    event["except"] = [*event.get("except", []), *(spot.places if spot else ())]


def _take_end(end: str) -> Take:
    def take(telling: Telling, event: Raw, at: int, kind: str) -> None:
        spot = spot_of(telling.tags, at, kind, telling.teller)
        batch = telling.names.batch_of.get(spot.batch or "") if spot else None
        place = batch.place if batch else spot.places[0] if spot and len(spot.places) == 1 else None
        telling.whole = telling.whole and place is not None
        event[end] = place

    return take


def _take_line(telling: Telling, event: Raw, at: int, kind: str) -> None:
    tag = telling.tags[at]
    if tag.kind == "batch":
        event["batch"] = tag.value
    elif tag.kind == "line":
        event["_lines"] = tuple(tag.value)


def _take_count(key: str) -> Take:
    def take(telling: Telling, event: Raw, at: int, kind: str) -> None:
        said = number_of(telling.tags[at]) if event["kind"] == "eyed" else None  # a pair of eyes is one egg's
        event[_as_said(telling.tags, at, key)] = count_of(telling.tags, at) if said is None else int(said)
        if key == "count" and event["kind"] in _SEXED and (sex := _sex_beside(telling.tags, at)):
            event[sex] = event[key]

    return take


def _take_more(telling: Telling, event: Raw, at: int, kind: str) -> None:
    """What is to be added to the count: "two brown, two clear", "sold 2, gave 1"."""
    more = count_of(telling.tags, at)
    if more is None or event.get("count") is None:
        telling.whole = False
        return
    event["count"] += more
    if kind == "pull" and any(t.says("cue", "bad", "bad_weak") for t in telling.tags[at + 1 : at + 3]):
        event["_bad"] = more  # "9 good, 2 bad"


_SEXES = {"male": "male", "males": "male", "female": "female", "females": "female"}


def _as_said(tags: Sequence[Tag], at: int, key: str) -> str:
    """The key of a count of one sex: the word behind it decides, "6 males"."""
    of_two = at > 0 and tags[at - 1].says("noun", "male", "female")  # "males 6 females 4"
    after = tags[at + 1].word if at + 1 < len(tags) else ""
    return key if of_two or key == "count" else _SEXES.get(after, key)


def _sex_beside(tags: Sequence[Tag], at: int) -> str | None:
    """The sex of those counted: "four females", "the young males (five of them)"."""
    found = {sex for t in tags[max(0, at - 3) : at + 4] for sex in ("male", "female") if t.says("noun", sex)}
    return found.pop() if len(found) == 1 else None


def _take_weeks(telling: Telling, event: Raw, at: int, kind: str) -> None:
    said = number_of(telling.tags[at])
    event["weeks"] = int(said) if said is not None else None


def _take_percent(telling: Telling, event: Raw, at: int, kind: str) -> None:
    said = 100.0 if telling.tags[at].word in WHOLE else number_of(telling.tags[at])
    if said is not None:
        event["percent"] = said * 100 if telling.tags[at].kind == "num" and said <= 1 else said


def _take_litres(telling: Telling, event: Raw, at: int, kind: str) -> None:
    tag = telling.tags[at]
    alone = litres_alone(telling.tags, at, telling.names)
    event["litres"] = litres_said(tag, telling.names) if alone is None else alone
    if event["litres"] is None and tag.kind == "num" and tag.low is None:
        event["litres"] = round(tag.value * _litres_each(telling, at), 1)


_LITRE = frozenset(["l", "lt", "lts", "ltr", "ltrs", "liter", "liters", "litre", "litres", "leter", "leters"])


def _litres_each(telling: Telling, at: int) -> float:
    """The litres of one, where a figure has its unit elsewhere: "litres: 13 50, 14 60"; else it is a gallon."""
    tags, measures = telling.tags, LITRES[telling.names.gallon]
    if any(t.word in _LITRE for t in tags[at + 1 : at + 2]):
        return 1.0
    for t in (*tags[at + 1 :], *reversed(tags[:at])):
        if t.kind in ("vol", "amount") and t.unit in ("g", "gal"):
            return measures["gal"]
        if t.kind == "vol" or t.word in _LITRE:
            return measures.get(t.unit, 1.0) if t.kind == "vol" else 1.0
        if t.says("volume") or t.word in ("gal", "gals", "gallons"):
            return measures.get(str(t.one("volume") or "gal"), measures["gal"])
    telling.whole = False
    return measures["gal"]


def _take_amount(telling: Telling, event: Raw, at: int, kind: str) -> None:
    tag = telling.tags[at]
    if (alone := measure_of(telling.tags, at)) is not None:
        event["amount"], event["unit"] = alone, tag.one("unit") or tag.one("volume")
        return
    said = number_of(tag)
    if said is None:
        return
    if tag.kind == "frac":
        said /= 100  # a quarter teaspoon
    elif tag.kind == "vol":
        said = round(said / LITRES[telling.names.gallon].get(tag.unit, 1.0), 3)
    event["amount"] = said
    beside = [*telling.tags[at + 1 : at + 3], *reversed(telling.tags[max(0, at - 3) : at])]  # "drops (3)"
    units = (t.one("unit") for t in beside if t.says("unit"))
    event["unit"] = tag.unit or _spelt_behind(telling, at) or next(units, None) or _unit_elsewhere(telling)


def _spelt_behind(telling: Telling, at: int) -> str | None:
    """The measure right behind a figure, misspelt, cut short or in two: "1 tb", "two tea spoons", "half a cup"."""
    tenths = 2 if any(t.word == "" and t.kind == "word" for t in telling.tags[at + 2 : at + 3]) else 0  # "1,5 tsp"
    first = at + 1 + tenths
    said = [t for n, t in enumerate(telling.tags[first : first + 3], first) if telling.roles[n] == "_"]
    behind = [t for t in said if t.word not in ("of", "a", "")]
    if not behind or said[0].kind == "punct":
        return None
    one = behind[0]
    spoon = "".join(t.word for t in behind[:2])
    if one.typed == "T" or spoon in ("tablespoon", "tablespoons"):
        return "tbsp"
    if spoon in ("teaspoon", "teaspoons"):
        return "tsp"
    return _SPELT.get(one.typed) or _SPELT.get(one.word) or one.one("unit") or one.one("volume")


_SPELT = {"drips": "drop", "drip": "drop", "dp": "drop", "dps": "drop", "d": "drop", "dr": "drop", "drps": "drop"}
_SPELT |= {
    "tps": "tsp",
    "tbs": "tbsp",
    "tb": "tbsp",
    "cpu": "cup",
    "cpus": "cup",
    "lf": "leaf",
    "lvs": "leaf",
    "leafs": "leaf",
}
_SPELT |= dict.fromkeys(("cap", "caps", "capful", "capfuls"), "cap")


def _unit_elsewhere(telling: Telling) -> str | None:
    """The measure of a figure that has none beside it: "drops: 2 in A, 3 in B"."""
    last = next((e for e in reversed(telling.events) if e["kind"] == "dose"), {})
    said = {
        t.unit if t.kind == "amount" else t.one("unit") for t in telling.tags if t.kind == "amount" or t.says("unit")
    }
    return last.get("unit") or (said.pop() if len(said) == 1 else None)


def _take_price(telling: Telling, event: Raw, at: int, kind: str) -> None:
    tag = telling.tags[at]
    said = 0.0 if tag.word in FREE else number_of(tag)
    event["price"] = said
    event["_priced"] = at


def _take_value(telling: Telling, event: Raw, at: int, kind: str) -> None:
    tag = telling.tags[at]
    said = 0.0 if tag.word in NONE and tag.kind in ("word", "lex") else number_of(tag)
    weak = isinstance(tag.value, Clock) and tag.note == "weak"
    said = float(tag.value.hour) if weak and event["kind"] == "measure" else said  # "nitrate at 10"
    free = at + 1 < len(telling.tags) and telling.roles[at + 1] == "_"  # "nitrate five eleven": of 11?
    heard = value_heard(telling.tags, at) if event["kind"] == "measure" and free else None
    if heard is not None:
        said, telling.whole = heard, telling.whole and tag.kind == "len"
    event["value"] = said / 100 if said is not None and tag.kind in ("frac", "word") else said  # "half a part"
    event["_value"] = tag
    if event["kind"] == "measure" and (tag.kind == "len" or (tag.kind == "deg" and tag.unit in ("f", "c"))):
        event.setdefault("quantity", "length" if tag.kind == "len" else "temperature")


AS_WRITTEN = ("wafer", "tablet", "earthworm")  # foods of many sorts
_FROZEN = frozenset(["frozen", "frzen", "frzn", "frz", "frozn", "fzn", "froz", "frozin", "freezer", "thawed"])
_CUBES = frozenset(["cube", "cubes"])


def _take_word(sort: str) -> Take:
    def take(telling: Telling, event: Raw, at: int, kind: str) -> None:
        tag = telling.tags[at]
        grown = food_of(str(tag.value)) if sort == "food" and tag.kind == "culture" else None
        as_written = tag.word if tag.word.rstrip("s").endswith(AS_WRITTEN) else None  # "algae wafers"
        deed = ITEM_OF.get(tag.word) if sort == "item" and not tag.says(sort) else None
        telling.whole = telling.whole and deed is None
        said = grown or as_written or deed or tag.one(sort) or (tag.word if tag.kind in ("word", "lex") else None)
        said = "methylene blue" if sort == "substance" and said == BLUE else said
        said = _prepared(telling.tags, at, str(said)) if sort == "food" and said else said
        if said:
            event[sort] = f"{event[sort]} {said}" if event.get(sort) and not tag.says(sort) else said

    return take


def only_worms(telling: Telling, event: Raw, facts: Sequence[int]) -> None:
    """Worms of no sort, once it is known who had them: the small ones are for fry."""
    said = [telling.tags[at].word for at in facts if telling.roles[at] == "food"]
    known = [telling.names.place_of.get(place) for place in event.get("places") or ()]
    grown = known and all(place is not None and place.role == "breeders" for place in known)
    if grown and event.get("food") == "microworms" and said == ["worms"]:
        event["food"] = "worms"


def _prepared(tags: Sequence[Tag], at: int, food: str) -> str:
    """A food with the word that makes it another: "brine (frozen)", "sinking pellets"."""
    before = tags[at - 1].word if at else ""
    beside = [*tags[max(0, at - 1) : at], *tags[at + 1 : at + 3]]
    cube = before == "of" and at > 1 and tags[at - 2].word in _CUBES
    if food == "brine shrimp" and (cube or {word for t in beside for word in (t.word, t.typed)} & _FROZEN):
        return "frozen brine shrimp"
    if food == "daphnia" and tags[at].word.startswith("frozen"):
        return "frozen daphnia"
    return f"sinking {food}" if food in ("pellets", "wafer") and before == "sinking" else food


def _take_culture(telling: Telling, event: Raw, at: int, kind: str) -> None:
    """Which culture: by its name, by its food where there is one, by its number, or both that there are."""
    tag, names = telling.tags[at], telling.names
    if tag.kind == "culture" and isinstance(tag.value, str):
        event["culture"] = tag.value if not tag.note or kind == "culture.start" else None
        return
    if (number := number_of_culture(tag)) is not None:
        event["culture"] = _culture_by_number(telling, at, number, kind)
        return
    told = tag.value if tag.kind == "culture" else None
    fit = list(told or [c for c in names.cultures if culture_like(c, tag.one("food"))])
    several = any(t.word in _EACH for t in telling.tags[max(0, at - 3) : at + 5])
    event["culture"] = fit[0] if len(fit) == 1 else None
    event["_cultures"] = fit if len(fit) > 1 and several else None
    if not fit and kind == "culture.start":
        event["culture"] = tag.one("food")  # the first of its sort
    elif len(fit) > 1 or kind == "culture.start":
        _settle_number(telling, event, at, fit, kind)


def _settle_number(telling: Telling, event: Raw, at: int, fit: Sequence[str], kind: str) -> None:
    """Of several cultures the one whose number is said, be it elsewhere in the note."""
    found, alone = numbered(telling.tags, telling.roles, at, fit, kind, telling.names)
    if found is not None:
        event["culture"], event["_cultures"] = found, None
        telling.whole = telling.whole and alone
    elif len(fit) > 1 and told_of_all(telling.tags):
        event["_cultures"] = list(fit)


def _culture_by_number(telling: Telling, at: int, number: int, kind: str) -> str | None:
    """The culture of a number: of the sort told of before, else the only one that has it, "1 and 2 had oats"."""
    names = telling.names.cultures
    before = [str(t.value) for t in telling.tags[:at] if t.kind == "culture" and isinstance(t.value, str)]
    if before:
        name = f"{stem_of(before[-1])} {number}"
        return name if name in names or kind == "culture.start" else None
    found = [name for name in names if name == f"{stem_of(name)} {number}"]
    return found[0] if len(found) == 1 else None


_EACH = frozenset(["both", "all", "each", "every"])


def _whose(telling: Telling, at: int) -> str:
    """Whose wife or neighbour somebody is who is not named: "Kofi's auntie"."""
    before = telling.tags[at - 1] if at and telling.roles[at - 1] == "_" else None
    if before is None or not before.word.endswith("'s"):
        return ""
    name = before.word.removesuffix("'s")
    return f"{name.capitalize()}'s" if name and (before.kind == "person" or not is_everyday(name)) else ""


def called(tag: Tag) -> str:
    """What somebody is called: as known, else by the word as it was written."""
    if tag.kind == "person":
        return str(tag.value)
    return (initial_of(tag) or tag.typed or tag.word).removesuffix("'s").capitalize()


def _owns(tags: Sequence[Tag], at: int) -> bool:
    """Whether a name written without its apostrophe owns what stands behind it: "cancel priyas 4 clowns"."""
    after = tags[at + 1] if at + 1 < len(tags) else None
    of_fish = after is not None and (after.kind == "num" or after.says("noun", "pair", "trio"))
    return of_fish and tags[at].kind in ("word", "lex") and tags[at].word.endswith("s")


def _take_person(key: str) -> Take:
    def take(telling: Telling, event: Raw, at: int, kind: str) -> None:
        tag = telling.tags[at]
        said = called(tag)
        if event["kind"] == "release" and _owns(telling.tags, at):
            said, telling.whole = said.removesuffix("s"), False  # "cancel priyas pair": or is it James
        if (kin := _whose(telling, at)) and tag.kind in ("word", "lex"):
            said = f"{kin} {said.lower()}"
        if said and event.get(key) != said:
            event[key] = f"{event[key]} {said}" if event.get(key) else said

    return take


TAKES: dict[str, Take] = {
    "except": _take_except,
    "to": _take_end("to"),
    "from": _take_end("from"),
    "line": _take_line,
    **{key: _take_count(key) for key in ("count", "male", "female")},
    "more": _take_more,
    "weeks": _take_weeks,
    "percent": _take_percent,
    "litres": _take_litres,
    "amount": _take_amount,
    "price": _take_price,
    "value": _take_value,
    **{sort: _take_word(sort) for sort in ("food", "substance", "item", "quantity", "cause")},
    "culture": _take_culture,
    "buyer": _take_person("buyer"),
    "source": _take_person("source"),
}
