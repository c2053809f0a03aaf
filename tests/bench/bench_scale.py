"""That nothing a keeper waits for takes longer with the years: the same room after few entries and after many.

Run as `python -m tests.bench.bench_scale [--entries 300000] [--rounds 15]`; the rooms are measured in turn, so that
whatever else the machine does falls on both. Prints medians of processor and of wall-clock time, and their ratios.
With `--folder` the rooms stay there and are measured again the next time.
"""

from __future__ import annotations

import argparse
import datetime as dt
import gc
import itertools
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from bot.command_line.printed import show_json, show_text, stock_json
from bot.hear import hear
from bot.routine.chores import due_list
from storage.engine import Database, open_database
from storage.journal import Message, RoomBook
from tests.bench.old_room import NOW, OPEN, TANKS, build, tank

FEW = 5_000
A_YEAR = 20_000  # what the newest entries of a tank are held against
NOTE = "tub 7 fed powder"
WHOLE = "pulled mop tank 3, 40 eggs"


class House:
    """One of the two rooms, opened once and for all."""

    def __init__(self, path: Path, entries: int) -> None:
        self.path = path
        if not path.exists():
            began, making = time.perf_counter(), path.with_suffix(".making")
            build(making, entries)
            making.rename(path)
            size = path.stat().st_size / 1e6
            print(f"{entries:,} entries: built in {time.perf_counter() - began:.0f} s, {size:,.0f} MB", flush=True)
        self.database: Database = open_database(str(path))
        self.book: RoomBook = self.database.room()
        last = self.book.messages(limit=1, newest_first=True)[0]
        self._numbers = itertools.count(last.id)
        self.now = max(NOW, last.sent)
        first = int(self.book.standing().last_batch) - OPEN // 3
        self.batch = f"B{first}"
        eggs = (h for h in self.book.standing().holdings.values() if h.stage == "eggs")
        self.tub = max(eggs, key=lambda held: held.since).place
        self.tank = max((tank(n) for n in range(TANKS)), key=lambda name: len(self.book.entries(name=name, limit=20)))

    def open(self) -> None:
        database = open_database(str(self.path))
        database.room().standing()
        database.close()

    def message(self, text: str) -> Message:
        self.now += dt.timedelta(minutes=1)
        return Message("telegram", f"new{next(self._numbers)}", "kitchen", "p2", text, self.now)

    def hear(self, text: str) -> None:
        hear(self.book, self.message(text))

    def again(self) -> None:
        hear(self.book, Message("telegram", "d7", "kitchen", "p2", NOTE, NOW))

    def due(self) -> None:
        due_list(self.book.standing(), self.book, self.now.astimezone(self.book.info.zone))

    def show(self, name: str) -> None:
        found = show_json(self.book.standing(), name, self.book)
        assert found, name

    def told(self, name: str) -> None:
        show_text(self.book.standing(), name, self.book, self.now.astimezone(self.book.info.zone))

    def stock(self) -> None:
        stock_json(self.book.standing(), self.book.info.zone)

    def newest(self) -> None:
        assert len(self.book.entries(name=self.tank, limit=20, newest_first=True)) == 20


WORK: dict[str, Callable[[House], None]] = {
    "open, first standing": House.open,
    "the same delivery again": House.again,
    f"hear “{NOTE}”": lambda house: house.hear(NOTE),
    f"hear “{WHOLE}”": lambda house: house.hear(WHOLE),
    "hear “what's due”": lambda house: house.hear("what's due"),
    "hear “how is tank 7”": lambda house: house.hear("how is tank 7"),
    "hear “stock”": lambda house: house.hear("stock"),
    "hear “undo”": lambda house: house.hear("undo"),
    "due_list": House.due,
    "show_json, a tank": lambda house: house.show("tank 7"),
    "show_json, a batch": lambda house: house.show(house.batch),
    "show, an egg tub in words": lambda house: house.told(house.tub),
    "stock_json": House.stock,
}


def measured(houses: list[House], work: Callable[[House], None], rounds: int) -> list[tuple[float, float]]:
    """Median processor and wall-clock time in ms for each house, each in turn."""
    spent: list[list[tuple[float, float]]] = [[] for _ in houses]
    for house in houses:
        work(house)
    gc.collect()
    gc.disable()
    for _ in range(rounds):
        for house, kept in zip(houses, spent, strict=True):
            wall, cpu = time.perf_counter(), time.process_time()
            work(house)
            kept.append(((time.process_time() - cpu) * 1e3, (time.perf_counter() - wall) * 1e3))
    gc.enable()
    return [(statistics.median(c for c, _ in kept), statistics.median(w for _, w in kept)) for kept in spent]


def main(entries: int, rounds: int, folder: str | None) -> None:
    with tempfile.TemporaryDirectory() as name:
        kept = Path(folder or name)
        small, year, large = (House(kept / f"{count}.db", count) for count in (FEW, A_YEAR, entries))
        print(f"{'processor ms (wall ms)':32} {FEW:>16,} {entries:>16,}   ratio")
        for what, work in WORK.items():
            _row(what, measured([small, large], work, rounds))
        print(f"{'':32} {A_YEAR:>16,} {entries:>16,}")
        _row("20 newest of a tank", measured([year, large], House.newest, rounds))
        for house in (small, year, large):
            house.database.close()


def _row(what: str, both: list[tuple[float, float]]) -> None:
    few, many = both
    told = " ".join(f"{cpu:8.2f} ({wall:5.1f})" for cpu, wall in both)
    print(f"{what:32} {told}   {many[0] / few[0]:.2f} ({many[1] / few[1]:.2f})", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--entries", type=int, default=300_000)
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--folder", help="where to build and keep the rooms; 5,000,000 entries need about 5 GB")
    chosen = parser.parse_args()
    main(chosen.entries, chosen.rounds, chosen.folder)
