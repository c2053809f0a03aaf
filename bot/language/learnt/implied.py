"""What the words beside an event say of it where no part does: a unit, an additive, the gear, what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from bot.language.learnt.values import ITEM_OF, places_of_group
from bot.language.tags import Tag
from bot.language.text.names import Names

if TYPE_CHECKING:
    from bot.language.learnt.parts import Telling

Raw = dict[str, Any]
_MM = frozenset(["mm", "mmm", "millimeters", "millimetres", "millimeter", "millimetre"])
_LENGTH = frozenset(["len", "length", "ruler", "tape"])
_INCH = frozenset(['"', "inch", "inches"])
_MM_OF_INCH = 25.4
_QUANTITIES = {
    word: quantity
    for quantity, words in {
        "conductivity": "cond condy condct condc cndct countd",
        "ph": "phh phhh",
        "tds": "tdds tdz",
        "ammonia": "amm amon amn ammo",
        "nitrite": "nitri nitrte nitrit",
        "nitrate": "na nitra nitrat nitr8",
        "kh": "dkh",
        "gh": "dgh",
    }.items()
    for word in words.split()
}
_SPELT_OUT = {"pee aitch": "ph", "pee h": "ph", "p aitch": "ph", "p h": "ph"}
_LEAVES = frozenset(["almond", "alder", "aldercones", "cones", "leafs", "leef", "leefs", "lf", "lvs"])
_MOST_NITRITE = 5  # mg/L that a test shows; common practice, no source
_LETTERED = {"kay": "kh", "k": "kh", "gee": "gh", "g": "gh"}  # a hardness spelt out: "G H", "kay H"
_DROPPED = frozenset([None, "peroxide", "methylene blue"])


def add_implied(telling: Telling, event: Raw, own: Sequence[int], facts: Sequence[int]) -> None:
    """Add to an event what only the words beside it imply."""
    kind = event["kind"]
    if kind == "dose" and not event.get("substance"):
        event["substance"] = substance_beside(telling, own)
    if kind == "dose" and event.get("amount") is None and any(_is_one_leaf(telling.tags, at) for at in facts):
        half = any(t.word == "half" or t.kind == "frac" for at in facts for t in telling.tags[max(0, at - 2) : at])
        event["amount"], event["unit"] = 0.5 if half else 1.0, "leaf"
    if kind == "service" and not event.get("item"):
        event["item"] = item_beside(telling, own)
    if kind == "measure" and not event.get("quantity"):
        values = [at for at in facts if telling.roles[at] == "value"]
        if said := quantity_beside(telling, own, values):
            event["quantity"] = said
        inches = any(t.word in _INCH for at in values for t in telling.tags[at + 1 : at + 2])
        if said == "length" and inches and event.get("value"):
            event["value"] = round(event["value"] * _MM_OF_INCH, 1)


def _is_one_leaf(tags: Sequence[Tag], at: int) -> bool:
    """ "A catappa leaf", which is an additive and a measure in one."""
    before = [t.word for t in tags[max(0, at - 2) : at]]
    return tags[at].says("substance") and tags[at].word.endswith(" leaf") and not {"a", "an"}.isdisjoint(before)


def add_unit(telling: Telling, event: Raw, places: Sequence[str]) -> None:
    """Add the measure of an additive, once it is known where it went."""
    if event["kind"] == "dose" and event.get("amount") and not event.get("unit"):
        event["unit"] = unit_beside(telling, event, places)


def counted_out(telling: Telling, places: list[str], own: Sequence[int]) -> list[str]:
    """The places, those of a group by name where it says how many they are: "the four egg tubs"."""
    groups = [place for place in places if place.startswith("all ")]
    if len(groups) != 1 or any(telling.tags[at].word in _MEALS for at in own):
        return places
    many = [at for at in own if telling.tags[at].kind == "num" and telling.roles[at] == "_"]
    for at in many:
        said = telling.tags[at].value
        counted = {t.word for t in telling.tags[max(0, at - 1) : at]} & {"the", "all", "my", "your", "these"}
        if counted and isinstance(said, float) and (found := listed(telling.names, groups[0], int(said))):
            return [p for place in places for p in (found if place == groups[0] else [place])]
    return places


_MEALS = frozenset(["feeds", "feedings", "meals", "times", "changes"])  # "all three fry feeds" counts no places


def peat_told_before(
    event: Raw, events: Sequence[Raw], lines: Sequence[str], names: Names
) -> tuple[list[str], str | None]:
    """Where bagged peat is from: as told when it was collected; what is wetted is the line's one batch of eggs."""
    before = next((e for e in reversed(events) if e["kind"] == "peat"), None)
    if not lines and before is not None:
        event.setdefault("line", before.get("line"))
        return list(filter(None, [before.get("place")])), before.get("batch")
    if not lines:
        lines = [line.name for line in names.lines if line.eggs == "peat"]
        event.setdefault("line", lines[0] if len(lines) == 1 else None)
    found = [b.name for b in names.batch_of.values() if b.line in lines and b.stage == "eggs"]
    return [], found[0] if event.get("action") == "wet" and len(found) == 1 else None


def substance_beside(telling: Telling, own: Sequence[int]) -> str | None:
    """What was put in, where only its color is said, "a drop of blue", or it is named elsewhere in the note."""
    for at in own:
        after = telling.tags[at + 1] if at + 1 < len(telling.tags) else None
        if telling.tags[at].word == "blue" and (after is None or after.kind != "line"):
            return "methylene blue"
        peat = after is not None and f"{telling.tags[at].word} {after.word}" in ("peat tea", "peat water")
        if telling.tags[at].word in _LEAVES or peat:
            return "tannin"
    named = {t.one("substance") for t in telling.tags if t.says("substance")}
    named |= {"salt" for t in telling.tags if t.word in ("salt's", "salts", "salt")}
    if len(named) == 1:
        telling.whole = False
        return named.pop()
    return None


def unit_beside(telling: Telling, event: Raw, places: Sequence[str]) -> str | None:
    """The measure of an additive that is not said: a leaf of leaves, drops where a tub is treated."""
    words = " ".join(t.word for t in telling.tags)
    if event.get("substance") == "tannin" and ("leaf" in words or "leaves" in words):
        return "leaf"
    names = telling.names
    homes = [names.batch_of[p].place if p in names.batch_of else p for p in places]
    tubs = homes and all(
        p.endswith(" tubs") or (p in names.place_of and names.place_of[p].kind == "tub") for p in homes
    )
    if tubs and event.get("substance") in _DROPPED:
        telling.whole = False
        return "drop"
    return None


def item_beside(telling: Telling, own: Sequence[int]) -> str | None:
    """The gear that the deed tells: "squeezed 7", "wiped 8", a lamp put in."""
    said = {ITEM_OF[telling.tags[at].word] for at in own if telling.tags[at].word in ITEM_OF}
    if len(said) != 1:
        return None
    telling.whole = False
    return said.pop()


def quantity_beside(telling: Telling, own: Sequence[int], values: Sequence[int]) -> str | None:
    """What was measured, by a word that is no name of it: a ruler, "mm", "G H" spelt out."""
    tags = telling.tags
    for at in own:
        word, before = tags[at].word, tags[at - 1].word if at else ""
        if word == "h" and before in _LETTERED:
            return _LETTERED[before]
        if word == "h" and at and tags[at - 1].kind == "amount" and tags[at - 1].unit == "g":
            return "gh"  # "k h 3 g h 6"
        if (heard := _SPELT_OUT.get(f"{before} {word}")) is not None:
            return heard
        if word == "night right" and any((tags[n].value or 0) > _MOST_NITRITE for n in values):
            telling.whole = False
            return "nitrate"  # as a phone hears it; too much for nitrite
        if (said := _QUANTITIES.get(tags[at].typed) or _QUANTITIES.get(word)) is not None:
            return said
    after = {t.word for at in values for t in tags[at + 1 : at + 2]}
    if after & (_INCH | _MM) or any(tags[at].word in _MM | _LENGTH for at in own):
        return "length"
    if any(t.word in _MM for t in tags):
        telling.whole = False  # said of it in another sentence, or of something else
        return "length"
    return None


def listed(names: Names, group: str, many: int, among: Sequence[str] = ()) -> list[str]:
    """As many places as are counted of those alike: "all three tubs" of the eggs, "the four egg tubs"."""
    sorts = [places_of_group(names, "egg tubs"), places_of_group(names, "fry tubs")]
    for kind, role in dict.fromkeys((p.kind, p.role) for p in names.places):
        sorts.append(tuple(p.name for p in names.places if (p.kind, p.role) == (kind, role)))
    for places in sorts:
        known = [names.place_of[place] for place in places]
        fit = all(("tub" not in group or p.kind == "tub") and ("tank" not in group or p.kind != "tub") for p in known)
        fit = fit and ("fry" not in group or all(p.role == "fry" for p in known))
        fit = fit and ("adult" not in group or all(p.role == "breeders" for p in known))
        if len(places) == many > 1 and fit and set(among) <= set(places):
            return list(places)
    return []
