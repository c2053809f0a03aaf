"""Feeding, live foods, gear, and what is only remarked."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from shared.events.form import Placed, Said


class Fed(Said):
    """Fed, with what, and who was left out."""

    kind: Literal["feed"] = "feed"
    places: tuple[str, ...] = ()
    food: str | None = None
    excepted: tuple[str, ...] = Field((), alias="except")

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places


class CultureTended(Said):
    """A live-food culture started, fed, harvested, or crashed."""

    kind: Literal["culture"] = "culture"
    culture: str
    action: Literal["start", "feed", "harvest", "crash"]


class GearServiced(Said):
    """A filter squeezed, glass wiped, a heater or air line seen to."""

    kind: Literal["service"] = "service"
    place: str | None = None
    places: tuple[str, ...] = ()
    item: str

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places or ((self.place,) if self.place else ())


class Remarked(Placed):
    """Something worth keeping that is none of the others; its text is the note's."""

    kind: Literal["remark"] = "remark"
    line: str | None = None
    text: str = ""
