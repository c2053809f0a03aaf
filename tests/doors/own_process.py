"""The whole house as a process of its own, with a crowd before its doors."""

from __future__ import annotations

import asyncio
import datetime as dt
import os
import signal
import sys
import time
from pathlib import Path

import aiohttp

from bot.channels.telegram_in import WANTED
from bot.command_line.setup import read_card, set_up
from storage.engine import open_database
from tests.doors.bot_api import IVO, ROSA, TOKEN, BotApi
from tests.doors.mixed import NUMBERS, Crowd
from tests.doors.texted import SECRET

HOUSE = """
import asyncio
from bot.channels.serve import Serve
from bot.logs import be_quiet, write_log
from bot.settings import read_settings
from storage.engine import open_database
settings = read_settings()
be_quiet(settings.secrets)
write_log()
async def main():
    await Serve(open_database(settings.db).room(), settings, poll_seconds=2, paced=False).run()
asyncio.run(main())
"""


def room_with_people(folder: Path) -> Path:
    """The room of the tests with Rosa and Ivo let in at both doors."""
    file = folder / "room.db"
    database = open_database(str(file))
    now = dt.datetime.now(dt.UTC)
    book, _ = set_up(database, read_card(Path(__file__).parents[1] / "room.json"), now - dt.timedelta(days=1))
    for who in (ROSA, IVO):
        for door, address in (("telegram", str(who["id"])), ("sms", NUMBERS[who["id"]])):
            assert book.admit(book.invite("owner"), door, address, f"{who['first_name']} of the door", now)
    database.close()
    return file


class House:
    """The whole house as a process of its own, over a database in `folder`."""

    def __init__(self, api: BotApi, folder: Path, **more: str) -> None:
        self.api, self.file = api, folder / "room.db"
        given = {
            "ROOMHAND_TELEGRAM_TOKEN": TOKEN,
            "ROOMHAND_TELEGRAM_API": api.url,
            "ROOMHAND_DB": str(self.file),
            "ROOMHAND_STATE": str(folder / "state"),
            "XDG_CONFIG_HOME": str(folder),
            **{f"ROOMHAND_{name.upper()}": value for name, value in more.items()},
        }
        self._environ = {k: v for k, v in os.environ.items() if not k.startswith("ROOMHAND_")} | given
        self._log = folder / "log"

    async def __aenter__(self) -> House:
        with self._log.open("ab") as log:
            self.process = await asyncio.create_subprocess_exec(
                sys.executable, "-c", HOUSE, env=self._environ, stderr=log
            )
        return self

    async def __aexit__(self, *_: object) -> None:
        if self.process.returncode is None:
            self.process.send_signal(signal.SIGTERM)
            await self.process.wait()

    @property
    def log(self) -> str:
        return self._log.read_text(encoding="utf-8")

    @property
    def memory(self) -> float:
        """MB it holds now."""
        with open(f"/proc/{self.process.pid}/statm") as fields:
            return int(fields.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6

    async def drained(self, seconds: float = 120) -> None:
        """Until every update that is handed out is confirmed; fails when the house is no longer there."""
        end = time.monotonic() + seconds
        while waiting := [u for u in self.api.updates if any(kind in u for kind in WANTED)]:
            assert self.process.returncode is None, self.log
            assert time.monotonic() < end, f"{len(waiting)} updates are still waiting: {waiting[:3]}"
            await asyncio.sleep(0.01)


async def by_polling(crowd: Crowd, folder: Path, updates: int, looked: list[tuple[int, float]]) -> House:
    """So many updates fetched by the house; `looked` gets its memory along the way."""
    async with House(crowd.api, folder) as house:
        until = crowd.done + updates
        while crowd.done < until:
            crowd.telegram(50)
            await house.drained()
            looked.append((crowd.done, house.memory))
    return house


async def by_webhook(crowd: Crowd, folder: Path, port: int, updates: int, looked: list[tuple[int, float]]) -> House:
    """So many updates pushed to the house, and at the same time whatever comes to an open address."""
    base = f"http://127.0.0.1:{port}"
    more = {"listen": f"127.0.0.1:{port}", "public_url": base, "sms_gateway": "plain", "sms_secret": SECRET}
    # from many addresses, so that it is not the listener's patience that is measured
    crowd.api.via = [f"192.0.2.{i}" for i in range(1, 250)]  # TEST-NET-1
    async with House(crowd.api, folder, **more) as house, aiohttp.ClientSession() as web:
        await crowd.api.until(lambda: crowd.api.webhook, 60)
        assert crowd.api.webhook
        until = crowd.done + updates
        while crowd.done < until:
            crowd.telegram(40)
            for _ in range(10):
                await crowd.at_the_address(web, base, crowd.api.webhook["secret_token"])
            await house.drained()
            looked.append((crowd.done, house.memory))
    return house
