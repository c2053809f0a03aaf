"""How much of something was put in: an amount with its unit, a strength, a leaf, half a cup."""

from __future__ import annotations

from bot.language.clauses.group import Group
from bot.language.tags import Tag
from bot.language.water.places import STRENGTHS
from shared.room import LITRES

_CUP_LITRES = LITRES["us"]["cup"]
_LEAF_KINDS = frozenset(["leaf", "almond leaf", "alder cone", "oak leaf", "catappa leaf"])
_OF_A_LEAF = frozenset(["whole", "single", "big", "small", "large", "little", "fresh", "dried", "dry"])

_HowMuch = tuple[float | None, str | None]


def how_much(group: Group) -> _HowMuch:
    """The amount of a dose and its unit, each None where it is not said."""
    amount, unit = _with_its_unit(group)
    substances = group.sense("substance")
    if amount is None and substances and not substances[0].word.endswith("ed"):
        amount, unit = _before_the_substance(group, substances[0], unit)
    return _in_words(group, amount, unit)


def _with_its_unit(group: Group) -> _HowMuch:
    """ "2 tsp", "3 ppm", "cup of blackwater extract"."""
    amount: float | None = None
    unit: str | None = None
    for tag in group.kind("amount"):
        amount, unit = (tag.value if tag.low is None else None), tag.unit
    for tag in group.kind("num"):
        if amount is None and tag.low is None and (after := group.after(tag)) is not None and after.word in STRENGTHS:
            amount, unit, tag.claimed = float(tag.value), after.word, "amount"
    cup = next((t for t in group.tags if t.kind == "lex" and t.says("volume", "cup") and group.after(t)), None)
    if cup is not None and group.sense("substance") and (after := group.after(cup)) is not None and after.word == "of":
        return 1.0, "cup"
    return amount, unit


def _before_the_substance(group: Group, substance: Tag, unit: str | None) -> _HowMuch:
    """ "2 almond leaves", "a big dried leaf", "half a cup of salt": a measure up to three words before it."""
    n = group._index(substance)
    for back in range(n - 1, max(-1, n - 4), -1):
        tag = group.tags[back]
        if tag.kind == "vol" and tag.unit in ("cup", "qt", "gal", "l"):
            amount, unit = (tag.value / _CUP_LITRES, "cup") if tag.unit == "cup" else (tag.value, "l")
            return round(amount, 3), unit
        if tag.kind == "num":
            tag.claimed = "amount"
            return tag.value if tag.low is None else None, "leaf" if "lea" in substance.word else None
        if tag.kind == "frac":
            return None, unit
        if _one_leaf(tag, group.tags[back + 1 : n], substance):
            return 1.0, "leaf" if "leaf" in substance.word else None
    return None, unit


def _one_leaf(article: Tag, between: list[Tag], substance: Tag) -> bool:
    """ "A whole almond leaf"."""
    return (
        article.word in ("a", "an", "one")
        and all(t.word in _OF_A_LEAF for t in between)
        and substance.word in _LEAF_KINDS
    )


def _in_words(group: Group, amount: float | None, unit: str | None) -> _HowMuch:
    """ "Half a teaspoon", "a cup and a half", "a pinch"."""
    units = group.sense("unit")
    fractions = group.kind("frac")
    if amount is None and fractions and units:
        amount, unit = fractions[0].value / 100, units[0].one("unit")
    text = group.text()
    for tag in units:
        if any(
            f"{its}and {half}" in text for its in (f"a {tag.word} ", f"one {tag.word} ") for half in ("half", "a half")
        ):
            amount, unit = 1.5, tag.one("unit")
    if amount is None and unit is None:
        singles = [t for t in units if not t.says("substance")]
        if singles and (before := group.before(singles[0])) is not None and before.word in ("a", "one"):
            return 1.0, singles[0].one("unit")
    return amount, unit
