"""What clauses of short hand tell of the daily work: water, food, additives, readings, filters, cultures, mops put in."""

# ruff: noqa: E501  (one condition a line)

from __future__ import annotations

from bot.language.clauses.group import Raw
from bot.language.rows.clause import Clause, Unfit
from bot.language.tags import Tag
from bot.language.telling import LIMITS
from bot.language.text.vocabulary import LEXICON
from bot.language.times.days import Clock


def _hours(it: Clause) -> list[Clock]:
    """The hours of a list of things done; bare figures among them are hours, too."""
    out: list[Clock] = []
    for tag in it.get("t"):
        if tag.kind == "clock":
            out.append(tag.value)
        elif tag.kind == "num":
            hour, minute = (int(tag.value) // 100, int(tag.value) % 100) if tag.value > 99 else (int(tag.value), 0)
            if tag.value != int(tag.value) or not 1 <= hour <= 23 or minute > 59 or (not minute and hour > 12):
                raise Unfit
            out.append(Clock(hour, minute))
    return out


def _each_hour(it: Clause, raw: Raw) -> list[Raw]:
    hours = _hours(it)
    return [{**raw, "_clock": hour} for hour in hours] if hours else [raw]


def changed(it: Clause) -> list[Raw]:
    places = it.here()
    raw: Raw = {"kind": "water_change", "places": places}
    share, volume, said, sign = it.one("p"), it.one("v"), it.get("s"), it.get("z")
    if sign and sign[0].word.startswith(("chg", "changes")) and [t.kind for t in said] == ["place", "num"]:
        raise Unfit  # "tub E 2 changes": how often, not tank 2
    if share is None and volume is None and sign and len(said) == 1 and _how_often(said[0], sign[0]) and it.alone():
        raise Unfit  # "2 wc": tank 2, or twice?
    if share is not None:
        if not 0 < share.value <= 100:
            raise Unfit
        raw["percent"] = share.value
    if volume is not None:
        raw["litres"] = round(float(volume.value), 1)
    if (
        it.get("z")
        and it.match["z"] == "w"
        and any(not p.endswith("tubs") and it.role(p) not in ("eggs", "fry") for p in places)
    ):
        raise Unfit  # "A B C water" goes without saying only of tubs
    if it.get("ex"):
        raw["except"] = it.spots("ex")
    it.state.topic = "water_change"
    return _each_hour(it, raw)


def _how_often(number: Tag, sign: Tag) -> bool:
    """Whether a bare number before "wc" may well say how often."""
    return number.kind == "num" and number.low is None and number.value <= 4 and number.at < sign.at


def share(it: Clause) -> list[Raw]:
    """ "t15 wc 30": a percentage without its sign, where no tank has that number."""
    tag = it.one("c")
    if tag is None or not 10 <= tag.value <= 100 or tag.value % 5:
        raise Unfit
    if not it.get("s") and it.names.by_id.get(f"{tag.value:g}"):
        raise Unfit
    if it.state.topic == "water_change" and it.match[0][0] != "Z" and "percent" not in it.last("water_change"):
        raise Unfit
    it.state.topic = "water_change"
    return [{"kind": "water_change", "places": it.here(), "percent": tag.value}]


def share_all(it: Clause) -> list[Raw]:
    """ "…, 25% each": the share of all the changes just told."""
    tag = it.one("p")
    its = [e for e in it.state.said if e["kind"] == "water_change"]
    if tag is None or not 0 < tag.value <= 100 or not its or any("percent" in e or "litres" in e for e in its):
        raise Unfit
    for raw in its:
        raw["percent"] = tag.value
    return []


def share_then(it: Clause) -> list[Raw]:
    """ "11 got 30% sat, 20% mon": another share of the same, on a day of its own."""
    tag, last = it.one("p"), it.last("water_change")
    day = it.state.own[0] or (it.state.day if it.state.fresh else None)
    if day is None or day == last.get("_day") or (tag is not None and not 0 < tag.value <= 100):
        raise Unfit
    raw = {k: v for k, v in last.items() if not k.startswith("_")}
    return [{**raw, "percent": tag.value} if tag is not None else raw]


def topped(it: Clause) -> list[Raw]:
    return [{"kind": "top_off", "places": it.here()}]


def dosed(it: Clause) -> list[Raw]:
    amount, substance = it.one("a"), it.one("u") or it.one("u2")
    last = it.state.said[-1] if it.state.said else {}
    if not it.get("s") and last.get("kind") in ("pull", "bad_eggs"):
        places = [str(last["to"])] if last.get("to") else []
        if len([e for e in it.state.said if e["kind"] == "pull"]) > 1 or last["kind"] == "bad_eggs":
            raise Unfit
    else:
        places = it.here()
        if last.get("kind") == "pull" and not last.get("to") and all(it.role(p) == "eggs" for p in places):
            raise Unfit  # "20 eggs t3, B w 4 drops": perhaps they went in there
    if (amount is None and (last.get("kind") not in ("water_change", "pull") or substance is None)) or (
        amount is not None and substance is None and amount.unit != "drop"
    ):
        raise Unfit
    raw: Raw = {"kind": "dose"}
    if amount is not None:
        raw.update(amount=amount.value, unit=amount.unit)
    if substance is not None:
        raw["substance"] = substance.one("substance")
    return [{**raw, "place": p} for p in places] or [raw]


def fed(it: Clause) -> list[Raw]:
    places = ["all"] if it.get("all") else ["all fry"] if it.get("y") and not it.spots() else it.here()
    it.state.spots = places
    foods = [t.one("food") for t in [*it.get("f"), *it.get("f2")] if t.says("food")]
    hours = _hours(it)
    if (
        not foods
        and not it.get("g")
        and not it.get("y")
        and not (it.state.topic == "feed" and (hours or it.state.clock))
    ):
        raise Unfit
    it.state.topic = "feed"
    raws: list[Raw] = [{"kind": "feed", "places": places, "food": food} for food in foods]
    raws = raws or [{"kind": "feed", "places": places}]
    if it.get("ex"):
        raws = [{**raw, "except": it.spots("ex")} for raw in raws]
    return [{**raw, "_clock": hour} for hour in hours for raw in raws] if hours else raws


def fed_but(it: Clause) -> list[Raw]:
    """ "everyone got flake but the fry, they got bbs": what all got, and what those left out got instead."""
    line = it.one("ex")
    if line is not None and line.kind == "line":
        apart = [p.name for p in it.names.places if p.line == line.value[0] and p.role == "breeders"]
    else:
        apart = it.spots("ex")
    first, second = (t.one("food") if (t := it.one(name)) is not None else None for name in ("f", "f2"))
    if len(apart) != 1 or not first or not second:
        raise Unfit
    it.state.topic = "feed"
    return [
        {"kind": "feed", "places": it.spots(), "food": first, "except": apart},
        {"kind": "feed", "places": apart, "food": second},
    ]


def all_of(it: Clause) -> list[Raw]:
    """ "…, all powder": the food of the feedings just told."""
    food = it.one("f")
    before = [e for e in it.state.said if e["kind"] == "feed"]
    if food is None or not before or len(before) != len(it.state.said) or any(e.get("food") for e in before):
        raise Unfit
    for raw in before:
        raw["food"] = food.one("food")
    return []


def _value(tag: Tag, quantity: str, it: Clause) -> float:
    low, high = LIMITS.get(quantity, (0.0, 1e9))
    value = float(tag.value)
    if quantity == "length" or (tag.kind == "deg" and quantity != "temperature"):
        raise Unfit
    if quantity == "temperature":
        unit = tag.unit if tag.kind == "deg" else ""
        if unit in ("", "d"):
            unit = ("f" if 50 <= value <= 104 else "c") if it.names.metric else "c" if 10 <= value <= 35 else "f"
        value = round((value - 32) * 5 / 9, 1) if unit == "f" else value
    if not low <= value <= high:
        raise Unfit
    return value


def measured(it: Clause) -> list[Raw]:
    """ "7 gh 14 kh 6": the readings of one place; "ph 3 7.0": of one quantity."""
    quantity = it.state.quantity
    name = it.one("q")
    if name is not None:
        quantity = name.one("quantity") or ""
    spots = it.here()
    told: list[tuple[str, Tag]] = []
    for tag in it.get("qv"):
        if tag.says("quantity"):
            quantity = tag.one("quantity") or ""
        elif tag.kind in ("num", "deg"):
            told.append(("temperature" if tag.kind == "deg" else quantity, tag))
    value, spot = it.one("c"), it.one("s")
    if spot is not None and spot.kind == "num" and any(t.word == "in" for t in it.between("s", "c")):
        raise Unfit  # "ammonia 1 in 13" is no reading of tank 1
    if value is not None:
        if value.kind == "deg" and name is not None and quantity != "temperature":
            raise Unfit  # "ph 8 at 78F" is no reading of tank 8
        told.append(("temperature" if value.kind == "deg" else quantity, value))
    if any(not q for q, _ in told) or not told or (len(spots) > 1 and len({q for q, _ in told}) < len(told)):
        raise Unfit
    it.state.topic, it.state.quantity = "measure", quantity
    return [{"kind": "measure", **it.at(s), "quantity": q, "value": _value(t, q, it)} for s in spots for q, t in told]


def measured_in_order(it: Clause) -> list[Raw]:
    """ "temps t1-3 73 72 75", "ph t4 6.4 t5 7.2": one reading for every place."""
    name = it.one("q")
    tags = it.get("pairs") or [*it.get("s"), *it.get("vs")]
    spots = [s for t in tags if t.kind == "place" for s in it.named(t)]
    values = [t for t in tags if t.kind in ("num", "deg")]
    if name is None or len(spots) != len(values) or len(spots) != len(set(spots)):
        raise Unfit
    quantity = name.one("quantity") or ""
    it.state.topic, it.state.quantity = "measure", quantity
    return [
        {"kind": "measure", "place": s, "quantity": quantity, "value": _value(t, quantity, it)}
        for s, t in zip(spots, values, strict=True)
    ]


def read_everywhere(it: Clause) -> list[Raw]:
    """ "ph all 7.6": read of all the places just measured."""
    name, value = it.one("q"), it.one("c")
    spots = list(dict.fromkeys(str(e["place"]) for e in it.state.said if e["kind"] == "measure" and e.get("place")))
    if name is None or value is None or len(spots) < 2:
        raise Unfit
    quantity = name.one("quantity") or ""
    return [{"kind": "measure", "place": s, "quantity": quantity, "value": _value(value, quantity, it)} for s in spots]


def warm(it: Clause) -> list[Raw]:
    """ "7 was at 77": a number that can be nothing but the warmth of the water."""
    if any(t.says("guard", "not") for t in it.tags[: it.match.start()]):
        raise Unfit  # "lost count at 60 in 13"
    value = it.one("c")
    low, high = (15, 33) if it.names.metric else (60, 92)
    if value is None or not low <= value.value <= high or value.word == "" or it.names.by_id.get(f"{value.value:g}"):
        raise Unfit
    return [
        {"kind": "measure", **it.at(it.spot()), "quantity": "temperature", "value": _value(value, "temperature", it)}
    ]


def read_of(it: Clause) -> list[Raw]:
    """ "temps: 1 76, 5 75": what is read of the places that follow."""
    name = it.one("q")
    it.state.topic, it.state.quantity = "measure", (name.one("quantity") or "") if name else ""
    return []


def mop(it: Clause) -> list[Raw]:
    """ "…, clean 1 in", "mop back": a mop where one was just pulled."""
    if it.one("c") is not None and it.count() != 1:
        raise Unfit
    its = [t for t in it.tags[it.match.start() : it.match.end()] if t.says("noun", "mop")]
    if it.state.fresh and its and its[-1].word.endswith("s"):
        raise Unfit  # "tue am mops - 2: 11": a heading
    return [{"kind": "mop", "place": it.last("pull")["place"]}]


def mops(it: Clause) -> list[Raw]:
    """ "mop back in 5", "new mops in 2 and 3"."""
    return [{"kind": "mop", "place": p} for p in it.here()]


def same(it: Clause) -> list[Raw]:
    """ "B same", "C same but 1 drop", "after work: same again": what was just told, elsewhere or once more."""
    unit = [e for e in it.state.said if e["_unit"] == it.last()["_unit"]]
    if any(e["kind"] not in ("water_change", "dose", "feed", "top_off", "service", "culture") for e in unit):
        raise Unfit
    spots, amount, more = it.spots(), it.one("a"), it.spots("more")
    out: list[Raw] = []
    for old in unit:
        raw = {k: v for k, v in old.items() if not k.startswith("_")}
        if spots and raw["kind"] != "culture":
            where = "places" if "places" in raw else "place"
            if (where == "place" and len(spots) > 1) or len(raw.get("places") or [1]) > 1:
                raise Unfit
            raw[where] = spots if where == "places" else spots[0]
        if more and raw["kind"] != "culture":
            if "places" not in raw:
                raise Unfit
            raw["places"] = [*raw["places"], *more]
        if amount is not None and raw["kind"] == "dose":
            raw["amount"], raw["unit"] = amount.value, amount.unit
        out.append(raw)
    if amount is not None and not any(e["kind"] == "dose" for e in out):
        raise Unfit
    return out


def cultured(it: Clause) -> list[Raw]:
    """ "vinegar eels fed wed", "mw 1 harvested", "daphnia harvested for 1 and 2": what was done to a culture."""
    tag = it.one("c")
    if tag is None:
        raise Unfit
    food = tag.one("food") or ""
    names = (
        [str(tag.value)]
        if tag.kind == "culture"
        else [c for c in it.names.cultures if c.casefold().rstrip("s") == food.rstrip("s")]
    )
    action = {"F": "feed", "v": "harvest", "j": "crash", "K": "crash", "o": "start", "k": "start"}[it.match["sign"][0]]
    if len(names) != 1:
        raise Unfit
    out: list[Raw] = [{"kind": "culture", "culture": names[0], "action": action}]
    if it.get("s"):
        out.append({"kind": "feed", "places": it.here(), "food": food or _eaten(names[0])})
    return out


def _eaten(culture: str) -> str:
    """What comes out of a culture: of "microworm 2" microworms."""
    known = [v for s, v in LEXICON.get(tuple(culture.casefold().rstrip(" 0123456789").split()), []) if s == "food"]
    return known[0] if known else culture


def served(it: Clause) -> list[Raw]:
    """ "glass 7 (done)", "heater in 4 swapped"."""
    item = it.one("i")
    it.state.topic = "service"
    return [{"kind": "service", "place": p, "item": item.one("item") if item else None} for p in it.here()]


def listed_gear(it: Clause) -> list[Raw]:
    """ "thurs: glass 1, 5, 9": gear and places on a day, in a list of work."""
    if it.state.day is None or not (it.state.fresh or it.state.headed):
        raise Unfit
    return served(it)


def served_too(it: Clause) -> list[Raw]:
    """ "filters 1, 2, 3 sat and 7, 8 sun": the same gear in other places, on a day of its own."""
    last = it.last("service")
    if it.state.own[0] is None:
        raise Unfit
    return [{"kind": "service", "place": p, "item": last["item"]} for p in it.spots()]


def left_alone(it: Clause) -> list[Raw]:
    """ "5 skip": put off, so nothing was done there."""
    it.spots()
    return []
