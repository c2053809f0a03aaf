"""How a breeding tank's eggs are collected, as a keeper says it: only mop tanks and peat boxes get those chores."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.routine.taken import Scene, Taken
from shared.events import PlaceOpened

# What is said → how it is kept, and how it is said back.
WAYS = {
    "mop": (r"(?:a |the )?(?:spawning |yarn )?mops?(?: tanks?)?", "mops"),
    "peat box": (r"(?:a |the )?(?:peat|peat box(?:es)?|box(?:es)? of peat)(?: tanks?)?", "a peat box"),
    "plants": (r"(?:the )?(?:live )?(?:plants?|(?:java )?moss)(?: spawners?)?", "plants"),
    "glass": (r"(?:the )?(?:glass|leaves|panes?)", "the glass"),
    "stripped": (r"(?:hand[- ]?)?(?:stripp?(?:ed|ing)?|stripped females?)", "stripped females"),
    "permanent": (r"(?:a )?permanent(?: set ?-?ups?)?", "a permanent set-up"),
    "guarded": (r"(?:a )?guarding pairs?|guarded(?: by (?:the|their) parents)?", "a guarding pair"),
}
_WAY = "|".join(f"(?P<w{n}>{pattern})" for n, (pattern, _) in enumerate(WAYS.values()))
_WHERE = r"(?P<where>.+?)"
_FISH = r"(?:the )?(?:fe?males?|fish|hens?|eggs?)"
_NOT = r"(?: (?:instead of|not|no longer|and not) (?:a |the |from (?:a |the )?)?[a-z -]{3,20})?"
_INSTEAD = rf"(?: now)?{_NOT}(?: now| from now on)?"
_EGGS = r"(?: (?:their |its |the )?eggs)?"
_ON = r" ?(?:in|on|from|with|among|by|as)? ?"
_FORMS = tuple(
    re.compile(rf"^{form}{_INSTEAD}$")
    for form in (
        rf"{_WHERE} (?:is|are)(?: now)? (?:on |set up as |run as )?(?:{_WAY})",
        rf"{_WHERE} (?:uses?|spawns?|lays?|collects?|breeds?){_EGGS}{_ON}(?:{_WAY})",
        rf"{_WHERE}: ?(?:{_WAY})",
        rf"(?:we |i )?collect(?:ing)?(?: the)?(?: eggs)? (?:in|of|from) {_WHERE} (?:from|with|off|in|by) (?:{_WAY})",
        rf"(?:we |i )(?P<w4b>strip)(?: {_FISH})? (?:in|of) {_WHERE}",
        rf"{_WHERE} has (?:{_WAY}) instead of (?:a |the )?[a-z ]{{3,20}}",
    )
)
# Said with a colon or a bare “is”, these are news as well: “tank 3: mop” may tell of one hung there.
_NEWS = frozenset(("mop", "peat box", "plants", "glass"))


def collecting_order(text: str, scene: Scene) -> Taken | None:
    """A way of collecting set for one or several tanks; None when the words are none of this."""
    for number, form in enumerate(_FORMS):
        hit = form.match(text)
        where = scene.words.where(hit["where"]) if hit else None
        if hit is None or where is None or not where.places or where.places[0].startswith("all "):
            continue
        said = hit.groupdict()
        way = "stripped" if said.get("w4b") else next(w for n, w in enumerate(WAYS) if said.get(f"w{n}"))
        if number == 2 and way in _NEWS:
            return None
        known = [p for p in where.places if p in scene.standing.places]
        if len(known) < len(where.places):
            return None
        events = tuple(PlaceOpened(place=p, collect=way) for p in known)
        return Taken(events, (f"{say.first_up(say.places(known))}: {collected(way)}{_chores(way)}.",))
    return None


def collected(way: str) -> str:
    """How eggs come out of a tank, in few words."""
    return f"eggs from {WAYS[way][1]}" if way in WAYS else f"eggs: {way}"


def _chores(way: str) -> str:
    come = {"mop": "pulling mops comes round", "peat box": "emptying it comes round"}
    return f"; {come.get(way, 'no mop chores')}"
