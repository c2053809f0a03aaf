"""What was put in the water: salt, medicine, leaves; how much and where."""

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.water.dosages import how_much
from bot.language.water.places import at_place, place_list

# A dose a day for some days is a course, and no dose that has gone in.
_OF_DAYS = re.compile(r"\b(?:(?:a|per|each|every) day|daily)\b.*\b(?:for|until|till)\b")
COURSE_OR_NOW = "Put in now, or a course? Say it like “treating tank 12 with 1 tbsp salt a day for 5 days”."


# What is printed on a bottle has not gone in.
_PRINTED = re.compile(r"^(?:the )?(?:label|bottle|sticker|packet|box) (?:says|said|reads)\b")
_BEFORE_LEAVING = ("that", "which", "this", "it", "so", "just")
_LEAVES_IN_THE_WAY = frozenset(["but", "was", "frogbit", "behind", "under"])
_PUT_IN = frozenset(
    ["added", "dosed", "put", "gave", "with", "w", "and", "in", "got", "went", "pinch", "plus", "of", "cup",
     "treated", "medicated", "salted", "their", "dropped"]
)  # fmt: skip


def sees_dose(part: Part, teller: Teller) -> Sight | None:
    if _not_put_in(part, teller):
        return None
    substances = _substances(part)
    if part.sense("food") and not substances:
        return None
    amounts = part.kind("amount")
    drops = [t for t in part.sense("unit") if t.word in ("drops", "drop", "drips")]
    if substances:
        if all(t.word in ("leaf", "leaves") for t in substances) and part.words() & _LEAVES_IN_THE_WAY:
            return None
        if amounts or part.words() & _PUT_IN or len(part.tags) <= 3 or part.kind("num", "vol"):
            return Sight(5, (*substances, *drops))
    if any(t.unit == "drop" for t in amounts) or (drops and _some_drops(part, drops, teller)):
        return Sight(4, (*drops, *amounts))
    return None


def _substances(part: Part) -> list[Tag]:
    """What may have been put in; "that leaves" is no leaf."""
    out = part.sense("substance")
    leaving = {id(b) for a, b in pairwise(part.tags) if b.word == "leaves" and a.word in _BEFORE_LEAVING}
    return [t for t in out if id(t) not in leaving]


def _not_put_in(part: Part, teller: Teller) -> bool:
    """Whether a substance was only bought, or is spoken of by what is printed on its bottle."""
    last = teller.context.event
    along = last is not None and last["kind"] == "stock_in" and part.joiner in ("and", ",", "plus")
    if (part.noun("bag") or along) and not part.kind("place", "num", "amount", "batch"):
        return True  # "bought 6 cories and a bag of salt"
    printed = any(t.word in ("label says", "sticker says", "bottle says") for t in part.tags)
    return printed or bool(_PRINTED.match(part.text()))


def _some_drops(part: Part, drops: list[Tag], teller: Teller) -> bool:
    """ "A few drops in C"; "fresh water and drops", where how many is not said."""
    bare = all(t in drops or t.word in ("the", "and", "usual") for t in part.tags)
    with_water = bare and teller.context.kind == "water_change" and part.before is not None
    return with_water or bool(part.words() & {"few", "couple", "some", "a"})


def _sentence(group: Group) -> str:
    """The words of the whole sentence a group is of."""
    part = group.parts[0].before_all()[0]
    words = [part.text()]
    while part.after is not None:
        part = part.after
        words.append(part.text())
    return " ".join(words)


def _doses_and_places(group: Group) -> list[tuple[Tag, list[str]]]:
    """Every amount with its own places ("4 drops to C and 2 to D"); empty when they do not part so."""
    amounts = group.kind("amount")
    if not amounts or len({t.unit for t in amounts}) > 1 or group.words() & {"per", "every", "each"}:
        return []
    runs: list[tuple[str, list[Tag]]] = []
    for n, tag in enumerate(group.tags):
        if _is_dose(group.tags, n):
            sort = "A"
        elif tag.kind == "place" and tag.value:
            sort = "P"
        elif _is_bare(tag):
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


def _is_bare(tag: Tag) -> bool:
    return tag.kind == "num" and not tag.claimed and tag.low is None


def _is_dose(tags: list[Tag], n: int) -> bool:
    """Whether a number is how much went into a place, with its unit or without: "2 to D", "E only 2"."""
    tag = tags[n]
    if not _is_bare(tag):
        return tag.kind == "amount" and tag.low is None
    if n and tags[n - 1].kind == "place":
        return True
    if n > 1 and tags[n - 1].word in ("only", "just", "got", "had") and tags[n - 2].kind == "place":
        return True
    return (
        n + 2 < len(tags) and tags[n + 1].word in ("to", "in", "into", "for") and tags[n + 2].kind in ("place", "word")
    )


def tell_dose(group: Group, teller: Teller) -> None:
    if _OF_DAYS.search(_sentence(group)):
        teller.ask(group, COURSE_OR_NOW, "value", {"kind": "dose"})
        return
    substances = group.sense("substance")
    what: dict[str, object] = {"substance": substances[0].one("substance") if substances else None}
    if _each_its_own_dose(group, teller, what):
        return
    amounts = group.kind("amount")
    if len(amounts) > 1 or (amounts and (group.words() & {"per", "every"} or "/" in group.words())):
        teller.ask(group, "How much was put in altogether?", "value", {"kind": "dose", **what})
        return
    what["amount"], what["unit"] = how_much(group)
    places, _ = place_list(group, teller, "dose", **what)
    if places is not None:
        _tell_where(group, teller, places, what)


def _each_its_own_dose(group: Group, teller: Teller, what: dict[str, object]) -> bool:
    """Tell of every amount with its own places; False where they do not part so."""
    if group.unknown() is None and (parted := _doses_and_places(group)):
        unit = group.kind("amount")[0].unit
        for tag, its in parted:
            tag.claimed = "amount"
            for place in its:
                teller.tell("dose", group, place=place, **what, amount=tag.value, unit=unit)
        return True
    apart = _doses(group)
    for amount, unit, its in apart:
        for place in its:
            teller.tell("dose", group, place=place, **what, amount=amount, unit=unit)
    return bool(apart)


def _tell_where(group: Group, teller: Teller, places: list[str], what: dict[str, object]) -> None:
    """Tell of a dose in the places named; else where the eggs just pulled went, or in what was spoken of."""
    last = teller.context.event
    pulled = last is not None and last["kind"] == "pull"
    if last is not None and pulled and last.get("_group_parts") is group.parts:
        teller.tell("dose", group, place=last.get("to"), **what)
        return
    if not places and not group.batches():
        if last is not None and pulled:
            teller.tell("dose", group, place=last.get("to"), **what)
            return
        found, sort = teller.where(group, "dose")
        if sort == "B":
            teller.tell("dose", group, batch=found[0], **what)
            return
        places = list(found)
    if not places:
        teller.ask_place(group, {"kind": "dose", **what})
    elif len(places) == 1:
        teller.tell("dose", group, place=places[0], **what)
    else:
        teller.tell("dose", group, places=places, **what)


def _doses(group: Group) -> list[tuple[float, str, list[str]]]:
    """Every amount with its own places ("2 tsp to 15 and 1 to 16"); empty when they do not part so."""
    amounts = group.kind("amount")
    units = {t.unit for t in amounts}
    seq = {
        id(t): list(v) for k, v, t in group.sequence("place") if k == "P" and (t.kind != "num" or at_place(group, t))
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
