"""Water changed and topped off: how much, where, in which part of the day."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller, litres_of_volume
from bot.language.times.days import Day
from bot.language.water.bare_shares import read_bare_numbers
from bot.language.water.places import place_list

_TAKEN = frozenset(["took", "taken", "drained", "removed", "siphoned", "pulled out", "took out", "taken out"])
_DRAWN_OFF = frozenset(["out", "drained", "took", "swap", "swapped", "replaced", "siphoned", "removed", "exchange"])
_HOW_MUCH = frozenset(["full", "big", "good", "quick", "small", "complete"])
# What else is changed, or new, in a house: words beside which no water is meant.
_OTHER_THINGS = frozenset(
    ["sheets", "clothes", "mind", "plan", "subject", "oil", "bulb", "batteries", "battery", "floss", "cartridge"]
)
_OTHER_SHARES = frozenset(  # what else is said in percent
    ["hatch", "rate", "fertility", "humidity", "off", "sure", "battery", "dead", "survival", "peroxide"]
)


def sees_wc(part: Part, teller: Teller) -> Sight | None:
    wc, changed = part.cues("wc"), part.cues("changed")
    if part.kind("culture") or part.noun("mop", "peat") or part.words() & _OTHER_THINGS:
        return None
    if part.sense("item") and not part.noun("water") and not wc:
        changed = []
    if wc and not _fresh_water_alone(part, wc[0], teller):
        named = (*wc, *changed, *part.cues("done", "gave"))
        return None if _new_water_in_passing(part, wc[0]) else Sight(5, named)
    if _got_the_water(part):
        return Sight(3, (*part.noun("water"), *part.cues("gave")))
    if _water_at_an_hour(part):
        return Sight(3, tuple(part.noun("water")))
    if part.has("done") and not part.has("feed") and any(t.word.endswith("water") for t in part.sense("group")):
        return Sight(4, tuple(part.cues("done")))  # "egg water done"
    if _water_done_or_taken(part, teller):
        return Sight(4, (*part.noun("water"), *part.cues("done"), *part.noun("eggs")))
    if changed and _water_was_changed(part, changed[0], teller):
        return Sight(4, (*changed, *part.cues("done", "gave")))
    if part.kind("pct") and not part.sense("substance") and not part.noun("eggs") and not part.words() & _OTHER_SHARES:
        return Sight(3, tuple(part.cues("done", "gave")))
    if _fraction_done(part):
        return Sight(4, tuple(part.cues("done")))
    if _share_of_the_water(part, teller):
        return Sight(4, (*part.cues("done", "collect", "clean"), *part.noun("water")))
    if _drawn_off(part, teller) and not part.noun("eggs", "peat"):
        return Sight(4, tuple(part.cues("collect", "clean")))
    return None


def _fresh_water_alone(part: Part, wc: Tag, teller: Teller) -> bool:
    """Whether "fresh water" stands in a long clause that names no place, number or share: no sign of a change."""
    spoken = part.kind("place", "num", "pct", "frac") or len(part.tags) <= 3 or teller.context.places
    return wc.word in ("fresh water", "clean water", "new water") and not spoken


def _new_water_in_passing(part: Part, wc: Tag) -> bool:
    """Whether "new water" is only what something stands in or what they make of it: "nuts in the new water"."""
    brief = part.kind("place", "batch") and len(part.tags) <= 4
    in_passing = wc.word == "new water" and part.words() & {"in", "nuts", "the"}
    return bool(in_passing and not part.kind("pct", "frac", "vol") and not brief)


def _got_the_water(part: Part) -> bool:
    """ "Tub D just got the water"."""
    return (
        part.tags[0].kind == "place"
        and part.tags[-1].says("noun", "water")
        and part.has("gave")
        and not part.sense("substance")
        and not part.sense("food")
        and len(part.tags) <= 6
    )


def _water_at_an_hour(part: Part) -> bool:
    """ "A B water 0645"."""
    named = part.noun("water") and part.kind("place") and part.kind("clock")
    return bool(named) and len(part.tags) <= 4 and not part.senses_cue()


def _water_done_or_taken(part: Part, teller: Teller) -> bool:
    """ "Water done in 13", "took water out of tub C"."""
    amount = part.kind("pct", "frac", "vol")
    return bool(
        part.noun("water")
        and (part.has("done") or part.words() & _TAKEN)
        and (part.kind("place", "num") or part.sense("group") or (amount and teller.context.places))
        and not part.has("topoff", "feed")
        and len(part.tags) <= 9
    )


def _water_was_changed(part: Part, changed: Tag, teller: Teller) -> bool:
    """Whether "changed" is said of water: it is named, or how much, or where, and nothing else is."""
    return bool(
        part.noun("water")
        or part.kind("pct", "frac", "vol")
        or _only_tanks(part, changed, teller)
        or part.kind("place", "size", "batch")
        or part.sense("group")
        or any(one.word in ("all", "the") and two.says("noun", "tank") for one, two in pairwise(part.tags))
        or part.words() & {"half", "third", "most"}
        or (part.has("done", "gave") and part.words() & _HOW_MUCH and teller.context.places)
    )


def _fraction_done(part: Part) -> bool:
    """ "Half done in 13"."""
    done = part.kind("frac") and part.has("done") and part.kind("place", "size", "num")
    return bool(done) and not part.sense("substance") and not part.sense("food")


def _share_of_the_water(part: Part, teller: Teller) -> bool:
    """ "Took out half the water"."""
    return bool(
        part.kind("frac", "pct")
        and part.noun("water")
        and (part.has("done") or {"took", "out"} & set(part.text().split()))
        and (teller.context.places or part.kind("place", "size", "num"))
        and not part.noun("eggs", "peat")
        and not part.has("topoff")
    )


def _drawn_off(part: Part, teller: Teller) -> bool:
    """ "Siphoned a third out of 13": a share or a volume taken out or replaced, where places are known."""
    heading = part.before if part.joiner == ":" else None
    where = (
        part.kind("place", "size", "num")
        or teller.context.places
        or part.sense("role")
        or part.sense("group")
        or (heading is not None and heading.kind("place"))
    )
    drawn = part.kind("frac", "vol") and part.words() & _DRAWN_OFF
    return bool(drawn and where and not part.has("topoff", "newplace", "lost"))


def _only_tanks(part: Part, changed: Tag, teller: Teller) -> bool:
    """Whether "changed" has nothing but the numbers of tanks after it: "changed 14 and 13"."""
    rest = part.tags[next(n for n, t in enumerate(part.tags) if t is changed) + 1 :]
    nums = [t for t in rest if t.kind == "num"]
    return (
        bool(nums)
        and rest[0].kind == "num"
        and all(t.kind in ("num", "sep", "day", "clock") or t.word in ("and", "too", "also") for t in rest)
        and all(t.low is None and teller.names.by_id.get(f"{t.value:g}") for t in nums)
    )


def tell_wc(group: Group, teller: Teller) -> None:
    read_bare_numbers(group)
    shares = [t for t in group.kind("pct", "frac") if not t.claimed]
    shares.sort(key=lambda t: t.kind != "pct")
    one = shares[0].value if len(shares) == 1 and shares[0].value <= 100 else None
    percent = round(one, 1) if one is not None else None
    places, left_out = place_list(group, teller, "water_change", percent=percent)
    if places is None:
        return
    places = places or teller.places_where(group, "water_change")
    over = next((t for t in shares if t.value > 100), None)
    if over is not None:
        question = f"{over.value:g} % cannot be. How much was changed?"
        teller.ask(group, question, "value", {"kind": "water_change", "places": places}, firm=True)
    elif not places:
        teller.ask_place(group, {"kind": "water_change", **({"percent": shares[0].value} if shares else {})})
    elif not _each_its_own_amount(group, teller, shares, places):
        _tell_one_amount(group, teller, shares, {"places": places, "except_": left_out})


def _each_its_own_amount(group: Group, teller: Teller, shares: list[Tag], places: list[str]) -> bool:
    """Tell of several amounts, each of its own places; False where they do not part so."""
    pcts = group.kind("pct")
    several = [*shares, *(t for t in group.kind("vol") if not t.claimed and (t.unit != "g" or not pcts))]
    if len(several) > 1 and (parted := _amounts_and_places(group, several)):
        for tag, its in parted:
            teller.tell("water_change", group, places=its, **_much(tag))
        return True
    if len(shares) > 1 and len(shares) == len(places):
        order = sorted([t for t in group.tags if t in shares], key=group._index)
        for place, tag in zip(places, order, strict=True):
            teller.tell("water_change", group, places=[place], **_much(tag))
        return True
    return False


def _tell_one_amount(group: Group, teller: Teller, shares: list[Tag], where: dict[str, list[str]]) -> None:
    """Tell of so much changed in all the places, once or several times over a day."""
    if len({round(t.value, 1) for t in shares}) > 1 and "call it" not in group.text():
        teller.ask(group, "How much was changed?", "value", {"kind": "water_change", "places": where["places"]})
        return
    percent = None
    if shares:
        percent = _much(shares[-1] if group.kind("pct") else shares[0])["percent"]
    much = {"percent": percent, "litres": _litres(group, percent)}
    times = _how_often(group, where["places"])
    clocks = [t.value for t in group.kind("clock")]
    if len(clocks) > 1 and not times:
        for clock in clocks:
            raw = teller.tell("water_change", group, **where, **much)
            raw["_clock"] = clock
            raw["_day"] = part_of_day(group, clock, raw["_day"])
        return
    for _ in range(times if times and 1 < times <= 6 else 1):
        teller.tell("water_change", group, **where, **much)


def _litres(group: Group, percent: float | None) -> float | None:
    """How much water a volume says; None of grams, and of what was put in with the new water."""
    vols = group.kind("vol")
    if not vols or (vols[0].unit == "g" and group.kind("pct")):
        return None
    before = group.before(vols[0])
    added = before is not None and before.word in ("with", "plus", "of")
    return None if percent is not None and added else litres_of_volume(vols[0])


def _how_often(group: Group, places: list[str]) -> int | None:
    """How often all of it was changed; None where it is not said, or the number is of the places."""
    spoken = [t for t in group.kind("num") if t.claimed == "times"] or group.kind("times")
    times = int(spoken[0].value) if spoken else None
    return None if times == len(places) else times  # "6 water changes: 1 to 5 and 9"


def _much(tag: Tag) -> dict[str, float | None]:
    """How much of the water one amount is: a share, or a volume."""
    if tag.kind == "vol":
        return {"litres": litres_of_volume(tag)}
    return {"percent": round(tag.value, 1) if tag.low is None else None}


def part_of_day(group: Group, clock: object, day: object) -> object:
    """The day of one clock time among several: "this evening" after the last of them says nothing of the first."""
    clocks = [t for t in group.tags if t.kind == "clock"]
    days = [t for t in group.tags if t.kind == "day"]
    if not isinstance(day, Day) or not day.part or len(days) != 1 or group._index(days[0]) < group._index(clocks[-1]):
        return day
    return day if clock is clocks[-1].value else replace(day, part="")


def _amounts_and_places(group: Group, amounts: list[Tag]) -> list[tuple[Tag, list[str]]]:
    """ "25% in 1 through 5 and 50% in 13": every amount with its own places; empty when they do not part so."""
    seq = {id(t): v for k, v, t in group.sequence("place") if k == "P"}
    runs: list[tuple[str, object]] = []
    for tag in group.tags:
        if any(tag is a for a in amounts):
            runs.append(("A", tag))
        elif id(tag) in seq:
            if runs and runs[-1][0] == "P":
                runs[-1] = ("P", [*runs[-1][1], *seq[id(tag)]])  # type: ignore[misc]
            else:
                runs.append(("P", list(seq[id(tag)])))
    order = "".join(k for k, _ in runs)
    if order not in ("AP" * (len(runs) // 2), "PA" * (len(runs) // 2)) or len(runs) < 4:
        return []
    pairs = zip(runs[::2], runs[1::2], strict=True)
    return [(a[1], p[1]) if a[0] == "A" else (p[1], a[1]) for a, p in pairs]  # type: ignore[misc]


def sees_topoff(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("topoff")
    return Sight(6, (*cue, *part.cues("changed"))) if cue else None


def tell_topoff(group: Group, teller: Teller) -> None:
    places, left_out = place_list(group, teller, "top_off")
    if places is None:
        return
    if not places:
        found, sort = teller.where(group, "top_off")
        places = list(found) if sort == "P" else []
    if not places:
        teller.ask_place(group, {"kind": "top_off"})
        return
    if teller.events and teller.events[-1]["kind"] == "top_off" and teller.events[-1].get("places") == places:
        return
    teller.tell("top_off", group, places=places, except_=left_out)
