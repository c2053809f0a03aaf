"""Setting up a room in the keeper's own words: places with their sizes and roles, and which fish stand where.

Strict on purpose: every word must be understood, else it is not taken as setting up and is read as a note.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from bot import sentences as say
from bot.language.text.everyday import is_everyday
from bot.language.text.vocabulary import DOMAIN
from bot.routine.taken import Scene, Taken
from shared.events import PlaceClosed
from shared.ledger.standing import Standing
from shared.quantities import litres_of
from shared.species import Species, find_species

KINDS = {"tank": "tank", "tub": "tub", "jar": "jar", "bowl": "bowl", "box": "box", "bucket": "bucket", "bag": "bag"}
ROLES = {
    "breeder": "breeders",
    "breeders": "breeders",
    "breeding": "breeders",
    "egg": "eggs",
    "eggs": "eggs",
    "fry": "fry",
    "nursery": "nursery",
    "nurseries": "nursery",
    "grow-out": "grow-out",
    "grow-outs": "grow-out",
    "growout": "grow-out",
    "grow out": "grow-out",
    "growouts": "grow-out",
    "quarantine": "quarantine",
    "empty": "empty",
}
_PLURAL = "|".join(f"{k}e?s?" for k in KINDS)
_ITEM = r"(?:\d{1,3}|[a-z])"
_RANGE = rf"{_ITEM}(?:\s*(?:-|–|to|thru|through)\s*{_ITEM})?"
_PLACES = re.compile(rf"^(?:(?P<kind>{_PLURAL})\s+)?(?P<items>{_RANGE}(?:(?:\s*,\s*|\s*&\s*|\s+and\s+){_RANGE})*)\b")
_SIZE = re.compile(
    r"^(?:a\s+|an\s+)?(?:(?P<n>\d+(?:[.,]\d+)?)[\s-]*|(?=(?:one[\s-]+)?(?:pint|quart|qt|cup|gallon|lit)))(?:one[\s-]+)?(?P<unit>gallons?|gal|g|quarts?|qts?|pints?|cups?|lit(?:re|er)s?|l|ml)\b"
    r"(?:\s+(?:tanks?|tubs?|each|highs?|longs?|breeders?))*"
)
_SHAPE = re.compile(
    r"^(?:a\s+)?(?P<n>\d+(?:\.\d+)?)\s+(?:breeders?|highs?|longs?)\b|^a\s+(?P<bare>\d+(?:\.\d+)?)(?=\s*(?:$|[,;]))"
    r"|^(?P<several>\d+(?:\.\d+)?)'?s(?=\s*(?:$|[,;]|and\b))"
)
_JOINS = re.compile(
    r"^(?:\s|,|;|\.|:|=|-|–|\band\b|\bare\b|\bis\b|\bfor\b|\bwith\b|\bhas\b|\bhave\b|\bholds?\b|\beach\b|\ball\b|\bas\b|\bthe\b"
    r"|\b(?:shoebox|specimen|plastic|glass|deli|small|little|big|large|old|new) (?=(?:tub|tank|jar)s?\b)"
    r"|\b(?:tubs?|tanks?|jars?|shoeboxes)(?=\s*(?:[,;:]|$)))+"
)
_APART = re.compile(r"\s*(?:[,;.]|and\b)\s*(?:and\s+)?")
_SAYS_SO = re.compile(r"\b(?:is|are|has|have|holds?|set ?up|new)\b|[:=]")
_ROLE = re.compile(
    rf"^(?P<role>{'|'.join(sorted(map(re.escape, ROLES), key=len, reverse=True))})\b(?:\s+(?:tanks?|tubs?))?"
)
_LEAD = re.compile(
    r"^(?:hi|hello|ok|okay|so|right|i have|i've got|we have|there are|my room has|my room is|my room|set up|setup|"
    r"new room)[\s,:.!-]+"
)


_SPACED = re.compile(r"^\d{1,3}(?: \d{1,3})+(?= (?:is|are) )")  # “7 8 are empty”
# “12 tanks, 1 to 8 are 10 gallon”, “five pint tubs, A to E”: the kind is said before the numbers.
_COUNT = r"(?:\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|twelve)"
_RANGES = rf"{_RANGE}(?:(?:\s*,\s*|\s*&\s*|\s+and\s+){_RANGE})*"
_SO_MANY = re.compile(rf"^{_COUNT} (?P<kind>tank|tub|jar|bowl)s[,:;-]? (?={_RANGES} (?:is|are)\b)")
_SIZED = re.compile(
    rf"^(?:and )?(?:{_COUNT} )?(?P<size>(?:\d+(?:\.\d+)?[- ])?(?:pint|quart|cup|gallon|gal|lit(?:re|er)|ml|l)) "
    rf"(?P<kind>tub|tank|jar|bowl)s,? (?P<items>{_RANGES})$"
)
_NAMED = re.compile(r"\b(tank|tub|jar|bowl|t)(?:\s?(\d{1,3})|\s([a-z])|(?-i:([A-Z])))\b", re.IGNORECASE)


def unheard_of(text: str, standing: Standing) -> list[str]:
    """Places a note names in a room that has none of that sort yet."""
    sorts = {p.kind for p in standing.places.values() if not p.closed}
    found = []
    for word, number, letter, close in _NAMED.findall(text):
        item = number or letter or close
        sort = "tank" if word.casefold() == "t" else word.casefold()
        name = f"{sort} {item.upper() if item.isalpha() else item}"
        if sort not in sorts and name not in found and not (word == "t" and item.isalpha()):
            found.append(name)
    return found


_DOWN = re.compile(
    r"^(?:remove|delete|get rid of|take (?:down|out)|retire|scrap|close|we took down|i took down|took down) "
    r"(?:the )?(?P<places>.+?)(?: for good| out of use)?$"
    r"|^there(?:'s| is| are) no (?P<no>.+?) any ?more$"
    r"|^(?P<gone>.+?) (?:is|are) (?:gone|no more|out of use)(?: for good)?$"
)


def taken_down(text: str, scene: Scene) -> Taken | None:
    """A tank or tub that is not used any more; never one with fish or eggs on record in it."""
    hit = _DOWN.match(text)
    where = scene.words.where(hit["places"] or hit["no"] or hit["gone"]) if hit else None
    if where is None or not where.places or any(p not in scene.standing.places for p in where.places):
        return None
    if full := not_empty(where.places, scene.standing):
        return Taken(answer=f"{full} Nothing was changed.")
    return Taken(tuple(PlaceClosed(place=p) for p in where.places))


def not_empty(places: Iterable[str], standing: Standing) -> str:
    """What is on record in places that are said to be empty or gone; nothing where they are."""
    full = [p for p in places if any(h.count or not h.counted for h in standing.at_place(p))]
    inside = sorted({f"{h.line} {h.stage}" for p in full for h in standing.at_place(p)})
    told = f"{say.places(full)}: {say.listed(inside)} on record there. Move, sell or log them as lost first."
    return told if full else ""


@dataclass
class _Traits:
    """What is said of some places, and the words after it."""

    taken: dict[str, Any] = field(default_factory=dict)
    lines: dict[str, str | None] = field(default_factory=dict)  # with the species, where that is said too
    rest: str = ""
    apart: bool = False  # whether a comma or an “and” stands before the rest


def declared(text: str, standing: Standing, gallon: str = "us", units: str = "us") -> list[dict[str, Any]] | None:
    """The events (outside form) of a message that sets up places or says who lives where; None when it is a note."""
    rest = " ".join(text.casefold().replace("\n", ", ").split()).strip(" .!")
    while (lead := _LEAD.match(rest)) is not None:
        rest = rest[lead.end() :]
    rest = _SO_MANY.sub(lambda hit: f"{hit['kind']}s ", rest)
    if sized := _SIZED.match(rest):
        rest = f"{sized['kind']}s {sized['items']} are {sized['size']}"
    rest = _SPACED.sub(lambda hit: " and ".join(hit[0].split()), rest)
    spots: dict[str, dict[str, Any]] = {}
    lines: dict[str, str | None] = {}
    kind = _kind_of_numbers(rest, standing)
    bare = kind is not None  # “4 and 5 are lampeyes” only tells of fish
    said_something = False
    apart = False  # whether a comma or an “and” stood before: the number in “tank 13 has 84 gardneri” is no tank
    while rest:
        found = _PLACES.match(rest)
        if not found or not (found["kind"] or (kind and (apart or (bare and not spots)))):
            return None
        kind = next((k for k in KINDS if found["kind"] and found["kind"].startswith(k)), None) or kind
        names = [f"{kind} {item}" for item in _items(found["items"])]
        rest = rest[found.end() :]
        traits = _traits(rest, standing, gallon, units)
        if traits is None:
            return None
        taken, rest, apart = traits.taken, traits.rest, traits.apart
        for name, species in traits.lines.items():
            lines.setdefault(name, species)
        said_something = said_something or bool(taken)
        if (not taken and not found["kind"]) or (bare and not taken.keys() & {"line", "role"}):
            return None
        for name in names:
            spots.setdefault(name, {}).update(taken)
    fresh = [n for n in spots if n not in standing.places]
    if any("litres" in t for n, t in spots.items() if n not in fresh) and not (
        sized or _SAYS_SO.search(text.casefold())
    ):
        return None  # “tank 5 20 l” is water, not a tank's size
    if not spots or not (said_something or len(fresh) > 1):
        return None
    return list(_events(spots, lines, standing))


def _traits(rest: str, standing: Standing, gallon: str, units: str) -> _Traits | None:
    """Size, role and line of the places just named, as many of them as are said; None where it is a note."""
    found = _Traits(rest=rest)
    while True:
        joint = _JOINS.match(found.rest)
        after = found.rest[joint.end() :] if joint else found.rest
        if not joint and found.rest:
            return None
        if size := _SIZE.match(after) or _SHAPE.match(after):
            litres = _litres(size, gallon, units)
            if litres is None:
                return None
            found.taken["litres"] = litres
            found.rest = after[size.end() :]
        elif role := _ROLE.match(after):
            found.taken["role"] = ROLES[role["role"]]
            found.rest = after[role.end() :]
        elif line := line_said(after, standing):
            name, species, length = line
            found.taken["line"] = name
            found.lines.setdefault(name, species)
            found.rest = after[length:]
        else:
            found.apart = bool(found.taken and joint and _APART.fullmatch(joint[0]))
            found.rest = after
            return found


def _litres(size: re.Match[str], gallon: str, units: str) -> float | None:
    """A tank's size in litres; “a 29” is gallons only where gallons are the custom."""
    said = size.groupdict()
    bare = said.get("bare") or said.get("several")
    if bare and units != "us":
        return None
    unit = (said.get("unit") or "gal").rstrip(".")
    unit = "gal" if unit == "g" else unit
    number = said["n"] or bare or "1"
    return round(litres_of(f"{number} {unit}", "imperial" if gallon == "imperial" else "us"), 3)


_SEVERAL = r"(?:\s*,\s*|\s*&\s*|\s+and\s+|\s*-\s*|\s+to\s+|\s+thru\s+|\s+through\s+)"
_NUMBERS = rf"(?:\d{{1,3}}(?:{_SEVERAL}\d{{1,3}})*|[a-h](?:{_SEVERAL}[a-h])+)"
_NUMBERS_ARE = re.compile(rf"(?P<items>{_NUMBERS}) (?P<verb>is|are|has|have|holds?) ")
_NUMBERS_BARE = re.compile(rf"(?P<items>{_NUMBERS})(?P<verb>) (?=(?:{'|'.join(map(re.escape, ROLES))})s?$)")


def _kind_of_numbers(text: str, standing: Standing) -> str | None:
    """What the numbers a text begins with are of, where no word says it: tanks, if all of these are here.

    One number may be a number of fish: “2 are breeders”. Letters are tubs.
    """
    found = _NUMBERS_ARE.match(text) or _NUMBERS_BARE.match(text)
    if not found:
        return None
    items = list(_items(found["items"]))
    kind = "tank" if items[0].isdigit() else "tub"
    if len(items) == 1 and found["verb"] != "is" and _ROLE.match(text[found.end() :]):
        return None
    return kind if all(f"{kind} {item}" in standing.places for item in items) else None


def _items(text: str) -> Iterator[str]:
    for part in re.split(r"\s*,\s*|\s*&\s*|\s+and\s+", text):
        ends = re.split(r"\s*(?:-|–|\bto\b|\bthru\b|\bthrough\b)\s*", part)
        if len(ends) == 2 and ends[0].isdigit() and ends[1].isdigit():
            yield from (str(n) for n in range(int(ends[0]), min(int(ends[1]), int(ends[0]) + 199) + 1))
        elif len(ends) == 2 and len(ends[0]) == len(ends[1]) == 1:
            yield from (chr(n).upper() for n in range(ord(ends[0]), ord(ends[1]) + 1))
        else:
            yield from (e.upper() if e.isalpha() else e for e in ends)


def place_name(said: str) -> str:
    """A place as it is called on record: `tub c`, `tank3` → `tub C`, `tank 3`."""
    kind, item = re.fullmatch(r"([a-z]+)\s?(\w+)", said.casefold()).groups()  # type: ignore[union-attr]
    return f"{kind} {item.upper() if item.isalpha() else item}"


def _singular(said: str, standing: Standing) -> str:
    """“clown killis” as the one fish it names."""
    known = {n.casefold() for n in standing.lines}
    ones = [f"{said[:-3]}y"] if said.endswith("ies") else [said.removesuffix("s")]
    if said.endswith("ys"):
        ones.append(f"{said[:-2]}y")
    named = [n.casefold() for s in [find_species(said)] if s for n in (s.name, *s.common)]
    if said in known or said in named:
        return said
    return next((one for one in ones if one in known or find_species(one)), said)


def line_said(text: str, standing: Standing) -> tuple[str, str | None, int] | None:
    """A line known here, or a species by its scientific or common name, at the beginning of the text."""
    words = text.split()
    for count in range(min(4, len(words)), 0, -1):
        said = _singular(" ".join(words[:count]).strip(" ,.;"), standing)
        for known in standing.lines:
            if said == known.casefold():
                return (
                    known,
                    standing.lines[known].species,
                    text.index(words[count - 1]) + len(words[count - 1].rstrip(",.;")),
                )
        species = find_species(said)
        if species and not species.genus_level:
            length = len(" ".join(words[:count]).rstrip(" ,.;"))
            if count > 2 and (place := _population(said, species)):
                its = [k for k in standing.lines.values() if k.species == species.name and k.population == place]
                return (its[0].name if its else f"{species.name.split()[-1]} {place}"), species.name, length
            kept = [known.name for known in standing.lines.values() if known.species == species.name]
            if len(kept) > 1:
                return None  # which of them was not said
            if kept:
                return kept[0], species.name, len(" ".join(words[:count]).rstrip(" ,.;"))
            epithet = species.name.split()[-1]
            whole = said.startswith(f"{species.name.split()[0].casefold()} ") or said == epithet
            learned = any(said.startswith(name.casefold()) for name in species.also)
            return (epithet if whole or learned else said), species.name, length
        if count > 1 and (tail := _of_a_variety(said)):
            return said, tail, len(" ".join(words[:count]).rstrip(" ,.;"))
    return None


_COLOURS = frozenset(
    ("blue", "red", "gold", "golden", "black", "white", "green", "yellow", "orange", "silver", "pink", "purple",
     "albino", "spotted", "marbled", "bronze", "longfin", "hifin", "wild-type")
)  # fmt: skip


def _of_a_variety(said: str) -> str | None:
    """The species of fish named with a variety before it: “youkihi medaka”; “new medaka” are just medaka."""
    *variety, last = said.split()
    species = find_species(last)
    if species is None or species.genus_level or not 1 <= len(variety) <= 2:
        return None
    strange = [w for w in variety if w not in _COLOURS]
    sure = all(w.isalpha() and len(w) > 3 and not is_everyday(w) and w not in DOMAIN for w in strange)
    return species.name if sure else None


def _population(said: str, species: Species) -> str | None:
    """Where fish come from, said behind their whole name: `fundulopanchax gardneri "akure"` are not those of Gboko."""
    for name in (species.name, *species.also):
        if said.startswith(f"{name.casefold()} "):
            return said[len(name) :].strip(" \"“”'()").title() or None
    return None


def new_line(name: str, species: str | None) -> dict[str, Any]:
    """A line to be set up, its population known where it is called by it."""
    told: dict[str, Any] = {"kind": "new_line", "line": name, "species": species}
    epithet = (species or "").rpartition(" ")[2]
    if epithet and name.startswith(f"{epithet} "):
        told["population"] = name.removeprefix(f"{epithet} ")
    return told


def _events(
    spots: dict[str, dict[str, Any]], lines: dict[str, str | None], standing: Standing
) -> Iterator[dict[str, Any]]:
    for name, species in lines.items():
        if name not in standing.lines:
            yield new_line(name, species)
    for name, taken in spots.items():
        known = standing.places.get(name)
        if taken.get("line") and "role" not in taken and (known is None or known.role in (None, "empty")):
            taken = {**taken, "role": "breeders" if name.startswith("tank") else "fry"}
        if known is None or any(getattr(known, k) != v for k, v in taken.items()):
            yield {"kind": "new_place", "place": name, **taken}
