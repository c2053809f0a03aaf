"""Fish and eggs sold or given away, and what was paid for them."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.trade.stock import fetches_own
from bot.language.trade.terms import buyer, fish_count, fishy, places_told, price, unpaid, waits_only


def _given_to(part: Part) -> bool:
    """Whether a clause says "gave Priya …": what follows is hers."""
    return any(
        one.word == "gave" and two.kind == "person" for one, two in zip(part.tags, part.tags[1:], strict=False)
    ) and not part.words() & {"me", "us"}


_SOMEBODY = frozenset(
    [
        *("boy", "girl", "kid", "lad", "lass", "lady", "guy", "man", "woman", "chap", "bloke", "child", "neighbor"),
        *("neighbour", "friend", "visitor", "customer", "teacher", "student", "beginner", "couple"),
        *("school", "club", "class", "classroom", "nursery", "hospital", "library", "museum", "church", "home"),
        *("family", "family's", "folks", "fellow", "gentleman", "girl", "aunt", "uncle", "niece", "nephew", "cousin"),
    ]
)


def _to_somebody(part: Part) -> bool:
    """Whether fish went to a person nobody names: "gave a pair to a boy"."""
    return any(
        one.word == "to" and any(t.word in _SOMEBODY for t in part.tags[n + 1 : n + 4])
        for n, one in enumerate(part.tags)
    )


_LIKE_OURS = re.compile(r"\b(same|like|as) (ones? )?(as )?(mine|ours)\b")


def sees_sale(part: Part, teller: Teller) -> Sight | None:
    later = part.after
    if later is not None and _LIKE_OURS.search(f"{later.text()} {later.after.text() if later.after else ''}"):
        return None  # "Lena bought six, same ones as mine": not of us
    cue = [t for t in part.cues("sold") if _says_sold(part, t)]
    if any(t.word in ("bought off me", "bought off us") for t in cue):
        return Sight(7, tuple(cue))
    if cue and any(t.word in ("gave me", "gave us") for t in part.cues("bought")):
        return None
    if cue and (fishy(part) or part.kind("money", "num")):
        return Sight(7, (*cue, *part.cues("gave", "pull", "start")))
    bought = part.cues("bought")
    if bought and part.words() & _WALKERS and fishy(part) and not part.words() & {"from", "off", "at"}:
        return Sight(7, tuple(bought))
    if fetches_own(part, teller) and fishy(part):
        return Sight(7, tuple(part.cues("bought", "collect", "pull")))
    if teller.context.kind == "sale" and teller.context.header and fishy(part) and part.kind("num"):
        return Sight(4)
    gave = part.cues("gave")
    given = gave and gave[0].word == "gave" and fishy(part) and not part.sense("food")
    if given and (_gave_a_stranger(part, teller) or _to_somebody(part)):
        return Sight(5, tuple(gave))
    if part.kind("money") and fishy(part) and not bought:
        if part.kind("num") and "gone" in part.words():
            return Sight(7, tuple(part.cues("lost")))
        if part.kind("person") and "to" in part.words() and not part.cues("hold"):
            return Sight(5)
    if teller.context.kind == "sale" and part.kind("money") and (fishy(part) or part.kind("num")):
        return Sight(4)
    if fishy(part) and (_took_them(part, teller) or _stranger_took(part, teller)):
        return Sight(6, tuple(part.cues("bought", "collect", "pull", "harvest")))
    return None


_WALKERS = frozenset(["walk-in", "walk", "customer", "customers", "someone", "somebody", "buyer", "lady", "guy", "kid"])


def _says_sold(part: Part, tag: Tag) -> bool:
    """Whether a word of sale says that fish went; not "could sell", "sale size", a bare "went for"."""
    lot = part.kind("num", "money") or part.noun("pair", "trio") or part.words() & {"his", "her", "their"}
    if (tag.word.endswith(" for") or tag.word.startswith("went off")) and not lot:
        return False
    if part.kind("money", "person"):
        return True
    might = tag.word in ("sale", "sell") and part.words() & {"for", "could", "to", "might"}
    return not might and not (tag.word == "sale" and part.words() & {"size", "sized", "list"})


def _gave_a_stranger(part: Part, teller: Teller) -> bool:
    """ "Gave Priya four": fish, or eggs where she is named first."""
    stranger = any(t.value not in teller.names.people for t in part.kind("person"))
    return stranger and (not part.noun("eggs") or _given_to(part)) and not part.kind("pct")


def _took_them(part: Part, teller: Teller) -> bool:
    """ "Tom came by, took six": the stranger is named before in the sentence."""
    return (
        bool(part.words() & {"took", "taken", "bought"})
        and not part.kind("person")
        and part.tags[0].word in ("took", "they", "he", "she", "bought", "they've", "he's", "she's", "and")
        and _stranger_before(teller, part.sentence) is not None
    )


def _stranger_took(part: Part, teller: Teller) -> bool:
    """ "Tom bought six"."""
    person = part.kind("person")
    took = part.words() & {"took", "bought", "paid", "collected", "picked up", "fetched", "collects"}
    return bool(person and took) and person[0] is part.tags[0] and person[0].value not in teller.names.people


def _stranger_before(teller: Teller, sentence: int) -> str | None:
    """The stranger last named, where that was in this sentence."""
    seen = teller.context.values
    stranger = seen.get("person_sentence") == sentence and seen.get("person") not in teller.names.people
    return str(seen["person"]) if stranger else None


def _lot_beside(group: Group) -> Group | None:
    """The clause that only says how many they were: "…, the two pairs, …"."""
    first = group.parts[0]
    lots = [p for p in first.whole() if p not in group.parts and p.noun("pair", "trio") and len(p.tags) <= 4]
    return Group(lots, group.names, group.context) if len(lots) == 1 and not lots[0].senses_cue() else None


def tell_sale(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "sale"})
        return
    count, keys, odd = fish_count(group)
    line, who = group.line(), _buyer(group, teller)
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    places = places_told(group)
    place = places[0] if len(places) == 1 else None
    cost = _paid(group, count, teller)
    if count is None and (lot := _lot_beside(group)):
        count, keys, odd = fish_count(lot)
    partial = {"kind": "sale", "line": line, "buyer": who, "price": cost}
    if len(group.lines()) > 1 or odd:
        teller.ask(group, "How many of which?", "count", partial)
        return
    if line is None and batch is None and place is None:
        if count is None and teller.last is not None and not group.kind("money", "num"):
            teller.context.kind, teller.context.header = "sale", True  # "sold my first fish!": what follows says which
            return
        if len(teller.context.places) != 1 or teller.context.sentence != group.sentence:
            teller.ask(group, "Which fish were sold?", "line", {**partial, "count": count})
            return
        place = teller.context.places[0]
    if line is None and place is not None:
        held = teller.names.lines_in(place)
        line = held[0] if len(held) == 1 else None
    where = {"batch": batch} if batch is not None else {"place": place}
    what = {"count": count, "line": line, **where, "price": cost, "buyer": who, "stage": group.stage()}
    teller.tell("sale", group, **what, **keys)


def _buyer(group: Group, teller: Teller) -> str | None:
    """Who bought them: named here, or before and now "he"; nobody where the one named only waits."""
    named = None if waits_only(group) else buyer(group, teller) or _stranger_before(teller, group.sentence)
    if named is None and group.words() & {"he", "she", "him", "her", "he's", "she's"}:
        return _stranger_before(teller, group.sentence - 1)  # "Tom came. I gave him the four …"
    return named


def _paid(group: Group, count: float | None, teller: Teller) -> float | None:
    """What was paid: a price, or nothing where they were given away; None where it is not said."""
    cost = price(group, count)
    if cost is None and sum(t.says("cue", "sold") for t in teller.all_tags) == 1:
        cost = unpaid(teller.note_text())  # "rehomed the three spare males, no charge"
    if cost is not None:
        return cost
    sold = group.cues("sold")
    if "free" in group.words() or (sold and sold[0].word in ("gave away", "given away")):
        return 0.0
    return 0.0 if group.cues("gave") and not sold and "for" not in group.text() else None


def pays(group: Group, teller: Teller) -> bool:
    """ "I paid 40 for all": the price of fish that just came in or went out."""
    last = teller.context.event
    if (
        last is None
        or last["kind"] not in ("stock_in", "sale")
        or last.get("price") is not None
        or last not in teller.events
    ):
        return False
    if _paid_bare(group):
        last["price"] = float(group.kind("num")[0].value)
        return True
    if (
        not (group.cues("paid") or group.words() & {"for", "cost", "each"})
        or len(group.kind("money")) != 1
        or group.kind("num", "place", "line")
    ):
        return False
    cost = price(group, last.get("count"))
    if cost is None:
        return False
    last["price"] = cost
    return True


def _paid_bare(group: Group) -> bool:
    """ "…, paid 30": a bare number right behind the word, and nothing else."""
    tags = [t for t in group.tags if t.word not in ("he", "she", "they", "me", "us", "and")]
    return len(tags) == 2 and tags[0].says("cue", "paid") and tags[1].kind == "num" and tags[1].low is None


def settles(group: Group, teller: Teller) -> bool:
    """ "They will stay in tank 15": the place of fish that just came in."""
    last = teller.context.event
    if last is None or last["kind"] != "stock_in" or last.get("place"):
        return False
    places = places_told(group)
    if len(places) == 1:
        last["place"] = places[0]
        return True
    return False
