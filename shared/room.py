"""The room as a card describes it: places, lines, batches on hand, cultures, people and house settings."""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, field_validator

LITRES = {
    "us": {"gal": 3.785411784, "qt": 0.946352946, "pt": 0.473176473, "cup": 0.2365882365, "floz": 0.0295735296},
    "imperial": {"gal": 4.54609, "qt": 1.1365225, "pt": 0.56826125, "cup": 0.2365882365, "floz": 0.0284130625},
}  # NIST Handbook 44, Appendix C
_VOLUME = re.compile(
    r"^\s*(\d+(?:[.,]\d+)?)\s*(gal(?:lons?)?|qts?|quarts?|pts?|pints?|cups?|fl\.? ?oz|ml|cl|l|lit(?:re|er)s?)?\s*$",
    re.IGNORECASE,
)


def litres_of(text: str | float | int, gallon: Literal["us", "imperial"] = "us") -> float:
    """Litres of a volume as written on a card ("20 gal", "2 cups", "5,5 l"; a bare number is litres).

    Raises ValueError naming the text when it is not a volume above zero.
    """
    found = _VOLUME.match(str(text))
    if not found or float(found[1].replace(",", ".")) <= 0:
        raise ValueError(f"“{text}” is not a volume; write it like 20 gal, 2 cups or 40 l")
    number = float(found[1].replace(",", "."))
    unit = (found[2] or "l").lower().replace(" ", "").replace(".", "")
    if unit == "ml":
        return number / 1000
    if unit == "cl":
        return number / 100
    if unit.startswith("l"):
        return number
    short = {"g": "gal", "q": "qt", "p": "pt", "c": "cup", "f": "floz"}[unit[0]]
    return number * LITRES[gallon][short]


class _Card(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore")


class LineCard(_Card):
    name: str
    species: str | None = None
    eggs: str | None = None  # water or peat: the usual medium
    population: str | None = None
    generation: str | None = None
    aka: tuple[str, ...] = ()


class PlaceCard(_Card):
    name: str
    kind: str = "tank"
    volume: str | None = None
    role: str | None = None  # breeders, nursery, grow-out, quarantine, empty, eggs, fry
    line: str | None = None
    collect: str | None = None  # mop, peat box, plants, glass, stripped, permanent, guarded
    aka: tuple[str, ...] = ()


class BatchCard(_Card):
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
