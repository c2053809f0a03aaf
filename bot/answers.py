"""Answers to the keeper's questions, from the record as it stands; two or three lines each, with the basis."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace

from bot import sentences as say
from bot.asking import Answer as Answer
from bot.asking import Asking as Asking
from bot.care import conditioner, feeding, fungus, room_for
from bot.chores import due_text, due_why
from bot.collecting import collected
from bot.course_shown import course_lines
from bot.emergencies import answer_emergency, open_emergencies
from bot.found import causes, survived
from bot.hatch_dates import hatch
from bot.language import Query
from bot.past import bought, history, last
from bot.promises import WHO_WANTS, buyer_named, promised
from bot.readback import window_line
from bot.stock import stock
from bot.sums import advice, ammonia, bad_share, calc, counted_share, dose, rate, ready, sum_for
from bot.totals import totals
from bot.whereabouts import whereabouts
from shared.ledger import Holding, Standing
from shared.species import find_species
from storage.journal import Message, RoomBook


def answer(query: Query, standing: Standing, book: RoomBook, now: dt.datetime, message: Message) -> Answer:
    """Answer one question. `now` is in the room's zone."""
    asking = Asking(query, standing, book, now, message.person, message.text)
    found = sum_for(asking) or _by_words(asking) or _ANSWERS.get(query.about, _help)(asking)
    told = found if isinstance(found, Answer) else Answer(found)
    info = book.info
    text = (
        told.text
        if told.both_scales or query.about in _BOTH_SCALES
        else say.in_room_units(told.text, info.units, info.gallon)
    )
    why = told.why if told.both_scales else tuple(say.in_room_units(w, info.units, info.gallon) for w in told.why)
    return replace(told, text=text, why=why)


def _by_words(ask: Asking) -> str | Answer | None:
    """What the question's own words ask of the record, where they say it more closely than its kind does."""
    words = ask.text.casefold().replace("’", "'")
    for abouts, pattern, told in _CLOSER:
        if ask.query.about in abouts and re.search(pattern, words) and (found := told(ask)):
            return found
    return None


# ---- how things stand


def holding_text(h: Holding) -> str:
    """`B22: 52 eggs`, `gardneri adults, not counted`."""
    about = "about " if h.estimated and h.counted else ""
    sexes = f" ({h.male} m, {h.female} f)" if h.male or h.female else ""
    if h.group == h.line:
        return f"{h.line} {h.stage}{f': {about}{h.count}' if h.counted else ', not counted'}{sexes}"
    return f"{about}{say.fish(h.number, h.stage)} of {h.group}, {h.line}{sexes}"


def _place(ask: Asking) -> str:
    name, standing = ask.query.place, ask.standing
    if name is None and ask.query.line:
        spots = [p.name for p in standing.places.values() if p.line == ask.query.line]
        return "\n".join(place_text(ask, s) for s in spots[:4]) or stock(ask)
    if name is None:
        return "Which tank or tub? Say it like “tank 3”."
    return place_text(ask, name)


def place_text(ask: Asking, name: str) -> str:
    """How a tank or tub stands: what is in it, when it was last tended, its last readings."""
    standing = ask.standing
    place = standing.places.get(name)
    if place is None:
        return f"There is no {name} in this room."
    traits = [say.volume(place.litres, ask.units, ask.book.info.gallon)] if place.litres else []
    traits += [place.role] if place.role and place.role != "empty" else []
    traits += [collected(place.collect)] if place.collect else []
    head = f"{name} ({', '.join(traits)})" if traits else name
    held = [holding_text(h) for h in standing.at_place(name)]
    lines = [f"{head}: {'; '.join(held) if held else 'empty'}."]
    for h in standing.eggs_at(name):
        seen = window_text(ask, h.group)
        if seen:
            lines.append(seen)
    lines += course_lines(standing, name, ask.now, ask.book.info.zone)
    tended = []
    for chore, words in (("pull", "mop pulled"), ("water", "water changed"), ("feed", "fed"), ("count", "counted")):
        last = standing.last(name, chore)
        if last:
            tended.append(f"{words} {say.moment(last, ask.book.info.zone, ask.now)}")
    if tended:
        lines.append(f"{say.first_up(say.listed(tended))}.")
    # looked for only between the times that stand, and not through all the years of a place without any
    when = standing.times(name, "pull")[-5:]
    if when:
        since, until = when[0], when[-1]
        pulls = ask.book.entries(name=name, kinds=("pull",), since=since, until=until, limit=5, newest_first=True)
        shown = ", ".join(
            f"{getattr(e.event, 'count', None) if getattr(e.event, 'count', None) is not None else '?'} "
            f"{_on(e.at.astimezone(ask.book.info.zone), ask.now.date())}"
            for e in pulls
        )
        lines.append(f"Eggs: {shown}.")
    readings = []
    for quantity in ("temperature", "ph", "ammonia", "nitrite", "nitrate", "gh", "kh", "tds", "conductivity"):
        found = standing.latest(name, quantity)
        if found:
            readings.append(f"{say.reading(quantity, found.value, ask.units)} ({say.ago(found.at, ask.now)})")
    if readings:
        lines.append(f"{'; '.join(readings[:4])}.")
    return "\n".join(lines)


def _on(when: dt.datetime, today: dt.date) -> str:
    """`today`, `yesterday`, `on Sat 14 Mar`."""
    day = say.day(when, today)
    return day if day in ("today", "yesterday") else f"on {day}"


def window_text(ask: Asking, batch: str) -> str | None:
    """The hatch window of a batch in one line."""
    return window_line(ask.standing, batch, ask.now, ask.book.info)


def _size(ask: Asking) -> str | None:
    """How much water a place holds."""
    place = ask.standing.places.get(ask.query.place or "")
    if place is None:
        return None
    if place.litres is None:
        return f"Nobody said how much water is in {place.name}."
    gallon = ask.book.info.gallon
    here = say.volume(place.litres, ask.units, gallon)
    litres, gallons = f"{say.number(round(place.litres, 1))} litres", say.volume(place.litres, "us", gallon)
    other = litres if ask.units == "us" else gallons
    return f"{place.name}: {here}, that is {other}{f'; {place.role}' if place.role else ''}."


def _warmth(ask: Asking) -> str | None:
    """The last temperature of a place, beside the range of the fish in it where that is known."""
    place = ask.standing.places.get(ask.query.place or "")
    if place is None:
        return None
    text = last(replace(ask, query=replace(ask.query, quantity="temperature")))
    held = ask.standing.at_place(place.name)
    kept = ask.standing.lines.get(held[0].line if held else place.line or "")
    fish = find_species(kept.species) if kept and kept.species else None
    if fish and re.search(r"\b(?:enough|too|ok|okay|right|fine|good)\b", ask.text.casefold()):
        low, high = (say.temperature(t, ask.units) for t in (fish.temp_low, fish.temp_high))
        text += f"\nEggs of {fish.name} are said to do well between {low} and {high} ({fish.basis})."
    return text


def _ages(ask: Asking) -> str | None:
    """How old the fish or eggs of a place or batch are."""
    names = [ask.query.batch] if ask.query.batch else []
    if ask.query.place:
        names = [h.group for h in ask.standing.at_place(ask.query.place)]
    lines = []
    for name in dict.fromkeys(names):
        batch = ask.standing.batches.get(name or "")
        if batch is None:
            continue
        begun, word = (batch.fry_seen, "hatched") if batch.fry_seen else (batch.laid_from, "laid")
        if begun is None:
            lines.append(f"{batch.name} ({batch.line}): nobody said when they were laid or hatched.")
            continue
        days = (ask.now - begun).days
        age = (
            f"{say.number(round(days / 7, 1))} weeks in peat"
            if batch.medium == "peat" and not batch.fry_seen
            else (f"{say.count(days, 'day')} old")
        )
        day = say.day(begun.astimezone(ask.book.info.zone), ask.now.date())
        lines.append(f"{batch.name} ({batch.line}): {age}, {word} from {day} on.")
    return "\n".join(lines) or None


def _promised_if(ask: Asking) -> str | None:
    """Promises, where the question names nobody who has a place, batch or buyer of their own."""
    return None if ask.query.place or buyer_named(ask) else promised(ask)


def _due_if(ask: Asking) -> Answer | None:
    """Whether a chore is due there: “should I pull mop 2”."""
    return _due(ask) if ask.query.place or ask.query.batch else None


def _generations(ask: Asking) -> str | None:
    """The generations of a line's fish and batches."""
    line = ask.standing.lines.get(ask.query.line or "")
    if line is None or ask.query.batch:
        return None
    alive = [b for b in ask.standing.batches.values() if b.line == line.name and ask.standing.of_group(b.name)]
    told = [f"{b.name} {b.generation}" for b in alive if b.generation]
    blank = [b.name for b in alive if not b.generation]
    parts = [f"breeders {line.generation}"] if line.generation else []
    parts += told + ([f"none said of {say.listed(blank)}"] if blank else [])
    return f"Generations of {line.name}: {'; '.join(parts) or 'none on record'}."


def _batch_meant(ask: Asking) -> str | None:
    query, standing = ask.query, ask.standing
    if query.batch:
        return query.batch
    groups = [h.group for h in standing.at_place(query.place)] if query.place else []
    if not groups and query.line:
        groups = [h.group for h in standing.holdings.values() if h.line == query.line and h.group in standing.batches]
    known = [g for g in dict.fromkeys(groups) if g in standing.batches]
    return known[-1] if known else None


def _batch(ask: Asking) -> str:
    name = _batch_meant(ask)
    if name is None:
        return _place(ask) if ask.query.place else "Which batch? Say it like “B22”."
    return batch_text(ask, name)


def batch_text(ask: Asking, name: str) -> str:
    """How a batch stands: where, laid when, its window or age, and its sums."""
    batch = ask.standing.batches.get(name)
    if batch is None:
        old = ask.book.entries(name=name)
        if not old:
            return f"There is no batch {name} in the record."
        return f"{name}: nothing left of it; last entry {say.moment(old[-1].at, ask.book.info.zone, ask.now)}."
    zone = ask.book.info.zone
    where = [f"{say.fish(h.number, h.stage)} in {h.place or 'hand'}" for h in ask.standing.of_group(name)]
    called = f" {batch.generation}" if batch.generation else ""
    lines = [f"{name}, {batch.line}{called}: {say.listed(where) if where else 'nothing left'}."]
    if batch.laid_from and batch.laid_to:
        lines.append(f"Laid {say.span(batch.laid_from, batch.laid_to, zone)}{_parents(batch.parents)}.")
    generation = ask.standing.generation_of(name)
    if re.search(r"\b(?:generation|parents?|f\d)\b", ask.text.casefold()):
        of = f"Parents: {say.places(batch.parents)}" if batch.parents else "Parents not on record"
        lines.append(f"{of}; generation {generation or 'not said'}.")
    if batch.fry_seen:
        age = (ask.now - batch.fry_seen).days
        lines.append(
            f"First fry {say.day(batch.fry_seen.astimezone(zone), ask.now.date())}, {say.count(age, 'day')} old."
        )
    else:
        seen = window_text(ask, name)
        if seen:
            lines.append(seen)
    if batch.medium == "peat" and batch.laid_from:
        lines.append(f"In peat {say.number(round((ask.now - batch.laid_from).days / 7, 1))} weeks.")
    sums = []
    for side in (batch.eggs, batch.fish):
        for key in ("pulled", "bad", "hatched", "died", "sold"):
            value = getattr(side, key)
            if value and not (side is batch.fish and key == "hatched"):
                sums.append(f"{key} {value}{causes(side) if key == 'died' else ''}")
    gone = batch.eggs.unaccounted + batch.fish.unaccounted
    if gone:
        sums.append(f"unaccounted for {gone}")
    if sums:
        lines.append(f"{say.first_up(', '.join(sums))}.")
    lines += survived(batch.fish)
    return "\n".join(lines)


def _parents(parents: list[str]) -> str:
    return f" in {say.places(parents)}" if parents else ""


def _culture(ask: Asking) -> str:
    lines = []
    for culture in ask.standing.cultures.values():
        if ask.query.culture and culture.name != ask.query.culture:
            continue
        if culture.crashed:
            lines.append(
                f"{culture.name}: crashed {say.day(culture.crashed.astimezone(ask.book.info.zone), ask.now.date())}."
            )
            continue
        done = [
            f"{words} {say.ago(at, ask.now)}"
            for words, at in (("started", culture.started), ("fed", culture.fed), ("harvested", culture.harvested))
            if at
        ]
        lines.append(f"{culture.name}: {say.listed(done) if done else 'nothing logged yet'}.")
    return "\n".join(lines) or "No cultures are on record."


# Chores a question about what is due may name, and the tasks they are; the first that fits.
_CHORES: tuple[tuple[str, str], ...] = (
    (r"\b(?:filters?|sponges?|heaters?|lights?|serviced?)\b", "service"),
    (r"\b(?:mops?|pull|pulled|pulling)\b", "pull_mop"),
    (r"\bwater changes?\b|\bwcs?\b|\bchang(?:e|ed|es|ing)\b", "water_change fry_water egg_water"),
    (r"\bneeds? (?:new |fresh )?water\b", "water_change fry_water egg_water"),
    (r"\b(?:cultures?|microworms?|daphnia|vinegar eels?|brine shrimp|split|restart)\b",
     "culture_restart culture_feed start_brine_shrimp harvest_brine_shrimp"),
    (r"\b(?:fed|feed|feeding|feeds)\b", "feed fry_feed"),
    (r"\bpeat\b|\bwet(?:ting)?\b", "wet_peat collect_peat"),
    (r"\b(?:test|tested|testing)\b", "test_water"),
    (r"\bmov(?:e|ed|ing)\b", "move_up thin_out"),
    (r"\b(?:reminders?|remind)\b", "reminder"),
)  # fmt: skip


def _due(ask: Asking) -> Answer:
    """What is due, of the chore the question names; a culture's own beside how it stands."""
    words = ask.text.casefold()
    going = open_emergencies(ask.book, ask.now) if re.search(r"\bfirst\b", words) else []
    if going:  # what comes first is what is going on
        return Answer(answer_emergency(going[0][0], ask.standing, ask.book, ask.now))
    given = dict(ask.query.given)
    if re.search(r"\boverdue\b|\blate\b(?! today)|\bbehind\b", words):
        given["overdue"] = "yes"
    tasks = next((tasks for pattern, tasks in _CHORES if re.search(pattern, words)), None)
    if tasks and not re.search(r"\b(?:today's|everything|all)\b", words):
        given["tasks"] = tasks
    query = replace(ask.query, given=given, place=ask.query.place or ask.query.culture)
    text = due_text(ask.standing, ask.book, ask.now, query)
    if ask.query.culture:
        text = f"{_culture(ask)}\n{text}"
    return Answer(text, why=due_why(ask.standing, ask.book, ask.now, query))


def _chart(ask: Asking) -> Answer:
    from bot.charts import TOPICS, chart

    if "of" not in ask.query.given:
        words = set(re.findall(r"[a-z]+", ask.text.lower()))
        topic = next((t for t, names in TOPICS.items() if words & set(names)), None)
        if topic:
            query = replace(ask.query, given={**ask.query.given, "of": topic})
            return chart(replace(ask, query=query))
    return chart(ask)


def _help(ask: Asking) -> str:
    tanks = [p.name for p in ask.standing.places.values() if p.role == "breeders" and not p.closed]
    tubs = [p.name for p in ask.standing.places.values() if p.kind == "tub" and not p.closed]
    tank, tub, fry = (tanks or ["tank 3"])[0], (tubs or ["tub B"])[0], (tubs or ["tub F"])[-1]
    return (
        f"Write as you would on a scrap of paper: “pulled mop {tank}, 40 eggs into {tub}”, “3 bad eggs {tub}”, "
        f"“12 hatched in {tub}, moved to {fry}”, “{tank} 30% water change”, “temp {tank} 76”.\n"
        f"Ask: “what's due”, “{tank}?”, “when does {tub} hatch”, “how many fry”, “when did I last feed {tub}”.\n"
        "“undo” takes the last note back; “no, 14 not 40” mends it."
    )


_ANSWERS: dict[str, Callable[[Asking], str | Answer]] = {
    "due": _due,
    "place": _place,
    "batch": _batch,
    "hatch": hatch,
    "stock": stock,
    "totals": totals,
    "rate": rate,
    "last": last,
    "history": history,
    "dose": dose,
    "ready": ready,
    "ammonia": ammonia,
    "advice": advice,
    "culture": _culture,
    "chart": _chart,
    "calc": calc,
    "help": _help,
}

_BOTH_SCALES = frozenset({"calc", "chart", "help"})  # where °C and litres may be what is asked for
# Kinds of questions, words that ask for something nearer than the kind, and what answers them; the first that fits.
_CLOSER: tuple[tuple[frozenset[str], str, Callable[[Asking], str | Answer | None]], ...] = (
    (frozenset({"totals", "stock"}), r"\bhow many (?:empty |free )?(?:tanks?|tubs?|places?)\b", whereabouts),
    (
        frozenset({"totals"}),
        r"^(?!.*\b(?:did|have we (?:sold|lost|had)|sold|lost|died|hatched|pulled|laid|since|this|last|per|each|average)\b)"
        r".*\bhow many (?:fish|fry|eggs|young|juveniles|adults)\b.*\b(?:in total|altogether|in all|left|now|in (?:the )?(?:tub|tank|peat))\b",
        stock,
    ),
    (frozenset({"ready", "totals", "advice"}), r"\b(?:how many|what)\b.*\bcan (?:i|we) sell\b", stock),
    (frozenset({"history", "place", "advice"}), r"\b(?:owe|owed|promised|spoken for|put aside)\b", _promised_if),
    (frozenset({"history", "place", "batch", "stock", "advice"}), WHO_WANTS, promised),
    (frozenset({"advice"}), r"\bshould (?:i|we) (?:pull|change|feed|wet|test|check|clean)\b", _due_if),
    (frozenset({"advice", "place", "batch"}), r"\bmov(?:e|ed) .*\bup\b|\bbig enough\b|\bready\b", ready),
    (frozenset({"place", "batch"}), r"\bpast (?:its|the|their)\b.*\bwindow\b|\bhatch(?:ed|ing)?\b", hatch),
    (frozenset({"batch", "place", "stock"}), r"\bgenerations?\b", _generations),
    (frozenset({"history", "stock", "totals", "place"}), r"\b(?:buy|bought|pay|paid|owe|owes|took|who is)\b", bought),
    (frozenset({"history", "last", "place"}), r"\bin peat\b|\bhow old\b|\bage\b", _ages),
    (frozenset({"calc", "rate", "totals", "stock"}), r"\b(?:percent\w*|%|share|proportion|fraction)\b.*\b(?:bad|fung\w*|white|clear|rotten)\b", bad_share),
    (frozenset({"advice", "batch"}), r"\b(?:fung\w*|fuzz\w*|(?:white|bad|mouldy|moldy) eggs?)\b", fungus),
    (frozenset({"advice", "due", "culture"}), r"\bhow (?:much|many|often)\b.*\bfe(?:ed|d)\b", feeding),
    (frozenset({"advice", "place", "stock"}), r"\b(?:can|could|room for|put|add|fit)\b.*\b\d+ more\b|\broom for \d+\b", room_for),
    (frozenset({"rate", "calc", "totals", "stock", "hatch"}), r"\b\d+ (?:of|out of|from) \d+\b", counted_share),
    (frozenset({"advice"}), r"\b(?:peroxide|h2o2|formalin|malachite|copper|methylene|acriflavine?)\b", dose),
    (frozenset({"advice", "dose", "place", "calc"}), r"\b(?:dechlor\w*|conditioner)\b", conditioner),
    (
        frozenset({"history", "place", "last", "stock"}),
        r"\bhow (?:many|much)\b.*\b(?:did|sold|lost|died|earn\w*|made)\b",
        totals,
    ),
    (frozenset({"place", "stock", "totals", "batch"}), r"^\W*compare\b", totals),
    (frozenset({"calc", "advice", "place", "stock"}), r"\bhow (?:many|much) (?:lit|gal|water|quarts|cups)|\b(?:how big|what size)\b", _size),
    (
        frozenset({"advice", "place", "last", "history"}),
        r"\bhow (?:warm|hot|cold|cool)\b|\b(?:warm|cold|hot) (?:enough|ok)\b|\btoo (?:warm|hot|cold)\b|\bwhat(?:'s| is)? (?:the )?temp",
        _warmth,
    ),
    (frozenset({"place", "batch", "stock", "history", "last", "hatch", "advice", "totals"}), r"", whereabouts),
)  # fmt: skip
