"""The room as a card describes it: places, lines, batches on hand, cultures, people and house settings."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, field_validator

from shared.quantities import LITRES as LITRES
from shared.quantities import litres_of as litres_of


class _Card(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore", defer_build=True)


class LineCard(_Card):
    """A line, as a card has it."""

    name: str
    species: str | None = None
    eggs: str | None = None  # water or peat: the usual medium
    population: str | None = None
    generation: str | None = None
    aka: tuple[str, ...] = ()


class PlaceCard(_Card):
    """A place, as a card has it."""

    name: str
    kind: str = "tank"
    volume: str | None = None
    role: str | None = None  # breeders, nursery, grow-out, quarantine, empty, eggs, fry
    line: str | None = None
    collect: str | None = None  # mop, peat box, plants, glass, stripped, permanent, guarded
    aka: tuple[str, ...] = ()


class BatchCard(_Card):
    """A batch on hand, as a card has it."""

    name: str
    line: str
    stage: Literal["eggs", "fry", "juveniles", "adults"]
    place: str
    count: int | None = Field(None, ge=0)
    laid: dt.date | None = None
    laid_from: dt.date | None = None
    laid_to: dt.date | None = None
    hatched: dt.date | None = None
    medium: str | None = None
    generation: str | None = None


def _zone(name: object) -> object:
    try:
        ZoneInfo(str(name))
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValueError(f"“{name}” is not a time zone; write it like America/Chicago or Europe/Berlin") from None
    return name


class RoomCard(_Card):
    """A whole room as read from a card; see `roomhand setup`."""

    name: str = "my room"
    timezone: Annotated[str, BeforeValidator(_zone)] = "UTC"
    units: Literal["us", "metric"] = "us"
    gallon: Literal["us", "imperial"] = "us"
    nitrogen_as: Literal["n", "ion"] = "n"
    date_order: Literal["md", "dm"] | None = None  # None: md for US units, dm for metric
    currency: str | None = None
    as_of: dt.date | None = None
    members: tuple[str, ...] = ()
    lines: tuple[LineCard, ...] = ()
    places: tuple[PlaceCard, ...] = ()
    batches: tuple[BatchCard, ...] = ()
    cultures: tuple[str, ...] = ()
    words: dict[str, str] = {}  # words taught by chat: word → canonical name

    @field_validator("lines", "places", "batches")
    @classmethod
    def _named_once(cls, cards: tuple[Any, ...]) -> tuple[Any, ...]:
        seen: set[str] = set()
        for card in cards:
            if card.name.casefold() in seen:
                raise ValueError(f"“{card.name}” stands on the card twice")
            seen.add(card.name.casefold())
        return cards

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.timezone)

    @property
    def day_first(self) -> bool:
        return (self.date_order or ("md" if self.units == "us" else "dm")) == "dm"
