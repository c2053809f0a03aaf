"""Chores moved: their hours earlier or later by so much, those that come round by days to other days of the week."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import replace

from bot import sentences as say
from bot.routine.shown import chores
from bot.routine.taken import Scene, Taken, dated, object_of, told
from bot.routine.times import hour_meant, hours_of
from bot.routine.words import NUMBER, NUMBERS, Days, Order
from bot.talk.questions import Asked
from shared.due.house_rules import Routine
from shared.due.rules import ROOM, spot_of
from shared.due.timetable import EVERY_DAY
from shared.due.usual import EVERY_DAYS, PER_DAY
from shared.events import RoutineSet, TaskPutOff

A_DAY = 24 * 60
_BY_SO_MUCH = re.compile(
    rf"^(?:(?:move|shift|push|put|make) )?(?:the )?(?P<what>.+?) (?:by )?"
    rf"(?:(?P<half>half an) hour|(?P<n>an|{NUMBER})(?P<and> and a half)? (?P<unit>hours?|min(?:ute)?s?)) "
    r"(?P<way>later|earlier|forward|back)$"
)
_TO_DAYS = re.compile(
    r"^(?P<how>move|shift|change|put|switch|push|delay|postpone|put off) (?:the )?(?P<what>.+?)"
    r"(?: from (?P<from>[a-z, &]+?))? (?:over )?to (?P<to>[a-z, &]+)$"
)
_PUSH = re.compile(
    r"^(?:push|move|shift|delay|postpone|put off|do) (?:the )?(?P<what>.+?)(?: back)?(?: to| till?| until| on)?$"
)
WAITS = re.compile(r"^(?:the )?(?P<what>.+?) (?:can|will|could|has to) wait$")
_IS_FOR = re.compile(r"^(?:the )?(?P<what>.+?) (?:is|are) for$")
MONDAY, SATURDAY = 0, 5
_ONCE = ("push", "delay", "postpone", "put off")
_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SHORT = tuple(name[:3].casefold() for name in _NAMES)


def by_so_much(order: Order, scene: Scene) -> Taken | None:
    """`feed the fry an hour later`: all hours of a chore or one of them; whether for good is asked."""
    hit = _BY_SO_MUCH.match(order.core)
    if not hit or len(order.where.places) > 1 or order.where.batch or order.where.line:
        return None
    order, what = object_of(order, hit["what"], scene)
    found = scene.words.chore(what)
    tasks = [t for t in found[0] if t in PER_DAY] if found else []
    minutes = _minutes(hit) * (1 if hit["way"] in ("later", "back") else -1)
    if found is None or not tasks or not minutes:
        return None
    events = _shifted(tasks, found[1], minutes, order, scene)
    today = Days(scene.now.date(), scene.now.date())
    once = _shifted(tasks, found[1], minutes, replace(order, days=today), scene)
    if events is None or once is None:
        return Taken(answer=f"That would put {chores(tasks)} on another day; say the hours, like “{what} at 7, 12 and "
                     "6”. Nothing was changed.")  # fmt: skip
    if not events:
        return None
    if order.days or order.weekday or order.season or scene.words.for_good:
        return told(events, scene)
    options = (
        ("from now on", tuple(e.outside() for e in events)),
        ("only today", tuple(e.outside() for e in once)),
        ("neither", ()),
    )
    listed = "; ".join(f"{chores([e.what.removesuffix('_at')])} at {str(e.value).replace(',', ', ')}" for e in events)
    return Taken(asked=Asked(f"{say.first_up(listed)}: from now on, or only today?", scene.now, options))


def _shifted(
    tasks: Sequence[str], part: str | None, minutes: int, order: Order, scene: Scene
) -> list[RoutineSet] | None:
    """The changes that move the hours of these by so much; None where one would leave its day."""
    spot = spot_of(scene.standing, order.where.places[0]) if order.where.places else ROOM
    events = []
    for task in tasks:
        times = hours_of(task, spot, order, scene)
        moved = _moved(times, part, minutes, scene)
        if moved is None:
            return None
        if moved != times:
            hours = ",".join(f"{t:%H:%M}" for t in moved)
            events.append(RoutineSet(what=f"{task}_at", value=hours, **dated(order)))
    return events


def _minutes(hit: re.Match[str]) -> int:
    if hit["half"]:
        return 30
    number = 1 if hit["n"] == "an" else NUMBERS.get(hit["n"]) or int(hit["n"])
    return number * (60 if hit["unit"].startswith("h") else 1) + (30 if hit["and"] else 0)


def _moved(times: Sequence[dt.time], part: str | None, minutes: int, scene: Scene) -> tuple[dt.time, ...] | None:
    """The hours put off by so much, all or the one of a part of the day; None where one would leave its day."""
    meant = times if part is None else (hour_meant(part, None, times, scene),)
    found = []
    for time in times:
        at = time.hour * 60 + time.minute + (minutes if time in meant else 0)
        if not 0 <= at < A_DAY:
            return None
        found.append(dt.time(at // 60, at % 60))
    return tuple(sorted(found))


# ---- to other days of the week


def to_weekdays(order: Order, scene: Scene) -> Taken | None:
    """`move the mops from Monday to Wednesday`: every Wednesday, or this once, is asked unless it is said."""
    hit = _TO_DAYS.match(order.core)
    if not hit or order.weekday or order.days or order.where.batch or order.where.line:
        return None
    named = replace(scene.words, for_good=True)  # a single weekday counts as well
    to, was = named.weekdays(hit["to"]), named.weekdays(hit["from"] or "mon")
    order, what = object_of(order, hit["what"], scene)
    found = scene.words.chore(what)
    if to is None or was is None or found is None or found[1] or any(t not in EVERY_DAYS for t in found[0]):
        return None
    once = hit["how"] in _ONCE
    for_good = scene.words.for_good or scene.words.weekdays(hit["to"]) is not None
    if not hit["from"] and (once or not for_good):
        return None  # to one day to come: it is put off
    events = [_on_days(task, order, scene, was if hit["from"] else None, to) for task in found[0]]
    if for_good and not once:
        return told(events, scene)
    if "," in to or "," in was:
        return None
    return _this_once(what, found[0], order, scene, (was, to), () if once else events)


def _on_days(task: str, order: Order, scene: Scene, was: str | None, to: str) -> RoutineSet:
    """A chore on other weekdays: the one moved from left out of those it has."""
    spot = spot_of(scene.standing, order.where.places[0]) if order.where.places else ROOM
    has = Routine.of(scene.standing).rhythm(task, spot, scene.now.date(), scene.now.astimezone(dt.UTC)).weekdays
    days = to.split(",")
    if was and has != EVERY_DAY:
        days += [_SHORT[n] for n in has if _SHORT[n] not in was.split(",")]
    weekday = ",".join(sorted(dict.fromkeys(days), key=_SHORT.index))
    return RoutineSet(what=task, **(dated(order) | {"weekday": weekday}))


def _this_once(
    what: str, tasks: Sequence[str], order: Order, scene: Scene, days: tuple[str, str], events: Sequence[RoutineSet]
) -> Taken:
    """From the day coming to the other after it, once; where there are `events` for good it is asked."""
    today = scene.now.date()
    was, to = (_SHORT.index(day) for day in days)
    begin = today + dt.timedelta(days=(was - today.weekday()) % 7)
    until = begin + dt.timedelta(days=(to - was) % 7 or 7)
    spots: Sequence[str | None] = order.where.places or (None,)
    put = tuple(TaskPutOff(task=t, place=p, date=until) for p in spots for t in tasks)
    where = say.places(order.where.places)
    if not events:
        return Taken(
            put, (f"{say.first_up(what)}{f' in {where}' if where else ''} put off to {say.day(until, today)}.",)
        )
    day = f"{until:%a} {until.day} {until:%b}"
    options = (
        (f"every {_NAMES[to]}", tuple(e.outside() for e in events)),
        (f"only this once, {day}", tuple(p.outside() for p in put)),
        ("neither", ()),
    )
    return Taken(asked=Asked(f"{say.first_up(what)}{f' in {where}' if where else ''}: every {_NAMES[to]} from now on, "
                             f"or only this once ({day})?", scene.now, options))  # fmt: skip


# ---- to a day, once


def pushed(order: Order, scene: Scene) -> Taken | None:
    """“Push the water changes to Saturday”: a chore by its name, put off to a day to come."""
    hit = _PUSH.match(order.core)
    if hit and order.weekday == "sat,sun" and order.core.endswith((" to", " till", " until")):
        order = replace(order, weekday=None, days=scene.words.days("the weekend"))
    if not hit or order.weekday or order.days is None or order.days.first <= scene.now.date():
        return None
    until = order.days.first
    if order.days.first != order.days.last and not _begins_with(order.days):
        return None  # “from Monday to Wednesday” may be either
    return _all_put_off(hit["what"], until, order, scene)


def waits(order: Order, scene: Scene) -> Taken | None:
    """“The mops can wait till Friday”, “the water change in 13 is for Friday”."""
    can_wait = WAITS.match(order.core)
    hit, today = can_wait or _IS_FOR.match(order.core), scene.now.date()
    if not hit or order.weekday or order.days is None or (order.days.first > today) == bool(can_wait):
        return None
    until = order.days.back if can_wait else order.days.first
    return _all_put_off(hit["what"], until, order, scene)


def _all_put_off(said: str, until: dt.date, order: Order, scene: Scene) -> Taken | None:
    """A chore by its name, in the places said or everywhere."""
    order, what = object_of(order, said, scene)
    found, where = scene.words.chore(what), order.where
    if found is None or found[1] or where.line or where.batch:
        return None
    spots: tuple[str | None, ...] = where.places or (None,)
    events = tuple(TaskPutOff(task=t, place=p, date=until) for p in spots for t in found[0])
    return Taken(events, (f"{say.first_up(what)}{in_places(spots)} put off to {say.day(until, scene.now.date())}.",))


def _begins_with(days: Days) -> bool:
    """Whether days are a whole week or a weekend, put off to which means its first day."""
    length = (days.last - days.first).days + 1
    return (days.first.weekday(), length) in ((MONDAY, 7), (SATURDAY, 2))


def in_places(places: Sequence[str | None]) -> str:
    """` in tanks 3 and 4`, or nothing."""
    named = say.places([p for p in places if p])
    return f" in {named}" if named else ""
