"""Readings of before beside those of now: "fell from 40 to 20", "30 today, was 50 last week"."""

from __future__ import annotations

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Teller

Result = tuple[tuple[str, ...], str, float | None, Tag]  # places, quantity, value, and where it is said

_WAS = frozenset(["was", "were", "been", "from", "used to be", "be", "before", "had"])


_ONCE = frozenset(["before", "earlier", "previously", "then", "once", "last time", "ago"])


def without_earlier(group: Group, results: list[Result], teller: Teller) -> list[Result]:
    """Of "fell from 40 to 20" or "30 today, was 50 last week" only what it is now."""
    now = [r for r in results if not _of_earlier(group, r[3])]
    held = {r[:2] for r in now}
    for result in results:
        if not any(result is r for r in now) and result[:2] in held:
            _set_aside(group, result[3], teller)
    return [r for r in results if r[3].claimed != "earlier"]


def _set_aside(group: Group, value: Tag, teller: Teller) -> None:
    """A reading of before is not told, and its day is not that of what is."""
    value.claimed = "earlier"
    part = next(p for p in group.parts if any(t is value for t in p.tags))
    for day in part.kind("day") if part is not group.parts[0] else ():
        day.claimed = "earlier"
        if day.value == teller.context.day:
            teller.context.day = None


def only_of_before(group: Group, teller: Teller) -> bool:
    """Whether a clause only says what was read at some time before the reading just told: "…, was 50 last week"."""
    last = teller.context.event
    part = group.parts[0]
    if last is None or last["kind"] != "measure" or teller.context.sentence != group.sentence or len(group.parts) > 1:
        return False
    if part.kind("place", "size", "batch", "line") or part.sense("quantity") or last.get("_day") != teller.context.day:
        return False
    dated = [t for t in part.kind("day") if not t.value.vague]
    values = part.kind("num", "deg")
    if len(values) != 1 or dated or not (part.kind("day") or part.tags[0].word in _WAS):
        return False
    _set_aside(group, values[0], teller)
    return True


def _of_earlier(group: Group, value: Tag) -> bool:
    """Whether a reading is said to be of before: "was 50", "from 40", "50 last week", "yesterday it was 1"."""
    part = next((p for p in group.parts if any(t is value for t in p.tags)), None)
    if part is not None and part.after is not None and part.after.joiner == "before" and part is not group.parts[-1]:
        return True  # "20 before the change and 10 after"
    if part is None or (part is group.parts[0] and _just_before(group, value) not in _WAS):
        return False
    n = next(i for i, t in enumerate(part.tags) if t is value)
    if any(t.word in _WAS for t in part.tags[:n]) or any(t.word in _ONCE for t in part.tags[n + 1 :]):
        return True
    return _gone_by(part) and not _gone_by(group.parts[0])


def _just_before(group: Group, value: Tag) -> str:
    before = group.before(value)
    return before.word if before is not None else ""


def _gone_by(part: Part) -> bool:
    """Whether a clause names a day gone by: "yesterday", "last week", "on Friday"."""
    days = [t.value for t in part.kind("day") if not t.value.future]
    return any(d.vague or (d.offset or 0) < 0 or d.weekday is not None or d.date is not None for d in days)
