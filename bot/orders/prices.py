"""Money said: the sum and its currency, what a line costs, and a price said without the fish it is of."""

from __future__ import annotations

import re
from typing import Any

from bot.answers.price_list import NO_PRICE, PRICE, UNITS, per, prices
from bot.language.text.words import CURRENCY
from bot.readback.told import money
from bot.routine.taken import Scene
from shared.events import RoutineSet
from storage.engine import RoomInfo

SUM = r"(?P<sign>[$£€]) ?(?P<sum>\d{1,5}(?:[.,]\d\d?)?)"
_WORDS = {"usd": "USD", "dollar": "USD", "buck": "USD", "gbp": "GBP", "pound": "GBP", "eur": "EUR", "euro": "EUR"}
_SAID = re.compile(r"[$£€]|\b(?:usd|dollar|buck|gbp|pound|euro|eur)s?\b", re.IGNORECASE)


def currency_said(words: str, own: str | None) -> str | None:
    """The code (ISO 4217) of the currency named in these words, where it is another than the room's `own`."""
    hit = _SAID.search(words)
    code = (CURRENCY.get(hit[0]) or _WORDS[hit[0].casefold().removesuffix("s")]) if hit else None
    return code if code != own else None


def price_said(sign: str | None, amount: str, scene: Scene, *, times: int = 1) -> dict[str, Any]:
    """`price`, and `currency` where it is said by the sign of another than the room's."""
    told: dict[str, Any] = {"price": round(times * float(amount.replace(",", ".")), 2)}
    code = currency_said(sign or "", scene.words.names.currency)
    return told | ({"currency": code} if code else {})


_OF = (
    r"(?:(?:a|one|the) (?:pair|trio|dozen|dozen eggs|egg) of )?(?:my |the |our )?"
    r"(?P<%s>.+?)(?: (?:pairs?|trios?|eggs?))?"
)
_ASKED = re.compile(
    rf"^(?:what|how much) (?:do|does|would|is|are) {_OF % 'a'} (?:cost|go for|sell for|fetch|at)(?: now)?$"
    rf"|^how much (?:is|are|for|do i (?:ask|charge|get|take) for) {_OF % 'b'}$"
    rf"|^(?:what(?:'s| is| are) (?:the |my )?)?prices? (?:of|for) {_OF % 'c'}$"
    rf"|^(?:what(?:'s| is| are) (?:the |my )?)?{_OF % 'd'} prices?$"
)
_BARE = re.compile(
    r"^(?:(?:make (?:it|that)|say|ok|so|actually|now|they are|they're|it's),? )*"
    r"(?:[$£€] ?)?(?P<sum>\d{1,5}(?:[.,]\d\d?)?)(?: (?:dollars|bucks|euros?|pounds?))?"
    r" (?:(?:a|per|for a|the) (?P<per>pair|trio|fish|egg|dozen eggs)|each|apiece)(?: from now on)?$"
)


def line_priced(text: str, scene: Scene) -> str | None:
    """The line whose price is asked for, if one is."""
    hit = _ASKED.match(text.replace("’", "'"))
    said = next((words for words in hit.groups() if words), "") if hit else ""
    for words in (said, said.removesuffix("s")):
        where = scene.words.where(words) if words else None
        if where and where.line and not where.places and not where.batch:
            return where.line
    return None


_SO_MANY = re.compile(
    r"^(?:how much|what) (?:would|are|is|do|does|for) (?P<n>\d{1,3}) (?P<pairs>pairs? of )?(?P<line>.+?)(?: pairs?)?"
    r"(?: (?:be|cost|make|come to))?$"
)


def several_priced(text: str, scene: Scene, info: RoomInfo) -> str | None:
    """“How much would 10 gularis be”: the sum by the price set, or that none is."""
    hit = _SO_MANY.match(text.replace("’", "'"))
    where = scene.words.where(hit["line"]) if hit else None
    if hit is None or where is None or not where.line or where.places or where.batch:
        return None
    unit, number = ("pair" if hit["pairs"] else "each"), int(hit["n"])
    price = prices(scene.standing).get(where.line, {}).get(unit)
    if price is None:
        return price_told(where.line, scene, info)
    what = f"{number} {where.line}{' pairs' if hit['pairs'] else ''}"
    return f"{what}: {money(number * price, info)} at {money(price, info)} {per(unit)}."


def price_told(line: str, scene: Scene, info: RoomInfo) -> str:
    """`gardneri: $12 a pair.`"""
    told = [f"{money(price, info)} {per(unit)}" for unit, price in prices(scene.standing).get(line, {}).items()]
    return f"{line}: {', '.join(told)}." if told else f"{line}: {NO_PRICE}. “{line} pairs are $12” sets one."


def bare_price(text: str) -> tuple[str, float] | None:
    """“15 a pair”: what it is for, and the sum; it says nothing of which fish."""
    hit = _BARE.match(text)
    unit = UNITS.get(hit["per"] or "each") if hit else None
    return (unit, float(hit["sum"].replace(",", "."))) if hit and unit else None


def set_price(line: str, unit: str, price: float) -> RoutineSet:
    """The setting that says what a line costs."""
    return RoutineSet(line=line, what=f"{PRICE}{unit}", value=price)
