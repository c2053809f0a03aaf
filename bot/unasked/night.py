"""What a night's message is made from, and the lines it is made of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from bot.routine.chore_list import MOST_NAMED
from bot.routine.chores import due_list, windows, zone_of
from shared.due.house_rules import Routine
from shared.due.tasks import DueTask, HatchWindow
from storage.journal import RoomBook

MISSED_LATELY = dt.timedelta(days=3)  # what waits longer is said on Sundays only


@dataclass(frozen=True)
class Line:
    """One line of the message: in full, as few words, and how soon it goes where there is little room (0 stays)."""

    text: str
    short: str
    rank: int


@dataclass
class Night:
    """All that a night's message is made from."""

    book: RoomBook
    now: dt.datetime

    def __post_init__(self) -> None:
        self.standing = self.book.standing(at=self.now)
        zone = zone_of(self.standing, self.book)
        self.now = self.now.astimezone(zone)
        self.midnight = dt.datetime.combine(self.now.date(), dt.time(0), zone)
        self.today = self.book.entries(since=self.midnight, until=self.now)
        self.tasks = due_list(self.standing, self.book, self.now, days=2)
        self.windows: dict[str, HatchWindow] = windows(self.standing, self.now)
        nightly_at = Routine.of(self.standing).nightly_at
        self.last_night = dt.datetime.combine(self.now.date() - dt.timedelta(days=1), nightly_at, zone)


def late_by(task: DueTask, now: dt.datetime) -> dt.timedelta:
    """How long ago it was due."""
    return now.astimezone(dt.UTC) - task.due.astimezone(dt.UTC)


def few(names: Sequence[str]) -> str:
    """The first names alone, for a text message."""
    more = len(names) - MOST_NAMED
    return f"{', '.join(names[:MOST_NAMED])} +{more}" if more > 0 else ", ".join(names)
