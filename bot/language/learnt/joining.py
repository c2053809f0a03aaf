"""What the events put together from a note say of one another: which is one with the last, and where one happened."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

from bot.language.tags import Tag
from bot.language.text.names import Names

Raw = dict[str, Any]
_OWN = frozenset(["count", "percent", "value"])  # what events of a kind have one each of


_AT_THE_START = ("headcount", "death", "mop", "close_place", "hatch")  # of a move
_AT_THE_FISH = ("mop", "pull", "feed", "service", "top_off")  # eggs in a tub have none of these


def left_behind(
    told: Raw, kind: str, *, there: bool = False, share: bool = False
) -> tuple[list[str], str | None] | None:
    """The place an event leaves to be spoken of next: where eggs or fish went to, else where it happened.

    `there`: that word was said, so of fish that moved it is where they are now. `share`: only so much of the water
    was changed, which is done in tanks; a tub of eggs gets it all new.
    """
    if told["kind"] in ("pull", "move") and told.get("to"):
        stayed = kind in (_AT_THE_FISH if told["kind"] == "pull" else _AT_THE_START)
        stayed = stayed or (share and told["kind"] == "pull")
        stayed = stayed or (told["kind"] == "move" and kind in ("bad_eggs", "eyed") and told.get("stage") != "eggs")
        if not stayed or (there and told["kind"] == "move"):
            return [str(told["to"])], None
        if told["kind"] == "move":
            return ([str(told["from"])], None) if told.get("from") else None
    if told.get("places") or told.get("_with"):
        return list(told.get("places") or told["_with"]), None
    if told.get("place"):
        return [str(told["place"])], None
    if told.get("batch"):
        return [], str(told["batch"])
    return (list(told["_home"]), None) if told.get("_home") else None


_DEALT = {"pull": "count", "water_change": "percent", "dose": "amount", "feed": "food"}


def dealt_out(events: list[Raw]) -> None:
    """As many places named at once as there are numbers: each has its own ("tanks 2 and 3: ten and nineteen eggs")."""
    runs: list[list[Raw]] = []
    for event in events:
        key = _DEALT.get(event["kind"], "")
        if runs and key and runs[-1][0]["kind"] == event["kind"] and event.get(key) is not None:
            runs[-1].append(event)
        else:
            runs.append([event] if key else [])
        runs = [run for run in runs if run]
    for run in runs:
        named = [e for e in run if len(e.get("places") or ()) == len(run) > 1]
        places = list(named[0]["places"]) if named else []
        if any(e.get("_timed") for e in run):  # "sat and sun, 9 and 10": both on each day
            continue
        if not places or any(not e.get("_leant") and _spots(e) and _spots(e) != places for e in run):
            continue
        for event, place in zip(run, places, strict=True):
            event["batch"], event["_leant"] = None, None
            one = event["kind"] in ("water_change", "feed")
            event["place"], event["places"] = (None, [place]) if one else (place, None)


def dealt_to_those_before(events: list[Raw]) -> None:
    """As many pulls as places spoken of just before: each has its own ("mops in 2 and 3, 14 and 20")."""
    runs = [list(run) for _, run in itertools.groupby(events, key=lambda e: str(e["kind"]))]
    for before, run in itertools.pairwise(runs):
        places = list(dict.fromkeys(place for event in before for place in _spots(event)))
        if len(places) != len(run) or len(run) == 1 or not all(map(_only_counted, run)):
            continue
        for event, place in zip(run, places, strict=True):
            event["place"], event["places"], event["_leant"] = place, None, None
            event["_unsure"] = event.get("_unsure") or before[0]["kind"] != "mop"


def _only_counted(event: Raw) -> bool:
    placed = _spots(event) and not event.get("_leant")
    return event["kind"] == "pull" and event.get("count") is not None and not placed


def _spots(event: Raw) -> list[str]:
    return list(event.get("places") or filter(None, [event.get("place"), event.get("batch")]))


def joined(events: list[Raw]) -> list[Raw]:
    """The events, one that only adds to or repeats another of its kind made one with it."""
    out: list[Raw] = []
    for event in events:
        last = next((e for e in reversed(out) if e["kind"] == event["kind"]), None)
        if last is not None and event.get("_part") and (last.get("count") or 0) > event["count"]:
            event["count"] = last["count"]  # of so many, these are males
        if last is not None and _adds(last, event):
            leant = _SPOTS if event.get("_leant") and _spots(last) else frozenset()
            last.update({k: v for k, v in event.items() if last.get(k) in (None, [], ()) and k not in leant})
            event["_one_with"] = last
        elif not _gone_into_the_last(out, event):
            out.append(event)
    return [event for event in out if not _spot_of_another(event, out)]


_SPOTS = frozenset(["place", "places", "batch"])


def _adds(last: Raw, event: Raw) -> bool:
    had, has = _said(last), _said(event)
    if any(last[k] != event[k] for k in had & has) or _at_other_times(last, event):
        return False
    halves = last["kind"] == "move" and ("to" in had) != ("to" in has) and "from" not in had & has
    return has <= had or had <= has or len(had & _OWN) != len(has & _OWN) or (halves and not had & _OWN)


def _at_other_times(last: Raw, event: Raw) -> bool:
    return any(last.get(k) and event.get(k) and last[k] != event[k] for k in ("_day", "_clock"))


def _said(event: Raw) -> set[str]:
    return {k for k, v in event.items() if k[0] != "_" and v not in (None, [], ())}


def _gone_into_the_last(events: list[Raw], event: Raw) -> bool:
    """Whether an event says no more than where the eggs of a pull told before went: "12 from 3, 2 white, to B"."""
    leant = {"place", "places", "batch"} if event.get("_leant") else set()
    if event["kind"] != "pull" or _said(event) - leant != {"kind", "to"}:
        return False
    before = [e for e in events if e["kind"] == "pull"]
    if not before or before[-1].get("to"):
        return False
    before[-1]["to"] = event["to"]
    event["_one_with"] = before[-1]
    return True


def _spot_of_another(event: Raw, events: list[Raw]) -> bool:
    """Whether an event only names where another of its kind was: "C: 17 left, 4 white"."""
    if event["kind"] not in ("bad_eggs", "hatch", "eyed") or not _said(event) <= {"kind", "place", "batch"}:
        return False
    return any(
        other is not event and other["kind"] == event["kind"] and other.get("_leant") and _same_spot(other, event)
        for other in events
    )


def _same_spot(one: Raw, other: Raw) -> bool:
    return (one.get("place"), one.get("batch")) == (other.get("place"), other.get("batch"))


def settled(events: list[Raw]) -> None:
    """Bad eggs told of with a pull are at the tub, once it is known which that is."""
    for event in events:
        told = event.get("_of")
        while told is not None and "_one_with" in told:
            told = told["_one_with"]
        if event["kind"] == "bad_eggs" and told is not None and told["kind"] == "pull" and told.get("to"):
            event["place"], event["places"], event["batch"] = told["to"], None, None


def none_gone(events: list[Raw], event: Raw) -> bool:
    """Make a tub told with a pull of no eggs that of the pull before it, and tell whether that is sure.

    "1: 7, 2: none, into A"; with two before, it may be told of both.
    """
    if event["kind"] != "pull" or event.get("count") != 0 or not event.get("to"):
        return True
    before = [e for e in events if e["kind"] == "pull" and e.get("count") != 0]
    if not before:
        return True
    end = event.pop("to")
    if before[-1].get("to"):
        return bool(before[-1]["to"] == end)
    before[-1]["to"] = end
    return len(before) == 1


def gone_too(events: Sequence[Raw], event: Raw) -> None:
    """The tub that was said before all pulls is that of each: "into B: 12 from 2, 7 from 3"."""
    ends = [e["to"] for e in events if e.get("_ahead_of_all") and e.get("to")]
    if event["kind"] == "pull" and event.get("count") and not event.get("to") and ends:
        event["to"] = ends[0]


def shared_end(events: list[Raw], end: str | None) -> None:
    """The tub that the eggs of several pulls went to: "12 from 2, 7 from 3, all in B"."""
    for event in reversed(events):
        if event["kind"] == "pull" and event.get("to"):
            return
        if event["kind"] == "pull" and event.get("count") != 0 and end is not None:
            event["to"] = end


_ALL = ("of them", "them", "of those", "the tubs", "the tanks", "of the tubs", "of the tanks")


def spoken_of(events: Sequence[Raw], kind: str, names: Names) -> list[str]:
    """The places that are spoken of when an event of a kind is told next, those of its batches too."""
    spoken = [found for event in events if (found := left_behind(event, kind)) is not None]
    last = events[-1] if events else {}
    if last.get("kind") == "move" and last.get("from") and last.get("to"):  # "20 of F into G, water in both"
        spoken += [([str(last["from"]), str(last["to"])], None)]
    homes = ([*places, *([names.batch_of[batch].place] if batch in names.batch_of else [])] for places, batch in spoken)
    return list(dict.fromkeys(str(place) for its in homes for place in its))


def told_together(tags: Sequence[Tag], own: Sequence[int], spoken: Sequence[str]) -> list[str] | None:
    """The places spoken of that are told of together: "in both", "all three of them"; None for no such words."""
    many = many_together(tags, own)
    if many:
        return list(spoken[-many:]) if len(spoken) >= many else []
    for at in own:
        word, beside = tags[at].word, [t.word for t in (*tags[max(0, at - 1) : at], *tags[at + 1 : at + 2])]
        done = at + 1 < len(tags) and tags[at + 1].says("cue") and len(spoken) > 1  # "all changed"
        those = word == "all" and [t.word for t in tags[at + 1 : at + 3]] == ["of", "those"]
        if word == "all" and (done or those or not set(beside).isdisjoint(_ALL)):
            return list(spoken)
    return None


def many_together(tags: Sequence[Tag], own: Sequence[int]) -> int:
    """How many places are told of together: two of "both", three of "all three", "the same three"; else none."""
    for at in own:
        word, before = tags[at].word, tags[at - 1].word if at else ""
        after = tags[at + 1] if at + 1 < len(tags) else None
        behind = " ".join(t.word for t in tags[at + 1 : at + 3])
        if word == "both" or (tags[at].says("noun", "pair") and behind.startswith("of them")):
            return 2
        value = after.value if after is not None and (after.kind == "num" or after.note == "idle") else None
        if word in ("all", "the", "same", "those", "these") and isinstance(value, float) and 1 < value == int(value):
            closed = at + 2 >= len(tags) or tags[at + 2].kind in ("punct", "stop", "sep", "clock")
            if word == "all" or closed or tags[at + 2].word in _SAME or (word == "same" and before != "the"):
                return int(value)
    return 0


_SAME = frozenset(["of them", "tubs", "tanks", "egg tubs", "fry tubs", "the egg tubs", "at", "too", "as"])
