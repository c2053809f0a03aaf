"""Which of the days and times said is that of an event."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from bot.language.learnt.grouping import SILENT
from bot.language.learnt.values import base, clock_of
from bot.language.tags import Tag
from bot.language.times.days import Clock, Day

_APART = {"punct": 1.5, "stop": 3.0, "sep": 5.0}  # how much further off what stands behind one is
_NOW = frozenset(["now", "just"])
_JUST_NOW = frozenset(["now", "just now"])
_LEADS = frozenset(["_", "when", "line"])  # "both for the 29th, those gularis" is of what was told before
_AHEAD = frozenset(["reserve", "remind", "snooze"])  # a day to come is not that of what is told next


def day_and_clock(
    tags: Sequence[Tag],
    kinds: Sequence[str],
    roles: Sequence[str],
    stretch: Sequence[int],
    facts: Sequence[int],
    own: Sequence[int],
    sent: dt.datetime,
) -> tuple[Day | None, Clock | None]:
    """The day and time of an event: the nearest of its own, else the day said last before it."""
    numbers = [at for at in facts if roles[at] in ("count", "male", "female")]  # a place may be that of others, too
    told = numbers or [at for at in facts if roles[at] != "when"] or list(facts) or list(stretch)
    low = min(facts or stretch)

    def away(at: int) -> float:
        return min(_between(tags, at, other) for other in told)

    said = [at for at, role in enumerate(roles) if role == "when" and kinds[at] not in SILENT]
    closes = next((n for n in range(max(told), len(tags)) if tags[n].kind in ("stop", "sep")), len(tags))
    today = [at for at in own if at < closes and roles[at] == "_" and _is_today(tags[at], sent)]
    days = [at for at in said if tags[at].kind == "day" and not tags[at].value.vague]
    clocks = [at for at in said if clock_of(tags[at]) and at in stretch]
    if clocks and clocks[0] < low:  # a time that stands before goes on until the next
        clocks = [at for at in clocks if at in facts] or [max(at for at in clocks if at < low)]
    clocks = [at for at in clocks if at in facts] or clocks
    last = max((at for at in facts if roles[at] != "when"), default=max(facts or stretch))
    days = [at for at in days if not _of_later(tags, roles, at, last)]
    own_days = [at for at in days if at in facts]
    near = own_days or [*(at for at in days if at in stretch), *today]
    day = min(near, key=away, default=None)
    if day is None:
        before = [at for at in days if at < low and base(kinds[at]) not in _AHEAD]
        now = before and any(tags[n].word in _NOW or _is_today(tags[n], sent) for n in range(before[-1], low))
        now = now or any(tags[n].word in _JUST_NOW for n in own)
        day = before[-1] if before and not now else None
    clocks = clocks or _heading(tags, kinds, roles, low) or _of_both(tags, kinds, roles, last)
    clock = min(clocks, key=away, default=None)
    return tags[day].value if day is not None else None, clock_of(tags[clock]) if clock is not None else None


def _heading(tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str], low: int) -> list[int]:
    """The time that heads a sentence, before a colon: "last night 9pm: tub A 2 bad, water on both"."""
    opens = max((n for n in range(low) if tags[n].kind in ("stop", "sep")), default=-1) + 1
    if headed := _of_a_diary(tags, kinds, roles, opens, low):
        return headed
    colon = next((n for n in range(opens, low) if tags[n].word == ":"), opens)
    head = [n for n in range(opens, colon) if roles[n] != "_"]
    if any(roles[n] != "when" or kinds[n] in SILENT for n in head):
        return []
    times = [n for n in head if clock_of(tags[n])]
    return times if len(times) == 1 else []


def _of_both(tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str], last: int) -> list[int]:
    """The time right behind what is told with something else: "E got powder and water at 8:55"."""
    behind = last + 2 if last + 1 < len(tags) and tags[last + 1].word in ("at", "@") else last + 1
    joined = any(tag.word in ("and", "+", "&") for tag in tags[max(0, last - 2) : last])
    return [behind] if joined and behind < len(tags) and _is_told(tags, kinds, roles, behind) else []


def _of_a_diary(tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str], opens: int, low: int) -> list[int]:
    """The time that opens a row, where others open with one too: "7am E worms + water; 9am 11 bbs"."""
    rows = [0, *(n + 1 for n, tag in enumerate(tags) if tag.kind in ("stop", "sep"))]
    colon = next((n for n, tag in enumerate(tags) if tag.word == ":"), 0)
    if colon and all(role == "_" for role in roles[:colon]):  # "night: 10pm C 2 white. 11pm …"
        opens = max(opens, colon + 1)
        rows.append(colon + 1)
    heads = [n for n in rows if n < len(tags) and _is_told(tags, kinds, roles, n)]
    if opens not in heads or len(heads) < _A_DIARY:
        return []
    closes = min((n for n in rows if n > low), default=len(tags))
    clocks = [n for n in range(opens, closes) if _is_told(tags, kinds, roles, n)]
    return clocks if len(clocks) == 1 else []


def _is_told(tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str], at: int) -> bool:
    return roles[at] == "when" and kinds[at] not in SILENT and clock_of(tags[at]) is not None


_A_DIARY = 2  # rows


def _of_later(tags: Sequence[Tag], roles: Sequence[str], day: int, last: int) -> bool:
    """Whether a day is that of what its own sentence tells, later than what ends with `last`."""
    ends = [n for n, tag in enumerate(tags) if tag.kind in ("stop", "sep")]
    opens = max((n for n in ends if n < day), default=-1)
    closes = min((n for n in ends if n > day), default=len(tags))
    return last < opens and any(roles[n] not in _LEADS for n in range(opens + 1, closes))


def _is_today(tag: Tag, sent: dt.datetime) -> bool:
    return tag.kind == "day" and tag.value.on(sent) == sent.date()


def _between(tags: Sequence[Tag], one: int, other: int) -> float:
    low, high = min(one, other), max(one, other)
    return high - low + sum(_APART.get(t.kind, 0.0) for t in tags[low + 1 : high] if t.word not in (":", "(", ")"))
