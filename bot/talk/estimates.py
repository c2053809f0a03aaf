"""Numbers a note gives only roughly, “about 40”, “~30”, “25 or so”: they stay marked as estimated."""

from __future__ import annotations

import re

from bot.language.text.figures import TENS, UNITS
from shared.events import BadEggsRemoved, EggsPulled, Event, FishDied, FishMoved, FryHatched, HeadsCounted, StockArrived

_WORDS = {word: n for word, n in {**UNITS, **TENS, "dozen": 12, "hundred": 100}.items() if n}
_NUMBER = rf"(?P<n>\d{{1,5}}|(?:(?:an?|{'|'.join(_WORDS)})[ -])?(?:{'|'.join(_WORDS)}))"
# What is counted by it is no fish: an hour, a length, a warmth, a span of days.
_NO_FISH = (
    r"(?! ?(?:[ap]\.?m\b|:\d|[.,/]\d|%|°|o'?clock|degrees?|[cf]\b|mm|cm|inch|in\b(?! (?:tank|tub))|gal|l\b|lit|ml|"
    r"days?|weeks?|months?|years?|hours?|minutes?|percent))"
)
_BEFORE = re.compile(
    r"(?<!at )(?:\b(?:about|around|roughly|approx(?:imately|\.)?|circa|ca\.?|some|maybe|perhaps|probably|nearly|almost|"
    r"close to|more or less|say|(?:i )?guess(?:ed)?(?: at)?|estimat\w+(?: at)?|est\.?|over|at least)|~|≈) ?"
    rf"(?:an? )?{_NUMBER}\b{_NO_FISH}",
    re.IGNORECASE,
)
_BEHIND = re.compile(
    rf"\b{_NUMBER}(?:-?ish\b|\+|[ -]odd\b| (?:[a-z]+ )?(?:or so|give or take|or thereabouts|more or less|roughly"
    r"|\(?(?:estimated?|approx|a guess)\)?)\b)",
    re.IGNORECASE,
)


def rough_numbers(text: str) -> set[int]:
    """The numbers a note gives only roughly."""
    plain = " ".join(text.split())
    return {_value(hit["n"]) for pattern in (_BEFORE, _BEHIND) for hit in pattern.finditer(plain)}


def _value(words: str) -> int:
    if words.isdigit():
        return int(words)
    parts = [_WORDS.get(word, 1) for word in re.split(r"[ -]", words.casefold())]
    if len(parts) == 2 and parts[1] >= 12 and parts[0] < parts[1]:
        return parts[0] * parts[1]  # “two dozen”, “a hundred”
    return sum(parts)


def as_estimated(event: Event, text: str) -> Event:
    """The event marked as estimated where its count stands in the text as a rough one."""
    counting = EggsPulled | FryHatched | FishMoved | HeadsCounted | FishDied | BadEggsRemoved | StockArrived
    if not isinstance(event, counting) or not event.count or event.estimated:
        return event
    return event.model_copy(update={"estimated": True}) if event.count in rough_numbers(text) else event
