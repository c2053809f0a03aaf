"""A light day, a tank at rest, the sexes apart, and back together: with the day that ends it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from bot import sentences as say
from bot.routine.shown import changes
from bot.routine.taken import Scene, Taken, dated, told
from bot.routine.words import Order
from shared.due.house_rules import Routine
from shared.due.rules import spot_of
from shared.events import Event, ReminderAsked, RoutineSet, TaskDone, TaskPutOff

# What waits a day without harm: common practice, no source.
CAN_WAIT = (
    "pull_mop",
    "collect_peat",
    "water_change",
    "culture_restart",
    "culture_feed",
    "move_up",
    "thin_out",
    "test_water",
    "service",
)
_BACK = ": back together"
_LIGHT = re.compile(r"^(?:a |have a |make it a )?(?:light|easy|short) day$|^only what (?:cannot|can't|can not) wait$")
_REST = re.compile(r"^(?:rest|let) (?P<where>.+?)(?P<let> rest)?$|^(?P<at>.+?) (?:rests|at rest)$|^rest$")
_APART = re.compile(
    r"^(?:keep )?(?:the )?sexes apart$|^(?:keep |set |put )?(?:the )?males? (?:and|from) (?:the )?females? apart$"
)
_TOGETHER = re.compile(
    r"^(?:put )?(?:the )?(?:sexes |fish |pair |them )?back together(?: again)?$"
    r"|^(?:put )?(?P<where>.+?) (?:is |are )?back together(?: again)?$"
)


def light(order: Order, scene: Scene) -> Taken | None:
    """“A light day”: what can wait is left out on it."""
    if not _LIGHT.match(order.core) or not order.where.room:
        return None
    keys = {k: v for k, v in dated(order).items() if k not in ("place", "places")}
    if not keys:
        day = scene.now.date().isoformat()
        keys = {"from": day, "to": day}
    events = [RoutineSet(what="off", value=t, **keys) for t in CAN_WAIT]
    return told(events, scene, "Eggs, fry, feeding and promises stay.")


def rest(order: Order, scene: Scene) -> Taken | None:
    """“Rest tank 3 for two weeks”, “keep the sexes apart till Friday”: with a reminder of the end."""
    apart = bool(_APART.match(order.core))
    where = order.where
    if not apart:
        hit = _REST.match(order.core)
        if not hit or bool(hit["let"]) != order.core.startswith("let "):
            return None
        named = hit["where"] or hit["at"]
        found = scene.words.where(named) if named else None
        where = found if found and where.room else where
        if named and found is None:
            return None
        if order.days is None and (named or "").isdigit():
            return None  # “rest 3” may be anything
    if not where.places or order.weekday or where.places[0].startswith("all "):
        return None
    if order.days and order.days.first > scene.now.date():
        return None
    key = "sexes_apart" if apart else "rest"
    value = order.days.back.isoformat() if order.days else True
    events: list[Event] = [RoutineSet(what=key, value=value, **where.keys())]
    lines = [f"{line}." for line in changes([e for e in events if isinstance(e, RoutineSet)], scene.now)]
    if order.days:
        text = f"{say.places(where.places)}{_BACK}"
        place = where.places[0] if len(where.places) == 1 else None
        if any(k.text == text and k.date and scene.now.date() <= k.date <= order.days.back for k in _asked(scene)):
            events.append(TaskPutOff(task=text, date=order.days.back, place=place))  # the same rest, longer
        else:
            events.append(ReminderAsked(text=text, date=order.days.back, place=place))
        lines = [f"{line.removesuffix('.')} (I remind you)." for line in lines]
    else:
        lines.append(f"Say “{where.places[0]} back together” when that is over.")
    return Taken(tuple(events), tuple(lines))


def together(order: Order, scene: Scene) -> Taken | None:
    """“Back together”: what rest or keeping apart there was is over, and its reminder with it."""
    hit = _TOGETHER.match(order.core)
    if not hit:
        return None
    named = scene.words.where(hit["where"]) if hit["where"] else order.where
    if named is None or not named.places:
        return None
    asof = scene.now.astimezone(dt.UTC)
    routine, events = Routine.of(scene.standing), list[Event]()
    for place in named.places:
        spot = spot_of(scene.standing, place)
        for key in ("rest", "sexes_apart"):
            if routine.value(key, spot, scene.now.date(), asof):
                events.append(RoutineSet(what=key, value="default", place=place))
    over = no_reminder(named.places, scene)
    if not events and not any(_pending(text.task, scene) for text in over):
        return None
    events += over
    return Taken(tuple(events), (f"{say.first_up(say.places(named.places))}: back together; mops as before.",))


def _pending(text: str, scene: Scene) -> bool:
    """Whether that reminder was not answered yet."""
    said = [k.said for k in scene.standing.reminders if getattr(k.event, "text", "") == text]
    done = scene.standing.done.get(f"{text}|")
    return bool(said) and (done is None or done < max(said))


def no_reminder(places: Sequence[str], scene: Scene) -> list[TaskDone]:
    """The reminders of these places' rest put down as done: it is over."""
    texts = [a.text for a in _asked(scene) if a.text.endswith(_BACK) and a.place in places and a.date]
    return [TaskDone(task=text) for text in dict.fromkeys(texts)]


def _asked(scene: Scene) -> list[ReminderAsked]:
    return [k.event for k in scene.standing.reminders if isinstance(k.event, ReminderAsked)]
