"""How long the due list takes for a large room in processor time, and as a ratio to one plain pass over the standing.

Run: python -m tests.bench.bench_due
"""

from __future__ import annotations

import datetime as dt
import statistics
import time
from collections.abc import Callable
from zoneinfo import ZoneInfo

from shared.due.due_list import due
from shared.due.tasks import HatchWindow
from shared.ledger.standing import Standing
from tests.routine.room import Room

ZONE = ZoneInfo("America/Chicago")
GOAL_MS = 50.0


def large_room(tanks: int = 200, batches: int = 300) -> tuple[Room, dt.datetime, dict[str, HatchWindow]]:
    """Breeding tanks and open batches, half in eggs and half in fry, a fortnight of chores, a dozen settings."""
    start = dt.datetime(2026, 3, 2, 20, tzinfo=ZONE)
    room = Room(start)
    lines = [f"line {i}" for i in range(40)]
    for line in lines:
        room.line(line)
    for i in range(tanks):
        room.tank(f"tank {i}", line=lines[i % 40], litres=40, male=2, female=3)
    windows = {}
    for i in range(batches):
        place = f"tub {i}"
        room.tub(place, role="eggs" if i % 2 else "fry")
        name = room.batch(lines[i % 40], place, "eggs" if i % 2 else "fry", 20)
        if i % 2:
            early = start + dt.timedelta(days=10 + i % 9)
            windows[name] = HatchWindow(early, early + dt.timedelta(days=5))
    for day in range(14):
        room.at(start + dt.timedelta(days=day, hours=11))
        for i in range(0, tanks, 1 + day % 3):
            room.fed(f"tank {i}")
            room.pulled(f"tank {i}")
        for i in range(day % 2, batches, 2):
            room.water(f"tub {i}")
    for i in range(6):
        room.setting("mop_every_days", 2 + i, place=f"tank {i}")
        room.setting("egg_changes_per_day", 1 + i % 3, place=f"tub {2 * i + 1}")
    return room, start + dt.timedelta(days=14, hours=12), windows


def plain_pass(standing: Standing, now: dt.datetime) -> int:
    """The least a due list must do: look at each holding and each chore's last time once."""
    chores = (chore for there in standing.chores.values() for chore in there.values())
    late = sum(1 for chore in chores if chore.last and now - chore.last > dt.timedelta(days=3))
    return late + sum(1 for h in standing.holdings.values() if now - h.since > dt.timedelta(days=3))


def median_ms(work: Callable[[], object], rounds: int = 15) -> float:
    work()
    taken = []
    for _ in range(rounds):
        begun = time.process_time()
        work()
        taken.append((time.process_time() - begun) * 1000)
    return statistics.median(taken)


def main() -> None:
    room, now, windows = large_room()
    standing = room.standing
    floor = median_ms(lambda: plain_pass(standing, now))
    for days in (1, 7):
        took = median_ms(lambda days=days: due(standing, now, ZONE, days=days, windows=windows))  # type: ignore[misc]
        number = len(due(standing, now, ZONE, days=days, windows=windows))
        print(f"due, {days} day(s): {took:6.1f} ms for {number} tasks, {took / floor:5.1f} x one plain pass")
    print(f"one plain pass:  {floor:6.2f} ms; goal for one day: under {GOAL_MS:g} ms")


if __name__ == "__main__":
    main()
