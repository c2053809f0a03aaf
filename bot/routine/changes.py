"""Changes to the routine as a keeper says them: what falls out, what is added, when, how often, and whose it is.

Each of these knows one way of putting it and answers None to all others; nothing is guessed.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from bot import sentences as say
from bot.routine.chore_words import PARTS
from bot.routine.resting import light, no_reminder, rest, together
from bot.routine.shifting import by_so_much, to_weekdays
from bot.routine.shown import changes, chores, scoped
from bot.routine.taken import Scene, Taken, dated, object_of, slot_of, sure_first, told
from bot.routine.times import at_hours, moved, often, on_weekdays, quiet, zone_set
from bot.routine.words import Days, Order
from bot.talk.questions import Asked
from shared.due.house_rules import Routine
from shared.due.rules import ROOM, spot_of
from shared.events import RoutineSet

# Left out for the whole room without an end only when asked back.
_VITAL = frozenset(("egg_water", "check_hatch", "fry_water", "fry_feed", "feed", "start_brine_shrimp"))


# Every order to put a chore off or to change the routine has one of these words in it, or a day to come.
_WORDS = re.compile(
    r"\b(?:later|in a bit|not|leave|move|no|never|do|does|don'?t|gets?|takes?|delay|postpone|push|put|shift|skip|snooze"
    r"|cancel|drop|wait|(?:is|are) for|stop|switch|turn|start|resume|again|back|covers?|feeds?|handles?|has"
    r"|looks? after|minds|(?:change|set)\b.* to|quiet|time|timezone|at|daily|every|weekly|earlier|forward|routine"
    r"|rests?|let|apart|only what|tomorrow|next|days?|weekdays?|weekends?|weeks?|months?|fortnight"
    r"|(?:mon|tue|wed|thu|fri|sat|sun|jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
    r"|the \d|the \w*(?:th|st|nd|rd))\b|\d[-/]\d|\d(?:st|nd|rd|th)\b"
)


def may_be_of_routine(text: str) -> bool:
    """Whether an order can be meant at all: most notes tell what was done, and need not be held against each way."""
    return _WORDS.search(text) is not None


def routine_order(order: Order, scene: Scene) -> Taken | None:
    """The change to the routine an order asks for, if it is one."""
    for known in _BY_SEASON if order.season else _KNOWN:
        taken = known(order, scene)
        if taken is not None:
            return taken
    return None


# ---- left out, taken up again

_OFF = re.compile(
    r"^(?P<how>no more|not|no|stop|never|don't|dont|do not|switch off|turn off) "
    r"(?:(?:the|any|do|doing) )?(?P<what>.+?)(?P<more> any ?more)?$"
)
_ON = re.compile(
    r"^(?:start|resume|switch on|turn on) (?:the )?(?P<what>.+?)(?: again)?$|^(?P<same>.+?) (?:back on|again)$"
)


def _off(order: Order, scene: Scene) -> Taken | None:
    hit = _OFF.match(order.core)
    if not hit:
        return None
    order, what = object_of(order, hit["what"], scene)
    found = scene.words.chore(what)
    if found is None:
        return None
    tasks, slot = found
    limited = bool(order.weekday or order.season or (order.days and order.days.last > scene.now.date()))
    final = hit["how"] not in ("no", "not", "don't", "dont", "do not", "never") or bool(hit["more"])
    if hit["how"] in ("no", "not") and order.days and _one_day_off(order.days, scene):
        return None  # “no mops on Sunday” may be last Sunday's news
    if not (limited or final or (hit["how"] == "never" and not order.where.room)):
        return None  # “no mops” may as well tell of what was not done
    if slot is not None:
        slots = {t: at for t in tasks if (at := slot_of(t, slot, scene))}
        if not slots:
            return Taken(answer=f"There is no {slot} {chores(tasks[:1])} as it is; nothing was changed.")
    else:
        slots = dict.fromkeys(tasks, "")
    keys = dated(order)
    if order.where.room and slots.keys() == {"fry_feed", "feed"} and (order.weekday or order.season):
        return _fry_as_well(slots, keys, scene)
    events = [RoutineSet(what="off", value=t, **keys, **({"slot": at} if at else {})) for t, at in slots.items()]
    if order.where.room and not limited and (_VITAL.intersection(tasks) or hit["how"] == "no more"):
        return sure_first(f"Leave out {chores(tasks)} in the whole room from now on?", events, scene)
    return told(events, scene)


def _fry_as_well(slots: Mapping[str, str], keys: Mapping[str, Any], scene: Scene) -> Taken:
    """“No feeding on Sundays”: grown fish do without a day, fry do not, so it is asked."""

    def off(*tasks: str) -> tuple[dict[str, Any], ...]:
        at = ({"slot": slots[t]} if slots[t] else {} for t in tasks)
        return tuple(RoutineSet(what="off", value=t, **keys, **its).outside() for t, its in zip(tasks, at, strict=True))

    options = (("grown fish only", off("feed")), ("fry too", off("feed", "fry_feed")), ("neither", ()))
    return Taken(asked=Asked("No feeds for the grown fish only, or for the fry too?", scene.now, options))


def _one_day_off(days: Days, scene: Scene) -> bool:
    return days.first == days.last and days.first > scene.now.date() + dt.timedelta(days=1)


def _on(order: Order, scene: Scene) -> Taken | None:
    hit = _ON.match(order.core)
    if not hit:
        return None
    order, what = object_of(order, hit["what"] or hit["same"], scene)
    found = scene.words.chore(what)
    if found is None or found[1] is not None:
        return None
    routine, today = Routine.of(scene.standing), scene.now.date()
    spots = [spot_of(scene.standing, p) for p in order.where.places] or [ROOM]
    asof = scene.now.astimezone(dt.UTC)
    if not any(routine.is_off(t, spot, today, asof) for t in found[0] for spot in spots):
        if not order.core.startswith(("resume", "switch", "turn")) and not order.core.endswith((" again", " back on")):
            return None  # “start brine shrimp” tells of what was done
        where = f" in {say.places(order.where.places)}" if order.where.places else ""
        return Taken(answer=f"{say.first_up(chores(found[0]))}{where}: not left out as it is; nothing was changed.")
    return told([RoutineSet(what="on", value=t, **dated(order)) for t in found[0]], scene)


# ---- whose it is

_WHO = re.compile(
    r"^(?P<who>[^\W\d_]+) (?P<verb>does|do|takes over|take over|takes|take|looks after|look after|feeds|feed|minds|"
    r"covers|cover|handles|handle|has) ?(?P<what>.*)$"
)
_DAY_PART = re.compile(r"^(?P<day>[a-z]+?days?) (?P<part>morning|noon|afternoon|evening|night)(?P<every>s)?$")
_ALL = ("everything", "it all", "all of it", "all", "the room", "the whole room", "the lot")


def _who(order: Order, scene: Scene) -> Taken | None:
    hit = _WHO.match(order.core)
    if not hit:
        return None
    person = scene.speaker if hit["who"] == "i" else scene.words.person(hit["who"])
    if not person or (hit["who"] == "i") != (hit["verb"].split()[0] in ("do", "take", "look", "feed")):
        return None
    keys, what = dated(order) | {"person": person}, hit["what"].removeprefix("the ")
    if not what and hit["verb"] not in ("do", "feed", "feeds") and (order.weekday or order.days):
        what = "everything"
    feeds = hit["verb"] in ("feeds", "feed")
    if feeds:
        what = f"feed {hit['what']}".strip()
    if hit["what"] in _ALL:
        what = "everything"
    if (turn := _DAY_PART.match(what)) and not order.days and not order.weekday:
        what = f"{turn['part']}s"  # “Thursday mornings”, “Friday evening”
        if turn["every"] and (weekday := scene.words.weekdays(f"{turn['day'].removesuffix('s')}s")):
            keys["weekday"] = weekday
        elif not turn["every"] and (days := scene.words.days(turn["day"])):
            order, keys = replace(order, days=days), keys | days.keys()
        else:
            return None
    elif not order.days and hit["verb"].startswith("cover") and (days := scene.words.days(hit["what"])):
        keys, what = keys | days.keys(), "everything"  # “covers the weekend”: the one that comes
    return _given(order, what, keys, scene, feeds=feeds)


def _given(order: Order, what: str, keys: dict[str, Any], scene: Scene, *, feeds: bool) -> Taken | None:
    """Somebody's from now on, or on the days of `keys`: a part of the day, everything, a chore, or some tanks."""
    values: tuple[str, ...] = ("all",)
    if part := re.match(r"^(morning|noon|afternoon|evening|night)s(?: round)?$", what):
        if order.days:
            keys["slot"] = part[1]
        else:
            keys["from"], keys["to"] = PARTS[part[1]]
    elif (weekday := scene.words.weekdays(what)) and not order.weekday:
        keys["weekday"] = weekday
    elif what in _ALL:
        if order.where.room and not ({"weekday", "from"} & keys.keys()):
            everything = [RoutineSet(what="who", value="all", **keys)]
            return sure_first(f"Everything is {keys['person']}'s from now on?", everything, scene)
    elif found := scene.words.chore(what):
        values = found[0]
        if found[1]:
            slots = {t: slot_of(t, found[1], scene) for t in values}
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


_NOT = r"(?:does not|doesn'?t|do not|don'?t|can'?t|can ?not|won'?t|will not|is not|isn'?t|never)"
_HERE = r"(?:do|does|works?|working|comes?|coming|make it|be (?:here|in|there)|here|in|there|available|anything)"
_NOT_THEIRS = re.compile(
    rf"^(?P<who>[^\W\d_]+) {_NOT}(?: {_HERE})*$"
    r"|^(?P<off>[^\W\d_]+) (?:is |has (?:the day )?)off$|^(?P<has>[^\W\d_]+) has (?P<days>.+) off$"
    r"|^(?:no|without) (?P<no>[^\W\d_]+)$"
)


def _not_theirs(order: Order, scene: Scene) -> Taken | None:
    """“Ivo doesn't do Sundays”: whose these days are then is asked."""
    hit = _NOT_THEIRS.match(order.core)
    said = (hit["who"] or hit["off"] or hit["has"] or hit["no"]) if hit else None
    person = (scene.speaker if said == "i" else scene.words.person(said)) if said else None
    if hit is None or person is None or not order.where.room:
        return None
    if hit["days"]:
        weekday, days = scene.words.weekdays(hit["days"]), scene.words.days(hit["days"])
        order = replace(order, weekday=weekday, days=None if weekday else days)
    keys = dated(order)
    if not order.weekday and not order.days:
        return None
    others = [p for p in scene.words.names.people if p != person]
    others.sort(key=lambda p: p != scene.speaker)
    told = changes([RoutineSet(what="who", value="all", person=person, **keys)], scene.now)[0].rpartition(":")[0]
    if not others:
        return Taken(answer=f"{told}: nobody else is here whose it could be. Nothing was changed.")
    options = [(p, (RoutineSet(what="who", value="all", person=p, **keys).outside(),)) for p in others[:4]]
    return Taken(asked=Asked(f"{told} without {person}: who does it all then?", scene.now, (*options, ("nobody", ()))))


# ---- as before

_USUAL = re.compile(
    r"^(?P<where>.+?) (?:is |are |goes |go )?back to (?:the )?usual(?: again)?$"
    r"|^(?:(?:go )?back to (?:the )?usual|(?:the )?usual routine(?: again)?|(?:the )?routine (?:as|back to) usual"
    r"|(?:undo|reset|clear|forget) (?:the |our |my )?(?:whole )?routine)$"
)


def _usual(order: Order, scene: Scene) -> Taken | None:
    hit = _USUAL.match(order.core)
    if not hit or order.weekday or order.days:
        return None
    if hit["where"]:
        where_said = scene.words.where(hit["where"]) if order.where.room else None
        if where_said is None or where_said.room:
            return None
        order = replace(order, where=where_said)
    events, gone = scoped(scene.standing, order.where.keys(), scene.now.date())
    where = say.places(order.where.places) or order.where.batch or order.where.line or "the room"
    if not gone:
        return Taken(answer=f"The routine for {where} is the usual one already.")
    dropped = "; ".join(gone)
    if order.where.room:
        return sure_first(f"Back to usual in the whole room? That drops: {dropped}.", events, scene)
    rests = any(e.what in ("rest", "sexes_apart") for e in events)
    done = no_reminder(order.where.places, scene) if rests else []
    return Taken((*events, *done), (f"{say.first_up(where)} back to usual; dropped: {dropped}.",))


_KNOWN: tuple[Callable[[Order, Scene], Taken | None], ...] = (
    _usual,
    light,
    quiet,
    zone_set,
    rest,
    together,
    _off,
    _on,
    often,
    to_weekdays,
    by_so_much,
    moved,
    at_hours,
    on_weekdays,
    _not_theirs,
    _who,
)
# Of these a part of the year may be said.
_BY_SEASON = (_off, often, by_so_much, moved, at_hours, on_weekdays)
