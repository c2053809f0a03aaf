"""Water: changed, topped off, dosed, measured; and food, which goes by the same lists of places."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.language.days import Day
from bot.language.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import LIMITS, Frame, Sight, Teller, litres_of_volume


def place_list(group: Group, teller: Teller, kind: str, **keys: object) -> tuple[list[str] | None, list[str]]:
    """The places of a watering or feeding and those excepted; None after a question was asked."""
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": kind, **keys})
        return None, []
    if kind in ("water_change", "top_off", "feed"):
        group.join_spans()
    seq = group.sequence("place")
    if kind == "dose":
        seq = [s for s in seq if s[2].kind != "num" or _at_place(group, s[2])]
    cut = next((n for n, t in enumerate(group.tags) if t.says("except")), None)
    places: list[str] = []
    left_out: list[str] = []
    names = teller.names
    for sort, value, tag in seq:
        n = group._index(tag)
        out = (cut is not None and n > cut) or (n > 0 and group.tags[n - 1].word == "not" and bool(places))
        if n > 1 and any(t.word in ("nothing", "none", "skipped") for t in group.tags[max(0, n - 3) : n]):
            continue
        behind = group.tags[n + 1].word if n + 1 < len(group.tags) else ""
        if places and behind in ("not", "didn't", "wasn't", "skipped", "hasn't", "weren't"):
            continue  # "1-3 changed, 4 not"
        if sort == "?":
            if kind == "feed" or tag.claimed or tag.low is not None:
                continue
            before = group.before(tag)
            if before is not None and before.word in ("in", "on", "tank", "and", ",", "wc") and value < 200:
                teller.ask(group, f"There is no tank {value:g} here. Which one?", "place", {"kind": kind, **keys})
                return None, []
            continue
        its = [names.batch_of[v].place if sort == "B" and v in names.batch_of else v for v in value]
        (left_out if out else places).extend(its)
    groups = [t for t in group.sense("group") if cut is None or group._index(t) <= cut]
    if cut is not None:
        for tag in group.kind("line"):
            if group._index(tag) > cut:
                found = teller.spots_by_line(kind, list(tag.value))
                main = [p for p in found if names.place_of[p].role == "breeders"]
                if len(main) == 1:
                    left_out.extend(main)
    kind_of = [t for t in group.tags if t.says("noun", "tank") and t.word.endswith("s") and cut is None]
    if kind_of and not groups and not group.kind("place") and not places:
        word = kind_of[0].word
        before = group.before(kind_of[0])
        if before is not None and before.word in ("the", "of", "my", "our"):
            before = group.before(before)
        heads = names.head_words.get(word, ())
        if before is not None and before.word in ("all", "every") and heads:
            return [names.heads[h][i] for h in heads for i in names.heads.get(h, {})], []
        teller.ask_place(group, {"kind": kind, **keys})
        return None, []
    if (
        not places
        and not groups
        and kind in ("feed", "water_change")
        and _all_of_them(group)
        and "all of" not in group.text()
        and not group.kind("line")
        and not group.noun("fry", "adults", "eggs")
    ):
        return ["all"], left_out
    after_cut = [t for t in group.sense("group") if cut is not None and group._index(t) > cut]
    if after_cut and not left_out:
        left_out = [min(after_cut[0].senses["group"])]
    if cut is not None and not left_out and any(group._index(t) > cut for t in group.noun("fry")):
        left_out = ["all fry"]
    named = list(dict.fromkeys(min(t.senses["group"]) for t in groups))
    if len(named) > 1 and not places:
        if "all" in named:
            teller.ask(group, "Who got what?", "place", {"kind": kind, **keys})
            return None, []
        places = named
    if groups and not places:
        places = [min(groups[0].senses["group"])]
    if not places and not left_out:
        lines = [x for t in group.kind("line") for x in t.value]
        if lines:
            found = teller.spots_by_line(kind, lines)
            stage = group.stage()
            if stage:
                found = tuple(
                    p
                    for p in found
                    if any(b.stage == stage and b.line in lines for b in names.batches_in(p))
                    or (stage == "adults" and names.place_of[p].role == "breeders")
                )
            if len(found) == 1:
                places = list(found)
            elif len(teller.context.places) == 1 and set(names.lines_in(teller.context.places[0])) & set(lines):
                places = list(teller.context.places)
            else:
                main = [p for p in found if names.place_of[p].role == "breeders"]
                if len(main) == 1 and not stage and kind == "feed":
                    places = main
    if not group.kind("place") and _half_named(group):
        teller.ask_place(group, {"kind": kind, **keys})
        return None, []
    if left_out and not groups and set(left_out) <= set(places):
        places, left_out = [p for p in places if p not in left_out], []
    return list(dict.fromkeys(places)), left_out


def _half_named(group: Group) -> bool:
    """Whether a tank is named by a word nobody knows: "in tub eat"."""
    tags = group.tags
    for before, tag, after in zip(tags, tags[1:], tags[2:], strict=False):
        if (
            tag.kind == "lex"
            and tag.says("noun", "tank")
            and not tag.word.endswith("s")
            and before.word in ("in", "into", "to", "from")
            and after.kind == "word"
            and after.word.isalpha()
            and len(after.word) <= 4
            and after.word
            not in (
                "and",
                "at",
                "with",
                "too",
                "then",
                "for",
                "on",
                "by",
                "as",
                "so",
                "is",
                "was",
                "got",
                "had",
                "here",
                "that",
                "this",
                "near",
                "next",
            )
        ):
            return True
    return False


def _all_of_them(group: Group) -> bool:
    """Whether "all" stands for every place: "fed all", "all got flake", and not "gone all thin"."""
    for n, tag in enumerate(group.tags):
        if tag.word != "all":
            continue
        nxt = group.tags[n + 1] if n + 1 < len(group.tags) else None
        if (
            nxt is None
            or nxt.kind != "word"
            or nxt.word in ("with", "the", "them", "at", "in", "on", "their", "this", "round", "ok", "again", "today")
        ):
            return True
    return False


def _at_place(group: Group, tag: Tag) -> bool:
    """Whether a bare number stands where a place would: after "in", or in a list that does."""
    before, after = group.before(tag), group.after(tag)
    if after is not None and after.word in ("to", "into", "in", "for", "on"):
        return False  # an amount: "2 tsp to 15 and 1 to 16"
    while before is not None and (before.kind in ("sep", "num") or before.word in ("and", ",", "&")):
        before = group.before(before)
    return (
        before is not None and before.word in ("in", "into", "to", "for", "on", "tank", "of") and not group.counts(tag)
    )


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
        part.noun("water")
        and part.has("done")
        and (part.kind("place", "num") or part.sense("group"))
        and not part.has("topoff", "feed")
        and len(part.tags) <= 9
    ):
        return Sight(4, (*part.noun("water"), *part.cues("done"), *part.noun("eggs")))
    if changed and (
        part.noun("water")
        or amount
        or part.kind("place", "size", "batch")
        or part.sense("group")
        or any(
            t.word in ("all", "the") and n + 1 < len(part.tags) and part.tags[n + 1].says("noun", "tank")
            for n, t in enumerate(part.tags)
        )
        or part.words() & {"half", "third", "most"}
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
        part.kind("frac", "vol")
        and part.words() & {"out", "drained", "took", "swapped", "replaced", "siphoned", "removed"}
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
        found, sort = teller.where(group, "water_change")
        places = (
            list(found)
            if sort == "P"
            else [teller.names.batch_of[b].place for b in found if b in teller.names.batch_of]
        )
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
    if not amounts and len(vols) > 1 and (shared := _amounts_and_places(group, vols)):
        for tag, its in shared:
            teller.tell("water_change", group, places=its, litres=litres_of_volume(tag))
        return
    parted = _amounts_and_places(group, amounts)
    if len(amounts) > 1 and parted:
        for tag, its in parted:
            teller.tell("water_change", group, places=its, percent=round(tag.value, 1) if tag.low is None else None)
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
    if vols and not (vols[0].unit == "g" and pcts):
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
        if nxt is not None and nxt.word in ("changes", "wcs", "water changes", "times") and n <= 1:
            tag.claimed = "times"
        elif (
            n == len(tags) - 1
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


def sees_dose(part: Part, teller: Teller) -> Sight | None:
    substances = part.sense("substance")
    amounts = part.kind("amount")
    drops = [t for t in part.sense("unit") if t.word in ("drops", "drop", "drips")]
    substances = [
        t
        for t in substances
        if not (
            t.word == "leaves"
            and (n := part.tags.index(t))
            and part.tags[n - 1].word in ("that", "which", "this", "it", "so", "just")
        )
    ]
    if part.sense("food") and not substances:
        return None
    if (
        substances
        and all(t.word in ("leaf", "leaves") for t in substances)
        and any(t.word in ("but", "was", "frogbit", "behind", "under") for t in part.tags)
    ):
        return None
    if substances and (
        amounts
        or part.words()
        & {
            "added",
            "dosed",
            "put",
            "gave",
            "with",
            "w",
            "and",
            "in",
            "got",
            "went",
            "pinch",
            "plus",
            "of",
            "cup",
            "treated",
            "dropped",
        }
        or len(part.tags) <= 3
        or part.kind("num", "vol")
    ):
        return Sight(5, (*substances, *drops))
    if (amounts and any(t.unit == "drop" for t in amounts)) or (
        drops and part.words() & {"few", "couple", "some", "a"}
    ):
        return Sight(4, (*drops, *amounts))
    return None


def _doses_and_places(group: Group) -> list[tuple[Tag, list[str]]]:
    """Every amount with its own places ("4 drops to C and 2 to D"); empty when they do not part so."""
    tags = group.tags
    amounts = group.kind("amount")
    if not amounts or len({t.unit for t in amounts}) > 1 or group.words() & {"per", "every", "each"}:
        return []
    runs: list[tuple[str, list[Tag]]] = []
    for n, tag in enumerate(tags):
        nxt = tags[n + 1] if n + 1 < len(tags) else None
        bare = tag.kind == "num" and not tag.claimed and tag.low is None
        if (
            (
                bare
                and nxt is not None
                and nxt.word in ("to", "in", "into", "for")
                and n + 2 < len(tags)
                and tags[n + 2].kind in ("place", "word")
            )
            or (bare and n and tags[n - 1].kind == "place")
            or (bare and n > 1 and tags[n - 1].word in ("only", "just", "got", "had") and tags[n - 2].kind == "place")
            or (tag.kind == "amount" and tag.low is None)
        ):
            sort = "A"
        elif tag.kind == "place" and tag.value:
            sort = "P"
        elif bare:
            return []
        else:
            continue
        if sort == "P" and runs and runs[-1][0] == "P":
            runs[-1][1].append(tag)
        else:
            runs.append((sort, [tag]))
    order = "".join(sort for sort, _ in runs)
    if len(runs) < 4 or order not in ("AP" * (len(runs) // 2), "PA" * (len(runs) // 2)):
        return []
    out = []
    for one, two in zip(runs[::2], runs[1::2], strict=True):
        amount, spots = (one[1], two[1]) if one[0] == "A" else (two[1], one[1])
        out.append((amount[0], [p for t in spots for p in t.value]))
    return out


def tell_dose(group: Group, teller: Teller) -> None:
    tags = group.tags
    substances = group.sense("substance")
    substance = substances[0].one("substance") if substances else None
    amount: float | None = None
    unit: str | None = None
    if group.unknown() is None and (parted := _doses_and_places(group)):
        for tag, its in parted:
            tag.claimed = "amount"
            for place in its:
                teller.tell(
                    "dose", group, place=place, substance=substance, amount=tag.value, unit=group.kind("amount")[0].unit
                )
        return
    apart = _doses(group)
    if apart:
        for amount, unit, its in apart:
            for place in its:
                teller.tell("dose", group, place=place, substance=substance, amount=amount, unit=unit)
        return
    if len(group.kind("amount")) > 1 or (
        group.kind("amount") and (group.words() & {"per", "every"} or "/" in group.words())
    ):
        teller.ask(group, "How much was put in altogether?", "value", {"kind": "dose", "substance": substance})
        return
    for tag in group.kind("amount"):
        amount, unit = (tag.value if tag.low is None else None), tag.unit
    if amount is None and substances:
        n = group._index(substances[0])
        for back in range(n - 1, max(-1, n - 4), -1):
            tag = tags[back]
            if tag.kind == "vol" and tag.unit in ("cup", "qt", "gal", "l"):
                amount, unit = (tag.value / 0.2365882365, "cup") if tag.unit == "cup" else (tag.value, "l")
                amount = round(amount, 3)
                break
            if tag.kind == "num":
                amount = tag.value if tag.low is None else None
                tag.claimed = "amount"
                unit = "leaf" if "lea" in substances[0].word else None
                break
            if tag.kind == "frac":
                amount = None
                break
            if (
                tag.word in ("a", "an", "one")
                and all(
                    t.word in ("whole", "single", "big", "small", "large", "little", "fresh", "dried", "dry")
                    for t in tags[back + 1 : n]
                )
                and substances[0].word in ("leaf", "almond leaf", "alder cone", "oak leaf", "catappa leaf")
            ):
                amount, unit = 1.0, "leaf" if "leaf" in substances[0].word else None
    each_unit = group.kind("frac")
    if amount is None and each_unit and group.sense("unit"):
        amount, unit = each_unit[0].value / 100, group.sense("unit")[0].one("unit")
    text = group.text()
    for tag in group.sense("unit"):
        if (
            f"a {tag.word} and half" in text
            or f"a {tag.word} and a half" in text
            or f"one {tag.word} and a half" in text
        ):
            amount, unit = 1.5, tag.one("unit")
    if amount is None and unit is None:
        singles = [t for t in group.sense("unit") if not t.says("substance")]
        if singles and (before := group.before(singles[0])) is not None and before.word in ("a", "one"):
            amount, unit = 1.0, singles[0].one("unit")
    places, _ = place_list(group, teller, "dose", substance=substance, amount=amount, unit=unit)
    if places is None:
        return
    batches = group.batches()
    last = teller.context.event
    if last is not None and last["kind"] == "pull" and last.get("_group_parts") is group.parts:
        teller.tell("dose", group, place=last.get("to"), substance=substance, amount=amount, unit=unit)
        return
    if not places and not batches:
        previous = teller.context.event
        if previous is not None and previous["kind"] == "pull":
            to = previous.get("to")
            teller.tell("dose", group, place=to, substance=substance, amount=amount, unit=unit)
            return
        found, sort = teller.where(group, "dose")
        places = list(found)
        if sort == "B":
            teller.tell("dose", group, batch=found[0], substance=substance, amount=amount, unit=unit)
            return
    if not places:
        teller.ask_place(group, {"kind": "dose", "substance": substance, "amount": amount, "unit": unit})
        return
    if len(places) == 1:
        teller.tell("dose", group, place=places[0], substance=substance, amount=amount, unit=unit)
    else:
        teller.tell("dose", group, places=places, substance=substance, amount=amount, unit=unit)


def _doses(group: Group) -> list[tuple[float, str, list[str]]]:
    """Every amount with its own places ("2 tsp to 15 and 1 to 16"); empty when they do not part so."""
    amounts = group.kind("amount")
    units = {t.unit for t in amounts}
    seq = {
        id(t): list(v) for k, v, t in group.sequence("place") if k == "P" and (t.kind != "num" or _at_place(group, t))
    }
    if len(units) != 1 or len(seq) < 2 or group.unknown() is not None:
        return []
    unit = units.pop()
    runs: list[tuple[float, str, list[str]]] = []
    loose: list[str] = []
    for tag in group.tags:
        if id(tag) in seq:
            (runs[-1][2] if runs else loose).extend(seq[id(tag)])
        elif (tag.kind == "amount" or (tag.kind == "num" and not tag.claimed)) and tag.low is None:
            runs.append((float(tag.value), unit, []))
    if len(runs) < 2 or loose or not all(its for _, _, its in runs):
        return []
    for tag in group.kind("num"):
        tag.claimed = tag.claimed or ("amount" if id(tag) not in seq else "")
    return runs


def sees_feed(part: Part, teller: Teller) -> Sight | None:
    foods = [t for t in part.sense("food") if not (False)]
    feed, gave = part.cues("feed"), part.cues("gave")
    if part.has("harvest", "crash") and not part.kind("place", "num"):
        return None
    if part.noun("culture") and not part.kind("place", "num"):
        return None
    if part.has("rule"):
        return None
    if part.words() & {"ever", "try"} and not part.kind("place", "num"):
        return None
    if (
        foods
        and len(part.tags) <= 2
        and part.before is not None
        and (len(teller.context.places) == 1 or part.before.kind("place"))
        and not part.has("start", "crash")
    ):
        return Sight(3, tuple(foods))
    if foods and part.has("start") and not feed and not (part.kind("place") or part.sense("group")):
        return None
    if (
        foods
        and not feed
        and not gave
        and teller.context.kind == "culture"
        and part.tags[-1].kind == "num"
        and part.tags[-2:-1]
        and part.tags[-2].says("food")
    ):
        return None  # "call it daphnia 2"
    if foods and gave and not feed and all(t.word in ("had", "got", "has") for t in gave):
        order = [id(t) for t in part.tags]
        spoilt = part.words() & {"gone", "went", "turned", "been"}
        if spoilt and all(order.index(id(t)) < order.index(id(gave[0])) for t in foods):
            return None  # "the microworms had gone thin"
    if foods and all(t.word == "ate" for t in feed) and feed:
        feed = []
    if feed and not (feed[0].word in ("ate", "eating") and not foods):
        return Sight(5 if foods else 4, (*feed, *gave, *foods, *part.cues("done")))
    if (
        foods
        and not gave
        and part.words()
        & {
            "smell",
            "smells",
            "smelled",
            "look",
            "looks",
            "looking",
            "going",
            "thick",
            "thin",
            "lid",
            "box",
            "jar",
            "low",
            "out",
            "need",
            "needs",
            "doing",
        }
    ):
        return None
    if foods and (
        part.kind("place", "size", "batch", "num", "line")
        or part.sense("group")
        or gave
        or part.noun("fry", "adults", "juveniles")
    ):
        if part.kind("culture"):
            return None
        return Sight(4, (*foods, *gave))
    if foods and teller.context.kind == "feed":
        return Sight(3, tuple(foods))
    if gave and gave[0].word.startswith(("shared", "dished")) and part.kind("num", "place") and teller.context.food:
        return Sight(4, tuple(gave))
    if (
        gave
        and gave[0].word in ("gave", "got")
        and part.words() & {"them", "some"}
        and teller.context.values.get("food_sentence") == part.sentence
        and len(part.tags) <= 6
    ):
        return Sight(3, tuple(gave))
    return None


def tell_feed(group: Group, teller: Teller) -> None:
    foods = list(group.sense("food"))
    cut = next((group._index(t) for t in group.tags if t.says("except")), None)
    later = [t for t in foods if cut is not None and group._index(t) > cut]
    if later and len(later) < len(foods):
        foods = [t for t in foods if t not in later]
    found = list(dict.fromkeys(min(t.senses["food"]) for t in foods))
    if group.words() & {"rest", "others"} and not group.sense("except") and teller.events:
        teller.ask(
            group, "Who are the rest?", "place", {"kind": "feed", **({"food": found[0]} if len(found) == 1 else {})}
        )
        return
    every = [
        e for e in teller.events if e["kind"] == "feed" and not e.get("food") and e["_group"].sentence == group.sentence
    ]
    if (
        found
        and every
        and not group.kind("place", "num")
        and ({"times", "time", "both"} & group.words() or group.sense("each"))
    ):
        for raw in every:  # "fed E at 7 and at 3, powder both times"
            raw["food"] = found[0]
        return
    places, left_out = place_list(group, teller, "feed", **({"food": found[0]} if len(found) == 1 else {}))
    if places is None:
        return
    if (group.sense("except") and not left_out) or any(
        w in group.text() for w in ("each time", "alternat", "except first", "first was")
    ):
        teller.ask(group, "Who got what, and who was left out?", "place", {"kind": "feed"})
        return
    last = teller.context.event
    if (
        not places
        and last is not None
        and last["kind"] == "feed"
        and last.get("except")
        and group.tags[0].word in ("they", "those", "these")
    ):
        places = [str(p) for p in last["except"]]
    if (
        last is not None
        and last["kind"] == "feed"
        and last.get("except")
        and not last.get("food")
        and len(found) == 1
        and not places
        and not group.cues("feed", "gave")
        and teller.context.sentence == group.sentence
        and len(group.tags) <= 2
    ):
        last["food"] = found[0]
        return
    if not places and (group.noun("fry") or any(t.word.startswith("fry ") for t in foods)) and not group.kind("line"):
        places = ["all fry"]
    if not places and group.noun("adults") and not group.kind("line"):
        places = ["all adults"]
    if not places:
        where, sort = teller.where(group, "feed")
        places = (
            list(where)
            if sort == "P"
            else [teller.names.batch_of[b].place for b in where if b in teller.names.batch_of]
        )
    if not found:
        cue = next((t for t in group.tags if t.says("cue", "feed")), None)
        odd = _other_food(group, cue)
        seen = (
            teller.context.values.get("food") if teller.context.values.get("food_sentence") == group.sentence else None
        )
        found = (
            [odd]
            if odd
            else [str(seen)]
            if seen and not group.cues("feed")
            else ([teller.context.food] if teller.context.food and teller.context.kind == "culture" else [])
        )
    if not places:
        if teller.context.event is not None and teller.context.event["kind"] == "feed" and found:
            return
        if (
            group.tags[0].word == "fed"
            and not group.sense("food")
            and not group.kind("line")
            and not group.noun("fish", "fry", "adults", "male", "female")
            and len([t for t in group.tags if t.kind in ("word", "lex")]) <= 2
        ):
            if any(t.senses.get("food") for t in teller.all_tags):
                teller.ask(group, "Who was fed what?", "place", {"kind": "feed"})
                return
            hours: list[Tag | None] = [*group.kind("clock")] or [None]
            for tag in hours:
                raw = teller.tell("feed", group, places=["all"])
                if tag is not None:
                    raw["_clock"] = tag.value
            return
        then = group.parts[-1].after
        if then is not None and then.joiner == ":" and then.sense("food"):
            return  # "did the feeding: flake for 13": what follows says it
        if group.cues("done") or "done" in group.words():
            teller.tell("done", group, task=group.text())
            return
        teller.ask_place(group, {"kind": "feed", **({"food": found[0]} if found else {})})
        return
    clocks = list(group.kind("clock"))
    spots = {id(t) for k, _, t in group.sequence("place") if k in "PB"}
    order = "".join("C" if t in clocks else "P" for t in group.tags if t in clocks or id(t) in spots)
    if "PCP" in order or "CPC" in order:
        runs: list[tuple[list[str], list[Tag]]] = []
        its = {
            id(t): [teller.names.batch_of[v].place if k == "B" else v for v in vs]
            for k, vs, t in group.sequence("place")
            if k in "PB"
        }
        last_kind = ""
        for tag in group.tags if order.startswith("P") else ():
            if id(tag) in its:
                if last_kind != "P":
                    runs.append(([], []))
                runs[-1][0].extend(its[id(tag)])
                last_kind = "P"
            elif tag in clocks:
                runs[-1][1].append(tag)
                last_kind = "C"
        if not runs or not all(t for _, t in runs) or group.words() & {"both", "again", "all"}:
            teller.ask(group, "Who was fed when?", "time", {"kind": "feed"})
            return
        fed: list[str | None] = [*found] or [None]
        for where_, times_ in runs:
            for tag in times_:
                for food in fed:
                    raw = teller.tell("feed", group, places=where_, food=food)
                    raw["_clock"] = tag.value
        return
    bare = [t for t in group.kind("num") if t.claimed == "clock"]
    times = [t.value for t in group.tags if t in clocks or t in bare]
    if len(found) > 1 and len(times) == len(found):
        for food, clock in zip(found, times, strict=True):
            raw = teller.tell("feed", group, places=places, food=food, except_=left_out)
            raw["_clock"] = clock
        return
    named: list[str | None] = [*found] or [None]
    for what in named:
        if len(times) > 1:
            for clock in times:
                raw = teller.tell("feed", group, places=places, food=what, except_=left_out)
                raw["_clock"] = clock
        else:
            teller.tell("feed", group, places=places, food=what, except_=left_out)
    if later and len(later) < len(group.sense("food")) and left_out:
        teller.tell("feed", group, places=left_out, food=min(later[0].senses["food"]))


_NOT_FOOD = frozenset(
    [
        "the",
        "a",
        "them",
        "it",
        "all",
        "everyone",
        "some",
        "this",
        "that",
        "his",
        "her",
        "their",
        "our",
        "my",
        "just",
        "i",
        "we",
        "today",
        "twice",
        "again",
        "already",
        "and",
        "to",
        "in",
        "at",
        "on",
        "with",
        "fry",
        "fish",
        "morning",
        "evening",
        "noon",
        "lunch",
        "dinner",
        "breakfast",
        "late",
        "early",
        "lightly",
        "heavily",
        "well",
        "ok",
        "them",
        "too",
    ]
)


def _other_food(group: Group, cue: Tag | None) -> str | None:
    """A food the table does not know, right after "fed 2 and 3 …" at the end of the clause."""
    return None


_HEAD_TO_TAIL = re.compile(r"\b(nose|head|snout|tip) to (tail|tip)\b")


def sees_measure(part: Part, teller: Teller) -> Sight | None:
    near = part.text() + (" | " + part.before.text() if part.before is not None else "")
    if any(w in near for w in ("set point", "setpoint", "thermostat", "knocked the stat", "the stat ")):
        return None  # what a heater was set to is no reading
    quantity = [t for t in part.sense("quantity") if t.note != "muted"]
    if re.search(r"\b(should|ought to|needs? to|must|supposed to|might|could) (be|read|stay)\b", part.text()):
        return None  # what a reading ought to be
    values = part.kind("num", "deg", "len")
    lens = part.kind("len")
    if any(t.says("quantity", "length") for t in quantity) and not lens and not part.kind("num"):
        quantity = [t for t in quantity if not t.says("quantity", "length")]
    if quantity and any(t.word in ("long", "length", "measured", "measures") for t in quantity) and not lens:
        quantity = [t for t in quantity if not t.says("quantity", "length")]
    if quantity and (values or part.words() & {"zero", "nil", "undetectable"}):
        return Sight(6, tuple(quantity))
    if quantity and part.kind("place") and part.words() & {"between", "somewhere"}:
        return Sight(5, tuple(quantity))
    degs = list(part.kind("deg"))
    if (
        degs
        and not part.kind("vol")
        and not part.has("start", "wet", "rule")
        and "room" not in part.words()
        and (part.kind("place", "size", "batch") or teller.context.places)
    ):
        return Sight(4)
    if lens and _HEAD_TO_TAIL.search(part.text()) and part.noun("male", "female", "fish", "fry", "juveniles"):
        return Sight(4)  # the place may stand in the clause before
    if (
        lens
        and part.kind("batch", "place", "line")
        and not any(t.word in ("deep", "of", "wide") for t in part.tags[part.tags.index(lens[0]) :])
    ):
        return Sight(4)
    return None


_LISTS = frozenset(["and", "&", ",", "plus", "in", "tank", "tub", "tanks", "tubs", "also"])


def tell_measure(group: Group, teller: Teller) -> None:
    names = teller.names
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "measure"})
        return
    if group.kind("len") and not any(t.says("quantity") and not t.says("quantity", "length") for t in group.tags):
        _lengths(group, teller)
        return
    tags = group.tags
    quantities = [t for t in tags if t.says("quantity") and t.note != "muted"]
    current: str | None = None
    if not quantities and not group.kind("deg"):
        current = teller.context.quantity
    results: list[tuple[tuple[str, ...], str, float | None, Tag]] = []
    seq = {id(s[2]): s for s in group.sequence("value")}
    values_first = _value_before_quantity(group, quantities)
    if len(quantities) == 1:
        current = quantities[0].one("quantity")
    order = "".join("N" if s[0] == "N" else "P" for s in seq.values())
    if current is not None and order == "NP" * (len(order) // 2) and len(order) > 3 and not group.kind("deg"):
        pairs = list(seq.values())  # "7.2 in tank 7, 7.4 in tank 13"
        read = [(p[1], _fits(current, v[1], v[2], teller)) for v, p in zip(pairs[::2], pairs[1::2], strict=True)]
        if all(len(its) == 1 and shown is not None for its, shown in read):
            for its, shown in read:
                key = "batch" if its[0] in names.batch_of else "place"
                teller.tell("measure", group, **{key: its[0]}, quantity=current, value=shown)
            return
    spots: tuple[str, ...] = ()
    run: list[str] = []
    last_spot = -1
    last_value = False
    for n, tag in enumerate(tags):
        if tag.says("quantity") and tag.note != "muted" and len(quantities) > 1 and not values_first:
            current = tag.one("quantity")
            continue
        entry = seq.get(id(tag))
        value: float | None = None
        is_value = False
        if entry and entry[0] in "PB":
            its = tuple(entry[1])
            between = [t for t in tags[last_spot + 1 : n] if t.word not in _LISTS and t.kind != "punct"]
            if last_value or (run and any(t.kind != "sep" or t.word in ("but", "so", "then") for t in between)):
                run = []
            run.extend(its)
            spots = tuple(run)
            last_value, last_spot = False, n
            continue
        if entry and entry[0] == "N":
            value, is_value = entry[1], True
        elif tag.kind == "deg":
            value, is_value = (tag.value if tag.low is None else None), True
            if current is None or len(quantities) == 0:
                current = "temperature"
        elif tag.word in ("zero", "nil", "none", "undetectable") and quantities:
            value, is_value = 0.0, True
        if not is_value:
            continue
        if tag.kind == "deg" and tag.unit in ("f", "c") and current not in ("temperature", None):
            results.append((spots, "temperature", value, tag))
            last_value = True
            continue
        if values_first:
            nxt = next((t for t in tags[n + 1 : n + 3] if t.says("quantity")), None)
            if nxt is not None:
                current = nxt.one("quantity")
        last_value = True
        if current is None:
            continue
        results.append((spots, current, value, tag))
    if not results:
        if (
            quantities
            and (
                (group.kind("num") and any(t.low is not None for t in group.kind("num")))
                or group.words() & {"between", "somewhere", "under", "over"}
            )
            and (spots or teller.context.places)
            and len(quantities) == 1
        ):
            where = spots or teller.context.places
            for place in where:
                teller.tell("measure", group, place=place, quantity=quantities[0].one("quantity"))
        return
    flat_spots = [p for s in seq.values() if s[0] in "PB" for p in s[1]]
    apart = _values_then_places(group, seq, results)
    if apart:
        results = apart
    elif not any(r[0] for r in results) or (flat_spots and not results[0][0]):
        where = tuple(dict.fromkeys(flat_spots))
        if not where:
            found, _ = teller.where(group, "measure")
            where = tuple(found)
        groups = group.sense("group") or "all" in group.words()
        if groups and teller.context.values.get("measured"):
            where = tuple(teller.context.values["measured"])  # type: ignore[arg-type]
        if not where and all(r[3].kind == "deg" for r in results) and not quantities:
            return
        if not where:
            if results and results[0][1]:
                teller.ask_place(group, {"kind": "measure", "quantity": results[0][1], "value": results[0][2]})
            return
        results = [(where, q, v, t) for _, q, v, t in results]
        if (
            len(where) > 1
            and len({q for _, q, _, _ in results}) > 1
            and len({(q, v) for _, q, v, _ in results}) > len({q for _, q, _, _ in results})
        ):
            teller.ask(
                group, "Which reading belongs to which tank?", "value", {"kind": "measure", "quantity": results[0][1]}
            )
            return
    if len(results) == 2 and results[0][:2] == results[1][:2]:
        befores = [group.before(r[3]) for r in results]
        if [b.word if b is not None else "" for b in befores] == ["from", "to"]:
            results[0][3].claimed = "earlier"
            results = results[1:]  # "fell from 40 to 20"
    same = {r[0] for r in results}
    if len(same) == 1 and len(results) > 1 and len({r[1] for r in results}) == 1:
        places = next(iter(same))
        if len(places) == len(results):
            results = [((p,), q, v, t) for p, (_, q, v, t) in zip(places, results, strict=True)]
        elif len(places) != 1 or len(results) > 1:
            teller.ask(
                group, "Which reading belongs to which tank?", "value", {"kind": "measure", "quantity": results[0][1]}
            )
            return
    for places, quantity, value, tag in results:
        checked = _fits(quantity, value, tag, teller)
        if value is not None and checked is None:
            teller.ask(
                group,
                f"{quantity} {value:g} cannot be. What was it?",
                "value",
                {
                    "kind": "measure",
                    "quantity": quantity,
                    **({"place": places[0]} if len(places) == 1 else {"places": list(places)}),
                },
            )
            continue
        for place in places:
            key = "batch" if place in names.batch_of else "place"
            teller.tell("measure", group, **{key: place}, quantity=quantity, value=checked)
        measured = list(teller.context.values.get("measured", []))  # type: ignore[call-overload]
        teller.context.values["measured"] = list(dict.fromkeys([*measured, *places]))
    if len({r[1] for r in results}) == 1:
        teller.context.quantity = results[0][1]


def _values_then_places(
    group: Group, seq: dict[int, tuple[str, object, Tag]], results: list[tuple[tuple[str, ...], str, float | None, Tag]]
) -> list[tuple[tuple[str, ...], str, float | None, Tag]]:
    """ "25 in tank 1, 30 in tank 7": values each before its own place; empty when a note does not say so throughout."""
    if len(results) < 2 or len({r[1] for r in results}) != 1:
        return []
    values = {id(r[3]): r for r in results}
    runs: list[tuple[str, object]] = []
    for tag in group.tags:
        if id(tag) in values:
            runs.append(("V", values[id(tag)]))
        elif id(tag) in seq and seq[id(tag)][0] in "PB":
            runs.append(("P", tuple(seq[id(tag)][1])))  # type: ignore[arg-type]
    if "".join(k for k, _ in runs) != "VP" * len(results):
        return []
    return [(p[1], r[1][1], r[1][2], r[1][3]) for r, p in zip(runs[::2], runs[1::2], strict=True)]  # type: ignore[misc,index]


def _value_before_quantity(group: Group, quantities: list[Tag]) -> bool:
    """Whether values stand before their names: "0 ammonia, 0 nitrite, 20 nitrate"."""
    if not quantities:
        return False
    first = group._index(quantities[0])
    nums = [n for n, t in enumerate(group.tags) if t.kind == "num"]
    last = max((group._index(q) for q in quantities), default=-1)
    if not nums or not any(n == first - 1 for n in nums):
        return False
    return (
        not any(n > last for n in nums) if len(quantities) > 1 else not any(n > first for n in nums) or len(nums) == 1
    )


def _fits(quantity: str, value: float | None, tag: Tag, teller: Teller) -> float | None:
    """The value in the contract's unit, or None when no aquarium could show it."""
    if value is None:
        return None
    low, high = LIMITS.get(quantity, (0.0, 1e9))
    if quantity == "temperature":
        unit = tag.unit if tag.kind == "deg" else ""
        if unit in ("", "d"):
            unit = ("f" if 50 <= value <= 104 else "c") if teller.names.metric else "c" if 10 <= value <= 35 else "f"
        celsius = (value - 32) * 5 / 9 if unit == "f" else value
        return round(celsius, 1) if low <= celsius <= high else None
    return value if low <= value <= high else None


def _lengths(group: Group, teller: Teller) -> None:
    batches = group.batches()
    where: dict[str, object] = {}
    if batches:
        where = {"batch": batches[0]}
    else:
        seq = group.sequence("value")
        places = [p for s in seq if s[0] == "P" for p in s[1]]
        if not places:
            found, sort = teller.where(group, "measure")
            places = list(found) if sort == "P" else []
            if sort == "B":
                where = {"batch": found[0]}
        if len(places) == 1:
            where = {"place": places[0]}
    if not where:
        teller.ask_place(group, {"kind": "measure", "quantity": "length"})
        return
    unit = 1.0
    for tag in group.tags:
        if tag.kind == "len":
            unit = {"mm": 1.0, "cm": 10.0, "in": 25.4}[tag.unit]
            teller.tell(
                "measure", group, **where, quantity="length", value=round(tag.value, 1) if tag.low is None else None
            )
        elif tag.kind == "num" and not tag.claimed and any(t.kind == "len" for t in group.tags[: group._index(tag)]):
            teller.tell("measure", group, **where, quantity="length", value=round(tag.value * unit, 1))


FRAMES = [
    Frame("measure", sees_measure, tell_measure),
    Frame("top_off", sees_topoff, tell_topoff),
    Frame("water_change", sees_wc, tell_wc),
    Frame("dose", sees_dose, tell_dose),
    Frame("feed", sees_feed, tell_feed),
]
