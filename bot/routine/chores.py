"""What is due: the tasks of a room in walking order, and the list of them that was asked for."""

from __future__ import annotations

import datetime as dt
import functools
import re
from dataclasses import dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

from bot import sentences as say
from bot.language import Query
from bot.routine.chore_list import MOST_LINES, closely, in_short, listed, whys
from bot.talk.emergencies import going_on
from shared.due.due_list import due
from shared.due.tasks import DueTask, HatchWindow
from shared.hatching.forecast import forecast, hatches, known
from shared.ledger.standing import Standing
from shared.zones import zone_moved_to
from storage.journal import RoomBook

_LITRES = re.compile(r"(\d+(?:\.\d+)?) l\b")


# ---- the tasks


def windows(standing: Standing, now: dt.datetime) -> dict[str, HatchWindow]:
    """When each waiting batch's fry are expected, for the looks that come first."""
    found: dict[str, HatchWindow] = {}
    held = {h.group for h in standing.holdings.values() if h.stage == "eggs"}
    so_far = known(standing, now)
    for name in sorted(held):
        batch = standing.batches.get(name)
        if batch is None or not hatches(batch):
            continue
        seen = forecast(standing, name, now, so_far)
        if seen and seen.first_fry and seen.last_fry:
            found[name] = HatchWindow(seen.first_fry.p10, seen.last_fry.p90)
    return found


def zone_of(standing: Standing, book: RoomBook) -> ZoneInfo:
    """The zone the room's clock runs by: where it was said to have moved, else the card's."""
    return zone_moved_to(standing) or book.info.zone


def due_list(
    standing: Standing, book: RoomBook, now: dt.datetime, *, days: int = 1, person: str | None = None
) -> list[DueTask]:
    """Due work in walking order."""
    zone, info = zone_of(standing, book), book.info
    tasks = due(standing, now, zone, days=days, windows=windows(standing, now), for_person=person)
    if info.units != "us":
        return tasks
    return [_in_gallons(t, info.gallon) for t in tasks]


def _in_gallons(task: DueTask, gallon: str) -> DueTask:
    why, how = _spoken(task.why, gallon), task.how and _spoken(task.how, gallon)
    return task if (why, how) == (task.why, task.how) else replace(task, why=why, how=how)


@functools.lru_cache(maxsize=4096)
def _spoken(how: str, gallon: str) -> str:
    """Litres in why or how a chore is done as the room's own measure."""
    return _LITRES.sub(lambda hit: say.volume(float(hit[1]), "us", gallon), how)


# What the outside form calls tasks it has no name of its own for.
_OUTSIDE = {"treat": "reminder", "collect_peat": "pull_mop", "look_at_peat": "check_hatch"}
_OUTSIDE |= {"draw_water": "reminder", "few_left": "reminder"}


def due_json(task: DueTask, now: dt.datetime) -> dict[str, Any]:
    """The outside form of one due task."""
    return {
        "task": _OUTSIDE.get(task.task, task.task),
        "place": task.place,
        "batch": task.batch,
        "line": task.line,
        "due": task.due.isoformat(),
        "overdue": task.overdue(now),
        "late_by_hours": round(max(0.0, task.late_by_hours(now)), 1),
        "why": task.why,
        "how": task.how,
    }


# ---- the words


@dataclass(frozen=True)
class Told:
    """The list as a reply, what it left out, and why each chore of it is due and how it is done."""

    text: str
    rest: str = ""
    why: tuple[str, ...] = ()


def due_told(
    standing: Standing, book: RoomBook, now: dt.datetime, query: Query | None = None, *, brief: bool = False
) -> Told:
    """What is due; `query` narrows it to a day, a place, a batch or a line. `brief`: for a text message."""
    days, day, tasks = _asked(standing, book, now, query)
    text, rest = _told(book, now, query, days, day, tasks, brief=brief)
    return Told(text, rest, whys(tasks))


def due_for_person(standing: Standing, book: RoomBook, now: dt.datetime, person: str, *, own: bool = True) -> str:
    """What is due today of what the routine gives to somebody; if not only their `own`, what is nobody's as well."""
    tasks = due_list(standing, book, now, person=person)
    mine = [replace(t, person=None) for t in tasks if not own or (t.person or "").casefold() == person.casefold()]
    return listed(mine, now) if mine else f"Nothing of today is put down as {person}'s. “What's due” tells it all."


def _told(
    book: RoomBook,
    now: dt.datetime,
    query: Query | None,
    days: int,
    day: dt.date | None,
    tasks: list[DueTask],
    *,
    brief: bool,
) -> tuple[str, str]:
    if not tasks:
        when = f" {say.day(day, now.date())}" if day and day > now.date() else ""
        late, only = (query.given.get("overdue"), query.given.get("tasks")) if query else (None, None)
        return f"{'Nothing of that' if only else 'Nothing'} is {'overdue' if late else f'due{when}'}.", ""
    if query and (query.place or query.batch or query.line) and days == 1:
        return closely(tasks, now), ""
    if day is None or day == now.date():
        head = going_on(book, now)
        text, rest = in_short(tasks, now, MOST_LINES - len(head), brief=brief)
        return "\n".join([*head, text]), rest
    return in_short(tasks, now, brief=brief)


def _asked(
    standing: Standing, book: RoomBook, now: dt.datetime, query: Query | None
) -> tuple[int, dt.date | None, list[DueTask]]:
    """For how many days and which day is asked, and the tasks of it."""
    days = (query.days if query else None) or 1
    day = query.date if query else None
    ahead = (day - now.date()).days if day else 0
    tasks = due_list(standing, book, now, days=max(days, ahead + 1))
    if ahead > 0:
        tasks = [t for t in tasks if t.due.date() >= (day or now.date())]
    if query and query.given.get("overdue"):
        tasks = [t for t in tasks if t.overdue(now)]
    if query and (only := str(query.given.get("tasks", ""))):
        tasks = [t for t in tasks if t.task in only.split()]
    if query and (query.place or query.batch or query.line):
        tasks = [
            t
            for t in tasks
            if (query.place and t.place == query.place)
            or (query.batch and t.batch == query.batch)
            or (query.line and t.line == query.line)
        ]
    return days, day, tasks
