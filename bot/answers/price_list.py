"""What is for sale and at what price, what is promised, what came in by month, and how a box is packed.

Shipping practice here is common practice, no source; carriers, local law and a vet go before it.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from bot import sentences as say
from bot.answers.past import abroad
from bot.language.text.words import code_of
from bot.readback.told import money, own_currency
from shared.events import FishPromised, FishSold, RoutineSet
from shared.husbandry.growth import sale_size
from shared.ledger.standing import Holding, Standing
from storage.engine import RoomInfo
from storage.journal import RoomBook

PRICE = "price_"
UNITS = {
    "each": "each", "fish": "each", "pair": "pair", "trio": "trio", "fry": "fry_each", "young": "young_each",
    "juvenile": "young_each", "adult": "adult_each", "egg": "egg_each", "dozen egg": "dozen_eggs",
}  # fmt: skip
NO_PRICE = "no price set"
PACKING = (
    "No food for a day before; count twice while bagging.",
    "One fish a bag where they fight or spawn; a third water of their own tank, the rest air; closed twice.",
    "Bags upright in an insulated, lined box, filled so that nothing moves; a heat or cold pack never on the bags.",
    "Not in great heat or frost nor over a weekend; the buyer at home, told the hour, with water ready.",
    "For the buyer: float the bag in dim light, even out the water slowly, four weeks apart from others.",
)
BEFORE = (
    "Ask the carrier and look up local law and permits before shipping live fish; a vet for papers or sick fish. "
    "What stands here is common practice, no source."
)


# Where fish go is no buyer's name. States of the USA, and countries keepers ship to.
_WHERE = """
alabama alaska arizona arkansas california colorado connecticut delaware florida hawaii idaho illinois indiana iowa
kansas kentucky louisiana maine maryland massachusetts michigan minnesota mississippi missouri montana nebraska nevada
ohio oklahoma oregon pennsylvania tennessee texas utah vermont wisconsin wyoming canada germany france spain italy
portugal austria switzerland belgium denmark sweden norway finland poland ireland england scotland wales netherlands
mexico
"""
WHERE = frozenset(_WHERE.split())
_CARRIAGE = re.compile(
    r"(?:plus|and|\+|with) [$€£]?(\d{1,4}(?:[.,]\d\d?)?) (?:for )?(?:the )?(?:shipping|postage|carriage|freight)",
    re.IGNORECASE,
)
_TO = re.compile(r"\b(?:in|to|from) ([A-Z][a-z]+)\b")


_PRICE_SAID = re.compile(r"(?P<sign>[$€£]) ?(?P<sum>\d{1,5}(?:[.,]\d\d?)?)\b(?P<each> (?:each|apiece)\b)?", re.I)


def without_carriage(text: str) -> str:
    """The note of a sale without what the carriage cost, so that two sums of money are no riddle."""
    return _CARRIAGE.sub("", text) if re.search(r"\b(?:sold|sent|shipped)\b", text, re.IGNORECASE) else text


def as_sold(event: FishSold, text: str, standing: Standing) -> FishSold:
    """A sale with what the words tell besides: where the fish went, carriage money apart, what had been promised."""
    more: dict[str, Any] = {}
    if event.buyer and event.buyer.casefold() in WHERE:
        more |= {"buyer": None, "to": event.buyer}
    elif event.to is None and (there := [w for w in _TO.findall(text) if w.casefold() in WHERE]):
        more["to"] = there[0]
    if (hit := _CARRIAGE.search(text)) and event.shipping is None:
        more["shipping"] = float(hit[1].replace(",", "."))
    if event.count is None and event.male is None and event.female is None and event.buyer:
        kept = [k.event for k in standing.promises if isinstance(k.event, FishPromised)]
        mine = [p for p in kept if (p.buyer or "").casefold() == event.buyer.casefold()]
        mine = [p for p in mine if not event.line or not p.line or p.line == event.line]
        if len(mine) == 1 and mine[0].count and not (event.batch and mine[0].batch not in (None, event.batch)):
            more["count"] = mine[0].count
            if event.price is None and mine[0].price is not None:
                more |= {"price": mine[0].price, "currency": mine[0].currency}
    more |= _by_sex(event, text, standing)
    return event.model_copy(update=more) if more else event


_TOGETHER = re.compile(r"\b(?P<what>pair|trio)s?\b", re.IGNORECASE)
_MALES_IN = {"pair": (2, 1), "trio": (3, 1)}  # fish, and males among them; the others are females


def _by_sex(event: FishSold, text: str, standing: Standing) -> dict[str, int]:
    """Of which sex a pair or trio is, where it comes from fish whose sexes are on record."""
    said = {hit["what"].casefold() for hit in _TOGETHER.finditer(text)}
    if len(said) != 1 or not event.count or event.male is not None or event.female is not None:
        return {}
    fish, males = _MALES_IN[said.pop()]
    held = [h for h in standing.holdings.values() if event.place in (None, h.place) and event.batch in (None, h.group)]
    held = [h for h in held if event.line in (None, h.line) and h.male + h.female]
    many = event.count // fish
    return {"male": many * males, "female": many * (fish - males)} if held and event.count % fish == 0 else {}


def as_promised(event: FishPromised, text: str, info: RoomInfo) -> FishPromised:
    """A promise with the price said of it, where the note says just one."""
    said = list(_PRICE_SAID.finditer(text))
    if len(said) != 1 or event.price is not None:
        return event
    price = float(said[0]["sum"].replace(",", "."))
    each = bool(said[0]["each"]) and event.count is not None
    code = code_of(said[0]["sign"])
    other = {"currency": code} if code != own_currency(info) else {}
    return event.model_copy(update={"price": price * (event.count or 1) if each else price, **other})


def _promised(standing: Standing, line: str) -> int:
    return sum(
        k.event.count or 0 for k in standing.promises if isinstance(k.event, FishPromised) and k.event.line == line
    )


def _for_sale(standing: Standing) -> dict[str, list[Holding]]:
    """Counted young by line; breeders in their tanks are not for sale."""
    found: dict[str, list[Holding]] = {}
    for held in standing.holdings.values():
        place = standing.places.get(held.place)
        grown = held.stage == "adults" and place is not None and place.role not in ("breeders", "quarantine")
        if held.counted and held.count > 0 and (grown or held.stage == "juveniles"):
            found.setdefault(held.line, []).append(held)
    return found


def for_sale(standing: Standing) -> list[str]:
    """The lines that have counted young or grown fish to sell."""
    return sorted(_for_sale(standing))


def prices(standing: Standing) -> dict[str, dict[str, float]]:
    """The prices in force: by line, by what it is for."""
    found: dict[str, dict[str, float]] = {}
    for kept in standing.settings:
        event = kept.event
        if isinstance(event, RoutineSet) and event.what.startswith(PRICE) and event.line:
            found.setdefault(event.line, {})[event.what.removeprefix(PRICE)] = float(event.value or 0)
    return found


def _size(standing: Standing, held: Holding, now: dt.datetime) -> str:
    """Whether a group is of sale size yet."""
    batch, line = standing.batches.get(held.group), standing.lines.get(held.line)
    if held.stage == "adults":
        return "grown"
    if batch is None or batch.fry_seen is None:
        return "size not known"
    when = sale_size(line.species if line else None, batch.fry_seen.astimezone(now.tzinfo).date(), [])
    if when.latest and when.latest <= now.date():
        return "sale size"
    if when.earliest and when.earliest > now.date():
        return f"sale size not before {say.day(when.earliest, now.date())}"
    return "sale size likely; measure one"


def _lines(standing: Standing, now: dt.datetime) -> list[tuple[str, int, int, list[str]]]:
    """Each line for sale: free, promised, and its groups."""
    out = []
    for line, held in sorted(_for_sale(standing).items()):
        put_aside = _promised(standing, line)
        total = sum(h.count for h in held)
        groups = [f"{h.group if h.group != line else h.place} {h.count}, {_size(standing, h, now)}" for h in held]
        out.append((line, max(0, total - put_aside), put_aside, groups))
    return out


def ready_text(standing: Standing, now: dt.datetime) -> str:
    """What could go, with what is promised of it."""
    told = [
        f"{line}: {free} free{f', {aside} promised' if aside else ''} ({'; '.join(groups)})"
        for line, free, aside, groups in _lines(standing, now)
    ]
    return "\n".join(told) or "No counted young or grown fish outside the breeding tanks are on record."


def price_list(standing: Standing, book: RoomBook, now: dt.datetime) -> str:
    """A text to send on: what is free, its age and its prices."""
    set_prices, rows = prices(standing), []
    for line, free, _, _ in _lines(standing, now):
        known = standing.lines.get(line)
        species = f" ({known.species})" if known and known.species else ""
        told = {u: f"{money(price, book.info)} {per(u)}" for u, price in set_prices.get(line, {}).items()}
        asked = ", ".join(words for unit, words in told.items() if "egg" not in unit)
        eggs = "".join(f"; eggs {words}" for unit, words in told.items() if "egg" in unit)
        if free:
            rows.append(f"{line}{species}: {free}, {asked or NO_PRICE}{eggs}")
    if not rows:
        return "Nothing counted is free for sale; “counted tank 14, 22” counts fish."
    head = f"{book.info.name}, {say.day(now)} {now.year}"
    tail = "Collected, or shipped by agreement where carrier and law allow."
    missing = [r for r in rows if NO_PRICE in r]
    hint = [f"(“{missing[0].split(' (')[0].split(':')[0]} are $5 each” sets a price.)"] if missing else []
    return "\n".join([head, *rows, tail, *hint])


def per(unit: str) -> str:
    """What a price is for, behind the sum: `a pair`."""
    return {"each": "each", "pair": "a pair", "trio": "a trio", "dozen_eggs": "a dozen", "egg_each": "each"}.get(
        unit, f"each ({unit.partition('_')[0]})"
    )


def promised_text(standing: Standing, info: RoomInfo, now: dt.datetime, who: str | None = None) -> str:
    """Open promises, the soonest first; of one buyer where `who` is said."""
    found = [k.event for k in standing.promises if isinstance(k.event, FishPromised)]
    if who:
        found = [p for p in found if (p.buyer or "").casefold() == who.casefold()]
        if not found:
            return f"Nothing is promised to {who.capitalize()}."
    found.sort(key=lambda p: p.date or dt.date.max)
    told = []
    for p in found:
        verb = "wanted" if p.date and p.date >= now.date() else "was wanted"
        when = f", {verb} {say.day(p.date, now.date())}" if p.date else ""
        what = say.fish_of(p.count, p.line or p.batch or "fish", "") if p.count else (p.line or p.batch or "fish")
        price = f", {money(p.price, info, p.currency)}" if p.price is not None else ""
        told.append(f"{p.buyer or 'somebody'}: {what.strip()}{price}{when}")
    return "\n".join(told) or "Nothing is promised to anybody."


def income_text(book: RoomBook, now: dt.datetime, span: str | None) -> str:
    """What sales brought, month by month, less what was given back."""
    first = dt.date(now.year, 1, 1)
    end: dt.date | None = None
    if span == "this month":
        first = now.date().replace(day=1)
    elif span == "last month":
        end = now.date().replace(day=1)
        first = (end - dt.timedelta(days=1)).replace(day=1)
    elif span == "last year":
        first, end = dt.date(now.year - 1, 1, 1), first
    since = dt.datetime.combine(first, dt.time(0), now.tzinfo)
    until = dt.datetime.combine(end, dt.time(0), now.tzinfo) if end else None
    months: dict[tuple[int, int], list[float]] = {}
    entries = list(book.entries(kinds=("sale", "refund"), since=since, until=until))
    for entry in entries:
        at = entry.at.astimezone(now.tzinfo)
        row = months.setdefault((at.year, at.month), [0, 0.0, 0.0, 0])
        price = getattr(entry.event, "price", None)
        if isinstance(entry.event, FishSold):
            row[0] += entry.event.count or 0
            row[1] += price or 0 if entry.event.currency is None else 0
            row[3] += price is None
        elif getattr(entry.event, "currency", None) is None:
            row[2] += price or 0
    if not months:
        return f"No sales are on record {span or 'this year'}."
    told = []
    for (year, month), (fish, money_in, back, open_) in sorted(months.items()):
        less = f", less {money(back, book.info)} given back: {money(money_in - back, book.info)}" if back else ""
        blank = f"; {say.count(int(open_), 'sale')} without a price" if open_ else ""
        told.append(f"{dt.date(year, month, 1):%b %Y}: {int(fish)} sold, {money(money_in, book.info)}{less}{blank}")
    if len(told) > 1:
        total = sum(m[1] - m[2] for m in months.values())
        told.append(f"In all {money(total, book.info)}.")
    if besides := abroad(entries):
        told.append(f"In other currencies: {besides.removeprefix(' and ')}.")
    return "\n".join(told)


def packing_note(standing: Standing, book: RoomBook, now: dt.datetime, who: str | None) -> str:
    """What goes into a box and how it is packed, with the cautions first."""
    boxed: list[str] = []
    if who:
        for kept in standing.promises:
            p = kept.event
            if isinstance(p, FishPromised) and (p.buyer or "").casefold() == who.casefold():
                boxed.append(f"{p.count or ''} {p.line or p.batch or 'fish'}".strip())
        since = now - dt.timedelta(days=7)
        for entry in book.entries(kinds=("sale",), since=since):
            sold = entry.event
            if isinstance(sold, FishSold) and (sold.buyer or "").casefold() == who.casefold():
                where = f" to {sold.to}" if sold.to else ""
                boxed.append(f"{sold.count or ''} {entry.line or 'fish'}{where}".strip())
        if not boxed:
            return f"Nothing is promised or was sold this week to {who.capitalize()}, so there is nothing to pack."
    head = f"To {' '.join(w.capitalize() for w in who.split())}: {say.listed(boxed)}." if who else "Packing fish:"
    return "\n".join([head, BEFORE, *(f"- {line}" for line in PACKING)])
