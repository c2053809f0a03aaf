"""One event read back in one line (two for fresh eggs)."""

from __future__ import annotations

import datetime as dt

from bot import sentences as say
from bot.readback import eggs_and_fish, tending, the_room, trade
from bot.readback.told import Booked, Told
from shared.events import (
    BadEggsRemoved,
    BatchOpened,
    Corrected,
    CultureOpened,
    CultureTended,
    Dosed,
    EggsEyed,
    EggsPulled,
    Fed,
    FishDied,
    FishMoved,
    FishPromised,
    FishRefunded,
    FishSold,
    FryHatched,
    GearServiced,
    HeadsCounted,
    LineOpened,
    Measured,
    MopHung,
    PeatHandled,
    PlaceClosed,
    PlaceOpened,
    PromiseReleased,
    Remarked,
    ReminderAsked,
    Renamed,
    RoutineSet,
    StockArrived,
    TaskDone,
    TaskPutOff,
    ToppedOff,
    Undone,
    WaterChanged,
    WordTaught,
)
from shared.ledger.standing import Standing
from storage.engine import RoomInfo


def line_for(booked: Booked, standing: Standing, info: RoomInfo, now: dt.datetime) -> str:
    """The line, with the moment where that is more than an hour from `now`."""
    told = Told(booked, standing, info, now)
    when = ""
    if told.entry and abs((now - told.entry.at).total_seconds()) > 3600:
        when = f" ({say.moment(told.entry.at, info.zone, now)})"
    text = _text(told)
    return f"{text}{when}." if not text.endswith((".", "!", "?")) else text


def _text(told: Told) -> str:
    match told.booked.event:
        case EggsPulled() as event:
            return eggs_and_fish.pulled(event, told)
        case BadEggsRemoved() as event:
            return eggs_and_fish.bad_out(event, told)
        case EggsEyed() as event:
            return eggs_and_fish.eyed(event, told)
        case FryHatched() as event:
            return eggs_and_fish.hatched(event, told)
        case FishMoved() as event:
            return eggs_and_fish.moved(event, told)
        case FishDied() as event:
            return eggs_and_fish.died(event, told)
        case HeadsCounted() as event:
            return eggs_and_fish.counted(event, told)
        case BatchOpened() as event:
            return eggs_and_fish.opened(event)
        case StockArrived() as event:
            return trade.arrived(event, told)
        case FishSold() as event:
            return trade.sold(event, told)
        case FishRefunded() as event:
            return trade.refunded(event, told)
        case FishPromised() as event:
            return trade.promised(event, told)
        case PromiseReleased() as event:
            return trade.released(event)
        case WaterChanged() as event:
            return tending.water_changed(event, told)
        case ToppedOff():
            return f"{told.spots}: topped off"
        case Dosed() as event:
            return tending.dosed(event, told)
        case Fed(food=food):
            return f"{told.spots}: fed{f' {food}' if food else ''}"
        case Measured() as event:
            return tending.measured(event, told)
        case CultureTended() as event:
            return tending.culture(event)
        case PeatHandled() as event:
            return tending.peat(event, told)
        case MopHung(place=place):
            return f"{place}: mop in"
        case GearServiced(item=item):
            return f"{told.spots}: {item} done"
        case PlaceOpened() as event:
            return the_room.place_opened(event, told)
        case PlaceClosed(place=place):
            return f"{place} taken out of use"
        case RoutineSet() as event:
            return the_room.routine_set(event, told)
        case ReminderAsked() as event:
            return the_room.reminder(event, told)
        case TaskDone(task=task, ends=ends):
            return f"Reminder dropped: {task}" if ends else f"Done: {task}"
        case TaskPutOff() as event:
            return the_room.put_off(event, told)
        case Remarked():
            return f"Noted{f' for {told.spots}' if told.spots else ''}"
        case LineOpened(line=line, species=species):
            return f"line {line}{f' ({species})' if species else ''}"
        case CultureOpened(culture=name):
            return f"{name}: kept here now"
        case WordTaught(word=word, means=means):
            return f"“{word}” means {means}"
        case Renamed(old=old, new=new):
            return f"{old} is called {new} from now on; “{old}” still finds it"
        case Undone() | Corrected():
            return "taken back"
