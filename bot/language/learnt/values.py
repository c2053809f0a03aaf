"""What a stretch of a note says in the part it plays: which place, how many, how much."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from bot.language.learnt.sounding import batch_heard, number_heard, place_heard
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.everyday import is_everyday
from bot.language.text.names import Names
from bot.language.times.days import Clock
from shared.quantities import LITRES, celsius_of, litres_of

ONE = frozenset(["a", "an", "one", "another", "single", "lone"])
NONE = frozenset(["no", "none", "nothing", "nil", "nada", "zip", "zilch", "zero", "naught", "nought", "empty", "bare"])
NONE |= {"nowt", "nobody", "noughts", "nae", "non", "ziltch", "neither"}
FREE = frozenset(
    ["free", "gift", "nothing", "gratis", "swap", "gave", "given", "giving", "traded", "trade", "swapped", "present"]
)
PER = frozenset(["each", "ea", "per", "apiece", "a piece", "pair", "pr", "@"])  # beside a price: of one, of two
BLUE = "blue"  # alone, what is put in for fungus
_NAMED = frozenset(
    "num place batch line culture pct frac money deg amount vol day clock person size len dur times".split()  # noqa: SIM905
)
SHARES = {
    **dict.fromkeys(("half", "halves"), 50.0),
    **dict.fromkeys(("third", "thirds"), 100 / 3),
    **dict.fromkeys(("quarter", "quarters", "qtr", "qtrs", "fourth", "fourths"), 25.0),
    **dict.fromkeys(("fifth", "fifths"), 20.0),
    **dict.fromkeys(("sixth", "sixths"), 100 / 6),
    **dict.fromkeys(("eighth", "eighths"), 12.5),
    **dict.fromkeys(("tenth", "tenths"), 10.0),
}  # where they are not tagged as fractions: "(third)", "their fifths"
WHOLE = frozenset(["full", "whole", "all"])  # said of how much water was changed: 100 %
_ITEMS = {
    "glass": "wiped wipe wiping scraped scraping scrape scrubbed scrub gl gls glas algae front fronts",
    "light": "lamp lamps bulb bulbs hood hoods",
    "sponge filter": "squeezed squeeze squeezing sq sqz sqzd squeezes sqd sp spg spng sponj spunge",
    "filter": "fliter fiter flter filtr fltr filer",
    "heater": "watt watts watter watter's",
}
ITEM_OF = {word: item for item, words in _ITEMS.items() for word in words.split()}  # gear that the deed tells
_SIGNS = ("food", "substance", "item", "quantity", "group", "role", "unit")
_TO_GROUPS = frozenset(["water_change", "feed", "top_off", "measure"])  # told of "all egg tubs" as such
_OF_TANKS = frozenset(["setting", "snooze"])  # told of a tank and its gear where only its fish are named
_MAY_BE_EMPTY = frozenset(["move", "stock_in", "new_place", "close_place", "setting"])
MOST_IN_A_ROW = 30
_FEW = 2


class Spot(NamedTuple):
    """Places, or a batch."""

    places: tuple[str, ...] = ()
    batch: str | None = None


def may_play_a_part(tag: Tag, names: Names) -> bool:
    """Whether a stretch may be a fact of an event: a name, a number, a food; not the words around it."""
    if tag.kind in _NAMED or any(sort in tag.senses for sort in _SIGNS):
        return True
    if tag.kind == "word" and (tag.word in SHARES or tag.word in WHOLE or tag.word == BLUE):
        return True
    if tag.kind in ("word", "lex") and tag.word in ITEM_OF:
        return True
    if tells_of_a_mop(tag) or _may_be_a_name(tag) or tag.says("volume"):
        return True
    if tag.word in (ONE - {"a", "an"}) | NONE | FREE:
        return True
    return tag.word not in ("a", "i") and initial_of(tag) in names.by_id


def tells_of_a_mop(tag: Tag) -> bool:
    """Whether a stretch alone may say that a mop went back in where the last one came out."""
    return tag.says("noun", "mop") or tag.says("cue", "mop_in")


def base(kind: str) -> str:
    """The kind of event alone: "culture" of "culture.feed"."""
    return kind.split(".")[0]


def spot_of(tags: Sequence[Tag], at: int, kind: str, teller: Teller) -> Spot | None:
    """The place or batch a stretch names; None when that is not certain."""
    tag, names = tags[at], teller.names
    if tag.kind in ("place", "size"):
        found = _with_its_fish(tags, at, names) if tag.kind == "size" else tuple(tag.value or ())
        return Spot(found) if found and (tag.kind == "place" or len(found) == 1) else None
    if tag.kind == "batch":
        return Spot(batch=str(tag.value)) if tag.value else None
    if tag.kind == "line":
        return _spot_of_line(tags, at, kind, teller)
    if tag.kind == "vol" or (tag.kind == "amount" and tag.unit == "g"):
        return _only(places_of_volume(tag, names))
    if "group" in tag.senses:
        return _spot_of_group(tags, at, kind, names)
    if (role := tag.one("role")) is not None:
        if several := _counted_of_role(tags, at, role, names):
            return Spot(several)
        return _spot_of_role(tag, role, kind, names) or _only(_of_role_with_fish(tags, at, role, names))
    if (batch := batch_heard(tags, at, names)) is not None:
        return Spot(batch=batch)
    place = place_heard(tags, at, names)
    return _spot_by_number(tag, names) if place is None else Spot((place,))


def _with_its_fish(tags: Sequence[Tag], at: int, names: Names) -> tuple[str, ...]:
    """Of the tanks of a size the one with the fish said behind it, or with none: "the 5.5 with the clowns"."""
    places = tuple(tags[at].value or ())
    if any(t.word in ("empty", "spare") for t in (*tags[max(0, at - 2) : at], *tags[at + 1 : at + 4])):
        return tuple(p for p in places if names.place_of[p].role == "empty") or places
    fish = next((t for t in tags[at + 1 : at + 4] if t.kind == "line"), None)
    held = tuple(p for p in places if fish is not None and set(fish.value) & set(names.lines_in(p)))
    return held if len(held) == 1 else places


def _only(places: tuple[str, ...]) -> Spot | None:
    return Spot(places) if len(places) == 1 else None


def _spot_by_number(tag: Tag, names: Names) -> Spot | None:
    if tag.kind == "clock":
        return _only(names.by_id.get(str(tag.value.hour), ()))
    if letter := initial_of(tag):
        return _only(names.by_id.get(letter, ()))
    if not (tag.kind == "num" or idle_number(tag)) or tag.value != int(tag.value):
        return None
    if tag.low is None:
        return _only(names.by_id.get(str(int(tag.value)), ()))
    if tag.low != int(tag.low) or tag.value - tag.low > MOST_IN_A_ROW:
        return None
    found = [names.by_id.get(str(n), ()) for n in range(int(tag.low), int(tag.value) + 1)]
    return Spot(tuple(x[0] for x in found)) if all(len(x) == 1 for x in found) else None


def _spot_of_group(tags: Sequence[Tag], at: int, kind: str, names: Names) -> Spot | None:
    group = str(tags[at].one("group"))
    if group == "all tanks" and at and tags[at - 1].says("noun", "adults"):
        group = "all adults"  # "all the adult tanks"
    if base(kind) in _TO_GROUPS | {"service", "dose"}:
        return Spot((group if group.startswith("all") else f"all {group}",))
    places = places_of_group(names, group)
    return Spot(places) if places else None


def _spot_of_role(tag: Tag, role: str, kind: str, names: Names) -> Spot | None:
    """The places of a role: the one there is, or of "the nurseries" each; "the fry" are fed as such."""
    if role == "fry" and base(kind) in _TO_GROUPS:
        return Spot(("all fry",))
    found = places_said(tag, names)
    if found:
        return Spot(found)
    found = tuple(p.name for p in names.places if p.role == role)
    if len(found) > 1 and base(kind) not in _MAY_BE_EMPTY:
        found = tuple(place for place in found if names.batches_in(place))  # of two nurseries the one with fish
    return _only(found)


def _counted_of_role(tags: Sequence[Tag], at: int, role: str, names: Names) -> tuple[str, ...]:
    """The places of a role where it is said how many there are: "the two nursery tanks", "both quarantine tubs"."""
    after = tags[at + 1] if at + 1 < len(tags) else None
    if (
        after is None
        or not after.says("noun", "tank")
        or not any(t.word in ("two", "both") for t in tags[max(0, at - 2) : at])
    ):
        return ()
    found = tuple(p.name for p in names.places if p.role == role)
    return found if len(found) == _FEW else ()


def stands_for_the_rest(tags: Sequence[Tag], at: int) -> bool:
    """Whether all but those told of before are said: "the rest", "all the others", "the rest of the fry"."""
    before = [t.word for t in tags[max(0, at - 3) : at] if t.word != "the"]
    if "group" in tags[at].senses and before[-2:] == ["rest", "of"]:
        return True
    return tags[at].word in _REST and (at + 1 == len(tags) or tags[at + 1].word != "of")


_REST = frozenset(["rest", "others"])


def _of_role_with_fish(tags: Sequence[Tag], at: int, role: str, names: Names) -> tuple[str, ...]:
    """Of several places of a role the one with the fish said beside it: "the gularis grow-out"."""
    fish = next((t for t in (*reversed(tags[max(0, at - 1) : at]), *tags[at + 1 : at + 5]) if t.kind == "line"), None)
    lines = set(fish.value) if fish is not None else set()
    return tuple(p.name for p in names.places if p.role == role and lines & set(names.lines_in(p.name)))


def places_said(tag: Tag, names: Names) -> tuple[str, ...]:
    """The places of a group or a role said of several: "the egg tubs", "both grow-outs"."""
    if (group := tag.one("group")) is not None:
        return places_of_group(names, group)
    role = tag.one("role") if tag.word.endswith("s") else None
    return tuple(p.name for p in names.places if role is not None and p.role == role)


def _spot_of_line(tags: Sequence[Tag], at: int, kind: str, teller: Teller) -> Spot | None:
    """Where fish of a line may be told of, when only they are named; "the medaka tank" is that of the breeders."""
    tag, names = tags[at], teller.names
    found = teller.spots_by_line(base(kind), list(tag.value))
    if base(kind) == "feed":
        found = tuple(p for p in found if p not in names.place_of or names.place_of[p].role != "eggs")
    found = _of_stage(tags[max(0, at - 1) : at + 3], found, names) if len(found) > 1 else found
    if len(found) != 1:
        own = tuple(p.name for p in names.places if p.line in tag.value and p.role == "breeders")
        if len(own) == _FEW and any(t.word in ("both", "two") for t in tags[max(0, at - 2) : at]):
            return Spot(own)  # "both gardneri tanks"
        beside = base(kind) in _OF_TANKS or (at + 1 < len(tags) and tags[at + 1].says("noun", "tank"))
        found = own if beside else ()
    if len(found) != 1:
        return None
    return Spot(batch=found[0]) if found[0] in names.batch_of else Spot(found)


def likely_spot_of_line(tags: Sequence[Tag], at: int, kind: str, teller: Teller) -> Spot | None:
    """Where fish of a line are likeliest told of, where they are kept in several places: with the breeders.

    A word for several lines is likeliest said of the first, to which it is nearest. It is a guess, to be asked about.
    """
    tag, names = tags[at], teller.names
    if len(tag.value) > _FEW:
        return None  # "the killies"
    found = teller.spots_by_line(base(kind), list(tag.value[:1]))
    found = _of_stage(tags[max(0, at - 1) : at + 3], found, names) if len(found) > 1 else found
    own = tuple(p.name for p in names.places if p.line == tag.value[0] and p.role == "breeders")
    spot = found if len(found) == 1 else own
    if len(spot) != 1:
        return None
    return Spot(batch=spot[0]) if spot[0] in names.batch_of else Spot(spot)


def _of_stage(beside: Sequence[Tag], found: tuple[str, ...], names: Names) -> tuple[str, ...]:
    """Of the places of a line those of the stage or the role the words beside it say: "gularis fry"."""
    stage = next((s for t in beside for s in ("fry", "juveniles", "adults", "eggs") if t.says("noun", s)), None)
    role = next((t.one("role") for t in beside if t.says("role")), None)
    fit = tuple(
        place
        for place in found
        if any(b.stage == stage for b in names.batches_in(place))
        or (place in names.place_of and names.place_of[place].role == ("breeders" if stage == "adults" else role))
    )
    return fit or found


def places_of_volume(tag: Tag, names: Names) -> tuple[str, ...]:
    """The places that hold just so much water: "the 30 gallon", "29g"."""
    said = litres_said(tag, names)
    if said is None:
        return ()
    held = ((p.name, _litres(p.volume)) for p in names.places if p.volume)
    return tuple(name for name, litres in held if litres and abs(litres - said) < litres / 50)


def _litres(volume: str) -> float:
    try:
        return litres_of(volume)
    except ValueError:  # "half a barrel"
        return 0.0


def culture_like(name: str, food: str | None) -> bool:
    """Whether a culture is one of a food: "microworm 2" of "microworms"."""
    return bool(food) and name.rstrip(" 0123456789").rstrip("s") == str(food).rstrip("s")


def food_of(culture: str) -> str:
    """What a culture is harvested as."""
    name = culture.rstrip(" 0123456789")
    return {"microworm": "microworms", "vinegar eel": "vinegar eels"}.get(name, name)


def litres_said(tag: Tag, names: Names) -> float | None:
    """The litres a stretch says: "10 l", and "5g", which are gallons where water is changed."""
    if tag.low is not None or not isinstance(tag.value, int | float):
        return None
    if tag.kind == "vol":
        return round(float(tag.value), 1)
    if tag.kind == "amount" and tag.unit == "ml":
        return round(tag.value / 1000, 2)
    return round(tag.value * LITRES[names.gallon]["gal"], 1) if tag.kind == "amount" and tag.unit == "g" else None


def _may_be_a_name(tag: Tag) -> bool:
    """Whether a word taken for a slip of another may be a name: Walt is no slip of "want"."""
    return len(tag.typed) > 3 and not is_everyday(tag.typed)


def clock_of(tag: Tag) -> Clock | None:
    """The time of day a stretch says; a number alone is an hour, or hours and minutes."""
    if tag.kind == "clock":
        return tag.value if isinstance(tag.value, Clock) else None
    if tag.kind != "num" or tag.low is not None or not isinstance(tag.value, int | float):
        return None
    if tag.value == int(tag.value) and 1 <= tag.value <= 24:
        return Clock(int(tag.value) % 24)
    hour, minute = divmod(round(tag.value if tag.value >= 100 else tag.value * 100), 100)
    early = "24" if tag.word[:1] == "0" and len(tag.word.split(".")[0]) == len("07") else ""  # "07.10"
    return Clock(hour, minute, early) if 1 <= hour <= 23 and minute < 60 else None


def places_of_group(names: Names, group: str) -> tuple[str, ...]:
    """The places of a group: "all egg tubs"."""
    stage = "eggs" if "egg" in group else "fry" if "fry" in group else None
    return tuple(
        p.name
        for p in names.places
        if (p.kind == "tub" or "tub" not in group)
        and (stage is None or any(b.stage == stage for b in names.batches_in(p.name)))
    )


def initial_of(tag: Tag) -> str:
    """The letter or the digit that a word is, of "b's" too; empty where it is none."""
    letter = tag.word.removesuffix("'s") if tag.kind in ("word", "lex") else ""
    return letter if len(letter) == 1 and letter.isalnum() else ""


def number_of(tag: Tag) -> float | None:
    """The number a stretch says; None for a range, and for what is no number."""
    if tag.kind == "word" and not idle_figure(tag):
        return SHARES.get(tag.word)
    if tag.low is not None or not isinstance(tag.value, int | float):
        return None
    return float(tag.value)


def idle_number(tag: Tag) -> bool:
    """Whether a word is a number that may have been meant otherwise: the "one" of "the mop in one"."""
    return tag.kind == "word" and tag.note == "idle" and isinstance(tag.value, float)


def idle_figure(tag: Tag) -> bool:
    """Whether a word is a figure that may have been meant as "to": "2 hatch"."""
    return tag.word.isdigit() and idle_number(tag)


def count_of(tags: Sequence[Tag], at: int) -> int | None:
    """How many: a number, "another" for one, "none" for nothing; pairs are two each and trios three."""
    tag = tags[at]
    said = 1.0 if tag.word in ONE else 0.0 if tag.word in NONE else number_of(tag)
    said = number_heard(tags, at) if said is None else said
    if tag.kind in ("frac", "word") and said == _HALF and _dozen_behind(tags, at):
        return 6
    if said is None or tag.kind == "frac":
        return None
    said *= lot_of(tags, at)
    return int(said) if said == int(said) else None


def lot_of(tags: Sequence[Tag], at: int) -> int:
    """How many each that a number counts is: two of "2 pairs", three of "1 lampeye trio", twelve of "2 doz"."""
    if _dozen_behind(tags, at):
        return 12
    of_the = [tag.word for tag in tags[at + 1 : at + 3]] == ["of", "the"]  # "two of the medaka pairs"
    start = at + 3 if of_the else at + 1
    for n, tag in enumerate(tags[start : start + 3], start):
        if tag.says("noun", "pair", "trio") and (tag.word.endswith("s") or not of_the):
            if any(t.word == "eyes" for t in tags[n + 1 : n + 5]):
                return 1  # "nine pairs of eyes"
            return 2 if tag.says("noun", "pair") else 3
        if tag.kind not in ("word", "lex", "line", "batch") or tag.word in _ENDS_A_LOT:
            break
    return 1


def _dozen_behind(tags: Sequence[Tag], at: int) -> bool:
    behind = tags[at + 1 : at + 3]
    if tags[at].kind in ("frac", "word") and behind and behind[0].word == "a":
        behind = behind[1:]
    return bool(behind) and behind[0].word in _DOZEN


_HALF = 50.0
_DOZEN = frozenset(["dozen", "doz", "duz", "dz"])
_ENDS_A_LOT = frozenset(["a", "and", "for", "at", "per", "the", "from", "off", "out", "in", "into", "to"])


def degrees_of(tag: Tag, value: float) -> float:
    """Degrees Celsius of a temperature as said; no aquarium is warmer than 45 °C, so more is Fahrenheit."""
    fahrenheit = tag.kind == "deg" and tag.unit == "f"
    return round(celsius_of(value), 1) if fahrenheit or value > _WARMEST else value


_WARMEST = 45.0  # °C; common practice, no source
