"""What clauses of short hand tell of eggs and fish: pulled, bad, eyed, hatched, dead, counted, moved, sold."""

from __future__ import annotations

from bot.language.clauses.group import Raw
from bot.language.fish.causes import cause_said
from bot.language.rows.clause import Clause, Unfit
from bot.language.rows.letters import NONE_WORDS
from bot.language.tags import Tag

NO_BREEDERS = ("eggs", "fry", "grow-out", "nursery", "empty")
FOR_EGGS = ("eggs", "fry", "empty", "nursery", "")


def pull(it: Clause) -> list[Raw]:
    spots = it.spots()
    if not spots and it.line("l", "k"):
        its = it.line("l", "k")["line"]
        spots = [p.name for p in it.names.places if p.line == its and p.role == "breeders"]
    spots = spots or it.here()
    it.state.spots = spots
    plural = any(t.word.endswith("mops") for t in it.tags[it.match.start() : it.match.end()])
    one = it.one("c")
    if plural and one is not None and one.kind == "num" and it.names.by_id.get(f"{one.value:g}") and not it.get("l"):
        raise Unfit  # "mops 2 3": two of them, or three eggs in the one?
    if one is not None and any(t.word in ("and", "&") for t in it.between("s", "c")):
        raise Unfit  # "1 and 3, 10 and 14": two tanks, and not a tank and its eggs
    told = [it.whole(t) for t in it.get("cs") if t.kind == "num" or t.word in NONE_WORDS]
    counts: list[int | None] = list(told) or [it.count()]
    if len(counts) != len(spots) or any(it.role(s) in NO_BREEDERS for s in spots):
        raise Unfit
    bad, aside = it.count("x", "bad_eggs"), it.spots("xs")
    aim = [it.names.batch_of[s].place if s in it.names.batch_of else s for s in it.spots("to") or aside]
    if len(aim) > 1 or (aim and it.role(aim[0]) not in FOR_EGGS):
        raise Unfit
    out: list[Raw] = []
    for spot, count in zip(spots, counts, strict=True):
        raw: Raw = {"kind": "pull", "place": spot, **it.line("l", "k")}
        if count is not None:
            raw["count"] = count
        if aim:
            raw["to"] = aim[0]
        out.append(raw)
    it.state.topic = "pull"
    if bad:
        out.append({"kind": "bad_eggs", "place": [*spots, *aim, *aside][-1], "count": bad})
    return out


def laid_into(it: Clause) -> list[Raw]:
    """ "t2 17 > B": eggs, where the first lays and the second holds eggs."""
    spot, to = it.spots("s"), it.spots("to")
    if len(spot) != 1 or len(to) != 1 or it.role(spot[0]) != "breeders" or it.role(to[0]) != "eggs":
        raise Unfit
    return pull(it)


def pairs(it: Clause) -> list[Raw]:
    """ "t2 22 t3 17 mops > B", "E 27 F 9 ct": places with their numbers, and at the end what was counted."""
    tags = [t for t in it.get("pairs") if t.kind in ("place", "num")]
    kind = "pull" if it.match["sign"] == "m" else "headcount"
    out: list[Raw] = []
    for spot, number in zip(tags[::2], tags[1::2], strict=True):
        its = it.named(spot)
        if len(its) != 1 or number.kind != "num" or (kind == "pull" and it.role(its[0]) in NO_BREEDERS):
            raise Unfit
        raw: Raw = {"kind": kind, "place": its[0], "count": it.whole(number, kind)}
        if it.get("to"):
            raw["to"] = it.spots("to")[0]
        out.append(raw)
    if len({raw["place"] for raw in out}) < len(out):
        raise Unfit
    it.state.topic = kind
    return out


def counted_eggs(it: Clause) -> list[Raw]:
    """ "pulled the mop in 5 yesterday, 9 eggs": the number of the pull just told."""
    last = it.last("pull")
    if "count" in last:
        raise Unfit
    last["count"] = it.count()
    return []


def into(it: Clause) -> list[Raw]:
    """ "…, all in tub D": where the eggs just pulled went."""
    aim = it.spots("to")
    last = it.last("pull")
    pulls = [e for e in it.state.said if e["kind"] == "pull" and not e.get("to")]
    if len(aim) != 1 or not pulls or it.role(aim[0]) not in FOR_EGGS or (last.get("to") and not it.get("all")):
        raise Unfit
    if not it.get("all") and len(pulls) > 1:
        pulls = [last] if it.state.said[-2].get("to") else []
    if not pulls:
        raise Unfit
    for raw in pulls:
        raw["to"] = aim[0]
        raw.update(it.line("l"))
    return []


def same_tub(it: Clause) -> list[Raw]:
    """ "…, same tub": where the eggs before these went."""
    last, before = it.last("pull"), [e for e in it.state.said[:-1] if e["kind"] == "pull" and e.get("to")]
    if not last.get("to"):
        if not before:
            raise Unfit
        last["to"] = before[-1]["to"]
    return []


def its_into(it: Clause) -> list[Raw]:
    """ "5's are in C, 8's in D": where the eggs of each tank went."""
    spot, to = it.spot(), it.spots("to")
    its = [e for e in it.state.said if e["kind"] == "pull" and e["place"] == spot and not e.get("to")]
    if len(its) != 1 or len(to) != 1 or it.role(to[0]) not in FOR_EGGS:
        raise Unfit
    its[0]["to"] = to[0]
    return []


def bad(it: Clause) -> list[Raw]:
    last = it.state.said[-1] if it.state.said else {}
    spot = str(last.get("to") or last["place"]) if not it.get("s") and last.get("kind") == "pull" else it.spot()
    count = it.count(kind="bad_eggs")
    it.state.topic = "bad_eggs"
    raw: Raw = {"kind": "bad_eggs", **it.at(spot)}
    if count == 0 and "X" in it.match[0] and it.get("c")[0].kind == "num":
        raise Unfit
    return [{**raw, "count": count}] if count else [] if count == 0 else [raw]


def eyed(it: Clause) -> list[Raw]:
    it.state.topic = "eyed"
    count = it.count(kind="eyed")
    if it.get("of") and (count is None or count > it.whole(it.get("of")[0])):
        raise Unfit
    spot = it.spot()
    if spot in it.names.place_of and it.role(spot) not in ("eggs", ""):
        raise Unfit
    raw: Raw = {"kind": "eyed", **it.at(spot)}
    white = it.count("x", "bad_eggs")
    more: list[Raw] = [{"kind": "bad_eggs", **it.at(spot), "count": white}] if white else []
    return [{**raw, "count": count} if count is not None else raw, *more]


def hatch(it: Clause) -> list[Raw]:
    spot, count, to = it.spot(), it.count(kind="hatch"), it.spots("to")
    held = it.names.batch_of[spot].stage if spot in it.names.batch_of else it.role(spot)
    if held not in ("eggs", "breeders") or not count or len(to) > 1:
        raise Unfit
    if it.get("of") and count > it.whole(it.get("of")[0]):
        raise Unfit
    it.state.topic = "hatch"
    out: list[Raw] = [{"kind": "hatch", **it.at(spot), "count": count}]
    if to:
        out.append(_carried(it, spot, to[0], count))
    return out


def _carried(it: Clause, spot: str, to: str, count: int) -> Raw:
    batch = it.names.batch_of.get(spot)
    source = {"from": batch.place, "batch": spot} if batch else {"from": spot}
    return {"kind": "move", **source, "to": to, "count": count}


def hatched_into(it: Clause) -> list[Raw]:
    """ "D 12 hatched!! > G": where the fry just hatched went."""
    last, to = it.last("hatch"), it.spots("to")
    if len(to) != 1 or not last.get("count"):
        raise Unfit
    return [_carried(it, str(last.get("batch") or last.get("place")), to[0], int(last["count"]))]


def _by_the_place(it: Clause) -> bool:
    """Whether the place lost them, as a place does that is said before the number: "11 lost 2"."""
    return all(t.word in ("lost", "lose", ":") for t in it.between("s", "c"))


def death(it: Clause) -> list[Raw]:
    spot, count, line = it.spot(), it.count(kind="death"), it.line("w", "one")
    home = it.names.batch_of[spot].place if spot in it.names.batch_of else spot
    if it.role(home) == "eggs" or (line and line["line"] not in it.names.lines_in(home)):
        raise Unfit
    bare = it.match.groupdict().get("s") == "n" and "@" not in it.match[0]
    if "K" in it.match[0] and it.get("s") and it.get("c") and it.match.start("s") < it.match.start("c"):
        bare = False  # "11 lost 2"
        if it.between("s", "c")[:1] and it.get("s")[0].kind == "num" and not _by_the_place(it):
            raise Unfit  # "2 dead 3"
    if bare and any(t.word in ("lost", "lose") for t in it.get("w")):
        raise Unfit  # "14 lost one": tank 14, and not fourteen in tank 1
    it.state.topic = "death"
    last = it.state.said[-1] if it.state.said else {}
    named = it.get("s") or it.get("c") or "K" in it.match[0] or len(it.get("one")) != 1
    if not named and last.get("kind") == "death" and last.get("count") == 1 and "sex" not in last:
        last.update(it.sex("one"))  # "one jumper in 9, female"
        return []
    if (
        not it.get("s")
        and "K" not in it.match[0]
        and last.get("kind") == "death"
        and 0 < (count or 0) < last.get("count", 0)
    ):
        raise Unfit  # "2 dead in 9, 1 female": of the two, or besides?
    if (
        count is None
        and it.get("one")
        and not any(t.word in ("males", "females", "boys", "girls") for t in it.get("one"))
    ):
        count = 1
    if count is None or (not count and "K" in it.match[0] and it.get("c")[0].kind == "num"):
        raise Unfit
    its = it.tags[it.match.start() : it.match.end()]
    cause = cause_said(t.word for t in its if t.says("cue", "dead", "lost"))
    raw: Raw = {"kind": "death", **it.at(spot), "count": count, **line, **it.sex("w"), **it.sex("one")}
    return [raw | ({"cause": cause} if cause else {})] if count else []


def headcount(it: Clause) -> list[Raw]:
    count, spot = it.count(kind="headcount"), it.spot()
    if count is None or (it.state.unsure and not may_hold(it, spot, count)):
        raise Unfit
    it.state.topic = "headcount"
    return [{"kind": "headcount", **it.at(spot), "count": count}]


def may_hold(it: Clause, spot: str, count: int) -> bool:
    """Whether a count is near what is known of a place or batch."""
    its = [it.names.batch_of[spot]] if spot in it.names.batch_of else list(it.names.batches_in(spot))
    known = its[0].count if len(its) == 1 and its[0].stage != "eggs" else None
    return known is not None and 0.5 * known <= count <= 1.2 * known


def so_many_left(it: Clause) -> list[Raw]:
    """ "x2 dead, 26", "3 fuzzy out 21 left": what remained after the dead or bad ones just told."""
    last, count = it.last("death", "bad_eggs", "move"), it.count(kind="headcount")
    spot = str(last.get("batch") or last.get("place") or "")
    if last["kind"] in ("bad_eggs", "move") and it.get("left"):
        return []
    if last["kind"] != "death" or count is None or not (it.get("left") or may_hold(it, spot, count)):
        raise Unfit
    return [{"kind": "headcount", **it.at(spot), "count": count}]


def sexes(it: Clause) -> list[Raw]:
    """ "…, 2 females and a male": of which sex those were that were just counted."""
    many = [int(t.value) for t in it.get("c") if t.kind == "num"] + [1] * len(it.get("one"))
    if it.last("death", "headcount").get("count") != sum(many):
        raise Unfit
    return []


def moved(it: Clause) -> list[Raw]:
    to, count, batch, start = it.spots("to"), it.count(kind="move"), it.one("b"), it.spots("s")
    if batch is not None:
        home = it.names.batch_of[str(batch.value)].place
        if start and start != [home]:
            raise Unfit
        start = [home]
    if len(to) != 1 or len(start) != 1 or start == to or start[0] in it.names.batch_of:
        raise Unfit
    held = it.names.batches_in(start[0])
    if batch is None and count is None and not held:
        raise Unfit
    if count is not None and batch is None and not it.get("w") and not it.match[0].startswith("O"):
        if it.role(start[0]) == "breeders" and it.role(to[0]) == "eggs":  # "got 7 from 4 into C"
            it.state.topic, it.state.spots = "pull", []
            return [{"kind": "pull", "place": start[0], "count": count, "to": to[0]}]
        if it.role(start[0]) == "breeders" and it.role(to[0]) == "fry":
            raise Unfit  # eggs of the day, or young that were with their parents?
    raw: Raw = {"kind": "move", "from": start[0], "to": to[0], **it.line("w")}
    if batch is not None:
        raw["batch"] = str(batch.value)
    elif len(held) == 1 and held[0].stage != "eggs":
        raw["batch"] = held[0].name
    if count is not None:
        raw["count"] = count
    if it.get("f"):
        raw.update(female=1, count=1)
    it.state.topic, it.state.spots = "move", []
    return [raw]


def moved_count(it: Clause) -> list[Raw]:
    """ "E got moved up to 12. 29 of them": how many were just moved."""
    last = it.last("move")
    if "count" in last or not it.count():
        raise Unfit
    last["count"] = it.count()
    return []


def again(it: Clause) -> list[Raw]:
    """ "…, sun 6 more": the same on another day."""
    count, day = it.count(), it.state.own[0] or (it.state.day if it.state.fresh else None)
    if it.state.topic == "eyed" and it.state.spots and not it.state.said and count is not None:
        return eyed(it)
    last = it.last("move", "hatch", "pull", "death", "bad_eggs", "headcount", "eyed")
    if day is None or day == last.get("_day") or count is None or "places" in last:
        raise Unfit
    if last["kind"] in ("hatch", "death") and "+" not in it.match[0] and any(t.word == "by" for t in it.tags):
        raise Unfit  # "30 by tuesday, 41 by wednesday": in all, or more?
    if not count and last["kind"] != "pull":
        return []
    return [{**{k: v for k, v in last.items() if not k.startswith("_")}, "count": count}]


def by_days(it: Clause) -> list[Raw]:
    """ "mop 8: tues 0, wed 2", "B eyed: mon 3": a number for every day, of what a clause without one is about."""
    kind, count = it.state.topic, it.count(kind=it.state.topic)
    if (
        count is None
        or not (it.state.fresh or it.state.clock)
        or kind not in ("pull", "bad_eggs", "eyed", "hatch", "death", "headcount")
    ):
        raise Unfit
    return {"pull": pull, "bad_eggs": bad, "eyed": eyed, "hatch": hatch, "death": death, "headcount": headcount}[kind](
        it
    )


def about(it: Clause) -> list[Raw]:
    """ "mop 8 -- tues 0": the place and what was counted there, before the days."""
    sign = it.match["sign"]
    it.state.topic = {
        "m": "pull",
        "L": "pull",
        "X": "bad_eggs",
        "E": "eyed",
        "H": "hatch",
        "K": "death",
        "C": "headcount",
    }[sign[0]]
    it.spot()
    return []


def nothing(it: Clause) -> list[Raw]:
    """ "none tonight", "C was clean"."""
    if not it.state.said:
        raise Unfit
    return []


def sold(it: Clause) -> list[Raw]:
    """ "sold 3 pr gard $45 Dale": how many of what, to whom, for how much, in any order, each once."""
    tags = it.get("bag")
    held: dict[str, Tag] = {}
    for tag, after in zip(tags, [*tags[1:], None], strict=True):
        kind = next((s for s in ("pair", "trio") if tag.says("noun", s)), tag.kind)
        if tag.kind == "num" and not (after is not None and (after.kind in ("line", "batch") or after.says("noun"))):
            raise Unfit
        if tag.says("cue") or kind in ("lex", "word", "punct", "sep", "stop"):
            continue
        if kind in held:
            raise Unfit
        held[kind] = tag
    for group in {"pair", "trio"} & set(held):
        n = tags.index(held[group])
        if "num" in held and (not n or tags[n - 1] is not held["num"]):
            raise Unfit  # "2 killis … £15 the pair"
    signed = any(t.says("cue", "sold") for t in tags) or it.state.topic == "sale"
    many = 2 if "pair" in held else 3 if "trio" in held else 1
    if (
        (not signed and not {"person", "money"} <= set(held))
        or len({"line", "batch"} & set(held)) != 1
        or {"pair", "trio"} <= set(held)
        or ("num" not in held and many == 1)
        or not {"money", "person"} & set(held)
    ):
        raise Unfit
    raw: Raw = {"kind": "sale", "count": many * (it.whole(held["num"], "sale") if "num" in held else 1)}
    if "line" in held:
        raw["line"] = str(held["line"].value[0])
    if "batch" in held:
        raw["batch"] = str(held["batch"].value)
    if "place" in held:
        raw["place"] = it.named(held["place"])[0]
    if "money" in held:
        raw["price"] = float(held["money"].value)
    if "person" in held:
        raw["buyer"] = str(held["person"].value)
    it.state.topic = "sale"
    return [raw]
