"""What one event of a note leaves to the others: the ends of a move, a buyer, the rest of what was half told."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from bot.language.learnt.enough import MANY
from bot.language.text.names import Names

Raw = dict[str, Any]

_HALF_TOLD = frozenset(["headcount", "hatch", "death", "sale", "stock_in", "release"])
_NUMBERS = ("count", "male", "female")
_LEAVES_FISH = frozenset(["hatch", "headcount", "death", "eyed", "bad_eggs"])
_WHEN = frozenset(["_day", "_clock"])
_DEALS = frozenset(["sale", "reserve", "release"])


def may_hold(names: Names, place: str, event: Raw) -> bool:
    """Whether fish of the sex and stage told may be kept in a place: no males among fry, no fry among breeders."""
    known = names.place_of.get(place)
    stages = {b.stage for b in names.batches_in(place)}
    grown = (known is not None and known.role == "breeders") or bool(stages & {"juveniles", "adults"})
    if event.get("male") is not None or event.get("female") is not None:
        return grown
    return event.get("stage") not in ("fry", "juveniles") or event["stage"] in stages


def carried_over(events: list[Raw]) -> list[Raw]:
    """The events, each with what is said of it only beside another."""
    events = _gathered(events)
    _dosed_ahead(events)
    for n, event in enumerate(events):
        if event["kind"] == "death":
            _lost_of(event, events[:n])
        if event["kind"] == "move":
            _count_hatched(event, events[:n])
            _add_ends(event, events[:n], events[n + 1 :])
    for event in events:
        if event["kind"] in _DEALS and event.get("buyer") is None:
            event["buyer"] = _buyer_beside(events, event)
    _done_before_named(events)
    _of_one_person(events)
    _same_fish(events)
    _swapped(events)
    return [each for event in events for each in _both_ways(event, events)]


def _lost_of(event: Raw, before: list[Raw]) -> None:
    """Which fish died and where, of those that hatched, came or were moved just before: "12 came, 2 dead, to tub F"."""
    told = before[-1] if before else {}
    spot = told.get("place") if told.get("kind") in ("hatch", "stock_in") else None
    if spot and not any(event.get(key) for key in ("place", "places", "batch")):
        event["place"], event["_of_those"] = spot, True
    if event.get("_of_those") and told.get("kind") in ("stock_in", "move") and not event.get("line"):
        event["line"] = told.get("line")


def _both_ways(event: Raw, events: list[Raw]) -> list[Raw]:
    """The two moves of fish that changed places: "swapped the males of 2 and 3"."""
    moves = [e for e in events if e["kind"] == "move"]
    if not event.get("_swap") or len(moves) > 1 or not (event.get("from") and event.get("to")):
        return [event]
    if event.get("male") and event.get("female"):
        event["_unsure"] = True  # which of them went which way
    back = {**event, "from": event["to"], "to": event["from"], "batch": None}
    return [event, back]


def _dosed_ahead(events: list[Raw]) -> None:
    """Where an additive went that is told before all else: "a drop of dechlorinator each, A and B changed"."""
    for event, then in pairwise(events):
        placed = any(event.get(key) for key in ("place", "places", "batch"))
        if event["kind"] != "dose" or placed or then["kind"] in ("pull", "move", "dose") or not _beside(event, then):
            continue
        event["place"], event["places"], event["batch"] = (then.get(key) for key in ("place", "places", "batch"))
        event["_unsure"] = True


def _buyer_beside(events: list[Raw], event: Raw) -> str | None:
    """Who bought what a sentence tells of beside another deal, or "she"; a promise taken back may be another's."""
    others = [e for e in events if e["kind"] in _DEALS and e.get("buyer")]
    if event["kind"] == "release":
        others = [e for e in others if e["kind"] != "reserve"]
    whose = {e["buyer"] for e in others if _beside(e, event)}
    if not whose and event.get("_of_them"):
        whose, event["_unsure"] = {e["buyer"] for e in others}, True
    return whose.pop() if len(whose) == 1 else None


def _done_before_named(events: list[Raw]) -> None:
    """Where a chore was done of which only the next says it: "fed and changed E, F"; it may be elsewhere, too."""
    for one, other in pairwise(events):
        if one is events[0] and one["kind"] in MANY and other["kind"] in MANY and _beside(one, other):
            one["_unsure"] = one.get("_unsure") or not one.get("places")
            one["places"] = one.get("places") or other.get("places")


def _of_one_person(events: list[Raw]) -> None:
    """Who "she" is that brought or had fish, where just one person of the note dealt in any."""
    people = {who for e in events if (who := e.get("buyer") or e.get("source"))}
    for event in events:
        key = "source" if event["kind"] == "stock_in" else "buyer"
        if len(people) == 1 and event.get("_of_them") and not event.get(key) and event["kind"] != "release":
            event[key], event["_unsure"] = next(iter(people)), True


def _same_fish(events: list[Raw]) -> None:
    """Which fish those of a deal are, where only another of the note says it: "Ray 2 gardneri, Lena 4"."""
    named = [e for e in events if e["kind"] in _DEALS and e.get("line")]
    for event in events:
        if event["kind"] not in ("sale", "reserve") or any(
            event.get(key) for key in ("line", "batch", "place", "places")
        ):
            continue
        lend = [e for e in named if e["kind"] != "release" or event["kind"] == "reserve"]  # "Ray wants them instead"
        if len({e["line"] for e in lend}) != 1:
            continue
        event["line"] = lend[0]["line"]
        event["_unsure"] = event.get("_unsure") or not any(_beside(event, other) for other in lend)
        if len(lend) == 1 and event["kind"] == lend[0]["kind"]:
            event["place"] = lend[0].get("place")


def hatched_before(events: list[Raw], move: Raw) -> Raw | None:
    """The hatch whose fry are moved: told last but for eggs eyed or bad, and where the fish come from if said."""
    if (alike := _just_as_many(events, move)) is not None:
        return alike
    told = [e for e in events if e["kind"] not in ("eyed", "bad_eggs")]
    last = told[-1] if told and told[-1]["kind"] == "hatch" else None
    if last is None or (move["from"] is None and move["batch"] is None):
        return last
    spots = {last.get("place"), last.get("batch")} - {None}
    return last if spots & {move["from"], move["batch"]} else None


def _just_as_many(events: list[Raw], move: Raw) -> Raw | None:
    """The hatch of just as many fry as are moved, of those told in several tubs: "3 in A, 1 in C; F has the 3"."""
    hatches = [e for e in events if e["kind"] == "hatch" and e.get("count")]
    spots = [(e.get("place"), e.get("batch")) for e in hatches]
    if len(set(spots)) == 1 or not move.get("count") or move["from"] or move["batch"]:
        return None
    sums = {spot: sum(e["count"] for e, its in zip(hatches, spots, strict=True) if its == spot) for spot in spots}
    fit = [spot for spot, count in sums.items() if count == move["count"]]
    return hatches[spots.index(fit[0])] if len(fit) == 1 else None


def _count_hatched(event: Raw, before: list[Raw]) -> None:
    """As many moved as hatched where that is all that is said: the last, or "all of them" from one place."""
    hatched = event.get("_hatched")
    if hatched is None or any(event.get(key) is not None for key in _NUMBERS):
        return
    hatches = [e for e in before if e["kind"] == "hatch"]
    counts = [e.get("count") for e in hatches]
    alike = len({(e.get("place"), e.get("batch")) for e in hatches}) == 1
    if not event.get("_all") or len(hatches) == 1:
        event["count"], event["_unsure"] = hatched.get("count"), event.get("_unsure") or (len(hatches) > 1 and alike)
    elif alike and None not in counts:
        event["count"] = sum(int(count) for count in counts if count)
    else:
        event["_unsure"] = True


def _swapped(events: list[Raw]) -> None:
    """Who brought fish and took others for them: "Greta swapped me 3 pairs of furzeri for 2 of gardneri"."""
    came, went = ([e for e in events if e["kind"] == kind] for kind in ("stock_in", "sale"))
    if len(came) == len(went) == 1 and _beside(came[0], went[0]):
        source, buyer = came[0].get("source"), went[0].get("buyer")
        came[0]["source"], went[0]["buyer"] = source or buyer, buyer or source


def _beside(one: Raw, other: Raw) -> bool:
    return bool(one.get("_sentence") == other.get("_sentence"))


def _add_ends(event: Raw, before: list[Raw], after: list[Raw]) -> None:
    """Where fish came from or went to, where only the move before says it, or the one behind: "all to 12"."""
    moves = [e for e in before if e["kind"] == "move"]
    if event.get("from") is None and event.get("batch") is None:
        if moves and event.get("to") != moves[-1].get("from"):
            event["from"], event["batch"] = moves[-1].get("from"), moves[-1].get("batch")
        elif not moves and (later := [e for e in after if e["kind"] == "move" and e.get("from") and _beside(e, event)]):
            event["from"] = later[0]["from"]
        elif not moves and before and before[-1]["kind"] in _LEAVES_FISH and before[-1].get("place") != event.get("to"):
            event["from"], event["batch"] = before[-1].get("place"), before[-1].get("batch")
    if event.get("to") is None:
        ends = [e["to"] for e in [*moves[-1:], *(e for e in after if e["kind"] == "move")] if e.get("to")]
        event["to"] = ends[0] if ends and ends[0] != event.get("from") else None


def _gathered(events: list[Raw]) -> list[Raw]:
    """What is told in two parts with something else between made one: "all of E is bright … I counted 27"."""
    out: list[Raw] = []
    for event in events:
        last = next((e for e in reversed(out) if e["kind"] == event["kind"]), None)
        if last is not None and event["kind"] in _HALF_TOLD and _completes(last, event):
            last.update({k: v for k, v in event.items() if last.get(k) in (None, [], ())})
        else:
            out.append(event)
    return out


def _completes(last: Raw, event: Raw) -> bool:
    counted = [any(e.get(key) is not None for key in _NUMBERS) for e in (last, event)]
    one, other = (
        {k for k, v in e.items() if v not in (None, [], ()) and (k[0] != "_" or k in _WHEN)} for e in (last, event)
    )
    return counted[0] != counted[1] and all(last[key] == event[key] for key in one & other)
