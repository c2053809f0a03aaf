"""The Telegram door beside a minimal bot of the same library that stores one row a message, on the same server.

Run: python -m tests.bench.bench_doors [--notes 2000] [--rounds 3]
Both sides run in turn, each in a process of its own, against the stand-in Bot API server of the tests (loopback, no
TLS, answers at once), so the figures say what the program costs and nothing about Telegram's own network.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import signal
import statistics
import sys
import tempfile
import time
from pathlib import Path

from tests.doors.bot_api import IVO, ROSA, TOKEN, BotApi

REFERENCE = """
import os
from sqlalchemy import event
from sqlmodel import Field, Session, SQLModel, create_engine
from telegram import Update
from telegram.ext import Application, ContextTypes, MessageHandler, filters

class Note(SQLModel, table=True):
    id: int | None = Field(default=None, primary_key=True)
    chat: int
    text: str

engine = create_engine("sqlite:///" + os.environ["BENCH_DB"])

@event.listens_for(engine, "connect")
def durable(connection, _):
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")

SQLModel.metadata.create_all(engine)

async def note(update: Update, _: ContextTypes.DEFAULT_TYPE) -> None:
    with Session(engine) as session:
        session.add(Note(chat=update.effective_chat.id, text=update.message.text))
        session.commit()
    await update.message.reply_text("kept: " + update.message.text)

api = os.environ["ROOMHAND_TELEGRAM_API"]
app = Application.builder().token(os.environ["ROOMHAND_TELEGRAM_TOKEN"]).base_url(api + "/bot").build()
app.add_handler(MessageHandler(filters.TEXT, note))
app.run_polling(allowed_updates=["message"])
"""
OURS = """
import asyncio
from bot.channels.serve import Serve
from bot.logs import be_quiet
from bot.settings import read_settings
from storage.engine import open_database
from {module} import {ear} as ear
settings = read_settings()
be_quiet(settings.secrets)
async def main():
    await Serve(open_database(settings.db).room(), settings, ear, paced=False).run()
asyncio.run(main())
"""
SIDES = {
    "reference": REFERENCE,
    "door alone": OURS.format(module="tests.doors.ears", ear="plain_ear"),
    "whole house": OURS.format(module="bot.channels.serve", ear="hear"),
}
NOTES = (
    "fed everyone", "temp 76 in tank 5", "water change 30% tank 7", "cleaned the sponge filter in tank 3",
    "ph 7.2 tank 8", "male in tank 2 looks thin", "fed microworms tub E", "topped off tank 9", "nitrate 10 tank 13",
    "fed daphnia in tank 4",
)  # fmt: skip


def room(folder: Path) -> Path:
    """A room with two people in it, as `roomhand setup` makes it."""
    import datetime as dt

    from bot.command_line.setup import read_card, set_up
    from storage.engine import open_database

    file = folder / "room.db"
    database = open_database(str(file))
    now = dt.datetime.now(dt.UTC)
    book, _ = set_up(database, read_card(Path(__file__).parents[1] / "room.json"), now)
    for who in (ROSA, IVO):
        assert book.admit(book.invite("owner"), "telegram", str(who["id"]), f"{who['first_name']} at the door", now)
    database.close()
    return file


async def until(api: BotApi, many: int, seconds: float) -> None:
    end = time.monotonic() + seconds
    while len(api.sent) < many:
        if time.monotonic() > end:
            raise SystemExit(f"only {len(api.sent)} of {many} answers came")
        await asyncio.sleep(0.0005)


async def measure(side: str, notes: int) -> dict[str, float]:
    """One run of one side: seconds to the first poll, MB when idle, ms for a lone message, notes a second."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        api = BotApi()
        await api.start()
        environ = os.environ | {
            "ROOMHAND_TELEGRAM_TOKEN": TOKEN,
            "ROOMHAND_TELEGRAM_API": api.url,
            "ROOMHAND_STATE": str(folder / "state"),
            "ROOMHAND_DB": str(room(folder)),
            "BENCH_DB": str(folder / "reference.db"),
        }
        began = time.time()
        process = await asyncio.create_subprocess_exec(sys.executable, "-c", SIDES[side], env=environ)
        while api.first_poll is None:
            await asyncio.sleep(0.002)
        found = {"start s": api.first_poll - began}
        await asyncio.sleep(1.0)
        found["idle MB"] = resident(process.pid)
        lone = []
        for i in range(60):
            api.say(f"{NOTES[i % len(NOTES)]}", who=(ROSA, IVO)[i % 2])
            asked = time.perf_counter()
            await until(api, i + 1, 60)
            lone.append((time.perf_counter() - asked) * 1000)
            await asyncio.sleep(0.01)
        found["lone ms"], found["worst ms"] = statistics.median(lone[10:]), sorted(lone[10:])[-1]
        before = cpu(process.pid)
        for i in range(notes):
            api.say(NOTES[i % len(NOTES)], who=(ROSA, IVO)[i % 2])
        asked = time.perf_counter()
        await until(api, 60 + notes, 600)
        found["notes/s"] = notes / (time.perf_counter() - asked)
        found["cpu ms/note"] = (cpu(process.pid) - before) * 1000 / notes
        found["after MB"] = resident(process.pid)
        process.send_signal(signal.SIGTERM)
        await process.wait()
        await api.stop()
        return found


def resident(process: int) -> float:
    """MB of memory a process holds."""
    for line in Path(f"/proc/{process}/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1]) / 1024
    raise SystemExit("this measurement needs /proc")


def cpu(process: int) -> float:
    """Seconds of processor time a process has used."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


async def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--notes", type=int, default=2000)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    found: dict[str, list[dict[str, float]]] = {side: [] for side in SIDES}
    for _ in range(asked.rounds):
        for side in SIDES:
            found[side].append(await measure(side, asked.notes))
    keys = list(found["reference"][0])
    print(f"{'median of ' + str(asked.rounds):16}" + "".join(f"{key:>14}" for key in keys))
    for side, runs in found.items():
        print(f"{side:16}" + "".join(f"{statistics.median(r[key] for r in runs):14.2f}" for key in keys))
    for side in list(SIDES)[1:]:
        pairs = list(zip(found[side], found["reference"], strict=True))
        ratios = (statistics.median(mine[key] / theirs[key] for mine, theirs in pairs) for key in keys)
        print(f"{side + ' ÷ ref':16}" + "".join(f"{ratio:14.2f}" for ratio in ratios))


if __name__ == "__main__":
    asyncio.run(main())
