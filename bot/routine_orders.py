"""Changes to the routine as a keeper says them: what falls out, what is added, when, how often, and whose it is.

Each of these knows one way of putting it and answers None to all others; nothing is guessed.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bot import sentences as say
from bot.questions import Asked
from bot.routine_shown import changes, chores, scoped
from bot.routine_words import CHORE, NUMBER, PARTS, Order, Words
from shared.events import Event, ReminderAsked, RoutineSet, TaskDone
from shared.house_rules import Routine
from shared.ledger import Standing
from shared.rules import ROOM, spot_of
from shared.tasks import TASKS
from shared.usual import EVERY_DAYS, PER_DAY

# What waits a day without harm: common practice, no source.
CAN_WAIT = (
    "pull_mop",
    "water_change",
    "culture_restart",
    "culture_feed",
    "move_up",
    "thin_out",
    "test_water",
    "service",
)
# Left out for the whole room without an end only when asked back.
_VITAL = frozenset(("egg_water", "check_hatch", "fry_water", "fry_feed", "feed", "start_brine_shrimp"))
# Where a part of the day has no hour of its own name, the hours it may stand for.
_HOURS = {"morning": (4, 11), "noon": (11, 14), "afternoon": (14, 18), "evening": (16, 20), "night": (20, 24)}


@dataclass(frozen=True)
class Taken:
    """What an order comes to: events to log with the lines said of them, a question first, or only an answer."""

    events: tuple[Event, ...] = ()
    lines: tuple[str, ...] = ()
    asked: Asked | None = None
    answer: str | None = None


@dataclass(frozen=True)
class Scene:
    """Where an order is given: the room as it stands, when, by whom, and the words as they are known here."""

    standing: Standing
    now: dt.datetime
    words: Words
    speaker: str | None = None


def routine_order(order: Order, scene: Scene) -> Taken | None:
    """The change to the routine an order asks for, if it is one."""
    for known in _KNOWN:
        taken = known(order, scene)
        if taken is not None:
            return taken
    return None


def told(events: list[RoutineSet], scene: Scene, *more: str) -> Taken:
    """Changes with the lines that read them back."""
    lines = [f"{line}." for line in changes(events, scene.now)]
    return Taken(tuple(events), (*lines, *more))


def sure_first(question: str, events: list[RoutineSet], scene: Scene) -> Taken:
    """Changes that are made only after a yes."""
    options = (("yes", tuple(e.outside() for e in events)), ("no", ()))
    return Taken(asked=Asked(question, scene.now, options))


def _dated(order: Order) -> dict[str, Any]:
    keys: dict[str, Any] = dict(order.where.keys())
    if order.weekday:
        keys["weekday"] = order.weekday
    if order.days:
        keys |= order.days.keys()
    return keys


# ---- left out, taken up again

_OFF = re.compile(
    r"^(?P<how>no more|no|stop|never|don't|dont|do not|switch off|turn off) "
    r"(?:(?:the|any|do|doing) )?(?P<what>.+?)(?P<more> any ?more)?$"
)
_ON = re.compile(
    r"^(?:start|resume|switch on|turn on) (?:the )?(?P<what>.+?)(?: again)?$|^(?P<same>.+?) (?:back on|again)$"
)


def _off(order: Order, scene: Scene) -> Taken | None:
    hit = _OFF.match(order.core)
    if not hit:
        return None
    order, what = _object(order, hit["what"], scene)
    found = scene.words.chore(what)
    if found is None:
        return None
    tasks, slot = found
    limited = bool(order.weekday or (order.days and order.days.last > scene.now.date()))
    final = hit["how"] not in ("no", "don't", "dont", "do not", "never") or bool(hit["more"])
    if not (limited or final or (hit["how"] == "never" and not order.where.room)):
        return None  # “no mops” may as well tell of what was not done
    if slot is not None:
        slots = {t: at for t in tasks if (at := _slot_of(t, slot, scene))}
        if not slots:
            return Taken(answer=f"There is no {slot} {chores(tasks[:1])} as it is; nothing was changed.")
    else:
        slots = dict.fromkeys(tasks, "")
    keys = _dated(order)
    events = [RoutineSet(what="off", value=t, **keys, **({"slot": at} if at else {})) for t, at in slots.items()]
    if order.where.room and not limited and (_VITAL.intersection(tasks) or hit["how"] == "no more"):
        return sure_first(f"Leave out {chores(tasks)} in the whole room from now on?", events, scene)
    return told(events, scene)


def _on(order: Order, scene: Scene) -> Taken | None:
    hit = _ON.match(order.core)
    if not hit:
        return None
    order, what = _object(order, hit["what"] or hit["same"], scene)
    found = scene.words.chore(what)
    if found is None or found[1] is not None:
        return None
    routine, today = Routine.of(scene.standing), scene.now.date()
    spots = [spot_of(scene.standing, p) for p in order.where.places] or [ROOM]
    asof = scene.now.astimezone(dt.UTC)
    if not any(routine.is_off(t, spot, today, asof) for t in found[0] for spot in spots):
        return None
    return told([RoutineSet(what="on", value=t, **_dated(order)) for t in found[0]], scene)


def _object(order: Order, what: str, scene: Scene) -> tuple[Order, str]:
    """`feeding tank 7` taken apart into the chore and where, when nothing else said where."""
    hit = re.match(rf"^(?P<chore>{CHORE}) (?P<where>.+)$", what)
    if hit and order.where.room and (where := scene.words.where(hit["where"])):
        return Order(order.core, where, order.weekday, order.days), hit["chore"]
    return order, what


def _slot_of(task: str, part: str, scene: Scene) -> str | None:
    """The hour of a chore that a part of the day means: by its name where it has that, else by the clock."""
    routine = Routine.of(scene.standing)
    times = routine.rhythm(task, ROOM, scene.now.date(), scene.now.astimezone(dt.UTC)).times
    if task in EVERY_DAYS:
        return None
    if routine.named_times().get(part) in times:
        return part
    first, last = _HOURS[part]
    fits = [t for t in times if first <= t.hour < last]
    return f"{fits[0]:%H:%M}" if len(fits) == 1 else None


# ---- how often and when

_RATE = (
    r"(?P<rate>every other day|every (?:second|third) day|every day|daily|weekly|once a week|"
    rf"once a day|twice a day|{NUMBER} ?(?:times|x) (?:a|per) day|every {NUMBER} (?:days?|weeks?))"
)
_OFTEN = re.compile(rf"^(?P<what>.+?) {_RATE}$")
_AT = re.compile(r"^(?P<what>.+?) at (?P<clocks>.+)$")
_QUIET = re.compile(r"^(?:be )?quiet (?:hours )?(?:from )?(?P<from>.+?)(?: to | till? | until |-)(?P<to>.+)$")
_DAY_PARTS = re.compile(r"^(?P<part>morning|noon|afternoon|evening|night)s?(?: round)?$")


def _often(order: Order, scene: Scene) -> Taken | None:
    """A number for several places or for some weekdays; a single one the reader knows."""
    hit = _OFTEN.match(order.core)
    if not hit:
        return None
    order, what = _object(order, hit["what"], scene)
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
        events.append(RoutineSet(what=key, value=int(value) if value == int(value) else value, **_dated(order)))
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


def _at_hours(order: Order, scene: Scene) -> Taken | None:
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
    order, what = _object(order, hit["what"], scene)
    found = scene.words.chore(what)
    if found is None or found[1] is not None or (len(clocks) < 2 and not (scene.words.for_good or order.weekday)):
        return None
    tasks = [t for t in found[0] if t in PER_DAY]
    if not tasks:
        return None
    events = [RoutineSet(what=f"{t}_at", value=",".join(clocks), **_dated(order)) for t in tasks]
    doing = re.match(r"^(?:feed|change|water|pull)\b", what)
    if doing and not scene.words.for_good and not order.weekday and all(c <= f"{scene.now:%H:%M}" for c in clocks):
        fed = [{"kind": "feed", "places": ["all fry" if tasks == ["fry_feed"] else "all"], "time": c} for c in clocks]
        options = [("every day from now on", tuple(e.outside() for e in events)), ("neither", ())]
        if "feed" in what and order.where.room:
            options.insert(1, ("fed today", tuple(fed)))
        question = f"{say.first_up(what)} at {say.listed(clocks)}: every day, or was that today?"
        return Taken(asked=Asked(question, scene.now, tuple(options)))
    return told(events, scene)


def _on_weekdays(order: Order, scene: Scene) -> Taken | None:
    """`water changes on Saturdays`: what comes round by days, put on days of the week."""
    found = scene.words.chore(order.core)
    if found is None or found[1] or not order.weekday or order.days or any(t not in EVERY_DAYS for t in found[0]):
        return None
    return told([RoutineSet(what=t, **_dated(order)) for t in found[0]], scene)


def _quiet(order: Order, scene: Scene) -> Taken | None:
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


# ---- a light day, rest

_LIGHT = re.compile(r"^(?:a |have a |make it a )?(?:light|easy|short) day$|^only what (?:cannot|can't|can not) wait$")
_REST = re.compile(r"^(?:rest|let) (?P<where>.+?)(?P<let> rest)?$|^(?P<at>.+?) (?:rests|at rest)$|^rest$")
_APART = re.compile(
    r"^(?:keep )?(?:the )?sexes apart$|^(?:keep |set |put )?(?:the )?males? (?:and|from) (?:the )?females? apart$"
)
_TOGETHER = re.compile(
    r"^(?:put )?(?:the )?(?:sexes |fish |pair |them )?back together(?: again)?$"
    r"|^(?:put )?(?P<where>.+?) (?:is |are )?back together(?: again)?$"
)


def _light(order: Order, scene: Scene) -> Taken | None:
    if not _LIGHT.match(order.core) or not order.where.room:
        return None
    keys = {k: v for k, v in _dated(order).items() if k not in ("place", "places")}
    if not keys:
        day = scene.now.date().isoformat()
        keys = {"from": day, "to": day}
    events = [RoutineSet(what="off", value=t, **keys) for t in CAN_WAIT]
    return told(events, scene, "Eggs, fry, feeding and promises stay.")


def _rest(order: Order, scene: Scene) -> Taken | None:
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
        text = f"{say.places(where.places)}: back together"
        place = where.places[0] if len(where.places) == 1 else None
        events.append(ReminderAsked(text=text, date=order.days.back, place=place))
        lines = [f"{line.removesuffix('.')} (I remind you)." for line in lines]
    else:
        lines.append(f"Say “{where.places[0]} back together” when that is over.")
    return Taken(tuple(events), tuple(lines))


def _together(order: Order, scene: Scene) -> Taken | None:
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
    if not events:
        return None
    asked = [k.event for k in scene.standing.reminders if isinstance(k.event, ReminderAsked)]
    for text in dict.fromkeys(a.text for a in asked if a.text.endswith(": back together") and a.place in named.places):
        events.append(TaskDone(task=text))
    return Taken(tuple(events), (f"{say.first_up(say.places(named.places))}: back together; mops as before.",))


# ---- whose it is

_WHO = re.compile(
    r"^(?P<who>[^\W\d_]+) (?P<verb>does|do|takes over|take over|takes|take|looks after|look after|feeds|feed|minds) ?"
    r"(?P<what>.*)$"
)
_ALL = ("everything", "it all", "all of it", "all", "the room", "the whole room", "the lot")


def _who(order: Order, scene: Scene) -> Taken | None:
    hit = _WHO.match(order.core)
    if not hit:
        return None
    person = scene.speaker if hit["who"] == "i" else scene.words.person(hit["who"])
    if not person or (hit["who"] == "i") != (hit["verb"].split()[0] in ("do", "take", "look", "feed")):
        return None
    keys, what = _dated(order) | {"person": person}, hit["what"].removeprefix("the ")
    feeds = hit["verb"] in ("feeds", "feed")
    if feeds:
        what = f"feed {hit['what']}".strip()
    values: tuple[str, ...]
    if part := re.match(r"^(morning|noon|afternoon|evening|night)s(?: round)?$", what):
        if order.days:
            keys["slot"] = part[1]
        else:
            keys["from"], keys["to"] = PARTS[part[1]]
        values = ("all",)
    elif (weekday := scene.words.weekdays(what)) and not order.weekday:
        keys["weekday"], values = weekday, ("all",)
    elif hit["what"] in _ALL or what in _ALL:
        values = ("all",)
        if order.where.room and not (order.weekday or order.days):
            return sure_first(
                f"Everything is {person}'s from now on?", [RoutineSet(what="who", value="all", **keys)], scene
            )
    elif found := scene.words.chore(what):
        values = found[0]
        if found[1]:
            slots = {t: _slot_of(t, found[1], scene) for t in values}
            events = [RoutineSet(what="who", value=t, slot=at, **keys) for t, at in slots.items() if at]
            return told(events, scene) if events else None
    elif order.where.room and (where := scene.words.where(what.removeprefix("feed ") if feeds else what)):
        if where.room:
            return None
        keys |= where.keys()
        values = ("fry_feed", "feed") if feeds else ("all",)
    else:
        return None
    return told([RoutineSet(what="who", value=v, **keys) for v in values], scene)


# ---- as before

_USUAL = re.compile(
    r"^(?:(?:go )?back to (?:the )?usual|(?:the )?usual routine(?: again)?|(?:the )?routine (?:as|back to) usual|"
    r"(?:undo|reset|clear|forget) (?:the |our |my )?(?:whole )?routine)$"
)


def _usual(order: Order, scene: Scene) -> Taken | None:
    if not _USUAL.match(order.core) or order.weekday or order.days:
        return None
    events = scoped(scene.standing, order.where.keys())
    where = say.places(order.where.places) or order.where.batch or order.where.line or "the room"
    if not events:
        return Taken(answer=f"The routine for {where} is the usual one already.")
    names = [e.what for e in events]
    gone = say.listed(dict.fromkeys(chores([n]) if n in TASKS else n.replace("_", " ") for n in names))
    if order.where.room:
        return sure_first(f"Back to usual in the whole room ({gone})?", events, scene)
    return Taken(tuple(events), (f"{say.first_up(where)}: back to usual ({gone}).",))


_KNOWN: tuple[Callable[[Order, Scene], Taken | None], ...] = (
    _usual,
    _light,
    _quiet,
    _rest,
    _together,
    _off,
    _on,
    _often,
    _at_hours,
    _on_weekdays,
    _who,
)
