"""What one word alone says: a measure how much, a mop that it went back in, a chore that it was done there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bot.language.learnt.bidden import may_bid
from bot.language.learnt.sounding import may_be_heard
from bot.language.learnt.values import may_play_a_part, tells_of_a_mop
from bot.language.tags import Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.names import Names
from shared.quantities import LITRES

Raw = dict[str, Any]


def measure_of(tags: Sequence[Tag], at: int) -> float | None:
    """How much a measure alone says: "a teaspoon", "half a leaf"; None where it is the measure of another figure."""
    if not (tags[at].says("unit") or tags[at].says("volume")) or tags[at].kind == "amount":
        return None
    before = [t.word for t in tags[max(0, at - 2) : at]]
    if "half" in before:
        return 0.5
    if tags[at].word.endswith("s") or (at and isinstance(tags[at - 1].value, int | float)):
        return None
    after = [t.word for t in tags[at + 1 : at + 4] if t.word != "a"]
    more = {"half": 0.5, "quarter": 0.25}.get(after[1], 0.0) if len(after) > 1 and after[0] == "and" else 0.0
    return 1.0 + more


def litres_alone(tags: Sequence[Tag], at: int, names: Names) -> float | None:
    """The litres a measure alone says: "a gallon", "a gallon and a half"."""
    said = measure_of(tags, at) if tags[at].says("volume") else None
    volume = str(tags[at].one("volume"))
    one = 1.0 if volume == "l" else LITRES[names.gallon].get(volume)
    return round(said * one, 1) if said is not None and one else None


def measures(tags: Sequence[Tag], key: str, event: Raw, names: Names) -> list[int]:
    """Where a measure alone says how much of an event: "a teaspoon of salt", "took out a gallon"."""
    if key == "litres":
        near = 0.03 * event["litres"]
        said = [(at, litres_alone(tags, at, names)) for at in range(len(tags))]
        return [at for at, litres in said if litres is not None and abs(litres - event["litres"]) <= near]
    unit = str(event.get("unit") or "")
    alone = [at for at, tag in enumerate(tags) if tag.says("unit", unit) or tag.says("volume", unit)]
    return [at for at in alone if measure_of(tags, at) == event["amount"]]


def back_in(tags: Sequence[Tag], parts: Sequence[object]) -> list[int]:
    """Where a mop put back where it came out is told by its name alone, said last: "40 eggs from 3, mop back in"."""
    return [at for at, tag in enumerate(tags) if parts[at] is None and tells_of_a_mop(tag)][-1:]


# The words that say of a place spoken of before what was done there, the surest first.
_DONE_THERE = {
    "water_change": (("cue", "wc"), ("cue", "changed"), ("noun", "water"), ("cue", "clean")),
    "top_off": (("cue", "topoff"),),
    "service": (("cue", "clean"),),
    "dose": (("unit", "drop"),),
    "feed": (("cue", "feed"),),
    "hatch": (("cue", "hatch"),),
    "eyed": (("cue", "eyed"),),
    "culture.start": (("cue", "start"),),
    "culture.feed": (("cue", "feed"), ("noun", "culture food")),
    "culture.harvest": (("cue", "harvest"),),
    "culture.crash": (("cue", "crash"),),
    "peat.bag": (("cue", "bag"),),
    "peat.collect": (("noun", "peat"),),
    "peat.wet": (("cue", "wet"),),
}


def deeds_said(tags: Sequence[Tag], kind: str) -> list[int]:
    """Where the words for what was done stand."""
    signs = _DONE_THERE.get(kind, ())
    return [at for at, tag in enumerate(tags) if any(tag.says(sort, value) for sort, value in signs)]


def done_there(tags: Sequence[Tag], kind: str, parts: Sequence[object], last: int) -> list[int]:
    """Where a chore is told by its word alone: "2 white in A, changed the water"."""
    for sort, value in _DONE_THERE.get(kind, ()):
        said = [at for at, tag in enumerate(tags) if parts[at] is None and tag.says(sort, value)]
        if kind == "service":
            said = [at for at in said if not tags[at].says("cue", "changed", "wc")]
        if said:
            return [min(said, key=lambda at: at - last if at >= last else 2 * (last - at))]
    return []


def may_be_labelled(tags: Sequence[Tag], at: int, names: Names) -> bool:
    """Whether a stretch may be a fact of an event: by what it names, by its sound, by its word alone, or as a name."""
    tag = tags[at]
    alone = bool(tag.senses) and any(tag.says(sort, value) for signs in _DONE_THERE.values() for sort, value in signs)
    alone = alone or tag.says("volume")
    alone = alone or may_play_a_part(tag, names) or may_bid(tag) or may_be_heard(tags, at, names)
    return alone or _may_be_someone(tag) or (tag.word == "a" and "a" in names.by_id)


def _may_be_someone(tag: Tag) -> bool:
    """Whether a word may be a name written small: "sold okafor a pair"."""
    return tag.kind == "word" and tag.word.isalpha() and len(tag.word) > 1 and not is_everyday(tag.word)
