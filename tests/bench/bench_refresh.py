"""How long all hatching estimates of a large room take, also right after a hatch.

Run: python -m tests.bench.bench_refresh

The room has 84 lines with 60 past hatches each (5,040) and 200 open batches. Measured are the estimates themselves and
a whole question in the chat, by a process that stays and by one just started. Prints medians of processor time.
"""

from __future__ import annotations

import datetime as dt
import itertools
import json
import random
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from bot.hear import hear
from shared.events import event_from
from shared.hatching.forecast import experience, forecast, known
from shared.ledger.accounts import Account, Batch, Entry, Holding, Line, PastHatch, Place, Posting, Readings
from shared.ledger.standing import FOLDING, Standing
from shared.room import RoomCard
from storage import snapshots
from storage.engine import open_database
from storage.journal import Message
from tests.husbandry.hatching_room import FISH

NOW = dt.datetime(2036, 3, 9, 18, 30, tzinfo=dt.UTC)
DAY = dt.timedelta(days=1)
LINES, PAST, OPEN = 84, 60, 200
ROUNDS = 15
GOAL_MS = 20.0
ASKED = "when do the eggs hatch"
ALONE = """
import datetime as dt, json, sys, time
begin = time.process_time()
from bot.hear import hear
from storage.engine import open_database
from storage.journal import Message
book = open_database(sys.argv[1]).room()
book.standing()
at, spent = dt.datetime.fromisoformat(sys.argv[2]), [time.process_time() - begin]
for n in (1, 2):
    message = Message("telegram", f"alone{at}{n}", "kitchen", "p1", sys.argv[3], at)
    begin = time.process_time()
    hear(book, message)
    spent.append(time.process_time() - begin)
print(json.dumps(spent))
"""


def large_room() -> Standing:
    """Past hatches over four years, eggs laid within the last three weeks, a temperature a day in each tub."""
    dice, standing = random.Random(3), Standing(begun=NOW - 1500 * DAY, last_batch=OPEN)
    for number in range(LINES):
        species = list(FISH)[number % len(FISH)]
        line = f"line {number + 1}"
        standing.lines[line] = Line(name=line, species=species)
        standing.past[line] = [_hatch(dice, line, FISH[species][0], f"P{number}x{n}") for n in range(PAST)]
    for number in range(OPEN):
        name, place, line = f"B{number + 1}", f"tub {number + 1}", f"line {number % LINES + 1}"
        laid = NOW - dice.uniform(2, 22) * DAY
        standing.places[place] = Place(name=place, kind="tub", role="eggs")
        standing.batches[name] = Batch(
            name=name, line=line, opened=laid, touched=laid, laid_from=laid - 2 * DAY, laid_to=laid
        )
        held = Holding(group=name, line=line, place=place, stage="eggs", count=40, counted=True, since=laid)
        standing.holdings[held.account.key] = held
        days = [NOW - n * DAY for n in range(19, -1, -1)]
        warm = Readings(at=days, value=[23.5 + dice.randrange(5) / 2 for _ in days])
        standing.readings[place] = {"temperature": warm}
    return standing


def _hatch(dice: random.Random, line: str, usual: float, batch: str) -> PastHatch:
    laid = NOW - dice.uniform(60, 1500) * DAY
    seen = laid + usual * dice.uniform(0.8, 1.2) * DAY
    return PastHatch(
        batch=batch,
        line=line,
        laid_from=laid - 2 * DAY,
        laid_to=laid,
        clear_until=seen - DAY,
        fry_seen=seen,
        temp_c=24.0,
    )


def hatched(standing: Standing, number: int) -> None:
    """The first fry of open batch `number`, as the ledger takes it in."""
    name, place = f"B{number}", f"tub {number}"
    eggs, fry = Account(group=name, place=place, stage="eggs"), Account(group=name, place=place, stage="fry")
    standing.apply(
        Entry(
            seq=standing.seq + 1,
            event=event_from({"kind": "hatch", "place": place, "count": 5}),
            at=NOW,
            said=NOW,
            person="p1",
            message=1,
            batch=name,
            place=place,
            postings=(Posting(source=eggs, target=fry, count=5),),
        )
    )


def refresh(standing: Standing) -> None:
    so_far = known(standing, NOW)
    for name in standing.batches:
        forecast(standing, name, NOW, so_far)


def median_ms(work: Callable[[], None], before: Callable[[], None] = lambda: None) -> float:
    took = []
    for _ in range(ROUNDS):
        before()
        begin = time.process_time()
        work()
        took.append(1e3 * (time.process_time() - begin))
    return statistics.median(took)


def _row(what: str, ms: float) -> None:
    print(f"{what:58} {ms:7.1f} ms   {ms / GOAL_MS:5.2f} x the {GOAL_MS:g} ms asked", flush=True)


def estimates() -> None:
    standing, number = large_room(), itertools.count(1)
    begin = time.process_time()
    refresh(standing)
    _row("estimates, the first time in a process", 1e3 * (time.process_time() - begin))
    _row("estimates, nothing new", median_ms(lambda: refresh(standing)))
    _row(
        "estimates, each time after a hatch",
        median_ms(lambda: refresh(standing), lambda: hatched(standing, next(number))),
    )
    _row(
        "what 5,000 past hatches teach, after a hatch",
        median_ms(lambda: _taught(standing), lambda: hatched(standing, next(number))),
    )


def _taught(standing: Standing) -> None:
    experience(standing)


def in_chat(path: Path) -> None:
    """The same room kept in a database."""
    database = open_database(str(path))
    book = database.create_room(RoomCard(name="Millrace room", timezone="America/Chicago"))
    book.person_named("Rosa")
    room = book.info.id
    database.close()
    with sqlite3.connect(path) as raw:
        when = NOW.strftime("%Y-%m-%d %H:%M:%S.%f")
        standing = large_room()
        standing.seq = 1
        packed = snapshots.packed(standing)
        raw.execute("INSERT INTO snapshots VALUES (?, ?, ?, ?, ?, ?)", (room, 1, when, when, FOLDING, packed))
        raw.execute("UPDATE rooms SET head = 1, latest_at = ? WHERE id = ?", (when, room))
    database = open_database(str(path))
    book, number = database.room(), itertools.count(1)

    def say(text: str) -> str:
        n = next(number)
        sent = NOW + n * dt.timedelta(minutes=1)
        return hear(book, Message("telegram", f"d{n}", "kitchen", "p1", text, sent)).text

    print(f"\n“{ASKED}”: {say(ASKED).splitlines()[0]} …")
    tub = itertools.count(1)
    _row("asked in the chat, nothing new", median_ms(lambda: _quiet(say(ASKED))))
    _row(
        "asked in the chat, each time after a hatch told there",
        median_ms(lambda: _quiet(say(ASKED)), lambda: _quiet(say(f"5 hatched in tub {next(tub)}"))),
    )
    database.close()
    spent = []
    for n in range(5):
        at = (NOW + dt.timedelta(days=1, minutes=n)).isoformat()
        raw_spent = subprocess.run([sys.executable, "-c", ALONE, str(path), at, ASKED], check=True, capture_output=True)
        spent.append(json.loads(raw_spent.stdout))
    for what, at_once in zip(
        ("to open the room", "the first question", "the second"), zip(*spent, strict=True), strict=True
    ):
        _row(f"a process just started: {what}", 1e3 * statistics.median(at_once))


def _quiet(_: str) -> None:
    return


if __name__ == "__main__":
    estimates()
    with tempfile.TemporaryDirectory() as folder:
        in_chat(Path(folder) / "room.db")
