"""What all events share, and the words several of them use."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field

Stage: TypeAlias = Literal["eggs", "fry", "juveniles", "adults"]
Sex: TypeAlias = Literal["male", "female"]
STAGES: tuple[Stage, ...] = ("eggs", "fry", "juveniles", "adults")

# Groups a note may name instead of places.
GROUPS = ("all", "all tanks", "all tubs", "all egg tubs", "all fry tubs", "all fry", "all adults")


class Said(BaseModel):
    """What every event shares: the day and clock time it was said to have happened, when said at all."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, defer_build=True)

    date: dt.date | None = None
    time: Annotated[str | None, Field(pattern=r"^\d\d:\d\d$")] = None

    def outside(self) -> dict[str, Any]:
        """The flat JSON form: kind first, only what was said."""
        raw = self.model_dump(mode="json", by_alias=True, exclude_none=True)
        kind = raw.pop("kind")
        return {"kind": kind, **{k: v for k, v in raw.items() if v is not False and v != []}}


class Placed(Said):
    """What happens in a place, in several, or to a batch wherever it stands."""

    place: str | None = None
    places: tuple[str, ...] = ()
    batch: str | None = None

    @property
    def spots(self) -> tuple[str, ...]:
        """Every place named, under either key."""
        return self.places or ((self.place,) if self.place else ())
