"""Eggs that are told of by their fish: which tub each sort went into, "gularis in A and gardneri in B"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bot.language.tags import Tag
from bot.language.text.names import Names

Raw = dict[str, Any]
_REACH = 5
_GO_IN = frozenset(["in", "into", "to", ">"])
_BEFORE = _GO_IN | frozenset(["are", "is", "all", "eggs", "ones", "'", "went", "go", "goes", "the", "lot", "of"])
_AFTER = frozenset(["for", "with", "w", "has", "have", "got", "gets", "takes", "the", "(", "little", "big", "of"])


def fish_beside(tags: Sequence[Tag], at: int) -> tuple[str, ...]:
    """The lines of the fish whose eggs are said to be in a tub: "C for the lampeyes", "the gularis in A"."""
    after = _first_fish(tags[at + 1 : at + _REACH], _AFTER)
    before = _first_fish(tags[max(0, at - _REACH) : at][::-1], _BEFORE) if _goes_in(tags, at) else None
    fish = after or before
    return tuple(fish.value) if fish is not None else ()


def _goes_in(tags: Sequence[Tag], at: int) -> bool:
    return at > 0 and tags[at - 1].word in _GO_IN


def _first_fish(tags: Sequence[Tag], passed_over: frozenset[str]) -> Tag | None:
    """The fish nearest, where nothing but plain words stands between."""
    for tag in tags:
        if tag.kind == "line":
            return tag
        if tag.word not in passed_over:
            return None
    return None


def sorted_by_fish(events: list[Raw], names: Names) -> list[Raw]:
    """The events, each pull with the tub that the eggs of its fish went to; what told only that is dropped."""
    ends = [(end, lines, event) for event in events for end, lines in event.get("_ends", ())]
    pulls = [event for event in events if event["kind"] == "pull" and event.get("count") != 0]
    told = [event for event in pulls if event.get("count") is not None or not event.get("_ends")]
    for end, lines, event in ends:
        fit = [e for e in told if {line for p in _places(e) for line in names.lines_in(p)} & set(lines)]
        if not fit:
            event.setdefault("to", end)
        elif event.get("to") == end and not any(event is other for other in fit):
            event.pop("to")  # of other fish, though told with these
        for other in fit:
            other["to"] = end
    gone = [e for e in pulls if not any(e is other for other in told) and "to" not in e]
    return [event for event in events if not any(event is other for other in gone)]


def _places(event: Raw) -> list[str]:
    return list(event.get("places") or filter(None, [event.get("place")]))
