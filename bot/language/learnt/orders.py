"""Orders to the hand itself put together: routines, reminders, what is put off, put right, set up, closed or kept."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from bot.language.learnt.bidden import (
    AHEAD,
    KEPT,
    OWN_DAY,
    clock_said,
    day_said,
    days_between,
    degrees_said,
    litres_said,
    new_name,
    right_number,
    role_said,
    sex_said,
    value_said,
)
from bot.language.learnt.values import number_of, spot_of
from bot.language.times.days import Clock, Day
from bot.language.times.from_now import from_now

if TYPE_CHECKING:
    from bot.language.learnt.parts import Telling

Raw = dict[str, Any]
Take = Callable[["Telling", Raw, int, str], None]


def _take_value(telling: Telling, event: Raw, at: int, kind: str) -> None:
    what = str(event.get("what") or "")
    said = value_said(telling.tags, at, what)
    event["value"] = int(said) if isinstance(said, float) and said == int(said) and what != "heater_c" else said


def _take_right_value(telling: Telling, event: Raw, at: int, kind: str) -> None:
    tag = telling.tags[at]
    said = number_of(tag)
    warm = tag.kind == "deg" or any(t.says("quantity", "temperature") or t.says("item", "heater") for t in telling.tags)
    event["value"] = degrees_said(tag) if warm else said


def _take_right_number(key: str) -> Take:
    def take(telling: Telling, event: Raw, at: int, kind: str) -> None:
        said = right_number(telling.tags, at)
        event[key] = int(said) if said is not None and said == int(said) and key == "count" else said

    return take


def _take_every(telling: Telling, event: Raw, at: int, kind: str) -> None:
    event["every_days"] = days_between(telling.tags, at)


def _take_name(telling: Telling, event: Raw, at: int, kind: str) -> None:
    event["_name"] = new_name(telling.tags, at, telling.names)


def _take_size(telling: Telling, event: Raw, at: int, kind: str) -> None:
    event["litres"] = litres_said(telling.tags, at, telling.names)


def _take_role(telling: Telling, event: Raw, at: int, kind: str) -> None:
    event["role"] = role_said(telling.tags[at])


def _take_sex(telling: Telling, event: Raw, at: int, kind: str) -> None:
    event["sex"] = sex_said(telling.tags[at])


def _take_unit(telling: Telling, event: Raw, at: int, kind: str) -> None:
    event["unit"] = telling.tags[at].one("unit") or telling.tags[at].unit or None


def _take_person(telling: Telling, event: Raw, at: int, kind: str) -> None:
    event["person"] = str(telling.tags[at].value)


ORDER_TAKES: dict[str, Take] = {
    "setting|value": _take_value,
    "setting|person": _take_person,
    "fix|count": _take_right_number("count"),
    "fix|percent": _take_right_number("percent"),
    "fix|value": _take_right_value,
    "fix|sex": _take_sex,
    "fix|unit": _take_unit,
    "remind|every_days": _take_every,
    "new_place|place": _take_name,
    "new_place|litres": _take_size,
    "new_place|role": _take_role,
}


# ---- the event as a whole


def day_by_day(
    telling: Telling, kind: str, stretch: list[int], facts: list[int]
) -> list[tuple[str, list[int], list[int]]]:
    """Reminders of several days, each with what is said with it: "on Sunday to wipe 14, and on Monday the peat"."""
    days = [at for at in facts if telling.roles[at] == "when" and telling.tags[at].kind == "day"]
    starts = [start for one, two in pairwise(days) if (start := _another_day(telling, one, two))]
    if kind != "remind" or not starts:
        return [(kind, stretch, facts)]
    spans = list(pairwise([0, *starts, len(telling.tags)]))
    each = [(kind, [at for at in stretch if a <= at < b], [at for at in facts if a <= at < b]) for a, b in spans]
    return [(kind, its or said, said) for kind, its, said in each]


def _another_day(telling: Telling, one: int, two: int) -> int:
    """Where what is told of another day than the one before begins; 0 where it is the same."""
    first, other = (telling.tags[at].value.on(telling.sent, True) for at in (one, two))
    joins = [at for at in range(one + 1, two) if telling.tags[at].kind == "stop" or telling.tags[at].word in _ALSO]
    if not joins or first == other:
        return 0
    if any(telling.tags[at].word in _NOT_THEN for at in range(one, two)):
        telling.whole = False  # "on Sunday, no, on Monday"
        return 0
    ends = [at for at in joins if telling.tags[at].kind == "stop"]
    telling.whole = telling.whole and len(ends or joins) == 1  # "on Sunday 14, and 3 and 4 on Monday"
    return (ends or joins)[-1]


_ALSO = frozenset(["and", "&", "+", "also", "then", ";"])
_NOT_THEN = frozenset(["not", "no", "rather", "instead", "or", "actually", "sorry"])


def settle(telling: Telling, event: Raw, stretch: list[int], facts: list[int], own: list[int]) -> None:
    """What an order is told with besides its parts: its text, its day and hour, the name of a new place."""
    kind, tags = event["kind"], telling.tags
    if kind == "new_place":
        event["place"], event["places"], event["batch"] = event.pop("_name", None), None, None
    if kind in ("remind", "snooze", "done"):
        event["text" if kind == "remind" else "task"] = " ".join(
            tags[at].word for at in own or stretch if tags[at].word
        )
    if kind == "setting" and event.get("person"):
        _take_turn(telling, event, own)
    if kind not in OWN_DAY:
        day = event.get("_day")
        event["_ahead"] = isinstance(day, Day) and day.future
        return
    event["_ahead"] = kind in AHEAD
    said = [at for at in facts if telling.roles[at] == "when"] or [
        at for at in stretch if telling.roles[at] == "when" and telling.kinds[at].startswith(kind)
    ]
    days = [day for at in said if (day := day_said(tags, at)) is not None]
    clocks = [clock for at in said if (clock := clock_said(tags, at)) is not None]
    clock = next(iter(clocks), None)
    event["_day"], event["_clock"] = next(iter(days), None), clock
    if kind == "remind" and not (days or clocks or event.get("every_days")):
        _from_now(telling, event)
        return
    once = kind in AHEAD and not days and not event.get("every_days")
    if clock is not None and once and _is_past(clock, telling.sent):
        event["_day"] = Day(offset=1, future=True)
    if event.get("every_days") and clock is not None and clock.half == "":
        first = _FIRST if event["every_days"] == 1 else _FIRST_OF_A_WEEK
        half = "am" if first <= clock.hour <= _LAST else "pm"  # "daily at 7" is no evening's, unless it says so
        event["_clock"] = replace(clock, half=half)


def _from_now(telling: Telling, event: Raw) -> None:
    """The moment of "in half an hour", as no stretch by itself says it."""
    soon = from_now(list(telling.tags), telling.sent)
    if soon is not None:
        event["_clock"] = Clock(soon.hour, soon.minute, "24")
        event["_day"] = Day(offset=(soon.date() - telling.sent.date()).days, future=True)


def _take_turn(telling: Telling, event: Raw, own: list[int]) -> None:
    """On which day of the week and when in the day a chore is somebody's: "Ivo does the Friday evening tubs"."""
    tags = telling.tags
    days = {t.value.weekday for at in own if (t := tags[at]).kind == "day" and t.value.weekday is not None}
    slots = {slot for at in own for slot in _SLOTS if slot in tags[at].word.split()}
    slots |= {_SLOT_OF[t.value.part] for at in own if (t := tags[at]).kind == "day" and t.value.part in _SLOT_OF}
    if len(days) == 1:
        event["weekday"] = calendar.day_name[days.pop()]
    if len(slots) == 1:
        event["slot"] = slots.pop()
    telling.whole = False  # for good, or just this once?


_SLOTS = ("morning", "noon", "afternoon", "evening", "night")
_SLOT_OF = {"am": "morning"}


def _is_past(clock: Clock, sent: dt.datetime) -> bool:
    return all((hour, minute) <= (sent.hour, sent.minute) for hour, minute in clock.options())


_FIRST, _FIRST_OF_A_WEEK, _LAST = 5, 7, 11  # the hours of a morning; "every Sunday at 5" is no time to get up


def complete(event: Raw) -> bool:
    """Whether an order has all that it cannot be followed without."""
    kind = event["kind"]
    if kind == "setting":
        return bool(event.get("what")) and (event.get("value") is not None or bool(event.get("person")))
    if kind in ("new_place", "close_place"):
        return bool(event.get("place"))
    if kind == "snooze":
        return event.get("_day") is not None or event.get("_clock") is not None
    told = {k for k, v in event.items() if v not in (None, [], ()) and (k[0] != "_" or k in ("_day", "_clock"))}
    return kind != "fix" or bool(told - {"kind"})


def remarks(telling: Telling) -> list[Raw]:
    """What is only kept, one of each place it is told of."""
    kept = [at for at, kind in enumerate(telling.kinds) if kind == KEPT]
    if not kept:
        return []
    said = [at for at in kept if telling.roles[at] in ("place", "line")]
    spots = [spot for at in said if (spot := spot_of(telling.tags, at, KEPT, telling.teller)) is not None]
    places: list[Raw] = [{"place": place} for spot in spots for place in spot.places]
    places += [{"batch": spot.batch} for spot in spots if spot.batch]
    lines = {tuple(telling.tags[at].value) for at in said if telling.tags[at].kind == "line"}
    if not places and len(lines) == 1 and len(line := lines.pop()) == 1:
        places = [{"line": line[0]}]
    return [{"kind": KEPT, **where} for n, where in enumerate(places) if where not in places[:n]] or [{"kind": KEPT}]
