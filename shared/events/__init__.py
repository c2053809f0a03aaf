"""What a person saw or did in the room: one immutable value per kind of event.

The outside form of an event is a flat JSON object with `kind`; absent means not said. Names of places,
batches, lines and cultures are the room's own names. Units stand in the field's name or its comment.
"""

from __future__ import annotations

from typing import Annotated, Any, TypeAlias

from pydantic import ConfigDict, Field, TypeAdapter

from shared.events.eggs import BadEggsRemoved as BadEggsRemoved
from shared.events.eggs import EggsEyed as EggsEyed
from shared.events.eggs import EggsPulled as EggsPulled
from shared.events.eggs import FryHatched as FryHatched
from shared.events.eggs import MopHung as MopHung
from shared.events.eggs import PeatHandled as PeatHandled
from shared.events.fish import FishDied as FishDied
from shared.events.fish import FishMoved as FishMoved
from shared.events.fish import HeadsCounted as HeadsCounted
from shared.events.fish import StockArrived as StockArrived
from shared.events.form import GROUPS as GROUPS
from shared.events.form import STAGES as STAGES
from shared.events.form import Sex as Sex
from shared.events.form import Stage as Stage
from shared.events.room import BatchOpened as BatchOpened
from shared.events.room import CultureOpened as CultureOpened
from shared.events.room import LineOpened as LineOpened
from shared.events.room import PlaceClosed as PlaceClosed
from shared.events.room import PlaceOpened as PlaceOpened
from shared.events.room import Renamed as Renamed
from shared.events.room import WordTaught as WordTaught
from shared.events.routine import Corrected as Corrected
from shared.events.routine import ReminderAsked as ReminderAsked
from shared.events.routine import RoutineSet as RoutineSet
from shared.events.routine import TaskDone as TaskDone
from shared.events.routine import TaskPutOff as TaskPutOff
from shared.events.routine import Undone as Undone
from shared.events.tending import CultureTended as CultureTended
from shared.events.tending import Fed as Fed
from shared.events.tending import GearServiced as GearServiced
from shared.events.tending import Remarked as Remarked
from shared.events.trade import FishPromised as FishPromised
from shared.events.trade import FishRefunded as FishRefunded
from shared.events.trade import FishSold as FishSold
from shared.events.trade import PromiseReleased as PromiseReleased
from shared.events.water import Dosed as Dosed
from shared.events.water import Measured as Measured
from shared.events.water import Quantity as Quantity
from shared.events.water import ToppedOff as ToppedOff
from shared.events.water import WaterChanged as WaterChanged

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
