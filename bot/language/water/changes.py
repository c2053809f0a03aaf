"""Water changed and topped off: how much, where, in which part of the day."""

from __future__ import annotations

from dataclasses import replace

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller, litres_of_volume
from bot.language.times.days import Day
from bot.language.water.places import place_list

_TAKEN = frozenset(["took", "taken", "drained", "removed", "siphoned", "pulled out", "took out", "taken out"])


def sees_wc(part: Part, teller: Teller) -> Sight | None:
    wc, changed = part.cues("wc"), part.cues("changed")
    if part.kind("culture") or any(
        t.word
        in ("sheets", "clothes", "mind", "plan", "subject", "oil", "bulb", "batteries", "battery", "floss", "cartridge")
        for t in part.tags
    ):
        return None
    if part.sense("item") and not part.noun("water") and not wc:
        changed = []
    if part.noun("mop", "peat"):
        return None
    amount = part.kind("pct", "frac") or list(part.kind("vol"))
    if wc and not (
        wc[0].word in ("fresh water", "clean water", "new water")
        and not (part.kind("place", "num", "pct", "frac") or len(part.tags) <= 3 or teller.context.places)
    ):
        brief = bool(part.kind("place", "batch")) and len(part.tags) <= 4
        if wc[0].word == "new water" and part.words() & {"in", "nuts", "the"} and not amount and not brief:
            return None
        return Sight(5, (*wc, *changed, *part.cues("done", "gave")))
    if (
        part.tags[0].kind == "place"
        and part.tags[-1].says("noun", "water")
        and part.has("gave")
        and not part.sense("substance")
        and not part.sense("food")
        and len(part.tags) <= 6
    ):
        return Sight(3, (*part.noun("water"), *part.cues("gave")))  # "tub D just got the water"
    if (
        part.noun("water")
        and part.kind("place")
        and part.kind("clock")
        and len(part.tags) <= 4
        and not part.senses_cue()
    ):
        return Sight(3, tuple(part.noun("water")))
    if part.has("done") and not part.has("feed") and any(t.word.endswith("water") for t in part.sense("group")):
        return Sight(4, tuple(part.cues("done")))  # "egg water done"
    if (
        part.noun("water")
        and (part.has("done") or part.words() & _TAKEN)
        and (part.kind("place", "num") or part.sense("group") or (amount and teller.context.places))
        and not part.has("topoff", "feed")
        and len(part.tags) <= 9
    ):
        return Sight(4, (*part.noun("water"), *part.cues("done"), *part.noun("eggs")))
    if changed and (
        part.noun("water")
        or amount
        or _only_tanks(part, changed[0], teller)
        or part.kind("place", "size", "batch")
        or part.sense("group")
        or any(
            t.word in ("all", "the") and n + 1 < len(part.tags) and part.tags[n + 1].says("noun", "tank")
            for n, t in enumerate(part.tags)
        )
        or part.words() & {"half", "third", "most"}
        or (
            part.has("done", "gave")
            and part.words() & {"full", "big", "good", "quick", "small", "complete"}
            and teller.context.places
        )
    ):
        if part.noun("eggs", "mop") and not part.noun("water"):
            return Sight(4, (*changed, *part.cues("done", "gave")))
        return Sight(4, (*changed, *part.cues("done", "gave")))
    if (
        amount
        and part.kind("pct")
        and not part.sense("substance")
        and not part.noun("eggs")
        and not any(
            t.word
            in ("hatch", "rate", "fertility", "humidity", "off", "sure", "battery", "dead", "survival", "peroxide")
            for t in part.tags
        )
    ):
        return Sight(3, (*part.cues("done", "gave"),))
    if (
        part.kind("frac")
        and part.has("done")
        and part.kind("place", "size", "num")
        and not part.sense("substance")
        and not part.sense("food")
    ):
        return Sight(4, tuple(part.cues("done")))
    if (
        part.kind("frac", "pct")
        and part.noun("water")
        and (part.has("done") or {"took", "out"} & set(part.text().split()))
        and (teller.context.places or part.kind("place", "size", "num"))
        and not part.noun("eggs", "peat")
        and not part.has("topoff")
    ):
        return Sight(4, (*part.cues("done", "collect", "clean"), *part.noun("water")))  # "took out half the water"
    if (
        part.kind("frac", "vol")
        and part.words() & {"out", "drained", "took", "swap", "swapped", "replaced", "siphoned", "removed", "exchange"}
        and (
            part.kind("place", "size", "num")
            or teller.context.places
            or part.sense("role")
            or part.sense("group")
            or (part.joiner == ":" and part.before is not None and part.before.kind("place"))
        )
        and not part.has("topoff", "newplace", "lost")
    ):
        if part.noun("eggs", "peat"):
            return None
        return Sight(4, (*part.cues("collect", "clean"),))
    return None


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
    _percent_of_bare(group)
    pcts, fracs, vols = group.kind("pct"), group.kind("frac"), group.kind("vol")
    amounts = [t for t in (*pcts, *fracs) if not t.claimed]
    places, left_out = place_list(
        group,
        teller,
        "water_change",
        percent=round(amounts[0].value, 1) if len(amounts) == 1 and amounts[0].value <= 100 else None,
    )
    if places is None:
        return
    if not places:
        places = teller.places_where(group, "water_change")
    _day, clock = teller.when(group)
    for tag in amounts:
        if tag.value > 100:
            teller.ask(
                group,
                f"{tag.value:g} % cannot be. How much was changed?",
                "value",
                {"kind": "water_change", "places": places},
            )
            return
    if not places:
        teller.ask_place(group, {"kind": "water_change", **({"percent": amounts[0].value} if amounts else {})})
        return
    several = [*amounts, *(t for t in vols if not t.claimed and (t.unit != "g" or not pcts))]
    if len(several) > 1 and (parted := _amounts_and_places(group, several)):
        for tag, its in parted:
            teller.tell("water_change", group, places=its, **_much(tag))
        return
    if len(amounts) > 1 and len(amounts) == len(places):
        order = sorted([t for t in group.tags if t in amounts], key=group._index)
        for place, tag in zip(places, order, strict=True):
            teller.tell("water_change", group, places=[place], percent=round(tag.value, 1) if tag.low is None else None)
        return
    percent = litres = None
    if amounts:
        tag = amounts[-1] if pcts else amounts[0]
        percent = round(tag.value, 1) if tag.low is None else None
        if pcts and fracs and tag.low is not None and "call it" not in group.text():
            percent = None
        if len({round(t.value, 1) for t in amounts}) > 1 and "call it" not in group.text():
            teller.ask(group, "How much was changed?", "value", {"kind": "water_change", "places": places})
            return
    added = vols and (before := group.before(vols[0])) is not None and before.word in ("with", "plus", "of")
    if vols and not (vols[0].unit == "g" and pcts) and not (percent is not None and added):
        litres = litres_of_volume(vols[0])
    times = next((int(t.value) for t in group.kind("times")), None)
    number = next((t for t in group.kind("num") if t.claimed == "times"), None)
    if number is not None:
        times = int(number.value)
    if times == len(places):
        times = None  # "6 water changes: 1 to 5 and 9"
    clocks = [t.value for t in group.kind("clock")]
    if len(clocks) > 1 and not times:
        for clock in clocks:
            raw = teller.tell("water_change", group, places=places, percent=percent, litres=litres, except_=left_out)
            raw["_clock"] = clock
            raw["_day"] = part_of_day(group, clock, raw["_day"])
        return
    for _ in range(times if times and 1 < times <= 6 else 1):
        teller.tell("water_change", group, places=places, percent=percent, litres=litres, except_=left_out)


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


def _percent_of_bare(group: Group) -> None:
    """ "wc 50" and "3 changes": a bare number that is no place is a percentage, or how often."""
    tags = group.tags
    nums = [t for t in tags if t.kind == "num" and not t.claimed]
    for n, tag in enumerate(tags):
        if tag.kind != "num":
            continue
        nxt = tags[n + 1] if n + 1 < len(tags) else None
        prev = tags[n - 1] if n else None
        said = next((t for t in reversed(tags[:n]) if t.kind == "vol" and t.value and t.low is None), None)
        if nxt is not None and nxt.word == "back" and any(t.kind in ("vol", "pct", "frac") for t in tags[:n]):
            tag.claimed = "back"  # "took 3 gallons out and put 3 back"
        elif nxt is not None and nxt.word in ("changes", "wcs", "water changes", "times") and n <= 1:
            tag.claimed = "times"
        elif (
            all(t.word in ("each", "all", "everywhere") for t in tags[n + 1 :])
            and n > 1
            and tag.value in (15, 20, 25, 30, 33, 40, 50, 60, 70, 75, 80, 90)
            and not group.place_id(tag)
            and not group.kind("pct", "frac", "vol")
            and any(t.says("cue", "wc") for t in tags[:2])
            and tags[n - 1].kind in ("num", "place")
            and tag.low is None
        ):
            tag.kind = "pct"  # "wc 7 30"
        elif (
            said is not None
            and nxt is not None
            and nxt.word in ("on", "in", "out", "from", "for")
            and n + 2 < len(tags)
            and tag.low is None
            and not any(t.kind == "pct" for t in tags)
            and said.word.replace(".", "").isdigit()
            and float(said.word)
        ):
            tag.kind, tag.value, tag.unit = (
                "vol",
                tag.value * said.value / float(said.word),
                said.unit,
            )  # "5 gal on 14, 3 on 13"
        elif (
            nxt is not None
            and nxt.word in ("on", "in", "for")
            and any(t.kind == "pct" for t in tags[:n])
            and tag.value in (10, 15, 20, 25, 30, 33, 40, 50, 60, 70, 75, 80, 90)
            and (tag.note == "spelled" or not group.place_id(tag))
            and prev is not None
            and prev.word in ("and", ",", "then")
            and tag.low is None
        ):
            tag.kind = "pct"  # "thirty percent on 14 and twenty on 13"
        elif (
            prev is not None
            and prev.kind == "place"
            and any(t.kind == "pct" for t in tags[:n])
            and tag.value in (10, 15, 20, 25, 30, 33, 40, 50, 60, 70, 75, 80, 90)
            and tag.low is None
        ):
            tag.kind = "pct"  # "E 50 %, F 50"
        elif (
            prev is not None
            and prev.says("cue", "wc")
            and tag.value in (10, 15, 20, 25, 30, 33, 40, 50, 60, 70, 75, 80, 90)
            and (len(group.kind("place")) or len(nums) > 1 or not group.place_id(tag))
            and (not group.place_id(tag) or group.kind("place"))
        ):
            tag.kind = "pct"


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
