"""A clause with no sign of its own: more of what went before, a reading that names nothing, or a heading."""

from __future__ import annotations

import re

from bot.language import eggs, trade, water
from bot.language.clauses.afterthoughts import follows_up, place_after_all
from bot.language.clauses.again import same_again
from bot.language.clauses.group import Group
from bot.language.frames import BY_KIND
from bot.language.scene import Part, Sentence
from bot.language.telling import Teller


def tell_loose(part: Part, teller: Teller, sentence: Sentence | None = None) -> None:
    """Let the first that knows what to make of the clause tell it; else it only names what follows."""
    group = Group([part], teller.names, teller.context)
    if (
        _tested_where(group, part, teller)
        or same_again(group, part, teller)
        or place_after_all(group, part, teller)
        or trade.pays(group, teller)
        or (not part.kind("num", "money") and {"in", "into"} & group.words() and trade.settles(group, teller))
        or follows_up(group, part, teller)
        or _eggs_put(group, part, teller)
        or _fry_put(group, part, teller)
        or (part.words() & {"fine", "ok", "okay", "alright", "happy", "healthy"} and not part.sense("quantity"))
        or _more_of_the_list(group, part, teller)
        or _unnamed_reading(group, part, teller)
        or _as_counted(part, teller)
    ):
        return
    _name_ahead(group, part, teller)
    if part.kind("place") and group.unknown() is not None and part.kind("num", "pct"):
        teller.ask_place(group, {"kind": "remark"})


def _as_counted(part: Part, teller: Teller) -> bool:
    """ "22 in 14": a count, where it is all there were of the one batch there, or nearly."""
    if len(part.tags) != 3 or part.tags[0].kind != "num" or part.tags[1].word != "in":
        return False
    group = Group([part], teller.names, teller.context)
    number, where = part.tags[0], part.tags[2]
    place = where.value[0] if where.kind == "place" and len(where.value) == 1 else None
    place = group.place_id(where) if where.kind == "num" else place
    held = teller.names.batches_in(place) if place is not None else ()
    most = held[0].count if len(held) == 1 and held[0].stage in ("juveniles", "adults") else None
    if not most or number.low is not None or not 0.85 * most <= number.value <= most:
        return False
    teller.tell("headcount", group, place=place, count=number.value)
    return True


def _tested_where(group: Group, part: Part, teller: Teller) -> bool:
    """ "Tested 4": the tank whose readings follow."""
    tested = next((n for n, t in enumerate(part.tags) if t.word in ("tested", "testing", "checked")), None)
    if tested is None or tested + 1 >= len(part.tags) or part.tags[tested + 1].kind != "num":
        return False
    place = group.place_id(part.tags[tested + 1])
    if place is None or len(part.kind("num")) != 1:
        return False
    ctx = teller.context
    ctx.places, ctx.batch, ctx.header = (place,), None, True
    return True


def _eggs_put(group: Group, part: Part, teller: Teller) -> bool:
    """ "… all into tub D": where the eggs just pulled went."""
    words = group.words()
    event = teller.context.event
    places = [t for t in part.kind("place") if t.value and len(t.value) == 1]
    if (
        event is None
        or event["kind"] != "pull"
        or not places
        or eggs.breeders(teller, places[0].value[0])
        or event.get("to")
        or not (words & {"in", "into", "to"})
        or part.kind("num", "pct")
    ):
        return False
    if part.kind("line") and not event.get("line"):
        event["line"] = group.line()
    for raw in teller.events:
        listed = event["_group"].sentence != part.sentence and ("all" in words or "they" in words)
        its = raw.get("_sentence") == event.get("_sentence") or raw is event or listed
        if raw["kind"] == "pull" and not raw.get("to") and its and raw.get("count") != 0:
            raw["to"] = places[0].value[0]
    return True


def _more_of_the_list(group: Group, part: Part, teller: Teller) -> bool:
    """A place and a number under what is being listed: counts, drops, or one quantity read tank after tank."""
    ctx = teller.context
    nothing = any(t.word in ("nothing", "none") for t in part.tags)
    if (
        ctx.kind in ("pull", "bad_eggs", "headcount", "hatch", "death")
        and (part.kind("num", "deg") or (part.kind("place") and any(t.word in _NIL for t in part.tags)))
        and (part.kind("place") or len(part.kind("num")) > 1 or nothing)
    ):
        seq = group.sequence("count")
        if any(s[0] in "PB" for s in seq) and any(s[0] == "N" for s in seq):
            BY_KIND[ctx.kind].tell(group, teller)
            return True
    if ctx.values.get("drops") and part.kind("num"):
        seq = group.sequence("count")
        if len(seq) == 2 and seq[0][0] == "P" and seq[1][0] == "N" and len(seq[0][1]) == 1:
            teller.tell("dose", group, place=seq[0][1][0], amount=seq[1][1], unit="drop")
            return True
    if ctx.quantity and (part.kind("num", "deg")):
        seq = group.sequence("value")
        if any(s[0] in "PB" for s in seq) and any(s[0] == "N" for s in seq):
            water.tell_measure(group, teller)
            return True
    return False


def _fry_put(group: Group, part: Part, teller: Teller) -> bool:
    """ "… and they're in tub G now": where the fry just hatched went."""
    event = teller.context.event
    places = [t for t in part.kind("place") if t.value and len(t.value) == 1]
    if (
        event is None
        or event["kind"] != "hatch"
        or len(places) != 1
        or (part.cues("left", "move", "feed", "wc") and not (part.words() & {"now"}))
    ):
        return False
    n = next(i for i, t in enumerate(part.tags) if t is places[0])
    batch = teller.names.batch_of.get(str(event.get("batch") or ""))
    source = event.get("place") or (batch.place if batch else None)
    target = places[0].value[0]
    if (
        part.tags[0].word not in ("they're", "they've", "they", "those", "all", "these")
        or not n
        or part.tags[n - 1].word not in ("in", "into", "to")
        or not source
        or source == target
        or part.kind("num", "line")
        or event.get("count") is None
    ):
        return False
    teller.tell("move", group, from_=source, to=target, count=event["count"], batch=event.get("batch"))
    return True


_NIL = frozenset(["nothing", "none", "nil"])


def _name_ahead(group: Group, part: Part, teller: Teller) -> None:
    """A line or a place named with nothing told of it is what the next clauses are about."""
    ctx = teller.context
    if part.has("count") and not part.kind("num"):
        ctx.values["counted"] = part.sentence
    lines = group.lines()
    if len(lines) == 1:
        ctx.line = lines[0]
        if part.noun("eggs") and not part.kind("place"):
            held = teller.spots_by_line("eyed", lines)
            if len(held) == 1 and held[0] in teller.names.place_of:
                ctx.places, ctx.batch = held, None
    places_or_batch = [t for t in part.kind("place", "batch", "size") if t.value]
    counts = [t for t in part.kind("num", "pct", "vol") if not (t.note == "spelled" and t.value == 1)]
    if places_or_batch and not counts:
        tag = places_or_batch[0]
        if tag.kind == "place":
            ctx.places, ctx.batch, ctx.header = tuple(tag.value), None, True
        elif tag.kind == "batch":
            ctx.batch, ctx.places, ctx.header = tag.value, (), True
        elif group.sized(tag):
            ctx.places, ctx.batch, ctx.header = group.sized(tag), None, True
    elif not places_or_batch:
        spoken = [
            p
            for k, v, t in group.sequence("value")
            if k == "P"
            for p in v
            if (b := group.before(t)) is not None
            and b.word in ("in", "on", "of", "under", "tested", "testing", "checked", "did")
        ]
        roles = [
            t
            for n, t in enumerate(part.tags)
            if t.says("role") and n and part.tags[n - 1].word in ("in", "from", "into", "the")
        ]
        if not spoken and len(roles) == 1 and not part.kind("num"):
            spoken = list(teller.names.with_role(roles[0].one("role") or ""))
        if len(spoken) == 1:
            ctx.places, ctx.batch, ctx.header = (spoken[0],), None, True


_READS = frozenset(["says", "reads", "said", "read", "is", "was", "at", "showing", "shows", "reading"])


def _one_by_one(group: Group, part: Part, teller: Teller) -> bool:
    """ "1 says 74, 7 says 76": a tank and a reading, and again."""
    low, high = (15, 33) if teller.names.metric else (60, 92)
    found: list[tuple[str, float]] = []
    place: str | None = None
    verb = False
    for tag in part.tags:
        if tag.kind == "place" and len(tag.value) == 1 and place is None:
            place = tag.value[0]
        elif tag.kind == "num" and tag.low is None and place is None:
            place = group.place_id(tag)
            if place is None:
                return False
        elif tag.word in _READS and place is not None:
            verb = True
        elif tag.kind == "num" and tag.low is None:
            if not verb or not low <= float(tag.value) <= high:
                return False
            found.append((str(place), float(tag.value)))
            place, verb = None, False
        elif tag.says("noun") or tag.kind in ("place", "pct", "amount", "line", "batch", "money"):
            return False
    if not found or place is not None or part.muted:
        return False
    for spot, value in found:
        celsius = value if value <= 40 else (value - 32) * 5 / 9
        teller.tell("measure", group, place=spot, quantity="temperature", value=round(celsius, 1))
    return True


def _unnamed_reading(group: Group, part: Part, teller: Teller) -> bool:
    """ "7 was at 77", "tank 7 7.6 0 0 20": readings that do not name what was read."""
    if group.words() & {"dial", "thermostat"}:
        return False  # what a heater is set to is no reading
    if _one_by_one(group, part, teller):
        return True
    seq = group.sequence("value")
    spots = [s for s in seq if s[0] == "P"]
    nums = [s for s in seq if s[0] == "N"]
    if not spots or not nums or group.unknown() is not None or part.kind("pct", "money", "vol"):
        return False
    if part.muted or {"there", "there's", "sworn"} & group.words() or re.search(r"\bset (at|to)\b", part.text()):
        return False
    low, high = (15, 33) if teller.names.metric else (60, 92)
    text = group.text()
    if len(nums) == 4 and len(spots) == 1 and len(spots[0][1]) == 1 and all(n[1] is not None for n in nums):
        ph, ammonia, nitrite, nitrate = (float(n[1]) for n in nums)
        if (
            4.5 <= ph <= 9.5
            and ammonia <= 8
            and nitrite <= 8
            and nitrate <= 200
            and (ph != int(ph) or ammonia == nitrite == 0)
        ):
            place = spots[0][1][0]
            for quantity, value in (("ph", ph), ("ammonia", ammonia), ("nitrite", nitrite), ("nitrate", nitrate)):
                teller.tell("measure", group, place=place, quantity=quantity, value=value)
            return True
    if (
        len(nums) == 1
        and nums[0][1] is not None
        and any(
            t.word in ("at", "was", "is", "reading", "both", "reads", "were", "are", "says", "up to", "down to")
            for t in group.tags
        )
        and not group.noun("juveniles", "adults", "male", "female", "fry", "eggs", "pair")
    ):
        value = float(nums[0][1])
        fits = low <= value <= high or (10 <= value <= 33 and ("celsius" in teller.note_text() or value != int(value)))
        if fits and not re.search(r"\b(eggs?|fry|fish|day|percent|old|weeks|count|counted|counting)\b", text):
            celsius = value if value <= 40 else (value - 32) * 5 / 9
            for _, places, _ in spots:
                for place in places:
                    teller.tell("measure", group, place=place, quantity="temperature", value=round(celsius, 1))
            return True
    return False
