"""Places, names, the routine, reminders, what is put off and what is only remarked, read back."""

from __future__ import annotations

from typing import TypeAlias

from bot import sentences as say
from bot.readback.told import Told, money
from bot.routine.shown import changes, name_of
from shared.due.appointments import day_of_month
from shared.due.tasks import task_meant
from shared.events import (
    CultureOpened,
    LineOpened,
    PlaceClosed,
    PlaceOpened,
    Remarked,
    ReminderAsked,
    Renamed,
    RoutineSet,
    TaskDone,
    TaskPutOff,
    WordTaught,
)
from shared.ledger.standing import OF_THE_FISH

TheRoom: TypeAlias = (
    PlaceOpened
    | PlaceClosed
    | LineOpened
    | CultureOpened
    | WordTaught
    | Renamed
    | RoutineSet
    | ReminderAsked
    | TaskDone
    | TaskPutOff
    | Remarked
)


def text(event: TheRoom, told: Told) -> str:
    """Such an event in a line."""
    match event:
        case PlaceOpened():
            return _place_opened(event, told)
        case PlaceClosed(place=place):
            return f"{place} taken out of use"
        case LineOpened(line=line, species=species):
            return f"line {line}{f' ({species})' if species else ''}"
        case CultureOpened(culture=name):
            return f"{name}: kept here now"
        case WordTaught(word=word, means=means):
            return f"“{word}” means {means}"
        case Renamed(old=old, new=new):
            return f"{old} is called {new} from now on; “{old}” still finds it"
        case RoutineSet():
            return _routine_set(event, told)
        case ReminderAsked():
            return _reminder(event, told)
        case TaskDone(task=task, ends=ends):
            return f"Reminder dropped: {task}" if ends else f"Done: {task}"
        case TaskPutOff():
            return _put_off(event, told)
        case Remarked():
            return f"Noted{f' for {told.spots}' if told.spots else ''}"


def _place_opened(event: PlaceOpened, told: Told) -> str:
    size = f", {say.volume(event.litres, told.info.units, told.info.gallon)}" if event.litres else ""
    return f"{event.place} set up{size}{f', {event.role}' if event.role else ''}"


def _routine_set(event: RoutineSet, told: Told) -> str:
    where = event.place or event.line or event.batch or say.places(event.places) or "the room"
    value = "" if event.value is None else f" {event.value}"
    if event.what == "medium" and event.batch:
        return f"{event.batch}: kept in{value} from now on"
    if event.what in OF_THE_FISH:
        return f"{told.batch or where}: {event.what}{value}"
    if event.what.startswith("price_") and event.line:
        unit = event.what.removeprefix("price_").replace("_", " ")
        return f"Price: {event.line}, {unit} {money(float(event.value or 0), told.info)}"
    said = "; ".join(changes([event], told.now))
    return said or f"Routine for {where}: {event.what.replace('_', ' ')}{value}"


def _reminder(event: ReminderAsked, told: Told) -> str:
    local = told.now.astimezone(told.info.zone)
    when = say.day(event.date, local.date()) if event.date else ""
    if not event.date and event.time and not (event.every_days or event.month_day):
        when = "today" if event.time > f"{local:%H:%M}" else "tomorrow"
    again = _every(event.every_days) if event.every_days else ""
    again = f"on the {day_of_month(event.month_day)} of every month" if event.month_day else again
    if again and event.date:
        again = f"then {again}"
    first = " ".join(part for part in (when, event.time) if part)
    parts = [part for part in (first, again) if part]
    return f"Will remind {(', ' if event.date else ' ').join(parts)}: {event.text}"


def _every(days: float) -> str:
    return "daily" if days == 1 else f"every {days:g} days"


def _put_off(event: TaskPutOff, told: Told) -> str:
    till = say.day(event.date, told.now.astimezone(told.info.zone).date()) if event.date else "later"
    clock = f" {event.time}" if event.time else ""
    meant = task_meant(event.task)
    if meant and (event.place or event.batch):
        return f"Put off to {till}{clock}: {name_of(meant)} {event.place or event.batch}"
    place = f" {event.place}" if event.place else ""
    return f"Put off to {till}{clock}: {name_of(event.task)}{place}".rstrip(": ")
