"""What a person saw or did in the room: one immutable value per kind of event.

The outside form of an event is a flat JSON object with `kind`; absent means not said. Names of places,
batches, lines and cultures are the room's own names. Units stand in the field's name or its comment.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

Stage: TypeAlias = Literal["eggs", "fry", "juveniles", "adults"]
Sex: TypeAlias = Literal["male", "female"]
STAGES: tuple[Stage, ...] = ("eggs", "fry", "juveniles", "adults")

# Groups a note may name instead of places.
GROUPS = ("all", "all tanks", "all tubs", "all egg tubs", "all fry tubs", "all fry", "all adults")


class _Event(BaseModel):
    """What every event shares: the day and clock time it was said to have happened, when said at all."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, defer_build=True)

    date: dt.date | None = None
    time: Annotated[str | None, Field(pattern=r"^\d\d:\d\d$")] = None

    def outside(self) -> dict[str, Any]:
        """The flat JSON form: kind first, only what was said."""
        raw = self.model_dump(mode="json", by_alias=True, exclude_none=True)
        kind = raw.pop("kind")
        return {"kind": kind, **{k: v for k, v in raw.items() if v is not False and v != []}}


class _Placed(_Event):
    place: str | None = None
    places: tuple[str, ...] = ()
    batch: str | None = None

    @property
    def spots(self) -> tuple[str, ...]:
        """Every place named, under either key."""
        return self.places or ((self.place,) if self.place else ())


class EggsPulled(_Event):
    """Eggs collected from a breeding tank; 0 when there were none. `places` when one count covers several."""

    kind: Literal["pull"] = "pull"
    place: str | None = None
    places: tuple[str, ...] = ()
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    line: str | None = None
    to: str | None = None
    batch: str | None = None

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places or ((self.place,) if self.place else ())


class MopHung(_Event):
    """A mop put in or put back, stated on its own."""

    kind: Literal["mop"] = "mop"
    place: str


class BadEggsRemoved(_Placed):
    """White, fungused or clear eggs taken out."""

    kind: Literal["bad_eggs"] = "bad_eggs"
    count: int | None = Field(None, ge=0)


class EggsEyed(_Placed):
    """Eggs seen eyed up."""

    kind: Literal["eyed"] = "eyed"
    count: int | None = Field(None, ge=0)


class FryHatched(_Placed):
    """Fry found hatched."""

    kind: Literal["hatch"] = "hatch"
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    line: str | None = None


class FishMoved(_Event):
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


class FishDied(_Placed):
    """Found dead, jumped, culled, eaten, missing for good."""

    kind: Literal["death"] = "death"
    count: int | None = Field(None, ge=0)
    line: str | None = None
    stage: Stage | None = None
    sex: Sex | None = None
    cause: str | None = None


class HeadsCounted(_Placed):
    """A count of what is alive there now."""

    kind: Literal["headcount"] = "headcount"
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    male: int | None = Field(None, ge=0)
    female: int | None = Field(None, ge=0)
    stage: Stage | None = None
    line: str | None = None
    difference: Literal["unaccounted"] | None = None  # what the difference to the record was said to be


class WaterChanged(_Event):
    """Water out and fresh water in. `places` may hold a group; `excepted` what was left out."""

    kind: Literal["water_change"] = "water_change"
    places: tuple[str, ...] = ()
    percent: float | None = Field(None, ge=0, le=100)
    litres: float | None = Field(None, ge=0)
    excepted: tuple[str, ...] = Field((), alias="except")

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places


class ToppedOff(_Event):
    """Evaporation made up; not a water change."""

    kind: Literal["top_off"] = "top_off"
    places: tuple[str, ...] = ()
    litres: float | None = Field(None, ge=0)
    excepted: tuple[str, ...] = Field((), alias="except")

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places


class Dosed(_Placed):
    """Anything added to the water; `unit` singular and short (drop, ml, tsp, tbsp, cup, g, leaf)."""

    kind: Literal["dose"] = "dose"
    substance: str | None = None
    amount: float | None = Field(None, ge=0)
    unit: str | None = None


class Fed(_Event):
    """Fed, with what, and who was left out."""

    kind: Literal["feed"] = "feed"
    places: tuple[str, ...] = ()
    food: str | None = None
    excepted: tuple[str, ...] = Field((), alias="except")

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places


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


class Measured(_Placed):
    """One reading of one quantity."""

    kind: Literal["measure"] = "measure"
    quantity: Quantity
    value: float | None = None
    sex: Sex | None = None


class StockArrived(_Event):
    """Fish, eggs or peat bought, traded in or caught."""

    kind: Literal["stock_in"] = "stock_in"
    place: str | None = None
    line: str | None = None
    count: int | None = Field(None, ge=0)
    male: int | None = Field(None, ge=0)
    female: int | None = Field(None, ge=0)
    stage: Stage | None = None
    price: float | None = Field(None, ge=0)
    source: str | None = None
    batch: str | None = None


class FishSold(_Event):
    """Sold or given away (price 0); `price` is the total in the room's currency."""

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


class FishRefunded(_Event):
    """Money given back for fish sold, or fish said to be dead on arrival; what was sold stays sold."""

    kind: Literal["refund"] = "refund"
    buyer: str
    count: int | None = Field(None, ge=0)
    line: str | None = None
    price: float | None = Field(None, ge=0)
    reason: str | None = None


class FishPromised(_Event):
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
    buyer: str | None = None
    made: dt.date | None = None


class PromiseReleased(_Event):
    """A promise cancelled: the fish are free again."""

    kind: Literal["release"] = "release"
    buyer: str | None = None
    line: str | None = None
    batch: str | None = None
    count: int | None = Field(None, ge=0)


class CultureTended(_Event):
    """A live-food culture started, fed, harvested, or crashed."""

    kind: Literal["culture"] = "culture"
    culture: str
    action: Literal["start", "feed", "harvest", "crash"]


class GearServiced(_Event):
    """A filter squeezed, glass wiped, a heater or air line seen to."""

    kind: Literal["service"] = "service"
    place: str | None = None
    places: tuple[str, ...] = ()
    item: str

    @property
    def spots(self) -> tuple[str, ...]:
        return self.places or ((self.place,) if self.place else ())


class PeatHandled(_Placed):
    """Peat with eggs taken out (collect), put up damp (bag) or wetted (wet)."""

    kind: Literal["peat"] = "peat"
    line: str | None = None
    action: Literal["collect", "bag", "wet"]
    weeks: float | None = Field(None, ge=0)
    count: int | None = Field(None, ge=0)


class PlaceOpened(_Event):
    """A tank or tub set up."""

    kind: Literal["new_place"] = "new_place"
    place: str
    vessel: str | None = None  # tank, tub, jar, bag: its sort, where the name does not say
    litres: float | None = Field(None, gt=0)
    line: str | None = None
    role: str | None = None
    collect: str | None = None


class PlaceClosed(_Event):
    """A tank or tub taken out of use."""

    kind: Literal["close_place"] = "close_place"
    place: str


class RoutineSet(_Placed):
    """A standing change to the routine: what, to which value, for where, and for which days or people."""

    kind: Literal["setting"] = "setting"
    line: str | None = None
    what: str
    value: float | int | str | bool | None = None
    weekday: str | None = None
    slot: str | None = None
    person: str | None = None
    from_: str | None = Field(None, alias="from")
    to: str | None = None


class ReminderAsked(_Event):
    """A task of the keeper's own."""

    kind: Literal["remind"] = "remind"
    text: str = ""
    every_days: float | None = Field(None, gt=0)
    place: str | None = None
    batch: str | None = None


class TaskDone(_Placed):
    """A due task is done, without saying it as its own event; `ends`: a reminder that is not wanted any more."""

    kind: Literal["done"] = "done"
    task: str = ""
    ends: bool | None = None


class TaskPutOff(_Event):
    """A due task put off until `date` and `time`."""

    kind: Literal["snooze"] = "snooze"
    task: str = ""
    place: str | None = None
    batch: str | None = None


class Remarked(_Placed):
    """Something worth keeping that is none of the others; its text is the note's."""

    kind: Literal["remark"] = "remark"
    line: str | None = None
    text: str = ""


class Undone(_Event):
    """Take back what the last note logged; `renamed`: what is called again as before, from which name to which."""

    kind: Literal["undo"] = "undo"
    renamed: tuple[tuple[str, str], ...] = ()


class Corrected(BaseModel):
    """The last note's entry was wrong: only the corrected keys, with the right value; `of` says which entry."""

    model_config = ConfigDict(frozen=True, extra="allow", populate_by_name=True, defer_build=True)
    kind: Literal["fix"] = "fix"

    @property
    def changes(self) -> dict[str, Any]:
        """The corrected keys in the outside form, `kind` and `of` left out."""
        return {k: v for k, v in (self.model_extra or {}).items() if k != "of" and v is not None}

    @property
    def of(self) -> dict[str, Any] | None:
        raw = (self.model_extra or {}).get("of")
        return raw if isinstance(raw, dict) else None

    def outside(self) -> dict[str, Any]:
        return {"kind": "fix", **(self.model_extra or {})}


# ---- kinds that no note states in one line: they come from setting up the room and from answers to questions


class LineOpened(_Event):
    """A line (or strain) the room keeps. `eggs` is the usual medium: water or peat."""

    kind: Literal["new_line"] = "new_line"
    line: str
    species: str | None = None
    eggs: str | None = None
    population: str | None = None
    generation: str | None = None
    aka: tuple[str, ...] = ()


class BatchOpened(_Event):
    """A batch that stood in the room when it was written down, or was opened by hand."""

    kind: Literal["new_batch"] = "new_batch"
    batch: str
    line: str
    place: str
    stage: Stage
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    laid_from: dt.date | None = None
    laid_to: dt.date | None = None
    hatched: dt.date | None = None
    medium: str | None = None
    generation: str | None = None


class CultureOpened(_Event):
    """A live-food culture the room keeps."""

    kind: Literal["new_culture"] = "new_culture"
    culture: str


class WordTaught(_Event):
    """A word the keeper uses for a place, line, batch or culture."""

    kind: Literal["word"] = "word"
    word: str
    means: str


class Renamed(_Event):
    """A tank, tub, line or culture is called anew; all that is on record of it goes on under the new name."""

    kind: Literal["rename"] = "rename"
    old: str
    new: str


Event: TypeAlias = (
    EggsPulled
    | MopHung
    | BadEggsRemoved
    | EggsEyed
    | FryHatched
    | FishMoved
    | FishDied
    | HeadsCounted
    | WaterChanged
    | ToppedOff
    | Dosed
    | Fed
    | Measured
    | StockArrived
    | FishSold
    | FishRefunded
    | FishPromised
    | PromiseReleased
    | CultureTended
    | GearServiced
    | PeatHandled
    | PlaceOpened
    | PlaceClosed
    | RoutineSet
    | ReminderAsked
    | TaskDone
    | TaskPutOff
    | Remarked
    | Undone
    | Corrected
    | LineOpened
    | BatchOpened
    | CultureOpened
    | WordTaught
    | Renamed
)

_ADAPTER: TypeAdapter[Event] = TypeAdapter(
    Annotated[Event, Field(discriminator="kind")], config=ConfigDict(defer_build=True)
)


def event_from(raw: dict[str, Any]) -> Event:
    """The event an outside JSON object says.

    Raises pydantic.ValidationError (a ValueError) when a key or value has no place in that kind.
    """
    return _ADAPTER.validate_python(raw)
