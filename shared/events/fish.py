"""What became of fish, fry and eggs: moved, died, counted, arrived."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import Field

from shared.events.form import Placed, Said, Sex, Stage


class FishMoved(Said):
    """Fish, fry or eggs moved from one place to another. No count: all of them."""

    kind: Literal["move"] = "move"
    source: str | None = Field(None, alias="from")
    to: str | None = None
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    male: int | None = Field(None, ge=0)
    female: int | None = Field(None, ge=0)
    batch: str | None = None
    line: str | None = None
    stage: Stage | None = None
    joins: str | None = None  # the batch they become part of


class FishDied(Placed):
    """Found dead, jumped, culled, eaten, missing for good."""

    kind: Literal["death"] = "death"
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    line: str | None = None
    stage: Stage | None = None
    sex: Sex | None = None
    cause: str | None = None


class HeadsCounted(Placed):
    """A count of what is alive there now."""

    kind: Literal["headcount"] = "headcount"
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    male: int | None = Field(None, ge=0)
    female: int | None = Field(None, ge=0)
    stage: Stage | None = None
    line: str | None = None
    difference: Literal["unaccounted"] | None = None  # what the difference to the record was said to be


class StockArrived(Said):
    """Fish, eggs or peat bought, traded in or caught."""

    kind: Literal["stock_in"] = "stock_in"
    place: str | None = None
    line: str | None = None
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    male: int | None = Field(None, ge=0)
    female: int | None = Field(None, ge=0)
    stage: Stage | None = None
    price: float | None = Field(None, ge=0)
    currency: str | None = None
    source: str | None = None
    batch: str | None = None
    population: str | None = None  # where they are from, in the keeper's words
    generation: str | None = None
    laid_from: dt.date | None = None  # of eggs
    laid_to: dt.date | None = None
    hatched: dt.date | None = None  # of fish
