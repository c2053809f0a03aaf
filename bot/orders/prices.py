"""Money said in an order: the sum, and its currency where that is not the room's own."""

from __future__ import annotations

import re
from typing import Any

from bot.language.text.words import CURRENCY
from bot.orders.taken import Scene

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
