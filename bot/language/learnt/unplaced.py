"""Where an event happened that names no place: where the note was, where its fish live, or the only place told."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from bot.language.learnt.beside import sentences
from bot.language.learnt.cultures import numbered, stem_of
from bot.language.learnt.enough import MANY
from bot.language.learnt.implied import listed, peat_told_before
from bot.language.learnt.joining import left_behind, many_together, spoken_of, told_together
from bot.language.learnt.values import Spot, base, likely_spot_of_line, spot_of, stands_for_the_rest
from bot.language.tags import Tag

if TYPE_CHECKING:
    from bot.language.learnt.parts import Telling

Raw = dict[str, Any]

SHARED = frozenset(["dose", "measure", "service", "pull"])  # one event may name several places
ROUTINE = frozenset(["water_change", "top_off", "feed", "measure", "dose", "service", "culture"])
_LEANS = frozenset(  # told of the place spoken of before, where none is named
    ["dose", "bad_eggs", "water_change", "feed", "measure", "headcount", "eyed", "top_off", "service", "death", "mop"]
) | {"hatch", "pull", "close_place", "setting.heater_c", "setting.light_hours"}
_ENDS = ("to", "to_all", "from", "except")
_PAIR = 2
_ALL_OF_IT = 100


def _by_its_number(telling: Telling, event: Raw, at: int, kind: str) -> None:
    """The culture of which only the number is said: "number 1 had a good feed"."""
    its = next(sentence for sentence in sentences(telling.tags) if at in sentence)
    roles = [role if n in its else "" for n, role in enumerate(telling.roles)]
    several = [name for name in telling.names.cultures if stem_of(name) != name]
    found, alone = numbered(telling.tags, roles, at, several, kind, telling.names)
    if found is not None:
        event.setdefault("culture", found)
        telling.whole = telling.whole and alone


def leave_there(telling: Telling, event: Raw, at: int, said: str) -> None:
    """What was done where the note was already: to the culture told of before, at the one tank."""
    kind = event["kind"]
    if kind == "culture":
        _by_its_number(telling, event, at, said)
        before = next((e for e in reversed(telling.events) if e["kind"] == kind), {})
        event.setdefault("culture", before.get("culture"))
    if kind == "mop" and several_mops(telling.tags, at) and _pulled(telling):
        return
    spots = {str(e.get("place") or e.get("batch")) for e in telling.events if e["kind"] == "pull" or kind != "mop"}
    if kind not in ROUTINE | {"peat"} and len(spots) > 1:
        telling.whole = False  # "12 from 2, 7 from 3, mop back in": which?


def several_mops(tags: Sequence[Tag], at: int) -> bool:
    """Whether more mops than one are told of: "mops back in", "both mops are back"."""
    beside = tags[max(0, at - 3) : at + 3]
    return any(
        t.word in ("mops", "both") or (t.word.startswith(("mops ", "both ")) and t.kind == "lex") for t in beside
    )


def _pulled(telling: Telling) -> list[str]:
    """The tanks whose mops were told of."""
    told = [place for e in telling.events if e["kind"] == "pull" for place in (e.get("places") or [e.get("place")])]
    return list(dict.fromkeys(place for place in told if place)) if all(told) else []


def _to_be_pulled(telling: Telling, at: int) -> list[str]:
    """The tanks whose mops are told of in the same sentence only after: "new mop in 5, twelve on the old one"."""
    its = next(sentence for sentence in sentences(telling.tags) if at in sentence)
    said = [n for n in its if n > at and (telling.kinds[n], telling.roles[n]) == ("pull", "place")]
    spots = [spot_of(telling.tags, n, "pull", telling.teller) for n in said]
    return [place for spot in spots if spot is not None for place in spot.places]


def spot_told_before(
    telling: Telling, event: Raw, kind: str, facts: list[int], own: list[int]
) -> tuple[list[str], str | None]:
    """Where an event happened that names no place: in all those spoken of before, or in the one meant."""
    back = [at for at in facts if telling.roles[at] == "there"] if kind == "mop" else []
    if back and several_mops(telling.tags, back[0]) and (pulled := _pulled(telling)):
        return pulled, None
    if back and not _pulled(telling) and (pulled := _to_be_pulled(telling, back[0])):
        telling.whole = telling.whole and len(pulled) == 1
        return pulled, None
    if kind == "pull" and event.get("count") == 0 and any(telling.tags[at].word == "neither" for at in own):
        spoken = spoken_of(telling.events, kind, telling.names)
        return (spoken[-_PAIR:] if len(spoken) >= _PAIR else []), None
    if base(kind) not in ROUTINE | {"eyed"}:
        return _spot_elsewhere(telling, event, kind, facts, own)
    fish = [at for at in facts if telling.roles[at] == "line" and telling.tags[at].kind == "line"]
    if any((spot := spot_of(telling.tags, at, kind, telling.teller)) and len(spot.places) > 1 for at in fish):
        return _spot_elsewhere(telling, event, kind, facts, own)  # "both gardneri tanks"
    if base(kind) in MANY and event.get("except"):
        telling.whole = False
        return ["all"], None  # "not 15, flake otherwise"
    spoken = spoken_of(telling.events, base(kind), telling.names)
    together = told_together(telling.tags, [at for at in own if telling.roles[at] in ("_", "there")], spoken)
    each = any(telling.tags[at].word in ("each", "in each", "apiece", "ea") for at in own)
    if together is None and each and base(kind) in ("dose", "water_change") and len(spoken) > 1:
        kinds = {telling.names.place_of[place].kind for place in spoken if place in telling.names.place_of}
        telling.whole = telling.whole and len(kinds) == 1  # "2 white in A, a fifth in 13, a drop each"
        together = spoken
    if together is None:
        if any(telling.roles[at] == "there" for at in facts) and len(spoken) > 1:
            telling.whole = False  # "2 white in A, 1 in B, changed the water": of which?
        found = _spot_elsewhere(telling, event, kind, facts, own)
        return _fed_after(telling, event, found, spoken, own) if base(kind) == "feed" else found
    if not together and (ends := _ends_of_move(telling, own)):
        return ends, None
    if not together:
        telling.whole = False  # "both sides of the glass" are no places, but it may be meant so
        beside = " ".join(telling.tags[at].word for at in own)
        many = many_together(telling.tags, own)
        counted = many > _PAIR or "tub" in beside or "tank" in beside  # "both numbers real" counts no places
        if counted and (alike := listed(telling.names, beside, many, spoken)):
            return alike, None  # "2 white in A, 1 in C, all three changed"
        return _spot_elsewhere(telling, event, kind, facts, own)
    return together, None


def _fed_after(
    telling: Telling, event: Raw, found: tuple[list[str], str | None], spoken: Sequence[str], own: list[int]
) -> tuple[list[str], str | None]:
    """Who was fed where several places were told of: "20 % in 8, 25 % in 7, fish had flake after" is of both."""
    if not event.get("_leant") or set(spoken) <= set(found[0]):
        return found
    telling.whole = False
    changed = {e["kind"] for e in telling.events} == {"water_change"}
    them = any(telling.tags[at].word in _THEM for at in own)
    return (list(spoken), None) if changed and them else found


_THEM = frozenset(["them", "they", "fish"])


def _ends_of_move(telling: Telling, own: list[int]) -> list[str]:
    """Both tanks of the one move told before: "10 from 11 to 12, both had brine"."""
    moves = [e for e in telling.events if e["kind"] == "move"]
    if len(moves) != 1 or many_together(telling.tags, own) != _PAIR:
        return []
    ends = [moves[0].get("from"), moves[0].get("to")]
    return [str(end) for end in ends] if all(ends) else []


def _spot_elsewhere(
    telling: Telling, event: Raw, kind: str, facts: list[int], own: list[int]
) -> tuple[list[str], str | None]:
    """Where an event happened that names no place: by its fish, by what was told before, by the one place named."""
    fish = [at for at in facts if telling.roles[at] == "line" and telling.tags[at].kind == "line"]
    if base(kind) == "peat" and (kind != "peat.collect" or not fish):
        lines = [line for at in fish for line in telling.tags[at].value]
        homes = [spot for at in fish if (spot := spot_of(telling.tags, at, kind, telling.teller)) is not None]
        event["_home"] = homes[0].places if homes else ()
        return peat_told_before(event, telling.events, lines, telling.names)
    spots = [spot for at in fish if (spot := spot_of(telling.tags, at, kind, telling.teller)) is not None]
    if spots:
        if len(spots) < len(fish):
            telling.whole = False
            spots = _spots_of_fish(telling, fish, kind)
        several = base(kind) in MANY | SHARED - {"pull"}  # "topped the clowns and the corys"
        return [p for spot in spots[: None if several else 1] for p in spot.places], spots[0].batch
    if not {base(kind), kind} & _LEANS:
        return [], None
    last = telling.events[-1] if telling.events else {}
    if base(kind) == "dose" and last.get("kind") == "pull" and not last.get("to"):
        return [], None  # into the tub the eggs went to, whichever that is
    apart = base(kind) != "pull" or {telling.roles[at] for at in facts} & {"when", "to"}  # else one pull a place
    if not apart and any(told["kind"] == "pull" for told in telling.events):
        if not _at_a_new_mop(telling, last):
            return [], None
        ends = sum(tag.kind in ("stop", "sep") for tag in telling.tags[: min(facts, default=0)])
        telling.whole = telling.whole and ends == last["_sentence"]
    if kind in MANY and (left_out := _left_out(telling, kind, facts)):
        return left_out, None
    there = any(telling.tags[at].word == "there" for at in own)
    event["_of_those"] = _of_those(telling, own)
    there = there or event["_of_those"]
    share = base(kind) == "water_change" and event.get("percent", _ALL_OF_IT) < _ALL_OF_IT
    for told in reversed(telling.events):
        if (share or kind == "top_off") and told["kind"] == "pull" and told.get("to"):
            telling.whole = False  # "40 from 3 into D, then 20 %": likelier of the tank
        if (found := left_behind(told, base(kind), there=there, share=share)) is not None and not _in_tubs(
            telling, kind, *found
        ):
            event["_of"], event["_leant"] = told, True
            return found
    named = [
        spot_of(telling.tags, at, kind, telling.teller)
        for at, tag in enumerate(telling.tags)
        if (telling.roles[at] == "place" or tag.kind in ("place", "batch", "size", "line"))
        and telling.kinds[at] != "Q"
        and not (base(kind) == "pull" and telling.roles[at] in _ENDS)
    ]
    only = set(filter(None, named))
    if len(only) == 1 and len((spot := only.pop()).places) <= 1 and not _in_tubs(telling, kind, *spot):
        event["_leant"] = True
        return list(spot.places), spot.batch
    return [], None


def _at_a_new_mop(telling: Telling, last: Raw) -> bool:
    """Whether what was told last is of one tank whose mop is not told of yet: "2: 25 %, mop 4; 3: 25 %, mop 9"."""
    places = last.get("places") or [last.get("place")]
    pulled = [place for e in telling.events if e["kind"] == "pull" for place in (e.get("places") or [e.get("place")])]
    return last.get("kind") != "pull" and len(places) == 1 and places[0] is not None and places[0] not in pulled


def _spots_of_fish(telling: Telling, fish: Sequence[int], kind: str) -> list[Spot]:
    """Where each of several fish is told of, or is likeliest so."""
    tags, teller = telling.tags, telling.teller
    said = [spot_of(tags, at, kind, teller) or likely_spot_of_line(tags, at, kind, teller) for at in fish]
    return [spot for spot in said if spot is not None]


_THOSE = frozenset(["them", "those", "these"])


def _of_those(telling: Telling, own: Sequence[int]) -> bool:
    """Whether fish are some of those told of before, so where these are now: "moved 8 to 16, one of them died"."""
    words = [tag.word for tag in telling.tags]
    return any(words[at] in _THOSE and words[at - 1 : at] == ["of"] for at in own) or any(
        words[at] == "of them" for at in own
    )


def likely_spot(telling: Telling, kind: str, facts: list[int], places: list[str], batch: str | None) -> Spot | None:
    """Where fish kept in several places are likeliest told of, unless some live where the event leant to."""
    fish = next((at for at in facts if telling.roles[at] == "line" and telling.tags[at].kind == "line"), None)
    if fish is None or batch or {x for p in places for x in telling.names.lines_in(p)} & set(telling.tags[fish].value):
        return None
    if spot_of(telling.tags, fish, kind, telling.teller) is not None:
        return None
    return likely_spot_of_line(telling.tags, fish, kind, telling.teller)


def left_for_the_rest(telling: Telling, event: Raw, facts: list[int]) -> None:
    """Except those told of before on the same day, where the rest is told of: "powder for E, flake for the rest"."""
    if not any(telling.roles[at] == "place" and stands_for_the_rest(telling.tags, at) for at in facts):
        return
    if event["kind"] not in MANY:
        telling.whole = False
        return
    others = [e for e in telling.events if e["kind"] == event["kind"] and e.get("_day") == event["_day"]]
    barred = [p for e in others for p in e.get("places") or () if not str(p).startswith("all")]
    event["except"] = list(dict.fromkeys([*event.get("except", []), *barred]))
    telling.whole = telling.whole and bool(event["except"])


def also_of_fish(telling: Telling, kind: str, facts: list[int], spots: Sequence[Spot]) -> list[Spot]:
    """The places of fish told of besides others: "1, 14 and the furzeri", "the rainbows and the lampeyes"."""
    fish = [at for at in facts if telling.roles[at] == "line" and telling.tags[at].kind == "line"]
    if not fish or (len(fish) == 1 and not spots):
        return []
    found: list[Spot] = []
    for at in fish:
        spot = spot_of(telling.tags, at, kind, telling.teller)
        if spot is None:
            telling.whole = False
            spot = likely_spot_of_line(telling.tags, at, kind, telling.teller)
        home = telling.names.batch_of.get(spot.batch or "") if spot else None
        found += [Spot((home.place,))] if home else [spot] if spot else []
    return found


def _in_tubs(telling: Telling, kind: str, places: Sequence[str], batch: str | None) -> bool:
    """Whether a mop would have to hang in a tub: the last tub spoken of is where its eggs went."""
    known = telling.names.place_of
    return kind in ("pull", "mop") and (batch is not None or any(known[p].kind == "tub" for p in places if p in known))


def _left_out(telling: Telling, kind: str, facts: list[int]) -> list[str]:
    """The places just excepted, when they are told of next: "flake for all but 4, which had powder"."""
    if not facts or not telling.events or telling.events[-1]["kind"] != kind:
        return []
    found: list[str] = []
    for at in range(min(facts) - 1, 0, -1):
        if telling.roles[at] not in ("_", "except"):
            break
        spot = spot_of(telling.tags, at, kind, telling.teller) if telling.roles[at] == "except" else None
        found += spot.places if spot else ()
    return found[::-1]
