"""What an order comes to, where it is given, and the few things all orders about the routine share."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, replace
from typing import Any

from bot.routine.chore_words import CHORE
from bot.routine.shown import changes
from bot.routine.words import Order, Words
from bot.talk.questions import Asked
from shared.due.house_rules import Routine
from shared.due.rules import ROOM
from shared.due.usual import EVERY_DAYS
from shared.events import Event, RoutineSet
from shared.ledger.standing import Standing

# Where a part of the day has no hour of its own name, the hours it may stand for.
HOURS = {"morning": (4, 11), "noon": (11, 14), "afternoon": (14, 18), "evening": (16, 20), "night": (20, 24)}


@dataclass(frozen=True)
class Taken:
    """What an order comes to: events to log with the lines said of them, a question first, or only an answer."""

    events: tuple[Event, ...] = ()
    lines: tuple[str, ...] = ()
    asked: Asked | None = None
    answer: str | None = None
    at: dt.datetime | None = None  # when it happened, where that is not now
    picture: bytes | None = None  # or a page as PDF


@dataclass(frozen=True)
class Scene:
    """Where an order is given: the room as it stands, when, by whom, and the words as they are known here."""

    standing: Standing
    now: dt.datetime
    words: Words
    speaker: str | None = None


def told(events: list[RoutineSet], scene: Scene, *more: str) -> Taken:
    """Changes with the lines that read them back."""
    lines = [f"{line}." for line in changes(events, scene.now)]
    return Taken(tuple(events), (*lines, *more))


def sure_first(question: str, events: list[RoutineSet], scene: Scene) -> Taken:
    """Changes that are made only after a yes."""
    options = (("yes", tuple(e.outside() for e in events)), ("no", ()))
    return Taken(asked=Asked(question, scene.now, options))


def dated(order: Order) -> dict[str, Any]:
    """Where and when an order holds, as the keys of a setting."""
    keys: dict[str, Any] = dict(order.where.keys())
    if order.weekday:
        keys["weekday"] = order.weekday
    if order.days:
        keys |= order.days.keys()
    if order.season and not order.days:
        keys |= {"from": order.season[0], "to": order.season[1]}
    return keys


def object_of(order: Order, what: str, scene: Scene) -> tuple[Order, str]:
    """`feeding tank 7`, `tank 7 feeding` taken apart into the chore and where, when nothing else said where."""
    hit = re.match(rf"^(?P<chore>{CHORE}) (?:in |of |for )?(?P<where>.+)$", what) or re.match(
        rf"^(?P<where>.+) (?P<chore>{CHORE})$", what
    )
    if hit and order.where.room and (where := scene.words.where(hit["where"])):
        return replace(order, where=where), hit["chore"]
    return order, what


def slot_of(task: str, part: str, scene: Scene) -> str | None:
    """The hour of a chore that a part of the day means: by its name where it has that, else by the clock."""
    routine = Routine.of(scene.standing)
    times = routine.rhythm(task, ROOM, scene.now.date(), scene.now.astimezone(dt.UTC)).times
    if task in EVERY_DAYS:
        return None
    if routine.named_times().get(part) in times:
        return part
    first, last = HOURS[part]
    fits = [t for t in times if first <= t.hour < last]
    return f"{fits[0]:%H:%M}" if len(fits) == 1 else None


_LEAD = re.compile(
    rf"^(?:please|ok|okay|hey|hi|hello|(?:good )?morning(?! (?:{CHORE})\b)|so|and|"
    r"can you|could you|would you|i want to|i'd like to|let's|lets)[\s,.!]+(?=\w)"
)
_FOR_GOOD = re.compile(r"^(?:from now on|from today(?: on)?|starting today|new rule|new routine|always)[\s,:]+")
_TAIL = re.compile(r"[\s,]+(?:please|thanks|thank you|pls)$")


def bare_order(text: str) -> tuple[str, bool]:
    """An order without the polite words about it, and whether it is said to hold from now on."""
    for_good = False
    while True:
        shorter = _TAIL.sub("", _LEAD.sub("", text))
        if hit := _FOR_GOOD.match(shorter):
            shorter, for_good = shorter[hit.end() :], True
        if shorter.endswith(" from now on"):
            shorter, for_good = shorter.removesuffix(" from now on").rstrip(" ,"), True
        if shorter == text:
            return text, for_good
        text = shorter
