"""Readings of the water: which values are of which places, each with its quantity."""

from __future__ import annotations

import re
from typing import Any

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import LIMITS, Sight, Teller
from bot.language.water.earlier_readings import Result, only_of_before, without_earlier
from bot.language.water.lengths import tell_lengths

_HEAD_TO_TAIL = re.compile(r"\b(nose|head|snout|tip) to (tail|tip)\b")


_OF_WATER = frozenset(
    ["deep", "of", "wide", "down", "low", "lower", "below", "under", "up", "from", "thick", "high", "off"]
)


def _of_eggs(part: Part, teller: Teller) -> bool:
    """Whether a length is said of a batch of eggs, which has none."""
    batches = [str(t.value) for t in part.kind("batch")]
    return any(b in teller.names.batch_of and teller.names.batch_of[b].stage == "eggs" for b in batches)


def sees_measure(part: Part, teller: Teller) -> Sight | None:
    near = part.text() + (" | " + part.before.text() if part.before is not None else "")
    if any(w in near for w in ("set point", "setpoint", "thermostat", "knocked the stat", "the stat ", " dial")):
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
        and (part.kind("place", "size", "batch") or teller.context.places or (part.kind("line") and part.noun("tank")))
    ):
        return Sight(4)
    if lens and _HEAD_TO_TAIL.search(part.text()) and part.noun("male", "female", "fish", "fry", "juveniles"):
        return Sight(4)  # the place may stand in the clause before
    if (
        lens
        and part.kind("batch", "place", "line")
        and not any(t.word in _OF_WATER for t in part.tags[part.tags.index(lens[0]) :])
        and not _of_eggs(part, teller)
    ):
        return Sight(4)
    return None


_LISTS = frozenset(["and", "&", ",", "plus", "in", "tank", "tub", "tanks", "tubs", "also"])


InOrder = dict[int, tuple[str, Any, Tag]]


def tell_measure(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "measure"})
        return
    if only_of_before(group, teller):
        return
    if group.kind("len") and not any(t.says("quantity") and not t.says("quantity", "length") for t in group.tags):
        tell_lengths(group, teller)
        return
    quantities = [t for t in group.tags if t.says("quantity") and t.note != "muted"]
    if any(not t.says("quantity", "length") for t in quantities):
        quantities = [t for t in quantities if not t.says("quantity", "length")]  # "measured 20 ppm of nitrate"
    current: str | None = None
    if not quantities and not group.kind("deg"):
        current = teller.context.quantity
    seq: InOrder = {id(s[2]): s for s in group.sequence("value")}
    if len(quantities) == 1:
        current = quantities[0].one("quantity")
    if _each_before_its_place(group, current, seq, teller):
        return
    results, spots = _found(group, quantities, current, seq)
    results = _in_both(group, results, teller)
    if not results:
        _without_value(group, quantities, spots, teller)
        return
    if _everywhere(group, results, teller):
        return
    placed = _placed(group, quantities, seq, results, teller)
    if placed is None:
        return
    shared = _one_each(group, without_earlier(group, placed, teller), teller)
    if shared is not None:
        _tell_all(group, shared, teller)


def _each_before_its_place(group: Group, current: str | None, seq: InOrder, teller: Teller) -> bool:
    """Tell "7.2 in tank 7, 7.4 in tank 13"; False where it is not said so throughout."""
    order = "".join("N" if s[0] == "N" else "P" for s in seq.values())
    if current is None or order != "NP" * (len(order) // 2) or len(order) <= 3 or group.kind("deg"):
        return False
    pairs = list(seq.values())
    read = [(p[1], fits(current, v[1], v[2], teller)) for v, p in zip(pairs[::2], pairs[1::2], strict=True)]
    if not all(len(its) == 1 and shown is not None for its, shown in read):
        return False
    for its, shown in read:
        key = "batch" if its[0] in teller.names.batch_of else "place"
        teller.tell("measure", group, **{key: its[0]}, quantity=current, value=shown)
    return True


def _found(
    group: Group, quantities: list[Tag], current: str | None, seq: InOrder
) -> tuple[list[Result], tuple[str, ...]]:
    """Each value with its quantity and the places named before it, and the places named last."""
    tags = group.tags
    values_first = _value_before_quantity(group, quantities)
    results: list[Result] = []
    spots: tuple[str, ...] = ()
    run: list[str] = []
    last_spot = -1
    last_value = False
    for n, tag in enumerate(tags):
        if any(tag is q for q in quantities) and len(quantities) > 1 and not values_first:
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
        warm = _warmth_before(group, quantities, n, value, seq)
        results.append((spots, "temperature" if warm else current, value, tag))
    return results, spots


def _in_both(group: Group, results: list[Result], teller: Teller) -> list[Result]:
    """Give "no ammonia in either", "ph 7 in both" to the two places named before."""
    out = list(results)
    for tag in group.tags:
        if tag.word not in ("both", "either", "each"):
            continue
        n = group._index(tag)
        last = next((k for k in reversed(range(len(out))) if group._index(out[k][3]) < n), None)
        named = list(dict.fromkeys(p for r in out for p in r[0])) or list(teller.context.values.get("measured", []))  # type: ignore[call-overload]
        if last is not None and len(named) == 2:
            out[last] = (tuple(named), *out[last][1:])
    return out


def _warmth_before(group: Group, quantities: list[Tag], n: int, value: float | None, seq: InOrder) -> bool:
    """Whether a value before the one quantity named, which has a value of its own, is degrees: "7 is 78 and ph 7.6"."""
    if len(quantities) != 1 or quantities[0].says("quantity", "temperature") or value is None:
        return False
    at = group._index(quantities[0])
    own = any(seq.get(id(t), ("",))[0] == "N" for t in group.tags[at:])
    return n < at and own and (15 <= value <= 33 if group.names.metric else 60 <= value <= 90)


def _without_value(group: Group, quantities: list[Tag], spots: tuple[str, ...], teller: Teller) -> None:
    """A quantity that was read but of which only a width is said."""
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


def _everywhere(group: Group, results: list[Result], teller: Teller) -> bool:
    """Tell what was read of a whole group of places at once."""
    if not group.sense("group") or any(spots for spots, *_ in results):
        return False
    everywhere = "all tanks" if "tank" in group.text() else "all tubs" if "tub" in group.text() else "all"
    read_all = [(quantity, fits(quantity, value, tag, teller)) for _, quantity, value, tag in results]
    if all(shown is not None for _, shown in read_all):
        for quantity, shown in read_all:
            teller.tell("measure", group, places=[everywhere], quantity=quantity, value=shown)
        return True
    return False


def _placed(
    group: Group, quantities: list[Tag], seq: InOrder, results: list[Result], teller: Teller
) -> list[Result] | None:
    """Each value with its places, looked for where none stands before it; None where that is asked or nobody knows."""
    flat_spots = [p for s in seq.values() if s[0] in "PB" for p in s[1]]
    apart = _values_then_places(group, seq, results)
    if apart:
        return apart
    if not any(r[0] for r in results) or (flat_spots and not results[0][0]):
        where = tuple(dict.fromkeys(flat_spots))
        if not where:
            found, _ = teller.where(group, "measure")
            where = tuple(found)
        groups = group.sense("group") or "all" in group.words()
        if groups and teller.context.values.get("measured"):
            where = tuple(teller.context.values["measured"])  # type: ignore[arg-type]
        if not where and all(r[3].kind == "deg" for r in results) and not quantities:
            return None
        if not where:
            if results and results[0][1]:
                teller.ask_place(group, {"kind": "measure", "quantity": results[0][1], "value": results[0][2]})
            return None
        results = [(where, q, v, t) for _, q, v, t in results]
        if (
            len(where) > 1
            and len({q for _, q, _, _ in results}) > 1
            and len({(q, v) for _, q, v, _ in results}) > len({q for _, q, _, _ in results})
        ):
            teller.ask(
                group, "Which reading belongs to which tank?", "value", {"kind": "measure", "quantity": results[0][1]}
            )
            return None
    return results


def _one_each(group: Group, results: list[Result], teller: Teller) -> list[Result] | None:
    """Several values of the same places shared out among them; None where it must be asked."""
    same = {r[0] for r in results}
    if len(same) == 1 and len(results) > 1 and len({r[1] for r in results}) == 1:
        places = next(iter(same))
        if len(places) == len(results):
            return [((p,), q, v, t) for p, (_, q, v, t) in zip(places, results, strict=True)]
        if len(places) != 1 or len(results) > 1:
            teller.ask(
                group, "Which reading belongs to which tank?", "value", {"kind": "measure", "quantity": results[0][1]}
            )
            return None
    return results


def _tell_all(group: Group, results: list[Result], teller: Teller) -> None:
    for places, quantity, value, tag in results:
        checked = fits(quantity, value, tag, teller)
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
                firm=True,
            )
            continue
        for place in places:
            key = "batch" if place in teller.names.batch_of else "place"
            teller.tell("measure", group, **{key: place}, quantity=quantity, value=checked)
        measured = list(teller.context.values.get("measured", []))  # type: ignore[call-overload]
        teller.context.values["measured"] = list(dict.fromkeys([*measured, *places]))
    if len({r[1] for r in results}) == 1:
        teller.context.quantity = results[0][1]


def _values_then_places(group: Group, seq: InOrder, results: list[Result]) -> list[Result]:
    """ "25 in tank 1, 30 in tank 7": values each before its own place; empty when a note does not say so throughout."""
    if len(results) < 2 or len({r[1] for r in results}) != 1:
        return []
    values = {id(r[3]): r for r in results}
    runs: list[tuple[str, object]] = []
    for tag in group.tags:
        if id(tag) in values:
            runs.append(("V", values[id(tag)]))
        elif id(tag) in seq and seq[id(tag)][0] in "PB":
            runs.append(("P", tuple(seq[id(tag)][1])))
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


def fits(quantity: str, value: float | None, tag: Tag, teller: Teller) -> float | None:
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
