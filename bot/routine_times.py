"""How often and at what hours, as a keeper says it: several places at once, days of the week, clock times, quiet hours.

One number for one place is a note the reader knows; what it does not know is here.
"""

from __future__ import annotations

import re

from bot import sentences as say
from bot.questions import Asked
from bot.routine_words import NUMBER, Order
from bot.taken import Scene, Taken, dated, object_of, told
from shared.events import RoutineSet
from shared.usual import EVERY_DAYS, PER_DAY

_RATE = (
    r"(?P<rate>every other day|every (?:second|third) day|every day|daily|weekly|once a week|"
    rf"once a day|twice a day|{NUMBER} ?(?:times|x) (?:a|per) day|every {NUMBER} (?:days?|weeks?))"
)
_OFTEN = re.compile(rf"^(?P<what>.+?) {_RATE}$")
_AT = re.compile(r"^(?P<what>.+?) at (?P<clocks>.+)$")
_QUIET = re.compile(r"^(?:be )?quiet (?:hours )?(?:from )?(?P<from>.+?)(?: to | till? | until |-)(?P<to>.+)$")
_DAY_PARTS = re.compile(r"^(?P<part>morning|noon|afternoon|evening|night)s?(?: round)?$")


def often(order: Order, scene: Scene) -> Taken | None:
    """A number for several places or for some weekdays; a single one the reader knows."""
    hit = _OFTEN.match(order.core)
    if not hit:
        return None
    order, what = object_of(order, hit["what"], scene)
    if len(order.where.places) < 2 and not order.weekday and not order.days:
        return None
    found = scene.words.chore(what)
    if found is None or found[1] is not None:
        return None
    number, by_day = _number(hit["rate"])
    events = []
    for task in found[0]:
        key = PER_DAY.get(task) if task in PER_DAY else EVERY_DAYS.get(task)
        if key is None or (by_day is None and task in PER_DAY):
            return None
        value = number if task in EVERY_DAYS else by_day or 0
        if task in EVERY_DAYS and by_day is not None and by_day > 1:
            return None
        events.append(RoutineSet(what=key, value=int(value) if value == int(value) else value, **dated(order)))
    return told(events, scene)


def _number(rate: str) -> tuple[float, float | None]:
    """A rate as every so many days, and as times a day where it is that often."""
    fixed: dict[str, tuple[float, float | None]] = {
        "every day": (1, 1), "daily": (1, 1), "once a day": (1, 1), "twice a day": (0.5, 2),
        "weekly": (7, None), "once a week": (7, None), "every third day": (3, 1 / 3),
        "every other day": (2, 0.5), "every second day": (2, 0.5),
    }  # fmt: skip
    if rate in fixed:
        return fixed[rate]
    numbers = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
    said = re.search(rf"\d+|{'|'.join(numbers)}", rate)
    many = float(numbers.get(said[0]) or said[0]) if said else 1.0
    if "day" in rate and not rate.startswith("every"):
        return 1 / many if many else 0, many
    many *= 7 if "week" in rate else 1
    return many, 1 / many if many else None


def at_hours(order: Order, scene: Scene) -> Taken | None:
    """`feed fry at 7, 12 and 6`; `mornings at 7`. One hour alone may tell of what was done, unless it says for good."""
    hit = _AT.match(order.core)
    clocks = scene.words.clocks(hit["clocks"]) if hit else None
    if not hit or not clocks or order.days:
        return None
    part = _DAY_PARTS.match(hit["what"])
    if part and order.where.room and not order.weekday and len(clocks) == 1:
        at = scene.words.clocks(f"11:59, {hit['clocks']}") if part["part"] not in ("morning", "noon") else clocks
        hour = (at or clocks)[-1]
        first, last = {"morning": (3, 12), "noon": (11, 15)}.get(part["part"], (12, 24))
        if not first <= int(hour[:2]) < last:
            return None
        return told([RoutineSet(what=f"{part['part']}_at", value=hour)], scene)
    order, what = object_of(order, hit["what"], scene)
    found = scene.words.chore(what)
    if found is None or found[1] is not None or (len(clocks) < 2 and not (scene.words.for_good or order.weekday)):
        return None
    tasks = [t for t in found[0] if t in PER_DAY]
    if not tasks:
        return None
    events = [RoutineSet(what=f"{t}_at", value=",".join(clocks), **dated(order)) for t in tasks]
    doing = re.match(r"^(?:feed|change|water|pull)\b", what)
    if doing and not scene.words.for_good and not order.weekday and all(c <= f"{scene.now:%H:%M}" for c in clocks):
        fed = [{"kind": "feed", "places": ["all fry" if tasks == ["fry_feed"] else "all"], "time": c} for c in clocks]
        options = [("every day from now on", tuple(e.outside() for e in events)), ("neither", ())]
        if "feed" in what and order.where.room:
            options.insert(1, ("fed today", tuple(fed)))
        question = f"{say.first_up(what)} at {say.listed(clocks)}: every day, or was that today?"
        return Taken(asked=Asked(question, scene.now, tuple(options)))
    return told(events, scene)


def on_weekdays(order: Order, scene: Scene) -> Taken | None:
    """`water changes on Saturdays`: what comes round by days, put on days of the week."""
    found = scene.words.chore(order.core)
    if found is None or found[1] or not order.weekday or order.days or any(t not in EVERY_DAYS for t in found[0]):
        return None
    return told([RoutineSet(what=t, **dated(order)) for t in found[0]], scene)


def quiet(order: Order, scene: Scene) -> Taken | None:
    hit = _QUIET.match(order.core)
    if not hit or not order.where.room or order.weekday or order.days:
        return None
    # quiet begins in the evening and ends in the morning, unless it says otherwise
    begin = scene.words.clocks(f"12:00, {hit['from']}") or scene.words.clocks(hit["from"])
    end = scene.words.clocks(hit["to"])
    if not begin or not end or len(end) != 1 or begin[-1] == end[0]:
        return None
    event = RoutineSet.model_validate({"what": "quiet", "from": begin[-1], "to": end[0]})
    return Taken((event,), (f"Quiet from {begin[-1]} to {end[0]}.",))
