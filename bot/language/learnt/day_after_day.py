"""What was done more than once: on each of several days or at several times, or each time that was told of."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from bot.language.learnt.places_and_numbers import MAIN
from bot.language.learnt.sounding import UPTO
from bot.language.learnt.values import base, clock_of
from bot.language.tags import Tag
from bot.language.times.days import Clock, Day

if TYPE_CHECKING:
    from bot.language.learnt.parts import Telling

Raw = dict[str, Any]
Part = tuple[str, list[int], list[int]]  # a kind, its stretch and its facts
_WEEK = 7


def times_said(telling: Telling, facts: Sequence[int]) -> list[tuple[Day | None, Clock | None]]:
    """The days and times of what was done more than once: "at 8, 12 and 6", "Sat and Sun", "Sat to Mon"."""
    said = [at for at in facts if telling.roles[at] == "when"]
    days = days_said(telling.tags, said, telling.sent)
    clocks = _halved([clock for at in said if (clock := clock_of(telling.tags[at])) is not None])
    if len(days) > 1 and len(clocks) == len(days):
        return list(zip(days, clocks, strict=True))
    if len(days) > 1 and len(clocks) > 1:
        telling.whole = False
        return []
    if len(clocks) > 1:
        return [(None, clock) for clock in clocks]
    return [(day, clocks[0] if clocks else None) for day in days] if len(days) > 1 else []


def _halved(clocks: list[Clock]) -> list[Clock]:
    """The times, morning and evening where one is said twice: "at 7 and 7"."""
    if len(clocks) == len(("am", "pm")) and clocks[0] == clocks[1] and not clocks[0].half and 1 <= clocks[0].hour <= 12:
        return [Clock(clocks[0].hour, clocks[0].minute, half) for half in ("am", "pm")]
    return clocks


def days_said(tags: Sequence[Tag], said: Sequence[int], sent: dt.datetime) -> list[Day]:
    """The days that stretches say, with those between of "Wednesday through Friday"."""
    days: list[Day] = []
    last = -1
    for at in said:
        if tags[at].kind != "day" or tags[at].value.vague:
            continue
        if days and last == at - 2 and tags[at - 1].word in UPTO:
            days += _between(days[-1], tags[at].value, sent)
        days.append(tags[at].value)
        last = at
    return days


def _between(first: Day, last: Day, sent: dt.datetime) -> list[Day]:
    one, other = first.on(sent), last.on(sent)
    if one is None or other is None or not 1 < (other - one).days < _WEEK:
        return []
    return [Day(date=one + dt.timedelta(days=n)) for n in range(1, (other - one).days)]


def days_dealt(telling: Telling, parts: Sequence[Part]) -> dict[int, Day]:
    """As many days as things said, one of each: "Mon-Wed tank 7: 30 28 0"; each day by the tag that it is of."""
    dealt: dict[int, Day] = {}
    for _, group in itertools.groupby(parts, key=lambda part: part[0]):
        run = list(group)
        role = MAIN.get(base(run[0][0]), "")
        mains = [[at for at in facts if telling.roles[at] == role] for _, _, facts in run]
        if len(run) < 2 or any(len(its) != 1 for its in mains) or len({its[0] for its in mains}) < len(run):
            continue
        said = sorted({at for _, _, facts in run for at in facts if telling.roles[at] == "when"})
        days = days_said(telling.tags, said, telling.sent)
        firsts = [its[0] for its in mains]
        if len(days) == len(run) and _deals(telling, said, firsts):
            dealt |= dict(zip(firsts, days, strict=True))
    return dealt


def _deals(telling: Telling, said: list[int], mains: list[int]) -> bool:
    """Whether days go with what is said one by one: all of them before it or behind, in all or in each sentence."""
    if any(telling.tags[at].kind != "day" for at in said):
        return False
    if said[-1] < min(mains) or said[0] > max(mains):
        return True
    stops = [at for at, tag in enumerate(telling.tags) if tag.kind in ("stop", "sep")]
    counted = [[sum(n < at for n in stops) for at in its] for its in (said, mains)]
    return counted[0] == counted[1]


# ---- each time


_EACH = frozenset(["each", "every", "both", "same"])
_TIMES = frozenset(["time", "times", "day", "days", "night", "nights", "evening", "evenings", "morning", "mornings"])


def says_each_time(tags: Sequence[Tag], own: Sequence[int]) -> bool:
    """Whether words say that something was done each time that was told of."""
    return any(
        tags[at].word in {f"{each} {time}" for each in _EACH for time in _TIMES}
        or (tags[at].word in _EACH and at + 1 < len(tags) and tags[at + 1].word in _TIMES)
        for at in own
    )


def each_time(events: list[Raw]) -> list[Raw]:
    """The events, what was done "each time" told of all the times before: "E at 7, E at noon: half each time"."""
    out: list[Raw] = []
    for event in events:
        if not event.pop("_each_time", None) or event.get("_timed"):
            out.append(event)
            continue
        main = MAIN.get(event["kind"], "")
        bare = [e for e in _last_run(out) if e["kind"] == event["kind"] and e.get(main) is None and _there(e, event)]
        times = list(dict.fromkeys((e.get("_day"), e.get("_clock")) for e in _last_run(out)))
        if bare and event.get(main) is not None:
            for e in bare:
                e[main] = event[main]
            out.append(event)
        elif len(times) > 1 and not event.get("_clock"):
            out += [{**event, "_day": day, "_clock": clock, "_timed": True} for day, clock in times]
        else:
            out.append(event)
    return out


def _last_run(events: Sequence[Raw]) -> list[Raw]:
    """The events of the kind told last, in a row."""
    return list(itertools.takewhile(lambda e: e["kind"] == events[-1]["kind"], reversed(events)))[::-1]


def _there(one: Raw, other: Raw) -> bool:
    return all(one.get(key) == other.get(key) for key in ("place", "places", "batch"))
