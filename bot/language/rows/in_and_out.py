"""What clauses of short hand tell of fish that come, go and are promised, of peat, and of how long fish are."""

from __future__ import annotations

from bot.language.clauses.group import Raw
from bot.language.rows.clause import Clause, Unfit
from bot.language.tags import Tag
from bot.language.trade.terms import unpaid

_LARGEST = {"pair": 2, "trio": 3}
_KEEP = frozenset(["keep", "save", "saving", "keeping", "kept", "saved", "holding"])
_PLAIN = frozenset(
    ["please", "more", "new", "fresh", "just", "today", "someone", "cash", "him", "her", "them", "lot", "cost", "me",
     "us", "paid"]
)  # fmt: skip
_KINDS = {"S": "sale", "B": "stock_in", "6": "reserve", "7": "release"}
_BROUGHT = frozenset(["gave me", "gave us", "brought me", "brought us", "sold me", "sold us", "dropped off", "brought"])
_MOST_LONG = 400  # millimetres: no fish of such a room is longer; common practice, no source


def traded(it: Clause) -> list[Raw]:
    """ "resv pr gul Tom sat", "+6 panda t15": what is done, how many of what, with whom, in any order, each once."""
    kind = _kind(it)
    held = _each_once(it.get("bag"), it.match["bag"], kind)
    if kind == "sale" and "money" not in held and (cost := held.get("place")) is not None and _asked_for(it, cost):
        held["money"] = held.pop("place")  # "a pair of medaka for 10": no tank
    raw: Raw = {"kind": kind, **_how_many(it, held)}
    if kind != "stock_in":
        raw = {k: v for k, v in raw.items() if k not in ("male", "female")}
    if "line" in held:
        raw["line"] = str(held["line"].value[0])
    if "batch" in held:
        raw["batch"] = str(held["batch"].value)
    if not _told_apart(it, held) and not (kind == "release" and "person" in held):
        raise Unfit
    if "place" in held:
        raw["place"] = it.named(held["place"])[0]
        if kind == "sale" and not {"line", "batch"} & set(held):
            raw["line"] = it.names.lines_in(raw["place"])[0]
            raw.update(_stage(it.get("bag")))
    if "eggs" in held and kind != "release":
        raw["stage"] = "eggs"
    if "person" in held:
        raw["source" if kind == "stock_in" else "buyer"] = str(held["person"].value)
    if "money" in held:
        raw["price"] = _price(it, held, raw)
    elif kind == "sale" and (free := unpaid(" ".join(t.word for t in it.tags))) is not None:
        raw["price"] = free
    _fits(it, kind, held, raw)
    if kind in ("reserve", "release"):
        raw.update(_clock=None, _ahead=True, _day=held["day"].value if "day" in held else None)
    elif "day" in held:
        raw["_day"] = held["day"].value
    it.state.topic, it.state.spots = kind, []
    return [raw]


def _asked_for(it: Clause, tag: Tag) -> bool:
    """Whether a bare number stands behind "for"."""
    n = next((i for i, t in enumerate(it.tags) if t is tag), 0)
    return tag.kind == "num" and n > 0 and it.tags[n - 1].word == "for"


def _told_apart(it: Clause, held: dict[str, Tag]) -> bool:
    """Whether one line or batch of fish is named, or both and they are the same fish; or a place that holds but one."""
    if "line" in held and "batch" in held:
        return bool(it.names.batch_of[str(held["batch"].value)].line == held["line"].value[0])
    if {"line", "batch"} & set(held):
        return True
    return "place" in held and len(it.names.lines_in(it.named(held["place"])[0])) == 1 and "S" in it.match["bag"]


def _stage(tags: list[Tag]) -> dict[str, str]:
    """How old the fish are, where the words say it."""
    found = [s for s in ("fry", "juveniles", "adults") if any(t.says("noun", s) for t in tags)]
    return {"stage": found[0]} if len(found) == 1 else {}


def sold_for(it: Clause) -> list[Raw]:
    """ "-10 b14 sold 40": how many of what, and for how much."""
    fish, price = it.one("f"), it.one("price")
    if fish is None or price is None or price.value < 1:
        raise Unfit
    which = {"batch": str(fish.value)} if fish.kind == "batch" else {"line": str(fish.value[0])}
    it.state.topic, it.state.spots = "sale", []
    return [{"kind": "sale", "count": it.count(kind="sale"), **which, "price": float(price.value)}]


def _kind(it: Clause) -> str:
    bag = it.match["bag"]
    signs = {mark for mark in bag if mark in _KINDS}
    words = [t.word for t in it.get("bag")]
    if signs == {"S", "B"} and any(t.says("cue", "sold") and not t.says("cue", "bought") for t in it.get("bag")):
        others = [t.word for t in it.get("bag") if t.says("cue", "bought")]
        signs = {"S"} if all(w in ("auction", "won at") for w in others) else signs
    if signs == {"B"} and "auction" in words and "from" in words and not _BROUGHT & set(words):
        signs = {"S"}  # "auction: 6 gardneri from 13, $9"
    if not signs and _KEEP & set(words):
        return "reserve"
    if not signs:
        return _unsigned(it)
    if len(signs) != 1:
        raise Unfit
    return _KINDS[signs.pop()]


def _unsigned(it: Clause) -> str:
    """What was done where no word says it: fish from somebody came in, fish to somebody or at a price went out."""
    tags = it.get("bag")
    person = next((n for n, t in enumerate(tags) if t.kind == "person"), None)
    before = tags[person - 1].word if person else ""
    if before in ("from", "off"):
        return "stock_in"
    price = next((t for t in tags if t.kind == "money"), None)
    to_them = before in (">", "to", "for")
    if to_them and unpaid(" ".join(t.word for t in it.tags)) is not None:
        return "sale"
    if it.state.topic == "sale" or (person is not None and price is not None and (price.value or to_them)):
        return "sale"
    raise Unfit


def _each_once(tags: list[Tag], marks: str, kind: str) -> dict[str, Tag]:
    """What is named, each once; a word that is no part of a bargain leaves the note to the reading of clauses."""
    held: dict[str, Tag] = {}
    for n, (tag, mark) in enumerate(zip(tags, marks, strict=True)):
        named = next((s for s in ("pair", "trio", "male", "female", "eggs", "mop") if tag.says("noun", s)), tag.kind)
        if named == "mop" or (tag.note == "muted" and tag.kind != "day"):
            raise Unfit
        if named == "day" and (kind == "release" or tag.value.vague or not _its_day(tag, kind)):
            raise Unfit
        if tag.says("guard") and tag.word not in ("until", "once"):
            raise Unfit
        if mark == "?" and tag.word.isalpha() and tag.word not in _PLAIN | _KEEP:
            raise Unfit
        if named in ("lex", "word", "punct", "sep", "stop") or (tag.says("cue") and named != "day"):
            continue
        if named == "num" and n + 1 < len(tags) and (tags[n + 1].says("noun", "male", "female")):
            continue  # told with the sex that follows
        if named == "num" and n and tags[n - 1].word in _AT and not _counts(tags, n):
            named = "place"
        if named in held:
            raise Unfit
        if named in ("pair", "trio") and "num" in held and tags[n - 1] is not held["num"]:
            raise Unfit  # "2 killis … £15 the pair"
        if named == "num" and {"pair", "trio"} & set(held):
            raise Unfit
        held[named] = tag
        if named in ("male", "female"):
            before = tags[n - 1] if n else None
            held["of_" + named] = before if before is not None and before.kind == "num" else tag
    return held


def _its_day(tag: Tag, kind: str) -> bool:
    """Whether a day can be that of a bargain: fish are promised for one to come ("sat" is the next), sold on a past."""
    if kind != "reserve":
        return not tag.value.future
    return bool(tag.value.future) or (tag.value.weekday is not None and not tag.value.which.startswith("last"))


_AT = frozenset(["in", "into", "from", "for", "to", "out", "off"])


def _counts(tags: list[Tag], n: int) -> bool:
    """Whether fish follow a number: "for 2 pairs"."""
    after = tags[n + 1] if n + 1 < len(tags) else None
    return after is not None and (after.kind in ("line", "batch") or after.says("noun"))


def _how_many(it: Clause, held: dict[str, Tag]) -> Raw:
    sexes = [s for s in ("male", "female") if s in held]
    groups = [s for s in ("pair", "trio") if s in held]
    number = held.get("num")
    if (sexes and (groups or number)) or len(groups) > 1:
        raise Unfit
    if sexes:
        its = {s: it.whole(held["of_" + s]) if held["of_" + s].kind == "num" else 1 for s in sexes}
        return {"count": sum(its.values())} | dict(its)
    if groups:
        many_groups = it.whole(number) if number is not None else 1
        count = many_groups * _LARGEST[groups[0]]
        return {"count": count, "male": many_groups, "female": count - many_groups}
    if number is None:
        return {}
    if number.value != int(number.value):  # "1.2": one male and two females, as fish are written on lists
        males, females = (int(x) for x in f"{number.value:.1f}".split("."))
        if abs(number.value - float(f"{males}.{females}")) > 1e-9 or not males + females:
            raise Unfit
        return {"count": males + females, "male": males, "female": females}
    return {"count": it.whole(number, "sale")}


def _price(it: Clause, held: dict[str, Tag], raw: Raw) -> float:
    value = float(held["money"].value)
    if "A" not in it.match["bag"] and not any(t.word in ("each", "ea", "apiece") for t in it.get("bag")):
        return value
    if "count" not in raw or {"pair", "trio"} & set(held):
        raise Unfit  # each fish, or each pair?
    return round(value * float(raw["count"]), 2)


def _fits(it: Clause, kind: str, held: dict[str, Tag], raw: Raw) -> None:
    """Whether the bargain can be in this room."""
    place = raw.get("place")
    if kind == "stock_in":
        before = it.match["bag"]
        if "batch" in held or (place and it.role(place) == "eggs") != ("eggs" in held and bool(place)):
            raise Unfit
        words = {t.word for t in it.get("bag")}
        if "person" in held and not words & ({"from", "off"} | _BROUGHT):
            raise Unfit  # "Lena bought 3 lampeye": hers
        if "count" not in raw and "eggs" not in held and not before:
            raise Unfit
    elif kind in ("sale", "reserve"):
        if "count" not in raw or (kind == "reserve" and "person" not in held):
            raise Unfit
        if "eggs" in held and place and it.role(place) != "eggs":
            raise Unfit
    elif "person" not in held and "line" not in held and "batch" not in held:
        raise Unfit


def peat(it: Clause) -> list[Raw]:
    """ "peat t6 out", "bag furz 10wk", "b20 wet 14 fry"."""
    action = {"U": "collect", "9": "bag", "8": "wet"}[it.match["sign"]]
    its = it.tags[it.match.start() : it.match.end()]
    peaty = {x.name for x in it.names.lines if x.eggs == "peat"}
    if action == "collect" and not any(t.word == "out" for t in its):
        raise Unfit
    if any(t.word.endswith("ing") for t in its if t.says("cue")):
        raise Unfit  # "B20 wetting on saturday": to be done
    raw: Raw = {"kind": "peat", "action": action, **it.line("l")}
    spots = [*it.spots("s"), *it.spots("b")]
    lines = {raw["line"]} if "line" in raw else set()
    for spot in spots:
        raw.update(it.at(spot))
        batch = it.names.batch_of.get(spot)
        if batch is not None and batch.stage != "eggs":
            raise Unfit
        lines |= {batch.line} if batch else set(it.names.lines_in(spot))
    if len(spots) > 1 or not lines or not lines <= peaty:
        raise Unfit
    weeks = it.one("w")
    if weeks is not None:
        raw["weeks"] = float(weeks.value)
    return [raw]


def wetted(it: Clause) -> list[Raw]:
    """ "wetted B20: 30 swimmers, 6 sliders": what hatched of wetted peat, those on their bellies counted too."""
    batch = it.names.batch_of[(it.spots("b") or it.spots("b2"))[0]]
    peaty = {x.name for x in it.names.lines if x.eggs == "peat"}
    hour = it.one("t")
    many = [it.whole(t, "hatch") for t in it.get("seen") if t.kind == "num"]
    if batch.stage != "eggs" or batch.line not in peaty or not sum(many):
        raise Unfit
    if any(t.says("noun") and not t.says("noun", "fry") and not t.says("cue", "hatch") for t in it.get("seen")):
        raise Unfit
    return [
        {"kind": "peat", "batch": batch.name, "action": "wet"} | ({"_clock": hour.value} if hour is not None else {}),
        {"kind": "hatch", "batch": batch.name, "count": sum(many)},
    ]


def length(it: Clause) -> list[Raw]:
    """ "b14 avg 24 mm", "measured B11, 36 mm": how long the fish of a place or batch are."""
    spot, tag = it.spot(), it.one("e")
    if tag is None or tag.value is None or not 0 < float(tag.value) <= _MOST_LONG:
        raise Unfit
    its = it.tags[it.match.start() : it.match.end()]
    if any(t.says("quantity") and not t.says("quantity", "length") for t in its):
        raise Unfit
    if any(t.kind == "word" and t.word not in _OF_SIZE for t in its):
        raise Unfit
    batch = it.names.batch_of.get(spot)
    if (batch.stage if batch else it.role(spot)) == "eggs":
        raise Unfit
    return [{"kind": "measure", **it.at(spot), "quantity": "length", "value": round(float(tag.value), 1)}]


_OF_SIZE = frozenset(
    ["average", "averages", "averaging", "mean", "biggest", "largest", "smallest", "most", "ca", "long"]
)
