"""Answers to the keeper's questions, from the record as it stands; two or three lines each, with the basis."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace

from bot import sentences as say
from bot.answers.asking import Answer as Answer
from bot.answers.asking import Asking as Asking
from bot.answers.care import WANTS_MEDICINE, ailing, conditioner, feeding, fungus, room_for
from bot.answers.generations import generations
from bot.answers.hatch_dates import hatch
from bot.answers.how_it_stands import ages, batch_text, place_text, size, warmth
from bot.answers.past import bought, history, last
from bot.answers.promises import WHO_WANTS, buyer_named, promised
from bot.answers.stock import stock
from bot.answers.totals import totals
from bot.answers.whereabouts import whereabouts
from bot.language import Query
from bot.routine.chores import due_told
from bot.sums.which import advice, ammonia, bad_share, calc, counted_share, dose, rate, ready, sum_for
from bot.talk.emergencies import answer_emergency, open_emergencies
from shared.ledger.standing import Standing
from storage.journal import Message, RoomBook


def answer(query: Query, standing: Standing, book: RoomBook, now: dt.datetime, message: Message) -> Answer:
    """Answer one question. `now` is in the room's zone."""
    asking = Asking(query, standing, book, now, message.person, message.text, brief=message.door == "sms")
    found = sum_for(asking) or _by_words(asking) or _ANSWERS.get(query.about, _help)(asking)
    told = found if isinstance(found, Answer) else Answer(found)
    info = book.info
    text = (
        told.text
        if told.both_scales or query.about in _BOTH_SCALES
        else say.in_room_units(told.text, info.units, info.gallon)
    )
    why = told.why if told.both_scales else tuple(say.in_room_units(w, info.units, info.gallon) for w in told.why)
    rest = told.rest if told.both_scales else say.in_room_units(told.rest, info.units, info.gallon)
    return replace(told, text=text, why=why, rest=rest)


def _by_words(ask: Asking) -> str | Answer | None:
    """What the question's own words ask of the record, where they say it more closely than its kind does."""
    words = ask.text.casefold().replace("’", "'")
    for abouts, pattern, told in _CLOSER:
        if ask.query.about in abouts and re.search(pattern, words) and (found := told(ask)):
            return found
    return None


# ---- how things stand


def _place(ask: Asking) -> str:
    name, standing = ask.query.place, ask.standing
    if name is None and ask.query.line:
        spots = [p.name for p in standing.places.values() if p.line == ask.query.line]
        return "\n".join(place_text(ask, s) for s in spots[:4]) or stock(ask)
    if name is None:
        return "Which tank or tub? Say it like “tank 3”."
    return place_text(ask, name)


def _promised_if(ask: Asking) -> str | None:
    """Promises, where the question names nobody who has a place, batch or buyer of their own."""
    return None if ask.query.place or buyer_named(ask) else promised(ask)


def _due_if(ask: Asking) -> Answer | None:
    """Whether a chore is due there: “should I pull mop 2”."""
    return _due(ask) if ask.query.place or ask.query.batch else None


def _over_time(ask: Asking) -> str | None:
    """How a line, batch or tank did in a stretch of time: its sums, and how it stands now."""
    if not (ask.query.line or ask.query.batch or ask.query.place):
        return None
    now = place_text(ask, ask.query.place) if ask.query.place else stock(ask)
    return f"{totals(ask)}\nNow: {now}"


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


SAID_TO_CHORES = ("done", "later", "why")


def _due(ask: Asking) -> Answer:
    """What is due, of the chore the question names; a culture's own beside how it stands."""
    words = ask.text.casefold()
    going = open_emergencies(ask.book, ask.now) if re.search(r"\bfirst\b", words) else []
    if going:  # what comes first is what is going on
        return Answer(answer_emergency(going[0][0], ask.standing, ask.book, ask.now))
    given = dict(ask.query.given)
    if re.search(r"\boverdue\b|\blate\b(?! today)|\bbehind\b", words):
        given["overdue"] = "yes"
    if re.search(r"\beggs?\b.*\bdue\b|\bdue to hatch\b", words) and not re.search(r"\b(?:water|mops?|pull)\b", words):
        return hatch(replace(ask, query=replace(ask.query, about="hatch")))
    tasks = next((tasks for pattern, tasks in _CHORES if re.search(pattern, words)), None)
    if tasks and not re.search(r"\b(?:today's|everything|all)\b", words):
        given["tasks"] = tasks
    query = replace(ask.query, given=given, place=ask.query.place or ask.query.culture)
    told = due_told(ask.standing, ask.book, ask.now, query, brief=ask.brief)
    text = told.text
    if ask.query.culture:
        text = f"{_culture(ask)}\n{text}"
    return Answer(text, why=told.why, rest=told.rest, taps=SAID_TO_CHORES if told.why else ())


def _chart(ask: Asking) -> Answer:
    from bot.pictures.charts import TOPICS, chart

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

_STRETCH = r"\b(?:this|last|past|the) (?:week|month|year|spring|summer|autumn|fall|winter|\d+ (?:days|weeks|months))\b"
_BOTH_SCALES = frozenset({"calc", "chart", "help"})  # where °C and litres may be what is asked for
# Kinds of questions, words that ask for something nearer than the kind, and what answers them; the first that fits.
_CLOSER: tuple[tuple[frozenset[str], str, Callable[[Asking], str | Answer | None]], ...] = (
    (frozenset({"dose", "advice"}), WANTS_MEDICINE, ailing),
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
    (frozenset({"advice", "place", "batch", "stock", "ready", "totals"}), r"\b(?:too (?:early|small|young)|old enough)\b", ready),
    (frozenset({"place", "batch"}), r"\bpast (?:its|the|their)\b.*\bwindow\b|\bhatch(?:ed|ing)?\b", hatch),
    (frozenset({"batch", "place", "stock"}), r"\bgenerations?\b", generations),
    (frozenset({"history", "stock", "totals", "place"}), r"\b(?:buy|bought|pay|paid|owe|owes|took|who is)\b", bought),
    (frozenset({"history", "last", "place"}), r"\bin peat\b|\bhow old\b|\bage\b", ages),
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
    (frozenset({"place", "batch", "stock", "history", "totals"}), rf"\bhow (?:did|have|has|are|is|were|was)\b.*{_STRETCH}", _over_time),
    (frozenset({"calc", "advice", "place", "stock"}), r"\bhow (?:many|much) (?:lit|gal|water|quarts|cups)|\b(?:how big|what size)\b", size),
    (
        frozenset({"advice", "place", "last", "history"}),
        r"\bhow (?:warm|hot|cold|cool)\b|\b(?:warm|cold|hot) (?:enough|ok)\b|\btoo (?:warm|hot|cold)\b|\bwhat(?:'s| is)? (?:the )?temp",
        warmth,
    ),
    (frozenset({"place", "batch", "stock", "history", "last", "hatch", "advice", "totals"}), r"", whereabouts),
)  # fmt: skip
