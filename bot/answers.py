"""Answers to the keeper's questions, from the record as it stands; two or three lines each, with the basis."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace

from bot import sentences as say
from bot.asking import Answer as Answer
from bot.asking import Asking as Asking
from bot.chores import due_text, due_why
from bot.corrections import short
from bot.found import causes, lose, survived
from bot.language import Query
from bot.language.given import given_in
from bot.readback import money, window_line
from bot.sums import advice, ammonia, calc, dose, rate, ready, sum_for
from shared.events import FishDied, FishPromised
from shared.forecast import forecast
from shared.hatching import hatch_age
from shared.ledger import Batch, Entry, Holding, Standing, Tally
from storage.journal import Message, RoomBook


def answer(query: Query, standing: Standing, book: RoomBook, now: dt.datetime, message: Message) -> Answer:
    """Answer one question. `now` is in the room's zone."""
    asking = Asking(query, standing, book, now, message.person, message.text)
    found = sum_for(asking) or _ANSWERS.get(query.about, _help)(asking)
    return found if isinstance(found, Answer) else Answer(found)


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
        return "\n".join(place_text(ask, s) for s in spots[:4]) or _stock(ask)
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
    head = f"{name} ({', '.join(traits)})" if traits else name
    held = [holding_text(h) for h in standing.at_place(name)]
    lines = [f"{head}: {'; '.join(held) if held else 'empty'}."]
    for h in standing.eggs_at(name):
        seen = window_text(ask, h.group)
        if seen:
            lines.append(seen)
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


_AT = re.compile(r"\bat (\d\d(?:[.,]\d)?)\b(?!\s*(?:days?|weeks?|eggs?|%|o'clock|[ap]\.?m))", re.IGNORECASE)


def _supposed(ask: Asking) -> float | None:
    """The temperature (°C) a question supposes: “at 80F”, “at 75” in a room that reads Fahrenheit."""
    said = ask.query.given.get("temperature", given_in(ask.text, metric=ask.units != "us").get("temperature"))
    if isinstance(said, int | float):
        return float(said)
    found = _AT.search(ask.text)
    if not found:
        return None
    value = float(found[1].replace(",", "."))
    if ask.units == "us" and 55 <= value <= 95:
        return (value - 32) * 5 / 9
    return value if 10 <= value <= 35 else None


def _hatch(ask: Asking) -> Answer:
    query, standing = ask.query, ask.standing
    supposed = _supposed(ask)
    if supposed is not None:
        named = standing.batches.get(query.batch or "")
        eggs = standing.eggs_at(query.place) if query.place else []
        line = query.line or (named.line if named else None) or (eggs[0].line if eggs else None)
        if line:
            return Answer(_hatch_in_general(ask, line, supposed, named))
    batches = [query.batch] if query.batch else []
    if not batches and query.place:
        batches = [h.group for h in standing.eggs_at(query.place)]
    if not batches:
        batches = [
            h.group
            for h in standing.holdings.values()
            if h.stage == "eggs" and h.group in standing.batches and (not query.line or h.line == query.line)
        ]
    if not batches and query.line:
        return Answer(_hatch_in_general(ask, query.line))
    if not batches:
        return Answer("No eggs are on record there.")
    lines, why = [], []
    for name in list(dict.fromkeys(batches))[:5]:
        lines.append(hatch_text_of(ask, name))
        seen = forecast(standing, name, ask.now)
        if seen:
            why += [f"{name}: {seen.basis}.", *(f"Source: {s}." for s in seen.sources), *seen.cautions]
    return Answer("\n".join(lines), why=tuple(dict.fromkeys(why)))


def hatch_text_of(ask: Asking, name: str) -> str:
    """First fry, half and last of a batch, the chance by now, and what that rests on."""
    batch = ask.standing.batches.get(name)
    if batch is None:
        return f"There is no batch {name} in the record."
    zone = ask.book.info.zone
    if batch.fry_seen:
        return f"{name} ({batch.line}) began hatching {say.moment(batch.fry_seen, zone, ask.now)}."
    seen = forecast(ask.standing, name, ask.now)
    if seen is None:
        return f"{name} ({batch.line}): nobody said when these eggs were laid, so no date."
    if seen.first_fry is None or seen.half_hatched is None or seen.last_fry is None:
        early = f"not ready before {say.span(seen.earliest, seen.earliest, zone)}" if seen.earliest else "no date"
        return f"{name} ({batch.line}): {early}. {_first_sentence(seen.cautions)}".strip()
    first, half, last = seen.first_fry, seen.half_hatched, seen.last_fry
    chance = (
        f" Chance that it has begun: {round(100 * seen.chance_by_now)} %." if seen.chance_by_now is not None else ""
    )
    text = (
        f"{name} ({batch.line}): first fry {say.span(first.p10, first.p90, zone)}, "
        f"half by {say.span(half.p10, half.p90, zone)}, last {say.span(last.p10, last.p90, zone)}.{chance}"
    )
    if seen.past_window:
        text += " It is past its window: look for white or clear eggs."
    return f"{text}\n80 % windows; {seen.basis}."


def _first_sentence(cautions: tuple[str, ...]) -> str:
    return next((c[0].upper() + c[1:] + "." for c in cautions if "wait" in c), "")


def _hatch_in_general(ask: Asking, line: str, temp: float | None = None, batch: Batch | None = None) -> str:
    """The age at hatching of a line at a temperature (°C), and what dates that makes for a batch."""
    kept = ask.standing.lines.get(line)
    try:
        age = hatch_age(kept.species if kept else None, temp)
    except ValueError as trouble:
        return f"{say.first_up(str(trouble).rstrip('.'))}."
    if age.median_days is None or age.p10_days is None or age.p90_days is None:
        return f"{line}: no hatch age to give. {' '.join(age.cautions[:1])}".strip()
    at = f" at {say.temperature(temp, ask.units)}" if temp is not None else ""
    text = (
        f"{line}{at}: half hatched about {round(age.median_days)} days after laying "
        f"({round(age.p10_days)}–{round(age.p90_days)}, 80 %); {age.basis}."
    )
    if batch and batch.laid_from and batch.laid_to:
        first = batch.laid_from + dt.timedelta(days=age.p10_days)
        last = batch.laid_to + dt.timedelta(days=age.p90_days)
        text += f"\n{batch.name}, kept so from laying on: half by {say.span(first, last, ask.book.info.zone)}."
    return text


def _stock(ask: Asking) -> str:
    query, standing = ask.query, ask.standing
    if query.buyer:
        return _promised_to(ask, query.buyer)
    held = [
        h
        for h in standing.holdings.values()
        if (not query.line or h.line == query.line)
        and (not query.place or h.place == query.place)
        and (not query.batch or h.group == query.batch)
    ]
    if not held:
        return "Nothing of that is on record."
    return stock_text(held)


def stock_of(standing: Standing) -> str:
    """All that is alive, line by line."""
    return stock_text(list(standing.holdings.values())) if standing.holdings else "The room is empty."


def stock_text(held: list[Holding]) -> str:
    """Numbers by line and stage, with where they stand when the list is short."""
    lines = []
    for line in dict.fromkeys(h.line for h in held):
        mine = [h for h in held if h.line == line]
        sums = []
        for stage in ("eggs", "fry", "juveniles", "adults"):
            counted = [h for h in mine if h.stage == stage and h.counted]
            if counted:
                about = "about " if any(h.estimated for h in counted) else ""
                sums.append(about + say.fish(sum(h.count for h in counted), stage))
        blank = [h for h in mine if not h.counted]
        if blank:
            stages = say.listed(dict.fromkeys(h.stage for h in blank))
            sums.append(f"{stages} in {say.places([h.place for h in blank])} not counted")
        where = "" if len(held) > 8 else f" ({'; '.join(f'{h.group} {h.place}'.strip() for h in mine if h.counted)})"
        lines.append(f"{line}: {say.listed(sums)}{where if where != ' ()' else ''}.")
    return "\n".join(lines)


def _promised_to(ask: Asking, buyer: str) -> str:
    promises = [k.event for k in ask.standing.promises if isinstance(k.event, FishPromised)]
    kept = [e for e in promises if (e.buyer or "").casefold() == buyer.casefold()]
    if not kept:
        return f"Nothing is put aside for {buyer}."
    each = [
        f"{say.fish(e.count, 'fish')} {e.line or e.batch or ''}".strip()
        + (f", wanted {say.day(e.date, ask.now.date())}" if e.date else "")
        for e in kept
    ]
    return f"For {buyer}: {'; '.join(each)}."


# ---- what has been


def _since(ask: Asking) -> tuple[dt.datetime, str]:
    query = ask.query
    if query.days:
        return ask.now - dt.timedelta(days=query.days), f"in {say.count(query.days, 'day')}"
    if query.date:
        start = dt.datetime.combine(query.date, dt.time(0), ask.now.tzinfo)
        return start, f"since {say.day(query.date, ask.now.date())}"
    return ask.now - dt.timedelta(days=30), "in the last 30 days"


def _totals(ask: Asking) -> str:
    since, words = _since(ask)
    name = ask.query.place or ask.query.batch or ask.query.line
    entries = ask.book.entries(name=name, kinds=("pull", "hatch", "death", "sale", "bad_eggs"), since=since)
    if not entries:
        return f"Nothing logged{f' for {name}' if name else ''} {words}."
    sums: dict[str, int] = {}
    dead = Tally()
    income = 0.0
    for e in entries:
        if isinstance(e.event, FishDied):
            lose(dead, e.event)
        sums[e.event.kind] = sums.get(e.event.kind, 0) + (getattr(e.event, "count", 0) or 0)
        income += getattr(e.event, "price", 0) or 0
    parts = [
        f"{sums[kind]} {word}{causes(dead) if kind == 'death' else ''}"
        for kind, word in (
            ("pull", "eggs"),
            ("bad_eggs", "bad eggs"),
            ("hatch", "fry hatched"),
            ("death", "lost" if causes(dead) else "dead"),
            ("sale", "sold"),
        )
        if kind in sums
    ]
    earned = f", {money(income, ask.book.info)}" if income else ""
    text = f"{name + ' ' if name else ''}{words}: {say.listed(parts)}{earned}."
    best: dict[str, int] = {}
    for e in entries:
        if e.event.kind == "pull" and e.place:
            best[e.place] = best.get(e.place, 0) + (getattr(e.event, "count", 0) or 0)
    if not name and best:
        top = sorted(best.items(), key=lambda kv: -kv[1])[:3]
        text += f"\nMost eggs: {', '.join(f'{p} {n}' for p, n in top)}."
    return text


def _entry_text(ask: Asking, entry: Entry) -> str:
    who = ask.book.person(entry.person)
    by = f"{who.name}, " if who and who.name else ""
    return f"{say.moment(entry.at, ask.book.info.zone, ask.now)} {by}{short(entry)}"


def _last(ask: Asking) -> str:
    query = ask.query
    name = query.place or query.batch or query.line or query.culture
    if query.quantity and query.quantity not in ("eggs", "fry", "fish"):
        found = ask.standing.latest(name or "", query.quantity) if name else None
        if found:
            zone = ask.book.info.zone
            return (
                f"{name}: {say.reading(query.quantity, found.value, ask.units)}, "
                f"{say.moment(found.at, zone, ask.now)} ({say.ago(found.at, ask.now)})."
            )
        return f"No {query.quantity} is on record{f' for {name}' if name else ''}."
    kinds = {"water": ("water_change",), "feed": ("feed",), "pull": ("pull",)}.get(str(query.given.get("did", "")))
    entries = ask.book.entries(name=name, kinds=kinds, limit=4, newest_first=True)
    if not entries:
        return f"Nothing is on record{f' for {name}' if name else ''}."
    if name and name in ask.standing.places and kinds is None:
        done = [
            f"{words} {say.moment(last, ask.book.info.zone, ask.now)}"
            for chore, words in (
                ("water", "water changed"),
                ("feed", "fed"),
                ("pull", "mop pulled"),
                ("count", "counted"),
            )
            if (last := ask.standing.last(name, chore))
        ]
        if done:
            return f"{name}: {say.listed(done)}."
    return "\n".join(_entry_text(ask, e) for e in entries[:3])


def _history(ask: Asking) -> str:
    query = ask.query
    name = query.place or query.batch or query.line or query.culture
    since = until = None
    if query.buyer and any(
        (getattr(k.event, "buyer", None) or "").casefold() == query.buyer.casefold() for k in ask.standing.promises
    ):
        return _promised_to(ask, query.buyer)
    if query.date:
        since = dt.datetime.combine(query.date, dt.time(0), ask.now.tzinfo)
        until = since + dt.timedelta(days=1)
    elif query.days:
        since = ask.now - dt.timedelta(days=query.days)
    entries = ask.book.entries(name=name, since=since, until=until, limit=200, newest_first=True)
    if query.buyer:
        entries = [e for e in entries if (getattr(e.event, "buyer", None) or "").casefold() == query.buyer.casefold()]
    if not entries:
        return f"Nothing is on record{f' for {name or query.buyer}' if name or query.buyer else ''}."
    shown = [_entry_text(ask, e) for e in entries[:10]]
    more = f"\n… {len(entries) - 10} more" if len(entries) > 10 else ""
    return "\n".join(shown) + more


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


def _due(ask: Asking) -> Answer:
    return Answer(
        due_text(ask.standing, ask.book, ask.now, ask.query),
        why=due_why(ask.standing, ask.book, ask.now, ask.query),
    )


def _chart(ask: Asking) -> Answer:
    from bot.charts import TOPICS, chart

    if "of" not in ask.query.given:
        words = set(re.findall(r"[a-z]+", ask.text.lower()))
        topic = next((t for t in TOPICS if t in words), None)
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
    "hatch": _hatch,
    "stock": _stock,
    "totals": _totals,
    "rate": rate,
    "last": _last,
    "history": _history,
    "dose": dose,
    "ready": ready,
    "ammonia": ammonia,
    "advice": advice,
    "culture": _culture,
    "chart": _chart,
    "calc": calc,
    "help": _help,
}
