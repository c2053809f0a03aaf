"""What is due, said for a walk through the room with wet hands: what cannot wait first, then chore by chore."""

from __future__ import annotations

import datetime as dt
from typing import Any

from bot import sentences as say
from bot.language import Query
from shared.forecast import experience, forecast, hatches
from shared.ledger import Standing
from shared.routine import DueTask, HatchWindow, due
from storage.journal import RoomBook

MOST_LINES = 12
CHORES = {
    "egg_water": "Egg tubs, fresh water",
    "check_hatch": "Look for fry",
    "pick_eggs": "Pick out bad eggs",
    "keep_apart": "Keep apart",
    "pull_mop": "Pull mops",
    "fry_water": "Fry water",
    "fry_feed": "Feed fry",
    "feed": "Feed",
    "water_change": "Water changes",
    "start_brine_shrimp": "Start brine shrimp",
    "harvest_brine_shrimp": "Harvest brine shrimp",
    "culture_restart": "Restart culture",
    "culture_feed": "Feed culture",
    "move_up": "Move up",
    "thin_out": "Thin out",
    "wet_peat": "Peat",
    "peat": "Peat boxes",
    "promised": "Promised",
    "test_water": "Test water",
    "service": "Filters and gear",
    "reminder": "Remember",
}


def windows(standing: Standing, now: dt.datetime) -> dict[str, HatchWindow]:
    """When each waiting batch's fry are expected, for the looks that come first."""
    found: dict[str, HatchWindow] = {}
    held = {h.group for h in standing.holdings.values() if h.stage == "eggs"}
    earlier = experience(standing)
    for name in sorted(held):
        batch = standing.batches.get(name)
        if batch is None or not hatches(batch):
            continue
        seen = forecast(standing, name, now, earlier)
        if seen and seen.first_fry and seen.last_fry:
            found[name] = HatchWindow(seen.first_fry.p10, seen.last_fry.p90)
    return found


def due_list(
    standing: Standing, book: RoomBook, now: dt.datetime, *, days: int = 1, person: str | None = None
) -> list[DueTask]:
    """Due work in walking order."""
    return due(standing, now, book.info.zone, days=days, windows=windows(standing, now), for_person=person)


def due_json(task: DueTask, now: dt.datetime) -> dict[str, Any]:
    """The outside form of one due task."""
    return {
        "task": task.task,
        "place": task.place,
        "batch": task.batch,
        "line": task.line,
        "due": task.due.isoformat(),
        "overdue": task.overdue(now),
        "late_by_hours": round(max(0.0, task.late_by_hours(now)), 1),
        "why": task.why,
        "how": task.how,
    }


def due_text(standing: Standing, book: RoomBook, now: dt.datetime, query: Query | None = None) -> str:
    """The list as a reply; `query` narrows it to a day, a place, a batch or a line."""
    days = (query.days if query else None) or 1
    day = query.date if query else None
    ahead = (day - now.date()).days if day else 0
    tasks = due_list(standing, book, now, days=max(days, ahead + 1))
    if ahead > 0:
        tasks = [t for t in tasks if t.due.date() == day]
    if query and (query.place or query.batch or query.line):
        tasks = [
            t
            for t in tasks
            if (query.place and t.place == query.place)
            or (query.batch and t.batch == query.batch)
            or (query.line and t.line == query.line)
        ]
    if not tasks:
        return "Nothing is due." if ahead <= 0 else f"Nothing is due {say.day(day or now.date(), now.date())}."
    return listed(tasks, now)


def _times(times: tuple[dt.datetime, ...], now: dt.datetime) -> str:
    """`06:30, 18:30`, `tomorrow 06:30, 18:30`, `Sat 14 Mar`."""
    days: dict[dt.date, list[str]] = {}
    for at in times:
        days.setdefault(at.date(), []).append(f"{at:%H:%M}")
    said = []
    for day, clocks in days.items():
        name = "" if day == now.date() else say.day(day, now.date())
        said.append(f"{name} {', '.join(clocks)}".strip())
    return "; ".join(said)


def listed(tasks: list[DueTask], now: dt.datetime, most: int = MOST_LINES) -> str:
    """Tasks drawn together: one line a chore, its times and places side by side."""
    by_spot: dict[tuple[bool, str, str, str], list[DueTask]] = {}
    for task in tasks:
        spot = task.place or task.batch or ""
        by_spot.setdefault((task.first, task.task, spot, task.text or ""), []).append(task)
    groups: dict[tuple[bool, str, str, tuple[dt.datetime, ...]], list[DueTask]] = {}
    for (first, chore, _, own), mine in by_spot.items():
        times = tuple(dict.fromkeys(t.due for t in mine))
        kind = "peat" if chore == "pull_mop" and "peat" in (mine[0].how or "") else chore
        groups.setdefault((first, kind, own, times), []).append(mine[0])
    lines = []
    for (first, chore, own, times), mine in groups.items():
        where = say.places(list(dict.fromkeys(t.place or t.batch or "" for t in mine if t.place or t.batch)))
        told = where and where not in CHORES[chore].lower()
        own = own[:1].upper() + own[1:]
        head = own or (f"{CHORES[chore]}: {where}" if told else CHORES[chore])
        late = "overdue, " if mine[0].overdue(now) else ""
        when = _times(times, now)
        why = f" — {mine[0].why}" if len(mine) == 1 and mine[0].why and not own else ""
        lines.append(f"{'! ' if first else ''}{head} ({late}{when}){why}")
    if len(lines) > most:
        lines = [*lines[: most - 1], f"… and {len(lines) - most + 1} more lines."]
    return "\n".join(lines)
