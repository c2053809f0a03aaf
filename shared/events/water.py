"""The water: changed, topped off, dosed, measured."""

from __future__ import annotations

from typing import Literal, TypeAlias

from pydantic import Field

from shared.events.form import Placed, Said, Sex


class WaterChanged(Said):
    """Water out and fresh water in. `places` may hold a group; `excepted` what was left out."""

    kind: Literal["water_change"] = "water_change"
    places: tuple[str, ...] = ()
    percent: float | None = Field(None, ge=0, le=100)
    litres: float | None = Field(None, ge=0)
    excepted: tuple[str, ...] = Field((), alias="except")

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places


class ToppedOff(Said):
    """Evaporation made up; not a water change."""

    kind: Literal["top_off"] = "top_off"
    places: tuple[str, ...] = ()
    litres: float | None = Field(None, ge=0)
    excepted: tuple[str, ...] = Field((), alias="except")

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places


class Dosed(Placed):
    """Anything added to the water; `unit` singular and short (drop, ml, tsp, tbsp, cup, g, leaf)."""

    kind: Literal["dose"] = "dose"
    substance: str | None = None
    amount: float | None = Field(None, ge=0)
    unit: str | None = None


Quantity: TypeAlias = Literal[
    "temperature",  # °C
    "ph",
    "ammonia",  # mg/L, as the room's tests say it (as N or as the ion)
    "nitrite",  # mg/L
    "nitrate",  # mg/L
    "gh",  # German degrees
    "kh",  # German degrees
    "tds",  # mg/L
    "conductivity",  # µS/cm
    "length",  # mm, of fish
]


class Measured(Placed):
    """One reading of one quantity."""

    kind: Literal["measure"] = "measure"
    quantity: Quantity
    value: float | None = None
    sex: Sex | None = None
