"""What was put in the water: salt, medicine, leaves; how much and where."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.water.places import STRENGTHS, at_place, place_list

# A dose a day for some days is a course, and no dose that has gone in.
_OF_DAYS = re.compile(r"\b(?:(?:a|per|each|every) day|daily)\b.*\b(?:for|until|till)\b")
COURSE_OR_NOW = "Put in now, or a course? Say it like “treating tank 12 with 1 tbsp salt a day for 5 days”."


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
    last = teller.context.event
    along = last is not None and last["kind"] == "stock_in" and part.joiner in ("and", ",", "plus")
    if (part.noun("bag") or along) and not part.kind("place", "num", "amount", "batch"):
        return None  # "bought 6 cories and a bag of salt"
    if any(t.word in ("label says", "sticker says", "bottle says") for t in part.tags) or re.match(
        r"^(?:the )?(?:label|bottle|sticker|packet|box) (?:says|said|reads)\b", part.text()
    ):
        return None  # what is printed on a bottle has not gone in
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
            "medicated",
            "salted",
            "their",
            "dropped",
        }
        or len(part.tags) <= 3
        or part.kind("num", "vol")
    ):
        return Sight(5, (*substances, *drops))
    with_water = all(t in drops or t.word in ("the", "and", "usual") for t in part.tags) and (
        teller.context.kind == "water_change" and part.before is not None
    )  # "fresh water and drops": how many is not said
    if (amounts and any(t.unit == "drop" for t in amounts)) or (
        drops and (with_water or part.words() & {"few", "couple", "some", "a"})
    ):
        return Sight(4, (*drops, *amounts))
    return None


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
    if _OF_DAYS.search(_sentence(group)):
        teller.ask(group, COURSE_OR_NOW, "value", {"kind": "dose"})
        return
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
    for tag in group.kind("num"):
        if amount is None and tag.low is None and (after := group.after(tag)) is not None and after.word in STRENGTHS:
            amount, unit, tag.claimed = float(tag.value), after.word, "amount"
    cup = next((t for t in tags if t.kind == "lex" and t.says("volume", "cup") and group.after(t)), None)
    if cup is not None and substances and (after := group.after(cup)) is not None and after.word == "of":
        amount, unit = 1.0, "cup"  # "cup of blackwater extract"
    if amount is None and substances and not substances[0].word.endswith("ed"):
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
