"""A room with two people, a stand-in Bot API server, and a house to open on both."""

from __future__ import annotations

import asyncio
import datetime as dt
import shutil
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from bot.channels import telegram
from bot.channels.serve import Serve
from bot.command_line.setup import set_up
from bot.settings import Settings, read_settings
from shared.room import RoomCard
from storage.engine import open_database
from storage.journal import RoomBook
from tests.doors.bot_api import IVO, ROSA, TOKEN, BotApi
from tests.doors.ears import plain_ear

ROOM = RoomCard(name="Millrace room", timezone="America/Chicago")
ROSA_NUMBER, IVO_NUMBER = "+13125550101", "+13125550102"

telegram.SLOW = 0.15  # the slow answer of the tests takes half a second

OpenHouse = Callable[..., Awaitable[Serve]]


@pytest.fixture(scope="session")
def kept_room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with Rosa and Ivo let in at both doors, made once."""
    file = tmp_path_factory.mktemp("kept") / "room.db"
    database = open_database(str(file))
    book = database.create_room(ROOM)
    now = dt.datetime.now(dt.UTC)
    for who, number in ((ROSA, ROSA_NUMBER), (IVO, IVO_NUMBER)):
        for door, address in (("telegram", str(who["id"])), ("sms", number)):
            assert book.admit(book.invite("owner", dt.timedelta(days=1)), door, address, str(who["first_name"]), now)
    database.close()
    return file


@pytest.fixture
def room_file(kept_room: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(kept_room, tmp_path / "room.db"))


def with_its_tanks(room_file: Path, card: RoomCard) -> Path:
    """The same room, set up by the card since yesterday."""
    database = open_database(str(room_file))
    set_up(database, card.model_copy(update={"name": "Millrace room"}), dt.datetime.now(dt.UTC) - dt.timedelta(days=1))
    database.close()
    return room_file


@pytest.fixture
def book(room_file: Path) -> Iterator[RoomBook]:
    database = open_database(str(room_file))
    yield database.room()
    database.close()


@pytest.fixture
async def api() -> AsyncIterator[BotApi]:
    server = BotApi()
    await server.start()
    yield server
    await server.stop()


def settings_for(api: BotApi | None, folder: Path, **more: str) -> Settings:
    given = {"ROOMHAND_STATE": str(folder / "state")}
    if api:
        given |= {"ROOMHAND_TELEGRAM_TOKEN": TOKEN, "ROOMHAND_TELEGRAM_API": api.url}
    given |= {f"ROOMHAND_{name.upper()}": value for name, value in more.items()}
    return read_settings(given, None)


@pytest.fixture
async def open_house(book: RoomBook, tmp_path: Path) -> AsyncIterator[OpenHouse]:
    """Opens a house on the room's book; whatever was opened is closed at the end."""
    running: list[tuple[Serve, asyncio.Task[None]]] = []

    async def open_(api: BotApi | None = None, *, ear: Any = plain_ear, tick: Any = None, **more: Any) -> Serve:
        given = {k: more.pop(k) for k in ("clock", "paced") if k in more}
        house = Serve(book, settings_for(api, tmp_path, **more), ear, tick=tick, poll_seconds=2, **given)
        running.append((house, asyncio.create_task(house.run())))
        for listener in filter(None, (house.listener, house.scraped)):
            while not listener.started and not running[-1][1].done():
                await asyncio.sleep(0.002)
        return house

    yield open_
    for house, task in running:
        house.stop()
        await asyncio.wait_for(task, 15)
