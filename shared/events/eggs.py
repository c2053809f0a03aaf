"""What was seen and done about eggs: pulled, picked over, eyed, hatched, in peat."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from shared.events.form import Placed, Said


class EggsPulled(Said):
    """Eggs collected from a breeding tank; 0 when there were none. `places` when one count covers several."""

    kind: Literal["pull"] = "pull"
    place: str | None = None
    places: tuple[str, ...] = ()
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    line: str | None = None
    to: str | None = None
    batch: str | None = None
    medium: str | None = None  # what they were laid into to keep, where that is not water

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places or ((self.place,) if self.place else ())


class MopHung(Said):
    """A mop put in or put back, stated on its own."""

    kind: Literal["mop"] = "mop"
    place: str


class BadEggsRemoved(Placed):
    """White, fungused or clear eggs taken out."""

    kind: Literal["bad_eggs"] = "bad_eggs"
    count: int | None = Field(None, ge=0)
    estimated: bool = False


class EggsEyed(Placed):
    """Eggs seen eyed up."""

    kind: Literal["eyed"] = "eyed"
    count: int | None = Field(None, ge=0)


class FryHatched(Placed):
    """Fry found hatched."""

    kind: Literal["hatch"] = "hatch"
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    line: str | None = None


class PeatHandled(Placed):
    """Peat with eggs taken out (collect), put up damp (bag) or wetted (wet)."""

    kind: Literal["peat"] = "peat"
    line: str | None = None
    action: Literal["collect", "bag", "wet"]
    weeks: float | None = Field(None, ge=0)
    count: int | None = Field(None, ge=0)
