"""What clauses of short hand tell of living fish in other orders: carried over, counted where they are, told by sex."""

from __future__ import annotations

from bot.language.clauses.group import Raw
from bot.language.rows.clause import Clause, Unfit
from bot.language.rows.eggs_and_fish import FOR_EGGS, NO_BREEDERS, hatch, may_hold, moved
from bot.language.rows.letters import NONE_WORDS
from bot.language.tags import Tag

_LARGEST = {"pair": 2, "trio": 3}


def in_order(it: Clause) -> list[Raw]:
    """ "A/B/C bad 2/0/1", "13/14 ct 80/21": as many numbers as places, each in its turn."""
    spots, counts = it.spots(), [it.whole(t) for t in it.get("cs") if t.kind == "num" or t.word in NONE_WORDS]
    kind = {"X": "bad_eggs", "E": "eyed", "H": "hatch", "K": "death", "C": "headcount"}[it.match["sign"]]
    if len(spots) != len(counts):
        raise Unfit
    for spot in spots:
        eggs = it.role(spot) == "eggs"
        if eggs != (kind in ("bad_eggs", "eyed", "hatch")) and not (eggs and kind == "headcount"):
            raise Unfit
    it.state.topic, it.state.spots = kind, []
    return [{"kind": kind, "place": s, "count": n} for s, n in zip(spots, counts, strict=True)]


def both_into(it: Clause) -> list[Raw]:
    """ "t2 12 t3 27 both tub b": eggs of each tank, and where all of them went."""
    tags = [t for t in it.get("pairs") if t.kind in ("place", "num")]
    to = it.spots("to")
    out: list[Raw] = []
    for spot, number in zip(tags[::2], tags[1::2], strict=True):
        its = it.named(spot)
        if len(its) != 1 or number.kind != "num" or it.role(its[0]) in NO_BREEDERS:
            raise Unfit
        out.append({"kind": "pull", "place": its[0], "count": it.whole(number), "to": to[0]})
    if len(to) != 1 or it.role(to[0]) not in FOR_EGGS or len({raw["place"] for raw in out}) < len(out):
        raise Unfit
    it.state.topic = "pull"
    return out


def carried(it: Clause) -> list[Raw]:
    """ "mv 6 f 13->16", "t2 m to 15", "split B14, 30 to 16", "eggs C to D": who went from where to where."""
    to, start = it.spots("to"), it.spots("s")
    if len(to) != 1 or len(start) != 1 or start == to or to[0] in it.names.batch_of:
        raise Unfit
    gone = it.get("k2")
    if gone and any(t.word not in ("gone", "went") for t in gone):
        raise Unfit
    fish = [*it.get("w"), *it.get("w2")]
    batch = start[0] if start[0] in it.names.batch_of else None
    home = it.names.batch_of[batch].place if batch else start[0]
    signed = "O" in it.match[0] or bool(gone) or bool(fish) or batch is not None
    eggs = any(t.says("noun", "eggs") for t in it.tags[it.match.start() : it.match.end()])
    if it.role(to[0]) == "eggs" and (it.role(home) != "eggs" or fish):
        raise Unfit  # eggs pulled into a tub
    if it.role(to[0]) == "fry" and it.role(home) == "breeders" and not fish:
        raise Unfit
    if (it.role(home) == "breeders" and not signed) or (eggs and it.role(home) != "eggs"):
        raise Unfit
    raw: Raw = {"kind": "move", "from": home, "to": to[0]}
    if batch is not None:
        raw["batch"] = batch
    raw.update(_who(it, fish))
    if "count" not in raw and not (eggs or it.names.batches_in(home)):
        raise Unfit
    held = it.names.batches_in(home)
    if batch is None and len(held) == 1 and held[0].stage != "eggs" and "line" not in raw:
        raw["batch"] = held[0].name
    it.state.topic, it.state.spots = "move", []
    return [raw]


def _who(it: Clause, fish: list[Tag]) -> Raw:
    """How many fish, of which sex and line, a number and the words behind it say."""
    count = it.count(kind="move")
    sexes = [s for t in fish for s in ("male", "female") if t.says("noun", s)]
    groups = [s for t in fish for s in ("pair", "trio") if t.says("noun", s)]
    if len(sexes) > 1 or len(groups) > 1 or (sexes and groups):
        raise Unfit
    if groups:
        many = count or 1
        males = many
        count = many * _LARGEST[groups[0]]
        its: Raw = {"count": count, "male": males, "female": count - males}
    else:
        if sexes and count is None and not any(t.word.endswith("s") for t in fish if t.says("noun", sexes[0])):
            count = 1
        its = {} if count is None else {"count": count}
        if sexes and count is not None:
            its[sexes[0]] = count
    lines = {str(t.value[0]) for t in fish if t.kind == "line"}
    if len(lines) > 1:
        raise Unfit
    return its | ({"line": lines.pop()} if lines else {})


def alive_there(it: Clause) -> list[Raw]:
    """ "26 in E now", "there are 79 fish in tank 13", "counted 28 fry in tub E"."""
    spot, count = it.spot(), it.count(kind="headcount")
    sure = bool(it.get("sure"))
    home = it.names.batch_of[spot].place if spot in it.names.batch_of else spot
    its = it.tags[it.match.start() : it.match.end()]
    eggs = any(t.says("noun", "eggs") for t in its)
    if count is None or (eggs and it.role(home) != "eggs") or any(t.says("noun", "mop") for t in its):
        raise Unfit
    if it.role(home) in ("breeders", "eggs") and any(t.says("noun", "fry") for t in its):
        raise Unfit  # fry found where none were put
    if not sure and not may_hold(it, spot, count):
        raise Unfit
    it.state.topic = "headcount"
    return [{"kind": "headcount", **it.at(spot), "count": count}]


def to_a_number(it: Clause) -> list[Raw]:
    """ "b17 to 16": to the tank of that number, where the batch can hardly be down to so few."""
    batch, to = it.one("b"), it.one("to")
    if batch is None or to is None or may_hold(it, str(batch.value), it.whole(to)):
        raise Unfit
    return moved(it)


def equals(it: Clause) -> list[Raw]:
    """ "b14 = 80": so many are there now."""
    if not any(t.word == "=" for t in it.tags[it.match.start() : it.match.end()]):
        raise Unfit
    return alive_there(it)


def all_well(it: Clause) -> list[Raw]:
    """ "13 all fine": nothing to take down."""
    it.spots()
    return []


def fry_there(it: Clause) -> list[Raw]:
    """ "B21 +7 fry", "4 swimmers B": fry in an egg tub have hatched there."""
    spot = it.spot()
    home = it.names.batch_of[spot].place if spot in it.names.batch_of else spot
    if it.role(home) != "eggs":
        raise Unfit
    return hatch(it)


def by_sex(it: Clause) -> list[Raw]:
    """ "b11 sexed 9m 13f", "13: 40 m 41 f": how many of each sex are there."""
    spot = it.spot()
    groups = it.match.groupdict()
    males = it.count("m" if groups.get("m") else "m2", "headcount")
    females = it.count("f" if groups.get("f") else "f2", "headcount")
    home = it.names.batch_of[spot].place if spot in it.names.batch_of else spot
    if males is None or females is None or it.role(home) in ("eggs", "fry"):
        raise Unfit
    return [{"kind": "headcount", **it.at(spot), "count": males + females, "male": males, "female": females}]
