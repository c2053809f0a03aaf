"""Fish that come and go: bought, sold, promised, freed again."""

from __future__ import annotations

import re

from bot.language.group import Group
from bot.language.scene import COUNTED, Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Frame, Sight, Teller


def people(group: Group) -> list[Tag]:
    """The persons named, members of the room left out."""
    return [t for t in group.kind("person") if t.value not in group.names.people or t.note == ""]


def buyer(group: Group, teller: Teller) -> str | None:
    tags = group.tags
    members = set(teller.names.people)
    found = [t for t in group.kind("person") if t.value.removesuffix("'s") not in members]
    for tag in found:
        n = group._index(tag)
        if n and tags[n - 1].word in ("to", "for"):
            return str(tag.value)
    if not found and group.context.values.get("head_person"):
        return str(group.context.values["head_person"])
    found = [
        t for t in found if not (group._index(t) and tags[group._index(t) - 1].word in ("from", "in", "at", "near"))
    ]
    return str(found[0].value) if found else None


_BEFORE_PAIRS = frozenset(["a", "the", "another", "more", "of", "nice", "young", "breeding", "juv", "juvenile"])


def fish_count(group: Group) -> tuple[float | None, dict[str, object], bool]:
    """How many fish: a number, pairs and trios; (count, male and female, whether the numbers disagree)."""
    count: float | None = None
    keys: dict[str, object] = {}
    tags = group.tags
    total = 0.0
    any_pair = False
    for n, tag in enumerate(tags):
        if not tag.says("noun", "pair", "trio"):
            continue
        if tag.word == "pr" and n and tags[n - 1].kind not in ("num", "line", "lex"):
            continue
        if n and tags[n - 1].word in ("each", "per", "every"):
            continue  # "two pairs, 8 dollars each pair"
        number = 1.0
        back = n - 1
        while back >= 0 and back >= n - 3 and (tags[back].kind in ("line",) or tags[back].word in _BEFORE_PAIRS):
            back -= 1
        if back >= 0 and tags[back].kind == "num" and tags[back].low is None:
            number = tags[back].value
            tags[back].claimed = "pairs"
        size = 2 if tag.says("noun", "pair") else 3
        total += number * size
        any_pair = True
        if tag.says("noun", "trio") and number == 1:
            keys = {"male": 1, "female": 2}
    if any_pair:
        return total, keys, False
    male = female = None
    singles: list[float] = []
    for n, tag in enumerate(tags):
        if tag.kind != "num" or tag.claimed or tag.low is not None:
            continue
        nxt = tags[n + 1] if n + 1 < len(tags) else None
        prev = tags[n - 1].word if n else ""
        if nxt is not None and nxt.says("noun", "male"):
            male = tag.value
        elif nxt is not None and nxt.says("noun", "female"):
            female = tag.value
        elif group.counts(tag):
            singles.insert(0, tag.value) if not singles else singles.append(tag.value)
        elif prev in ("in", "from", "of", "tank", "out", "quarantine", "at", "for", "each") and group.place_id(tag):
            continue
        elif (
            nxt is None
            or nxt.kind in ("sep", "money", "person")
            or nxt.word in ("for", "to", "from", "at", "of", "off")
        ):
            singles.append(tag.value)
    if male is not None or female is not None:
        both = (male or 0) + (female or 0)
        if singles and singles[0] != both:
            return singles[0], {}, True
        keys = {}
        if male is not None:
            keys["male"] = int(male)
        if female is not None:
            keys["female"] = int(female)
        return both, keys, False
    if singles:
        return singles[0], {}, len(set(singles)) > 1 and not group.cues("sold")
    words = [t.word for t in tags]
    for n, tag in enumerate(tags):
        if (
            tag.word in ("a", "one", "another", "the", "his", "her", "my", "our", "'s", "s")
            or (tag.kind == "place" and tag.word)
        ) and n + 1 < len(tags):
            near = tags[n + 1 : n + 4]
            if any(t.says("noun", "male", "female") and not t.word.endswith("s") for t in near):
                sex = next(t.one("noun") for t in near if t.says("noun", "male", "female"))
                return 1.0, {str(sex): 1}, False
    _ = words
    return count, keys, False


_UNPAID = re.compile(
    r"\b(wouldn't|didn't|did not|won't) (take|charge|want|ask) (a (cent|penny|dime|thing)|anything|any money|her|him)\b"
    r"|\bon the house\b|\bas a present\b"
)
_FREED = re.compile(
    r"\b(back on the (?:sale |for sale |stock )?list|back (?:on|up for|in|into) (?:sale|stock)"
    r"|back up for grabs|up for grabs again|free again|for sale again)\b"
)


def freed(sentence: Sentence, teller: Teller) -> bool:
    """Whether a sentence frees promised fish ("… can't come, they can go back on the list"); if so tells it."""
    if not _FREED.search(sentence.text()) or sentence.stop == "?":
        return False
    group = Group(sentence.parts, teller.names, teller.context)
    if not people(group) and not (group.lines() and "promised" in group.words()):
        return False
    count, _, odd = fish_count(group)
    who = buyer(group, teller)
    if odd or (who is None and not group.lines()):
        return False
    raw = teller.tell("release", group, buyer=who, line=group.line(), count=count)
    raw["_day"] = raw["_clock"] = None
    teller.read |= {id(p) for p in sentence.parts}
    return True


def price(group: Group, count: float | None) -> float | None:
    money = group.kind("money")
    if money:
        value = float(money[-1].value if len(money) == 1 else money[0].value)
        nxt = group.after(money[0])
        each = (nxt is not None and (nxt.says("each") or nxt.word in ("ea", "per", "each"))) or (
            any(t.says("each") for t in group.tags) and not (nxt is not None and nxt.word in ("the", "total", "for"))
        )
        unit = group.after(money[0], 2)
        several = unit is not None and unit.says("noun", "pair", "trio")
        if nxt is not None and nxt.word in ("each", "per", "a") and unit is not None and several:
            return round(value * count / (2 if unit.says("noun", "pair") else 3), 2) if count else None
        if each:
            return round(value * count, 2) if count else None
        return value
    text = group.text()
    if _UNPAID.search(text):
        return 0.0
    if any(
        w in text
        for w in ("gave away", "given away", "for free", "no charge", "as a gift", "free to", "gratis", "for nothing")
    ):
        return 0.0
    return None


def _fishy(part: Part) -> bool:
    return bool(part.kind("line", "batch") or part.noun(*COUNTED))


def _given_to(part: Part) -> bool:
    """Whether a clause says "gave Priya …": what follows is hers."""
    return any(
        one.word == "gave" and two.kind == "person" for one, two in zip(part.tags, part.tags[1:], strict=False)
    ) and not part.words() & {"me", "us"}


_SOMEBODY = frozenset(
    [
        *("boy", "girl", "kid", "lad", "lass", "lady", "guy", "man", "woman", "chap", "bloke", "child", "neighbor"),
        *("neighbour", "friend", "visitor", "customer", "teacher", "student", "beginner", "couple"),
    ]
)


def _to_somebody(part: Part) -> bool:
    """Whether fish went to a person nobody names: "gave a pair to a boy"."""
    return any(
        one.word == "to" and any(t.word in _SOMEBODY for t in part.tags[n + 1 : n + 4])
        for n, one in enumerate(part.tags)
    )


def sees_sale(part: Part, teller: Teller) -> Sight | None:
    cue = [
        t
        for t in part.cues("sold")
        if not (
            t.word in ("sale", "sell")
            and part.words() & {"for", "could", "to", "might"}
            and not part.kind("money", "person")
        )
        and not (t.word == "sale" and part.words() & {"size", "sized", "list"} and not part.kind("money", "person"))
    ]
    if cue and any(t.word in ("bought off me", "bought off us") for t in cue):
        return Sight(7, tuple(cue))
    if cue and part.cues("bought") and any(t.word in ("gave me", "gave us") for t in part.cues("bought")):
        return None
    if cue and (_fishy(part) or part.kind("money", "num")):
        return Sight(7, (*cue, *part.cues("gave", "pull", "start")))
    gave = part.cues("gave")
    person = part.kind("person")
    walkers = {"walk-in", "walk", "customer", "customers", "someone", "somebody", "buyer", "lady", "guy", "kid"}
    if part.cues("bought") and part.words() & walkers and _fishy(part) and not part.words() & {"from", "off", "at"}:
        return Sight(7, tuple(part.cues("bought")))
    if teller.context.kind == "sale" and teller.context.header and _fishy(part) and part.kind("num"):
        return Sight(4)
    if (
        gave
        and gave[0].word in ("gave",)
        and (not part.noun("eggs") or _given_to(part))
        and person
        and _fishy(part)
        and not part.sense("food")
        and not part.kind("pct")
        and any(t.value not in teller.names.people for t in person)
    ):
        return Sight(5, tuple(gave))
    if gave and gave[0].word == "gave" and _to_somebody(part) and _fishy(part) and not part.sense("food"):
        return Sight(5, tuple(gave))
    if part.kind("money") and _fishy(part) and part.kind("num") and "gone" in part.words() and not part.cues("bought"):
        return Sight(7, tuple(part.cues("lost")))
    if part.kind("money") and _fishy(part) and person and part.words() & {"to"} and not part.cues("bought", "hold"):
        return Sight(5)
    if teller.context.kind == "sale" and part.kind("money") and (_fishy(part) or part.kind("num")):
        return Sight(4)
    if (
        part.words() & {"took", "bought"}
        and _fishy(part)
        and not part.kind("person")
        and part.tags
        and part.tags[0].word in ("took", "they", "he", "she", "bought", "they've", "and")
        and teller.context.values.get("person_sentence") == part.sentence
        and teller.context.values.get("person") not in teller.names.people
    ):
        return Sight(6, tuple(part.cues("bought", "collect", "pull", "harvest")))
    if (
        person
        and part.words() & {"took", "bought", "paid", "collected", "picked up", "fetched", "collects"}
        and _fishy(part)
        and person[0] is part.tags[0]
        and person[0].value not in teller.names.people
    ):
        return Sight(6, tuple(part.cues("bought", "collect", "pull", "harvest")))
    return None


def tell_sale(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "sale"})
        return
    count, keys, odd = fish_count(group)
    line = group.line()
    stage = group.stage()
    who = buyer(group, teller)
    if (
        who is None
        and teller.context.values.get("person_sentence") == group.sentence
        and teller.context.values.get("person") not in teller.names.people
    ):
        who = str(teller.context.values["person"])
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    places = _places(group)
    place = places[0] if len(places) == 1 else None
    text = group.text()
    cost = price(group, count)
    if cost is None and (
        "free" in group.words() or (group.cues("sold") and group.cues("sold")[0].word in ("gave away", "given away"))
    ):
        cost = 0.0
    if cost is None and group.cues("gave") and not group.cues("sold") and "for" not in text:
        cost = 0.0
    partial = {"kind": "sale", "line": line, "buyer": who, "price": cost}
    if len(group.lines()) > 1 or odd:
        teller.ask(group, "How many of which?", "count", partial)
        return
    if line is None and batch is None and place is None:
        if count is None and teller.last is not None and not group.kind("money", "num"):
            teller.context.kind, teller.context.header = "sale", True  # "sold my first fish!": what follows says which
            return
        if len(teller.context.places) == 1 and teller.context.sentence == group.sentence:
            place = teller.context.places[0]
        else:
            teller.ask(group, "Which fish were sold?", "line", {**partial, "count": count})
            return
    if line is None and place is not None:
        held = teller.names.lines_in(place)
        line = held[0] if len(held) == 1 else None
    teller.tell(
        "sale",
        group,
        count=count,
        line=line,
        batch=batch,
        place=place if batch is None else None,
        price=cost,
        buyer=who,
        stage=stage,
        **keys,
    )


def _places(group: Group) -> list[str]:
    """The places a group names for certain: by word, or as a bare number after "in", "from" or "out of"."""
    out: list[str] = []
    tags = group.tags
    for n, tag in enumerate(tags):
        if tag.kind == "place":
            out.extend(tag.value)
        elif tag.kind == "size":
            out.extend(group.sized(tag))
        elif (
            tag.kind == "num"
            and not tag.claimed
            and n
            and tags[n - 1].word in ("in", "from", "of", "into", "quarantine", "qt")
            and not group.counts(tag)
        ):
            if tags[n - 1].word == "of" and (n < 2 or tags[n - 2].word != "out"):
                continue
            place = group.place_id(tag)
            if place:
                tag.claimed = "place"
                out.append(place)
        elif (
            tag.kind == "lex"
            and tag.says("role", "quarantine")
            and not (tag.says("volume") and tag.word == "qt" and tags[n - 1 : n] and tags[n - 1].kind in ("num", "vol"))
        ):
            its = group.names.with_role("quarantine")
            if len(its) == 1:
                out.extend(its)
    return list(dict.fromkeys(out))


def sees_stock(part: Part, teller: Teller) -> Sight | None:
    cue = [
        t
        for t in part.cues("bought")
        if not (
            t.word in ("got in", "delivery", "auction", "picked up", "came in", "arrived", "caught")
            and not (_fishy(part) and part.kind("num", "line"))
        )
    ]
    if cue and cue[0].word == "caught" and not part.kind("num"):
        cue = []
    if (
        cue
        and cue[0].word in ("caught", "picked up", "came in", "got in")
        and part.tags[0].kind == "person"
        and part.tags[0].value not in teller.names.people
    ):
        cue = []  # a buyer picked up hers
    if (
        cue
        and cue[0].word == "caught"
        and any(
            set(teller.names.lines_in(p)) & {x for t in part.kind("line") for x in t.value}
            for t in part.kind("place")
            for p in t.value
        )
    ):
        cue = []  # caught in their own tank
    if (
        cue
        and part.noun("eggs")
        and not part.kind("person", "money")
        and cue[0].word in ("gave us", "gave me", "got in", "caught")
    ):
        return None
    if any(t.word in ("bought off me", "bought off us") for t in part.cues("sold")):
        return None
    if (
        cue
        and (_fishy(part) or part.noun("peat"))
        and not (
            part.kind("person")
            and part.tags
            and part.tags[0].kind == "person"
            and part.tags[0].value not in teller.names.people
            and cue[0].word == "bought"
        )
    ):
        return Sight(6, (*cue, *part.cues("gave", "pull", "start")))
    words = part.words()
    person = part.kind("person")
    if (
        _fishy(part)
        and part.kind("num", "money")
        and person
        and (words & {"off", "from"})
        and not part.cues("sold", "hold", "pull", "release", "move")
    ):
        n = next(i for i, t in enumerate(part.tags) if t is person[0])
        if n and part.tags[n - 1].word in ("off", "from"):
            return Sight(5, tuple(part.cues("gave")))
    return None


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


def settles(group: Group, teller: Teller) -> bool:
    """ "They will stay in tank 15": the place of fish that just came in."""
    last = teller.context.event
    if last is None or last["kind"] != "stock_in" or last.get("place"):
        return False
    places = _places(group)
    if len(places) == 1:
        last["place"] = places[0]
        return True
    return False


def tell_stock(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "stock_in"})
        return
    places = _places(group)
    count, keys, odd = fish_count(group)
    line = group.line()
    stage = "eggs" if group.noun("eggs", "peat") else group.stage()
    tags = group.tags
    source: str | None = None
    for tag in group.kind("person"):
        n = group._index(tag)
        if n and tags[n - 1].word in ("from", "off", "of"):
            source = str(tag.value)
    if source is None:
        for n, tag in enumerate(tags):
            if (
                tag.word in ("from", "off", "at")
                and n + 1 < len(tags)
                and tags[n + 1].kind in ("word", "lex")
                and tags[n + 1].word not in ("tank", "tub")
            ):
                rest = [t.word for t in tags[n + 1 : n + 5] if t.kind in ("word", "lex") and t.word not in ("the", "a")]
                if rest and not rest[0].isdigit() and tags[n + 1].word not in ("them",):
                    source = " ".join(
                        rest[
                            : next(
                                (
                                    i
                                    for i, w in enumerate(rest[:3])
                                    if i and w in ("at", "for", "in", "with", "and", "of", "they're", "on")
                                ),
                                3,
                            )
                        ]
                    )
                break
    cost = price(group, count)
    if odd:
        teller.ask(group, "How many came in?", "count", {"kind": "stock_in", "line": line})
        return
    if len(places) > 1:
        teller.ask(group, "Into which tank?", "place", {"kind": "stock_in", "line": line, "count": count})
        return
    if line is None and not (places and stage == "eggs"):
        teller.ask(group, "Which fish, and into which tank?", "line", {"kind": "stock_in", "count": count})
        return
    teller.tell(
        "stock_in",
        group,
        place=places[0] if places else None,
        line=line,
        count=count,
        stage=stage,
        price=cost,
        source=source,
        **keys,
    )


def sees_hold(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("hold")
    words = part.words()
    if (
        not cue
        and (
            "keep" in words
            or (words & {"collects", "collecting", "collect"} and teller.context.values.get("head_person"))
        )
        and (_fishy(part) or (part.before is not None and _fishy(part.before)))
        and (part.kind("num") or (part.before is not None and part.before.kind("num")))
        and (part.kind("person") or teller.context.values.get("head_person"))
    ):
        return Sight(6)
    person = [t for t in part.kind("person") if t.value not in teller.names.people]
    if cue and (cue[0].word == "booked" and not _fishy(part)):
        return None
    if cue and part.before is not None and (_fishy(part.before) or part.before.kind("person")):
        return Sight(7, (*cue, *part.cues("collect", "gave")))
    if cue and (
        _fishy(part) or person or teller.context.kind in ("reserve", "sale") or teller.context.values.get("wants")
    ):
        return Sight(7, (*cue, *part.cues("collect", "gave")))
    later = part.after.words() if part.after is not None else set()
    if words & {"if", "or", "maybe"} or later & {"if", "or", "maybe"}:
        return None
    if (
        person
        and words & {"wants", "want", "would like", "coming", "collecting", "after", "asked", "ordered"}
        and _fishy(part)
        and not part.muted
        and (
            part.kind("day")
            or later & {"reserve", "hold", "keep", "keep them by", "name", "put", "pays", "by"}
            or (part.after is not None and (part.after.cues("hold") or part.after.kind("day", "money")))
        )
    ):
        return Sight(4, tuple(part.cues("collect", "gave")))
    return None


def tell_hold(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "reserve"})
        return
    places = _places(group)
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    count, keys, odd = fish_count(group)
    line = group.line()
    who = buyer(group, teller)
    day = None
    made = None
    for n, tag in enumerate(group.tags):
        if tag.kind == "day" and not tag.value.vague:
            before = group.tags[n - 1].word if n else ""
            if (tag.value.offset is not None and tag.value.offset < 0) or (
                n <= 2 and any(t.word in ("reserved", "promised", "booked", "asked", "wanted") for t in group.tags)
            ):
                made = tag.value
            elif before in ("than", "not", "of"):
                continue
            elif (
                made is None
                and day is None
                and any(t.word in ("reserved", "promised", "booked") for t in group.tags)
                and len([t for t in group.kind("day") if not t.value.vague]) > 1
            ):
                made = tag.value
            elif day is None:
                day = tag.value
    if line is None and batch is not None and batch in teller.names.batch_of:
        line = teller.names.batch_of[batch].line
    if line is None and places:
        held = teller.names.lines_in(places[0])
        line = held[0] if len(held) == 1 else None
    seen = teller.context.values.get("person")
    if who is None and group.words() & {"her", "him", "them"} and seen and seen not in teller.names.people:
        who = str(seen) if teller.context.values.get("person_sentence") == group.sentence else None
    partial = {"kind": "reserve", "buyer": who, "line": line, "count": count}
    previous = teller.context.event
    if (
        previous is not None
        and previous["kind"] == "reserve"
        and line is None
        and batch is None
        and not places
        and count is None
    ):
        for key, value in (("buyer", who), ("_day", day)):
            if value is not None and previous.get(key) is None:
                previous[key] = value
        return
    if odd:
        teller.ask(group, "How many are to be kept?", "count", partial)
        return
    if line is None and batch is None and not places:
        teller.ask(group, "Which fish are to be kept?", "line", partial)
        return
    cost = price(group, count) if group.kind("money") and not any(t.says("each") for t in group.tags) else None
    raw = teller.tell(
        "reserve",
        group,
        count=count,
        line=line,
        batch=batch,
        place=places[0] if places and not batch else None,
        buyer=who,
        stage=None,
        **keys,
    )
    raw["_day"], raw["_ahead"], raw["_clock"] = day, True, None
    if made is not None:
        raw["_made"] = made
    _ = cost


def sees_release(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("release")
    named = part.kind("person") or teller.context.values.get("person_sentence") == part.sentence
    if (
        not cue
        and "free" in part.words()
        and part.kind("line")
        and named
        and not part.words() & {"for", "gave"}
        and not part.kind("num", "money")
    ):
        return Sight(6)
    if not cue:
        return None
    person = part.kind("person")
    words = part.words()
    if cue[0].word in (
        "doesn't want",
        "does not want",
        "pulled out",
        "release",
        "not coming for",
        "free again",
    ) and not (person or _fishy(part) or teller.context.kind == "release"):
        return None
    if (
        person
        or _fishy(part)
        or words & {"lady", "guy", "man", "buyer", "he", "she", "they", "sale", "deal"}
        or teller.context.kind == "release"
    ):
        return Sight(8, (*cue, *part.cues("hold", "sold")))
    return None


def tell_release(group: Group, teller: Teller) -> None:
    previous = teller.context.event
    count, keys, _ = fish_count(group)
    line = group.line()
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    who = buyer(group, teller)
    if previous is not None and previous["kind"] == "release":
        for key, value in (("count", count), ("line", line), ("batch", batch), ("buyer", who)):
            if value is not None and key not in previous:
                previous[key] = int(value) if isinstance(value, float) else value
        return
    if who is None and line is None and batch is None:
        teller.ask(group, "Whose fish are free again?", "buyer", {"kind": "release"})
        return
    raw = teller.tell("release", group, buyer=who, line=line, batch=batch, count=count)
    raw["_day"] = raw["_clock"] = None
    _ = keys


FRAMES = [
    Frame("release", sees_release, tell_release),
    Frame("reserve", sees_hold, tell_hold),
    Frame("sale", sees_sale, tell_sale),
    Frame("stock_in", sees_stock, tell_stock),
]
