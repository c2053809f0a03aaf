"""Water, food, readings, live foods, mops, peat and gear read back."""

from __future__ import annotations

from typing import TypeAlias

from bot import sentences as say
from bot.readback.told import Told
from shared.events import (
    CultureTended,
    Dosed,
    Fed,
    GearServiced,
    Measured,
    MopHung,
    PeatHandled,
    ToppedOff,
    WaterChanged,
)

Tending: TypeAlias = (
    WaterChanged | ToppedOff | Dosed | Fed | Measured | CultureTended | PeatHandled | MopHung | GearServiced
)


def text(event: Tending, told: Told) -> str:
    """Such an event in a line."""
    match event:
        case WaterChanged():
            return _water_changed(event, told)
        case ToppedOff():
            return f"{told.spots}: topped off"
        case Dosed():
            return _dosed(event, told)
        case Fed(food=food):
            return f"{told.spots}: fed{f' {food}' if food else ''}"
        case Measured():
            return _measured(event, told)
        case CultureTended():
            return _culture(event)
        case PeatHandled():
            return _peat(event, told)
        case MopHung(place=place):
            return f"{place}: mop in"
        case GearServiced(item=item):
            return f"{told.spots}: {item} done"


def _water_changed(event: WaterChanged, told: Told) -> str:
    much = f" {say.number(round(event.percent, 1))} %" if event.percent is not None else ""
    if event.litres is not None:
        much += f" {say.volume(event.litres, told.info.units, told.info.gallon)}"
    return f"{told.spots or 'water'}: water changed{much}"


def _dosed(event: Dosed, told: Told) -> str:
    amount = f" {say.number(event.amount)} {event.unit or ''}".rstrip() if event.amount is not None else ""
    if event.amount not in (None, 1) and event.unit == "drop":
        amount += "s"
    return f"{told.spots or 'noted'}: {event.substance or 'peroxide'}{amount}"


def _measured(event: Measured, told: Told) -> str:
    where = told.spots or event.batch or "room"
    if event.value is None:
        return f"{where}: {event.quantity} noted, no figure"
    return f"{where}: {say.reading(event.quantity, event.value, told.info.units)}"


def _culture(event: CultureTended) -> str:
    did = {"start": "started", "feed": "fed", "harvest": "harvested", "crash": "crashed"}[event.action]
    return f"{event.culture}: {did}"


def _peat(event: PeatHandled, told: Told) -> str:
    did = {"collect": "peat out, drying", "bag": "peat bagged", "wet": "peat wetted"}[event.action]
    kept = event.weeks if event.action != "wet" else None
    weeks = f" for {say.number(kept)} week{'s' * (kept != 1)}" if kept else ""
    return f"{told.batch or event.place or event.line}: {did}{weeks}"
