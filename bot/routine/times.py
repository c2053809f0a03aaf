"""How often and at what hours, as a keeper says it: several places at once, days of the week, clock times, quiet hours.

One number for one place is a note the reader knows; what it does not know is here.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import replace

from bot import sentences as say
from bot.routine.shown import chores
from bot.routine.taken import HOURS, Scene, Taken, dated, object_of, told
from bot.routine.words import NUMBER, Order
from bot.talk.questions import Asked
from shared.due.house_rules import Routine
from shared.due.rules import ROOM, Spot, spot_of
from shared.due.usual import EVERY_DAYS, PER_DAY
from shared.events import RoutineSet
from shared.zones import zone_said

IN_A_YEAR = dt.timedelta(days=364)  # the same weekday and season, with all that is for certain days over
_RATE = (
    r"(?P<rate>every other day|every (?:second|third) day|every day|daily|weekly|once a week|"
    r"monthly|every month|once a month|once a day|twice a day|"
    rf"{NUMBER} ?(?:times|x) (?:a|per) day|every {NUMBER} (?:days?|weeks?))"
)
_READ = frozenset(("feed", "fry_feed", "egg_water", "fry_water", "pull_mop", "water_change"))  # by the reader
_OFTEN = re.compile(rf"^(?P<what>.+?) {_RATE}$")
_AT = re.compile(r"^(?P<what>.+?) at (?P<clocks>.+)$")
_QUIET = re.compile(r"^(?:be )?quiet (?:hours )?(?:from )?(?P<from>.+?)(?: to | till? | until |-)(?P<to>.+)$")
_NOT_AFTER = re.compile(
    r"^(?:be |keep |stay )?(?:quiet|silent)(?: hours)? (?P<how>after|from|before|until|till?) (?P<clock>[\w:. ]{1,12})$"
    r"|^(?:no|don't|dont|do not|never) (?:send )?(?:me )?(?:any )?(?:messages?|texts?|write|write to|bother|disturb"
    r"|notify|wake|reminders?)(?: me)?(?: anything)? (?P<when>after|from|before|until|till?) (?P<hour>[\w:. ]{1,12})$"
)
_DAY_PARTS = re.compile(r"^(?P<part>morning|noon|afternoon|evening|night)s?(?: round)?$")


def often(order: Order, scene: Scene) -> Taken | None:
    """A number for the room, several places or some weekdays; for one place the reader knows it.

    Words that mean two chores at once (“fry tubs”, “feed”) are asked about: water is not food.
    """
    hit = _OFTEN.match(order.core)
    if not hit:
        return None
    order, what = object_of(order, re.sub(r" (?:only|just)$", "", hit["what"]), scene)
    found = scene.words.chore(what)
    if found is None or found[1] is not None:
        return None
    if (
        len(order.where.places) == 1
        and not (order.weekday or order.days or order.season)
        and _READ.issuperset(found[0])
    ):
        return None
    tasks = ("egg_water",) if found[0][0] == "egg_water" else found[0]
    tasks = tuple(t for t in tasks if t in PER_DAY or t in EVERY_DAYS)  # shrimp are harvested when they are ready
    if set(tasks) == {"feed", "fry_feed"} and not order.where.room:
        tasks = ("feed",)  # said of a tank it is whatever is fed there
    number, by_day = _number(hit["rate"])
    events: dict[str, RoutineSet] = {}
    for task in tasks:
        key = PER_DAY.get(task) if task in PER_DAY else EVERY_DAYS.get(task)
        if key is None or (by_day is None and task in PER_DAY):
            return None
        value = number if task in EVERY_DAYS else by_day or 0
        if task in EVERY_DAYS and by_day is not None and by_day > 1:
            return None
        events[task] = RoutineSet(what=key, value=int(value) if value == int(value) else value, **dated(order))
    if len(events) > 1 and order.where.room:
        return _which(f"{say.first_up(what)} {hit['rate']}", events, scene)
    return told(list(events.values()), scene)


def _ahead(clock: str, part: str, scene: Scene) -> bool:
    """Whether an hour given to a part of the day is no news of today: said for good, or still to come."""
    at = scene.words.clocks(clock if part in ("morning", "noon") else f"11:59, {clock}")
    return scene.words.for_good or bool(at and at[-1] > f"{scene.now:%H:%M}")


def _which(said: str, events: dict[str, RoutineSet], scene: Scene) -> Taken:
    options = [(chores([task]), (event.outside(),)) for task, event in events.items()]
    both = tuple(e.outside() for e in events.values())
    asked = f"{said}: {' or '.join(chores([t]) for t in events)}, or both?"
    return Taken(asked=Asked(asked, scene.now, (*options, ("both", both), ("neither", ()))))


def _number(rate: str) -> tuple[float, float | None]:
    """A rate as every so many days, and as times a day where it is that often."""
    fixed: dict[str, tuple[float, float | None]] = {
        "every day": (1, 1), "daily": (1, 1), "once a day": (1, 1), "twice a day": (0.5, 2),
        "weekly": (7, None), "once a week": (7, None), "every third day": (3, 1 / 3),
        "monthly": (30, None), "every month": (30, None), "once a month": (30, None),
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
    if found and found[1] and len(clocks) == 1 and not order.weekday and _ahead(hit["clocks"], found[1], scene):
        return moved(Order(f"move {what} to {hit['clocks']}", order.where), scene)
    if (
        found is None
        or found[1] is not None
        or (len(clocks) < 2 and not (scene.words.for_good or order.weekday or order.season))
    ):
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


_ZONE = re.compile(
    r"^(?:(?:set|change|switch|move) )?(?:the |my |our |the room's )?time ?zone (?:is |to |is now )?(?P<zone>.+)$"
    r"|^(?:we |the room )?(?:moved,? |are now on |is now on |now )?(?:use|on|to) (?P<spoken>.+) time$"
)


def zone_set(order: Order, scene: Scene) -> Taken | None:
    """`time zone is mountain time`, `use Denver time`: the clock by which all of it runs from now on."""
    hit = _ZONE.match(order.core)
    zone = zone_said(re.sub(r"\s*/\s*", "/", hit["zone"] or hit["spoken"])) if hit else None
    if zone is None or not order.where.room or order.weekday or order.days:
        return None
    event = RoutineSet(what="time_zone", value=zone.key)
    return Taken((event,), (f"The room's clock: {zone.key}, now {scene.now.astimezone(zone):%a %H:%M}.",))


_MOVE = re.compile(
    r"^(?:move|shift|change|put|set) (?:the )?(?P<what>.+?)(?: from (?P<from>[\d:.]+ ?(?:am|pm|a|p)?|noon|midday))?"
    r" to (?P<to>.+)$"
)


def moved(order: Order, scene: Scene) -> Taken | None:
    """`move the noon feed to 1pm`: one hour of a chore put to another, its other hours as they are."""
    hit = _MOVE.match(order.core)
    if not hit or order.weekday or len(order.where.places) > 1 or order.where.batch or order.where.line:
        return None
    if part := _DAY_PARTS.match(hit["what"]):
        return at_hours(replace(order, core=f"{part['part']} at {hit['to']}", weekday=None), scene)
    order, what = object_of(order, hit["what"], scene)
    found = scene.words.chore(what)
    tasks = [t for t in found[0] if t in PER_DAY] if found else []
    if found is None or not tasks:
        return None
    spot = spot_of(scene.standing, order.where.places[0]) if order.where.places else ROOM
    times = {t: hours_of(t, spot, order, scene) for t in tasks}
    old = {t: hour_meant(found[1], hit["from"], times[t], scene) for t in tasks}
    if not any(old.values()):
        hours = sorted({f"{t:%H:%M}" for its in times.values() for t in its})
        if not hours or not scene.words.clocks(hit["to"]):
            return None
        return Taken(answer=f"{say.first_up(chores(tasks))} come at {say.listed(hours)}: say which of them to move, "
                     f"like “move {what} from {hours[0]} to {hit['to']}”. Nothing was changed.")  # fmt: skip
    events = []
    for task, at in old.items():
        new = _near(hit["to"], at, scene) if at else None
        if at is None:
            continue
        if new is None:
            return None
        hours = sorted({*(f"{t:%H:%M}" for t in times[task] if t != at), new})
        events.append(RoutineSet(what=f"{task}_at", value=",".join(hours), **dated(order)))
    return told(events, scene)


def hours_of(task: str, spot: Spot, order: Order, scene: Scene) -> tuple[dt.time, ...]:
    """The hours an order changes: of its first day, or those there are for good, without what is only of these days."""
    day = order.days.first if order.days else scene.now.date() + IN_A_YEAR
    return Routine.of(scene.standing).rhythm(task, spot, day, scene.now.astimezone(dt.UTC)).times


def hour_meant(part: str | None, said: str | None, times: Sequence[dt.time], scene: Scene) -> dt.time | None:
    """The one of a chore's hours that was meant: by the part of the day, the hour said, or as its only one."""
    if said:
        meant = {*(scene.words.clocks(said) or ()), *(scene.words.clocks(f"11:59, {said}") or ())[-1:]}
        fits = [t for t in times if f"{t:%H:%M}" in meant]
    elif part:
        named = Routine.of(scene.standing).named_times().get(part)
        first, last = HOURS[part]
        fits = [t for t in times if t == named] or [t for t in times if first <= t.hour < last]
    else:
        fits = list(times)
    return fits[0] if len(fits) == 1 else None


def _near(said: str, old: dt.time, scene: Scene) -> str | None:
    """The hour said, of morning and evening the one nearer to what it was."""
    one = scene.words.clocks(said)
    if not one or len(one) != 1:
        return None
    other = scene.words.clocks(f"11:59, {said}")
    before = old.hour * 60 + old.minute

    def away(clock: str) -> int:
        return abs(int(clock[:2]) * 60 + int(clock[3:]) - before)

    return min({one[0], *(other or one)[-1:]}, key=away)


def on_weekdays(order: Order, scene: Scene) -> Taken | None:
    """`water changes on Saturdays`: what comes round by days, put on days of the week."""
    found = scene.words.chore(order.core)
    if found is None or found[1] or not order.weekday or order.days or any(t not in EVERY_DAYS for t in found[0]):
        return None
    return told([RoutineSet(what=t, **dated(order)) for t in found[0]], scene)


def quiet(order: Order, scene: Scene) -> Taken | None:
    """`quiet from 10 to 7`; `no messages after 9`: the other end stays as it is."""
    said = _quiet_said(order.core, scene) if order.where.room and not order.weekday and not order.days else None
    if said is None or said[0] == said[1]:
        return None
    begin, end = said
    event = RoutineSet.model_validate({"what": "quiet", "from": begin, "to": end})
    nightly = f"{Routine.of(scene.standing).nightly_at:%H:%M}"
    within = begin <= nightly < end if begin < end else not end <= nightly < begin
    more = (f"The nightly message still comes at {nightly}; “nightly at 8 pm” moves it.",) if within else ()
    return Taken((event,), (f"Quiet from {begin} to {end}.", *more))


def _quiet_said(text: str, scene: Scene) -> tuple[str, str] | None:
    """Where quiet begins and ends: in the evening and in the morning, unless it says otherwise."""
    hit, one = _QUIET.match(text), _NOT_AFTER.match(text)
    kept = [f"{at:%H:%M}" for at in Routine.of(scene.standing).quiet]
    said: tuple[str | None, str | None]
    if hit:
        said = (hit["from"], hit["to"])
    elif one:
        clock, after = one["clock"] or one["hour"], (one["how"] or one["when"]) in ("after", "from")
        said = (clock, None) if after else (None, clock)
    else:
        return None
    begin = scene.words.clocks(f"12:00, {said[0]}") or scene.words.clocks(said[0]) if said[0] else kept[:1]
    end = scene.words.clocks(said[1]) if said[1] else kept[1:]
    return (begin[-1], end[0]) if begin and end and len(end) == 1 else None
