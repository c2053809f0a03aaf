"""Buying, selling and promising read back."""

from __future__ import annotations

from typing import TypeAlias

from bot import sentences as say
from bot.readback.told import Told, about, money, sexes
from shared.events import FishPromised, FishRefunded, FishSold, PromiseReleased, StockArrived

Trade: TypeAlias = StockArrived | FishSold | FishRefunded | FishPromised | PromiseReleased


def text(event: Trade, told: Told) -> str:
    """Such an event in a line."""
    match event:
        case StockArrived():
            return _arrived(event, told)
        case FishSold():
            return _sold(event, told)
        case FishRefunded():
            return _refunded(event, told)
        case FishPromised():
            return _promised(event, told)
        case PromiseReleased():
            return _released(event)


def _arrived(event: StockArrived, told: Told) -> str:
    price = f", {money(event.price, told.info, event.currency)}" if event.price else ""
    who = f" from {event.source}" if event.source else ""
    heads = event.count if event.count is not None else (event.male or 0) + (event.female or 0) or None
    of_line = told.line or event.line
    origin = f" {event.population}" if event.population and event.population not in (of_line or "") else ""
    label = f" {event.generation}" if event.generation else ""
    fish = f"{about(event)}{say.fish(heads, event.stage or 'fish')}"
    what = f"{fish} {of_line}{origin}{label}{sexes(event.male, event.female)}"
    return f"{event.place or 'arrived'}: {what}{who}{price}{f'. Batch {told.batch}' if told.batch else ''}"


def _sold(event: FishSold, told: Told) -> str:
    fish = (told.line or "fish") if told.entry else "fish"
    what = f"{say.number(event.count)} {fish}{' eggs' if event.stage == 'eggs' else ''}" if event.count else "fish"
    who = f" to {event.buyer}" if event.buyer else ""
    who += f" ({event.to})" if event.to and event.buyer else f" to {event.to}" if event.to else ""
    price = f", {money(event.price, told.info, event.currency)}" if event.price else ""
    price += f" and {money(event.shipping, told.info)} for shipping" if event.shipping else ""
    mixed = told.shared()
    if mixed:
        batch, left = mixed[0], f"{say.number(mixed[1])} left"
    else:
        batch = told.batch or ""
        left = told.left(batch or told.line, "juveniles") if told.entry and told.entry.postings else ""
    verb = "Gave away" if event.price == 0 else "Sold"
    return f"{verb} {what}{who}{price}{f'; {left} ({batch})' if left and batch else ''}"


def _refunded(event: FishRefunded, told: Told) -> str:
    if event.price is None:
        return f"{event.buyer}: {event.count or 'some'} dead on arrival"
    return f"{event.buyer}: {money(event.price, told.info, event.currency)} back"


def _promised(event: FishPromised, told: Told) -> str:
    who = f" for {event.buyer}" if event.buyer else ""
    till = f", wanted {say.day(event.date)}" if event.date else ""
    many = f"{say.number(event.count)} " if event.count is not None else ""
    price = f", {money(event.price, told.info, event.currency)}" if event.price is not None else ""
    return f"Kept{who}: {many}{event.line or event.batch or 'fish'}{price}{till}"


def _released(event: PromiseReleased) -> str:
    freed = f"{event.count or ''} {event.line or event.batch or 'the fish'}".strip()
    return f"Released: {freed}{f' ({event.buyer})' if event.buyer else ''}"
