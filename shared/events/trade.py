"""Fish sold, refunded, promised, and promises cancelled."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import Field

from shared.events.form import Said, Stage


class FishSold(Said):
    """Sold or given away (price 0); `price` is the total, in the room's currency where no other is said."""

    kind: Literal["sale"] = "sale"
    count: int | None = Field(None, ge=0)
    male: int | None = Field(None, ge=0)
    female: int | None = Field(None, ge=0)
    line: str | None = None
    batch: str | None = None
    place: str | None = None
    stage: Stage | None = None
    price: float | None = Field(None, ge=0)
    currency: str | None = None
    buyer: str | None = None
    to: str | None = None  # where they went, as a country or state
    shipping: float | None = Field(None, ge=0)  # money for the carriage, not in `price`


class FishRefunded(Said):
    """Money given back for fish sold, or fish said to be dead on arrival; what was sold stays sold."""

    kind: Literal["refund"] = "refund"
    buyer: str
    count: int | None = Field(None, ge=0)
    line: str | None = None
    price: float | None = Field(None, ge=0)
    currency: str | None = None
    reason: str | None = None


class FishPromised(Said):
    """Fish promised; `date` is when they are wanted, `made` the day of the promise if not today."""

    kind: Literal["reserve"] = "reserve"
    count: int | None = Field(None, ge=0)
    male: int | None = Field(None, ge=0)
    female: int | None = Field(None, ge=0)
    line: str | None = None
    batch: str | None = None
    place: str | None = None
    stage: Stage | None = None
    price: float | None = Field(None, ge=0)
    currency: str | None = None
    buyer: str | None = None
    made: dt.date | None = None


class PromiseReleased(Said):
    """A promise cancelled: the fish are free again."""

    kind: Literal["release"] = "release"
    buyer: str | None = None
    line: str | None = None
    batch: str | None = None
    count: int | None = Field(None, ge=0)
