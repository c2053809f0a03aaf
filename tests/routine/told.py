"""Short stories of a room, told as tuples: when, a word of `Room`, its arguments."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from shared.due.due_list import due
from shared.due.tasks import DueTask
from tests.routine.room import Room

ZONE = ZoneInfo("America/Chicago")
Told = tuple[Any, ...]  # when, what (a word of Room), its arguments; a dict last is keywords


def when(text: str) -> dt.datetime:
    """ "09 06:30" of March 2026; "2-28 06:30" names the month too, and the year may. 9 March is a Monday."""
    day, clock = text.split()
    *before, number = day.split("-")
    year, month = ["2026", "3", *before][-2:] if len(before) != 1 else ("2026", before[0])
    hour, minute = clock.split(":")
    return dt.datetime(int(year), int(month), int(number), int(hour), int(minute), tzinfo=ZONE)


def tell(room: Room, story: tuple[Told, ...]) -> Room:
    for at, word, *arguments in story:
        keywords: Mapping[str, Any] = arguments.pop() if arguments and isinstance(arguments[-1], dict) else {}
        getattr(room.at(when(at)), word)(*arguments, **keywords)
    return room


def new_room() -> Room:
    room = Room(when("09 06:00"))
    for line in ("gardneri", "lampeye"):
        room.line(line)
    room.line("furzeri", eggs="peat")
    return room


def said(tasks: list[DueTask], now: dt.datetime) -> list[str]:
    """Each task as "place day time", with ! for what cannot wait and "late" where it is."""
    return [
        f"{'!' if t.first else ''}{t.place or t.text or t.task.replace('_', ' ')} {t.due:%d %H:%M}"
        f"{' late' if t.overdue(now) else ''}"
        for t in tasks
    ]


def of(task: str, room: Room, ask: str, **more: Any) -> list[str]:
    now = when(ask)
    found = due(room.standing_at(now), now, ZONE, **more)
    return said([t for t in found if t.task == task], now)


EGGS: tuple[Told, ...] = (("09 06:00", "tub", "tub A"), ("09 06:00", "batch", "gardneri", "tub A"))
FRY: tuple[Told, ...] = (
    ("09 06:00", "tub", "tub E", {"role": "fry", "litres": 1.0}),
    ("09 06:00", "batch", "gardneri", "tub E", "fry"),
)
PAIR = {"line": "gardneri", "male": 1, "female": 2}
BREEDERS: tuple[Told, ...] = (("09 06:00", "tank", "tank 3", PAIR),)
SPRING = {"from": "--03-01", "to": "--05-31"}
WINTER = {"from": "--12-01", "to": "--03-19"}
SPRING_OF_3 = {"from": "--03-20", "to": "--04-10", "place": "tank 3"}
COUPLE: tuple[Told, ...] = (("09 06:00", "tank", "tank 3", {"line": "gardneri", "male": 1, "female": 1}),)
COURSE: tuple[Told, ...] = (
    *BREEDERS,
    (
        "09 12:00",
        "setting",
        "course",
        "1 tbsp salt",
        {"place": "tank 3", "from": "2026-03-09", "to": "2026-03-13"},
    ),
)
TWICE: tuple[Told, ...] = (
    *BREEDERS,
    (
        "09 12:00",
        "setting",
        "course",
        "1 tbsp salt at 08:00,20:00",
        {"place": "tank 3", "from": "2026-03-09", "to": "2026-03-10"},
    ),
)
PEAT: tuple[Told, ...] = (("09 06:00", "tank", "tank 6", {"line": "furzeri"}),)
NURSERY: tuple[Told, ...] = (
    ("09 06:00", "tank", "tank 11", {"role": "nursery"}),
    ("09 06:00", "batch", "gardneri", "tank 11", "fry", 10),
)
GROW_OUT: tuple[Told, ...] = (
    ("09 06:00", "tank", "tank 13", {"role": "grow-out"}),
    ("09 06:00", "batch", "gardneri", "tank 13", "juveniles", 10),
)
MICROWORM: tuple[Told, ...] = (("09 06:00", "culture", "microworm 1"),)
SHRIMP: tuple[Told, ...] = (*FRY, ("09 06:00", "culture", "brine shrimp"))
TINY_FRY: tuple[Told, ...] = (
    ("09 06:00", "line", "clown killi", "water", "Epiplatys annulatus"),
    ("09 06:00", "tub", "tub F", {"role": "fry", "litres": 1.0}),
    ("09 06:00", "batch", "clown killi", "tub F", "fry", 8),
    ("09 06:00", "culture", "brine shrimp"),
)
CROWD: tuple[Told, ...] = (
    ("09 06:00", "tub", "tub E", {"role": "fry", "litres": 1.0}),
    ("09 06:00", "batch", "gardneri", "tub E", "fry", 60),
)
BAG: tuple[Told, ...] = (("09 06:00", "batch", "furzeri", "peat bag", "eggs", None, {"medium": "peat"}),)
