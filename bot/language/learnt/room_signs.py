"""What the room says of each tag of a note: what lives in a tank that is named, whether so many are there.

The net is shown it beside the words: "12 from E" is told of fry where E holds fry. No signs are names of one room.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.language.learnt.sounding import place_heard
from bot.language.tags import Tag
from bot.language.text.names import Names


def room_signs(tags: Sequence[Tag], names: Names) -> list[list[str]]:
    """For each tag the signs the room gives it."""
    spots = [_spots(tags, at, names) for at in range(len(tags))]
    named = [place for tag, places in zip(tags, spots, strict=True) if tag.kind != "num" for place in places]
    numbers = [int(tag.value) for tag in tags if _is_whole(tag)]
    counts = _counts(tags, named, names)
    lines = {line for place in named for line in names.lines_in(place)}
    return [_of(tag, places, names, numbers, counts, lines) for tag, places in zip(tags, spots, strict=True)]


def _of(
    tag: Tag, places: Sequence[str], names: Names, numbers: Sequence[int], counts: Sequence[int], lines: set[str]
) -> list[str]:
    signs: list[str] = []
    if tag.kind == "batch" and tag.value in names.batch_of:
        signs.append(f"holds={names.batch_of[tag.value].stage}")
    elif len(places) == 1:
        maybe = "" if tag.kind == "place" else "id "
        stages = sorted({batch.stage for batch in names.batches_in(places[0])}) or ["none"]
        signs += [f"{maybe}in={names.place_of[places[0]].role}", *(f"{maybe}holds={stage}" for stage in stages)]
    elif places:
        signs.append("in several")
    if _is_whole(tag):
        signs += _counted(int(tag.value), numbers, counts)
    elif tag.kind == "line":
        its = {tag.value} if isinstance(tag.value, str) else set(tag.value)
        lived_in = sum(bool(its & set(names.lines_in(place.name))) for place in names.places)
        signs += ["lives here"] if its & lines else [f"lives in {min(2, lived_in)}"]
    return signs


def _spots(tags: Sequence[Tag], at: int, names: Names) -> Sequence[str]:
    """The places a tag names, or may name."""
    tag = tags[at]
    if tag.kind == "place":
        return [place for place in tag.value if place in names.place_of]
    if tag.kind == "batch":
        return [names.batch_of[tag.value].place] if tag.value in names.batch_of else ()
    if _is_whole(tag):
        return names.by_id.get(f"{tag.value:g}", ())
    if tag.kind == "word" and len(tag.word) == 1 and tag.word != "i":
        return names.by_id.get(tag.word, ())
    heard = place_heard(tags, at, names)
    return () if heard is None else (heard,)


def _is_whole(tag: Tag) -> bool:
    return tag.kind == "num" and tag.low is None and tag.value == int(tag.value)


def _counts(tags: Sequence[Tag], places: Sequence[str], names: Names) -> list[int]:
    """How many live in the batches and places that are named, as far as it is known."""
    named = [names.batch_of[tag.value] for tag in tags if tag.kind == "batch" and tag.value in names.batch_of]
    named = named or [batch for place in dict.fromkeys(places) for batch in names.batches_in(place)]
    return [batch.count for batch in named if batch.count]


def _counted(number: int, numbers: Sequence[int], counts: Sequence[int]) -> list[str]:
    """How a number stands to how many there are of what is named."""
    if not counts:
        return []
    if number in counts:
        return ["as many"]
    if any(number + other in counts for other in numbers):
        return ["what is left"]
    return ["fewer" if number < max(counts) else "more"]
