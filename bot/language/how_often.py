"""How often, in a sentence that sets the routine."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.tags import Tag

_TIMES = {"once": 1, "twice": 2, "thrice": 3, "daily": 1}


def how_often(tags: list[Tag], text: str, rule: bool = False) -> tuple[float | None, float | None] | None:
    """How often: times a day, or days between; None when a sentence says neither. In a rule "4x" is 4 times a day."""
    hit = re.search(r"\b(once|twice|thrice) (a|per|every|each) (day|week)\b", text)
    if hit:
        times = _TIMES[hit[1]]
        return (float(times), 1.0 / times) if hit[3] == "day" else (None, 7 / times)
    if re.search(r"\bevery other day\b", text):
        return None, 2.0
    daily = next((a for a, b in pairwise(tags) if a.kind == "times" and b.word == "daily"), None)
    if daily is not None and daily.low is None and daily.value:
        return float(daily.value), 1.0 / daily.value  # "meals 3x daily"
    if re.search(r"\bevery day|daily\b", text):
        return 1.0, 1.0
    if re.search(r"\b(every week|weekly|once a week)\b", text):
        return None, 7.0
    for n, tag in enumerate(tags):
        if tag.kind in ("times", "num") and tag.low is None and tag.value:
            rest = " ".join(t.word for t in tags[n + 1 : n + 4])
            if re.match(
                r"^(x|times|time|feeds|feedings|feed|feeding|changes|change|meals|meal|wc|wcs|water changes|water change)? ?(a|per|/|each|every)? ?(day|daily)\b",
                rest,
            ) and rest.split()[0] in (
                "x",
                "times",
                "a",
                "per",
                "/",
                "day",
                "daily",
                "feeds",
                "feedings",
                "changes",
                "meals",
                "each",
                "change",
                "feed",
                "feeding",
                "meal",
                "time",
                "wc",
                "wcs",
                "water",
            ):
                return float(tag.value), 1.0 / tag.value
            if re.match(r"^(x|times)? ?(a|per|/|each)? ?(week)\b", rest):
                return None, 7.0 / tag.value
        if tag.kind == "dur" and n and tags[n - 1].word == "every" and tag.unit in ("day", "week"):
            return None, float(tag.value) * (7 if tag.unit == "week" else 1)
    bare = [t for t in tags if t.kind == "times" and t.low is None and t.value]
    if rule and len(bare) == 1:
        return float(bare[0].value), 1.0 / bare[0].value
    if rule and (said := re.search(r"\b(once|twice|thrice)\b", text)):
        return float(_TIMES[said[1]]), 1.0 / _TIMES[said[1]]
    return None
