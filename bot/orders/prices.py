"""Money said in an order: the sum, and its currency where that is not the room's own."""

from __future__ import annotations

from typing import Any

from bot.language.text.words import code_of
from bot.orders.taken import Scene

SUM = r"(?P<sign>[$£€]) ?(?P<sum>\d{1,5}(?:[.,]\d\d?)?)"


def price_said(sign: str | None, amount: str, scene: Scene, *, times: int = 1) -> dict[str, Any]:
    """`price`, and `currency` where it is said by the sign of another than the room's."""
    told: dict[str, Any] = {"price": round(times * float(amount.replace(",", ".")), 2)}
    code = code_of(sign) if sign else None
    return told | ({"currency": code} if code and code != scene.words.names.currency else {})
