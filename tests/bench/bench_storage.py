"""What a turn costs beside the bare database, and that starting does not take longer with the years.

Run as `python -m tests.bench.bench_storage [--turns 300] [--entries 20000]`; prints ratios.
"""

from __future__ import annotations

import argparse
import datetime as dt
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
from sqlmodel import Session, create_engine

from shared.events import EggsPulled, event_from
from shared.ledger.standing import Account, Posting
from shared.room import RoomCard
from storage.engine import open_database
from storage.journal import Message, RoomBook
from storage.tables import METADATA, EntryRow, MentionRow, MessageRow, MessageWordsRow, RoomRow, create_all
from tests.storage import server

NOON = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.UTC)
TEXT = "pulled mop tank 3, 40 eggs"
REPLY = "tank 3: 40 eggs, gardneri, into tub B. Batch B24. Fry about 21–26 Mar."
PAYLOAD = '{"outcome":"log","events":[{"kind":"pull","place":"tank 3","count":40}],"options":[],"cautions":[]}'
BODY = (
    '{"event":{"place":"tank 3","count":40},"postings":[{"target":{"group":"B24","place":"tub B",'
    '"stage":"eggs"},"outside":"pulled","count":40}],"batch":"B24","place":"tub B","line":"gardneri"}'
)
EMPTIED = event_from({"kind": "move", "stage": "eggs"})
SOLD = event_from({"kind": "sale"})
NAMES = ("B24", "gardneri", "tank 3", "tub B")


def our_turn(url: str) -> Callable[[int], None]:
    book = open_database(url).create_room(RoomCard())
    place = Account(group="B24", place="tub B", stage="eggs")

    def once(number: int) -> None:
        with book.turn(Message("say", f"d{number}", "kitchen", "p1", TEXT, NOON)) as turn:
            turn.append(
                EggsPulled(place="tank 3", count=40),
                at=NOON,
                batch="B24",
                place="tub B",
                line="gardneri",
                postings=[Posting(target=place, outside="pulled", count=40)],
            )
            turn.reply(REPLY, {"outcome": "log", "events": [{"kind": "pull"}]}, "log")

    return once


def session_turn(url: str) -> Callable[[int], None]:
    """The same rows added to a bare SQLModel session and committed."""
    engine = create_engine(url)
    sqlite = engine.dialect.name == "sqlite"
    with engine.begin() as connection:
        if sqlite:
            connection.exec_driver_sql("PRAGMA journal_mode=WAL")
        create_all(connection)
    with Session(engine) as session:
        session.add(RoomRow(id=1, name="r", timezone="UTC", units="us", gallon="us", nitrogen_as="n", salt=b""))
        session.commit()

    def once(number: int) -> None:
        with Session(engine) as session:
            if sqlite:
                session.connection().exec_driver_sql("PRAGMA synchronous=FULL")
            message = MessageRow(room=1, door="say", delivery=f"d{number}", chat="kitchen", person="p1", sent=NOON)
            session.add(message)
            session.flush()
            assert message.id
            session.add(MessageWordsRow(message=message.id, text=TEXT, outcome="log", reply=REPLY, payload=PAYLOAD))
            session.add(
                EntryRow(
                    room=1,
                    seq=number,
                    kind="pull",
                    at=NOON,
                    said=NOON,
                    person="p1",
                    message=message.id,
                    body=BODY,
                )
            )
            session.add_all(MentionRow(room=1, name=name, at=NOON, seq=number) for name in NAMES)
            room = session.get_one(RoomRow, 1)
            room.head, room.latest_at = number, NOON
            session.commit()

    return once


def raw_turn(folder: Path) -> Callable[[int], None]:
    """The same rows through sqlite3 alone."""
    engine = create_engine(f"sqlite:///{folder}/raw.db")
    METADATA.create_all(engine)
    engine.dispose()
    raw = sqlite3.connect(folder / "raw.db", isolation_level=None)
    raw.execute("PRAGMA journal_mode=WAL")
    raw.execute("PRAGMA synchronous=FULL")
    raw.execute("INSERT INTO rooms VALUES (1, 'r', 'UTC', 'us', 'us', 'n', NULL, NULL, x'', 0, NULL, 0)")
    at = "2026-03-09 18:30:00.000000"

    def once(number: int) -> None:
        raw.execute("BEGIN IMMEDIATE")
        message = raw.execute(
            "INSERT INTO messages (room, door, delivery, chat, person, sent) VALUES (1, 'say', ?, 'kitchen', 'p1', ?)",
            (f"d{number}", at),
        ).lastrowid
        raw.execute("INSERT INTO message_words VALUES (?, ?, 'log', ?, ?)", (message, TEXT, REPLY, PAYLOAD))
        raw.execute("INSERT INTO entries VALUES (1, ?, 'pull', ?, ?, 'p1', ?, 0, ?)", (number, at, at, message, BODY))
        raw.executemany("INSERT INTO mentions VALUES (1, ?, ?, ?)", [(name, at, number) for name in NAMES])
        raw.execute("UPDATE rooms SET head = ?, latest_at = ?", (number, at))
        raw.execute("COMMIT")

    return once


def turns(count: int) -> None:
    """On SQLite, WAL and synchronous FULL on every side."""
    with tempfile.TemporaryDirectory() as name:
        made = {
            "ours": our_turn(f"sqlite:///{name}/ours.db"),
            "bare session": session_turn(f"sqlite:///{name}/session.db"),
            "sqlite3": raw_turn(Path(name)),
        }
        in_turn("SQLite", made, count)


def turns_on_postgresql(count: int) -> None:
    """On a PostgreSQL server of its own, as it is installed: every commit waits for the disk."""
    programs = server.binaries()
    if programs is None:
        print("no PostgreSQL server is installed here, so it was not measured")
        return
    with server.running(programs, "-c listen_addresses=''") as socket:
        with psycopg.connect(host=socket, user="postgres", autocommit=True) as connection:
            for name in ("ours", "session"):
                connection.execute(f"CREATE DATABASE {name}".encode())
        ours = our_turn(f"postgresql://postgres@/ours?host={socket}")
        in_turn(
            "PostgreSQL",
            {"ours": ours, "bare session": session_turn(f"postgresql+psycopg://postgres@/session?host={socket}")},
            count,
        )


def in_turn(where: str, sides: dict[str, Callable[[int], None]], count: int) -> None:
    """Each side in turn, so that whatever else the machine does falls on all alike; medians and their ratios."""
    spent: dict[str, list[tuple[float, float]]] = {side: [] for side in sides}
    for number in range(1, count + 1):
        for side, once in sides.items():
            wall, cpu = time.perf_counter(), time.process_time()
            once(number)
            spent[side].append((time.perf_counter() - wall, time.process_time() - cpu))
    for n, measure in enumerate(("wall clock", "processor")):
        middle = {side: statistics.median(both[n] for both in times) * 1e3 for side, times in spent.items()}
        ours = middle.pop("ours")
        told = ", ".join(f"{ours / other:.2f} x {side} ({other:.3f} ms)" for side, other in middle.items())
        print(f"a turn on {where}, {measure}: {ours:.3f} ms, {told}", flush=True)


def history(book: RoomBook, count: int, at: dt.datetime = NOON) -> None:
    """Years of a busy room, a hundred entries to a message: feeding, water tests, and batches that come and go."""
    tubs = [f"tub {letter}" for letter in "ABCDEFGHIJKL"]
    number = 0
    while number < count:
        at += dt.timedelta(hours=12)
        with book.turn(Message("say", f"{at}", "kitchen", "p1", "evening round", at)) as turn:
            for step in range(min(100, count - number)):
                tank, tub, batch = f"tank {step % 40 + 1}", tubs[number // 100 % 12], f"B{number // 100}"
                eggs = Account(group=batch, place=tub, stage="eggs")
                fry = Account(group=batch, place=tub, stage="fry")
                if step == 98:
                    posting = Posting(source=eggs, target=fry, whole=True)
                    turn.append(EMPTIED, at=at, batch=batch, place=tub, postings=[posting])
                elif step == 99:
                    old = Account(group=f"B{number // 100 - 11}", place=tubs[(number // 100 + 1) % 12], stage="fry")
                    posting = Posting(source=old, outside="sold", whole=True)
                    turn.append(SOLD, at=at, batch=old.group, line="gardneri", postings=[posting])
                elif step % 10 == 9:
                    posting = Posting(target=eggs, outside="pulled", count=12)
                    pull = event_from({"kind": "pull", "place": tank, "count": 12})
                    turn.append(pull, at=at, batch=batch, line="gardneri", place=tub, postings=[posting])
                elif step % 10 == 8:
                    test = event_from({"kind": "measure", "place": tank, "quantity": "temperature", "value": 24.5})
                    turn.append(test, at=at, place=tank)
                else:
                    turn.append(event_from({"kind": "feed", "places": [tank], "food": "flake"}), at=at, place=tank)
                number += 1
            turn.reply("ok", {}, "log")


def years(count: int) -> None:
    for size in (count // 10, count):
        with tempfile.TemporaryDirectory() as name:
            _years(size, f"{name}/room.db")


def _years(size: int, url: str) -> None:
    database = open_database(url)
    began = time.perf_counter()
    history(database.create_room(RoomCard()), size)
    wrote = time.perf_counter() - began
    database.close()
    spent: dict[str, float] = {}

    @contextmanager
    def timed(what: str) -> Iterator[None]:
        start = time.perf_counter()
        yield
        spent[what] = (time.perf_counter() - start) * 1e3

    with timed("open"):
        database = open_database(url)
        book = database.room()
    with timed("standing"):
        book.standing()
    with timed("standing half-way"):
        book.standing(at=NOON + dt.timedelta(hours=12 * size / 200))
    with timed("20 newest of a tank"):
        book.entries(name="tank 7", limit=20, newest_first=True)
    with timed("a turn"):
        history(book, 1, NOON + dt.timedelta(hours=size))
    print(
        f"{size} entries ({Path(url).stat().st_size / 1e6:.0f} MB, {wrote / size * 1e6:.0f} µs each): "
        + ", ".join(f"{what} {middle:.1f} ms" for what, middle in spent.items())
    )
    if size <= 200_000:
        with timed("check"):
            said = book.check()
        print(f"check: {spent['check'] / size * 1e3:.0f} µs an entry, {said or 'all adds up'}")
    database.close()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--turns", type=int, default=300)
    parser.add_argument("--entries", type=int, default=20_000)
    chosen = parser.parse_args()
    turns(chosen.turns)
    turns_on_postgresql(chosen.turns)
    if chosen.entries:
        years(chosen.entries)
