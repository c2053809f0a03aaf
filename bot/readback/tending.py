"""Water, food, readings, live foods and peat read back."""

from __future__ import annotations

from bot import sentences as say
from bot.readback.told import Told
from shared.events import CultureTended, Dosed, Measured, PeatHandled, WaterChanged


def water_changed(event: WaterChanged, told: Told) -> str:
    much = f" {say.number(round(event.percent, 1))} %" if event.percent is not None else ""
    if event.litres is not None:
        much += f" {say.volume(event.litres, told.info.units, told.info.gallon)}"
    return f"{told.spots or 'water'}: water changed{much}"


def dosed(event: Dosed, told: Told) -> str:
    amount = f" {say.number(event.amount)} {event.unit or ''}".rstrip() if event.amount is not None else ""
    if event.amount not in (None, 1) and event.unit == "drop":
        amount += "s"
    return f"{told.spots or 'noted'}: {event.substance or 'peroxide'}{amount}"


def measured(event: Measured, told: Told) -> str:
    where = told.spots or event.batch or "room"
    if event.value is None:
        return f"{where}: {event.quantity} noted, no figure"
    return f"{where}: {say.reading(event.quantity, event.value, told.info.units)}"


def culture(event: CultureTended) -> str:
    did = {"start": "started", "feed": "fed", "harvest": "harvested", "crash": "crashed"}[event.action]
    return f"{event.culture}: {did}"


def peat(event: PeatHandled, told: Told) -> str:
    did = {"collect": "peat out, drying", "bag": "peat bagged", "wet": "peat wetted"}[event.action]
    kept = event.weeks if event.action != "wet" else None
    weeks = f" for {say.number(kept)} week{'s' * (kept != 1)}" if kept else ""
    return f"{told.batch or event.place or event.line}: {did}{weeks}"
