"""What has been: what was done when and by whom, the last time of a deed, what a buyer took."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence

from bot import sentences as say
from bot.answers.asking import Asking
from bot.answers.periods import Period, period_said
from bot.answers.promises import buyer_named, promised_to
from bot.pictures.tallies import is_meant
from bot.readback.told import money
from bot.talk.corrections import short
from shared.events import Dosed, Fed, FishDied, FishRefunded, FishSold, GearServiced, Measured, WaterChanged
from shared.ledger.standing import Entry

MOST_ENTRIES = 10
# Entries of a room card and of taking back: they tell of the record, not of the room.
_OF_THE_RECORD = frozenset({"new_line", "new_batch", "new_culture", "word", "undo", "fix"})
# What a deed is called: the words, the kinds of entries, and what is said of the last one.
_DEEDS: tuple[tuple[str, tuple[str, ...], str], ...] = (
    (r"\b(?:filter|sponge|heater|light|glass|lid|airline|serviced?)\b", ("service",), "cleaned or changed"),
    (r"\b(?:bad|fungus\w*|white|clear) eggs?\b|\bpicked\b", ("bad_eggs",), "bad eggs out"),
    (r"\bpeat\b", ("peat",), "peat seen to"),
    (r"\b(?:fed|feed|feeds|feeding|food)\b", ("feed",), "fed"),
    (r"\btop(?:ped)?[- ]?(?:off|up)\b", ("top_off",), "topped off"),
    (r"\b(?:wc|wcs|water|changed?|changes|changing)\b", ("water_change",), "water changed"),
    (r"\b(?:mops?|pull|pulled|pulls|collected?)\b", ("pull",), "mop pulled"),
    (r"\b(?:dosed?|dosing|peroxide|drops|methylene|salt|salted)\b", ("dose",), "dosed"),
    (r"\b(?:sales?|sold|sell|selling|bought|buy|buys|paid|pay)\b", ("sale",), "sold"),
    (r"\b(?:die|died|dead|deaths?|lost|lose|loss|losses|jumped|culled?)\b", ("death",), "dead"),
    (r"\bhatch(?:ed|es|ing)?\b", ("hatch",), "hatched"),
    (r"\b(?:moved?|moves|moving)\b", ("move",), "moved"),
    (r"\b(?:count|counted|headcount)\b", ("headcount",), "counted"),
    (r"\b(?:test|tested|tests|measured?|readings?|temp|temperature)\b", ("measure",), "measured"),
    (r"\b(?:promised?|reserved?|put aside)\b", ("reserve",), "promised"),
    (r"\b(?:harvest\w*|restart\w*|started|crash\w*|split)\b", ("culture",), "seen to"),
)


def deed_in(words: str) -> tuple[tuple[str, ...], str] | None:
    """The kinds of entries a deed in these words is kept as, and what is said of it; None where none is named."""
    words = words.casefold()
    return next(((kinds, said) for pattern, kinds, said in _DEEDS if re.search(pattern, words)), None)


def person_named(ask: Asking) -> str | None:
    """The key of the member a question is about; “I” is who asks."""
    words = ask.text.casefold()
    for person in ask.book.people():
        if person.name and re.search(rf"(?<!\w){re.escape(person.name.casefold())}(?!\w)", words):
            return person.key
    if re.search(
        r"\b(?:did|have|has|had|everything|all|notes) i\b|\bi (?:did|have|do|logged|sent|wrote|said)\b", words
    ):
        return ask.person
    return None


def period_of(ask: Asking) -> Period | None:
    """The stretch of time the question's words name, else what the reader took for its day or days."""
    found = period_said(ask.text, ask.now)
    if found or not (ask.query.date or ask.query.days):
        return found
    if ask.query.days:
        return Period(
            ask.now - dt.timedelta(days=ask.query.days), None, f"in the last {say.count(ask.query.days, 'day')}"
        )
    assert ask.query.date is not None
    start = dt.datetime.combine(ask.query.date, dt.time(0), ask.now.tzinfo)
    end = start + dt.timedelta(days=1, microseconds=-1)
    return Period(start, end, f"on {say.day(ask.query.date, ask.now.date())}")


def entries_meant(
    ask: Asking, kinds: Sequence[str] | None, period: Period | None, person: str | None = None, limit: int | None = None
) -> list[Entry]:
    """What is on record of the place, batch, line or culture asked about, the newest first; the card's own left out."""
    query = ask.query
    name = query.place or query.batch or query.culture
    found = ask.book.entries(
        name=name,
        kinds=kinds,
        since=period.since if period else None,
        until=period.until if period else None,
        person=person,
        limit=None if query.line and not name else limit,
        newest_first=True,
    )
    zone = ask.book.info.zone
    return [
        e
        for e in found
        if e.event.kind not in _OF_THE_RECORD
        and not (e.event.kind == "new_place" and e.at.astimezone(zone).time() == dt.time(0))
        and (not query.line or is_meant(e, query, ask.standing))
    ]


def what(ask: Asking, entry: Entry) -> str:
    """What an entry says was done, without its place: `water changed 40 %`, `fed flake`, `76 °F`."""
    match entry.event:
        case Measured(quantity=quantity, value=float(value)):
            return say.reading(quantity, value, ask.units)
        case WaterChanged(percent=float(percent)):
            return f"water changed {say.number(percent)} %"
        case Fed(food=str(food)):
            return f"fed {food}"
        case Dosed(substance=substance, amount=float(amount), unit=unit):
            plural = "s" if unit == "drop" and amount != 1 else ""
            return f"{substance or 'peroxide'} {say.number(amount)} {unit or ''}{plural}".rstrip()
        case FishDied(cause=str(cause)):
            return f"{short(entry).rpartition(': ')[2]} ({cause})"
        case FishSold(buyer=buyer, price=price):
            to = f" to {buyer}" if buyer else ""
            paid = f", {money(price, ask.book.info)}" if price else ""
            return f"{short(entry).rpartition(': ')[2]}{to}{paid}"
    text = short(entry)
    lead = f"{entry.place or entry.batch}: "
    return text.removeprefix(lead)


def told(ask: Asking, entries: Iterable[Entry]) -> list[str]:
    """Entries as lines, the same deed in several places as one line."""
    groups: dict[tuple[str, str, str], list[Entry]] = {}
    for entry in entries:
        who = ask.book.person(entry.person)
        by = f" {who.name}" if who and who.name else ""
        when = f"{say.moment(entry.at, ask.book.info.zone, ask.now)}{by}"
        spot = entry.place or entry.batch or ""
        one_each = entry.event.kind in ("feed", "water_change", "service", "top_off", "dose")
        groups.setdefault((when, what(ask, entry), "" if one_each else spot), []).append(entry)
    lines = []
    for (when, deed, _), mine in groups.items():
        where = say.places([e.place or e.batch or "" for e in reversed(mine) if e.place or e.batch])
        lines.append(f"{when}, {f'{where}: ' if where else ''}{deed}")
    return lines


def _about(ask: Asking) -> str:
    """`for tank 3`, with the person where one is named."""
    query = ask.query
    return query.place or query.batch or query.line or query.culture or ""


def history(ask: Asking) -> str:
    """What was logged: of a day, a person, a place, a kind of deed, as the words say."""
    buyer = buyer_named(ask)
    if buyer:
        return _of_buyer(ask, buyer)
    period, person, deed = period_of(ask), person_named(ask), _deed_asked(ask)
    entries = entries_meant(ask, deed[0] if deed else _quantity_kinds(ask), period, person)
    if ask.query.quantity:
        entries = [e for e in entries if not isinstance(e.event, Measured) or e.event.quantity == ask.query.quantity]
    who = ask.book.person(person) if person else None
    about, when = _about(ask), f" {period.words}" if period else ""
    yes_or_no = re.match(r"^\W*(?:has|have|did|do you know if|was|were|is)\b", ask.text.casefold()) is not None
    if not entries:
        by = f" by {who.name}" if who and who.name else ""
        none = f"Nothing{f' of “{deed[1]}”' if deed else ''} is on record{f' for {about}' if about else ''}{by}{when}."
        last = entries_meant(ask, deed[0], None, person, limit=1) if deed and period else []
        return f"{none} Last: {told(ask, last)[0]}." if last else none
    lines = told(ask, entries)
    shown = lines[:MOST_ENTRIES]
    if yes_or_no and deed:
        shown = [f"Yes: {shown[0]}.", *shown[1:3]]
        return "\n".join(shown)
    more = f"\n… {len(lines) - MOST_ENTRIES} more" if len(lines) > MOST_ENTRIES else ""
    return "\n".join(shown) + more


def _deed_asked(ask: Asking) -> tuple[tuple[str, ...], str] | None:
    """The one kind of deed a question about the past names; “what did Ivo do” names none."""
    words = ask.text.casefold()
    if re.search(r"\b(?:log|logged|logs|history|happened|everything|notes?)\b", words):
        return None
    return deed_in(words)


def _quantity_kinds(ask: Asking) -> tuple[str, ...] | None:
    return ("measure",) if ask.query.quantity and ask.query.quantity not in ("eggs", "fry", "fish") else None


def bought(ask: Asking) -> str | None:
    """What a buyer who is named took and paid; None where none is."""
    buyer = buyer_named(ask)
    return _of_buyer(ask, buyer) if buyer else None


def abroad(entries: Iterable[Entry]) -> str:
    """What sales brought in other currencies than the room's, less what went back."""
    sums: dict[str, float] = {}
    for traded in (e.event for e in entries if isinstance(e.event, FishSold | FishRefunded)):
        if traded.currency and traded.price:
            sign = 1 if isinstance(traded, FishSold) else -1
            sums[traded.currency] = sums.get(traded.currency, 0.0) + sign * traded.price
    return "".join(f" and {say.number(paid)} {code}" for code, paid in sums.items() if paid)


def _of_buyer(ask: Asking, buyer: str) -> str:
    """What somebody took and paid, and what is kept for them."""
    sales = [
        e
        for e in ask.book.entries(kinds=("sale",), newest_first=True)
        if isinstance(e.event, FishSold) and (e.event.buyer or "").casefold() == buyer.casefold()
    ]
    zone, lines = ask.book.info.zone, []
    if sales:
        paid = sum(e.event.price or 0 for e in sales if isinstance(e.event, FishSold) and not e.event.currency)
        besides = abroad(sales)
        took = f"{money(paid, ask.book.info)}{besides}" if paid else besides.removeprefix(" and ")
        each = [
            f"{short(e).rpartition(': ')[2].removesuffix(' sold')} on {say.day(e.at.astimezone(zone))}"
            for e in sales[:4]
        ]
        lines.append(f"{buyer} took {say.listed(each)}{f'; paid {took}' if took else ''}.")
    promised = promised_to(ask, buyer)
    if promised or not lines:
        lines.append(promised or f"Nothing is on record for {buyer}.")
    return "\n".join(lines)


# ---- the last time


def last(ask: Asking) -> str:
    """When something was last done or measured, how long ago that is, and by whom."""
    query, standing, zone = ask.query, ask.standing, ask.book.info.zone
    name = _about(ask)
    born = _born(ask)
    if born:
        return born
    if query.quantity and query.quantity not in ("eggs", "fry", "fish"):
        return _last_reading(ask, query.quantity)
    did = {"water": ("water_change",), "feed": ("feed",), "pull": ("pull",)}.get(str(query.given.get("did", "")))
    deed = deed_in(ask.text) or ((did, "") if did else None)
    if deed:
        kinds, said = deed
        entries = entries_meant(ask, kinds, None, person_named(ask), limit=None if kinds == ("service",) else 1)
        if kinds == ("service",):
            item = re.search(r"\b(filter|sponge|heater|light|glass|lid)\b", ask.text.casefold())
            entries = [
                e
                for e in entries
                if not item or (isinstance(e.event, GearServiced) and item[1] in (e.event.item or ""))
            ]
        if not entries:
            return f"Nothing of “{said}” is on record{f' for {name}' if name else ''}."
        return f"{say.first_up(told(ask, entries[:1])[0])} ({say.ago(entries[0].at, ask.now)})."
    if name in standing.places:
        done = [
            f"{words} {say.moment(at, zone, ask.now)}"
            for chore, words in (
                ("water", "water changed"),
                ("feed", "fed"),
                ("pull", "mop pulled"),
                ("count", "counted"),
            )
            if (at := standing.last(name, chore))
        ]
        if done:
            return f"{name}: {say.listed(done)}."
    entries = entries_meant(ask, None, None, person_named(ask), limit=20)
    if not entries:
        return f"Nothing is on record{f' for {name}' if name else ''}."
    return "\n".join(told(ask, entries)[:3])


def _last_reading(ask: Asking, quantity: str) -> str:
    name, zone = _about(ask), ask.book.info.zone
    found = ask.standing.latest(name, quantity) if name else None
    if found:
        return (
            f"{name}: {say.reading(quantity, found.value, ask.units)}, "
            f"{say.moment(found.at, zone, ask.now)} ({say.ago(found.at, ask.now)})."
        )
    if not name:
        readings = [e for e in entries_meant(ask, ("measure",), None) if getattr(e.event, "quantity", "") == quantity]
        if readings:
            return f"{say.first_up(told(ask, readings[:1])[0])} ({say.ago(readings[0].at, ask.now)})."
    return f"No {quantity} is on record{f' for {name}' if name else ''}."


def _born(ask: Asking) -> str | None:
    """When a batch was laid or hatched, which the record knows by more than its last entry."""
    batch = ask.standing.batches.get(ask.query.batch or "")
    if batch is None:
        return None
    zone, today = ask.book.info.zone, ask.now.date()
    words = ask.text.casefold()
    if re.search(r"\b(?:laid|lay)\b", words) and batch.laid_from and batch.laid_to:
        return f"{batch.name} was laid {say.span(batch.laid_from, batch.laid_to, zone)}."
    if re.search(r"\bhatch", words) and batch.fry_seen:
        age = (ask.now - batch.fry_seen).days
        return (
            f"{batch.name}: first fry {say.day(batch.fry_seen.astimezone(zone), today)}, {say.count(age, 'day')} ago."
        )
    return None
