"""The whole house as a process of its own: killed in the middle of things, stopped politely, started lightly."""

from __future__ import annotations

import asyncio
import contextlib
import datetime as dt
import json
import os
import signal
import sys
from collections import Counter
from pathlib import Path

import aiohttp
import pytest

from bot.channels.serve import Notice, Serve, hear
from bot.channels.telegram import MENU
from bot.settings import SettingsError
from storage.engine import open_database
from storage.journal import Message, RoomBook
from tests.doors.bot_api import IVO, ROSA, TOKEN, BotApi, Refusal
from tests.doors.conftest import IVO_NUMBER, ROSA_NUMBER, OpenHouse, settings_for
from tests.doors.ears import plain_ear
from tests.doors.texted import SECRET, signed

HOUSE = """
import asyncio, logging, sys
from bot.channels.serve import Serve
from bot.logs import be_quiet, write_log
from bot.settings import read_settings
from storage.engine import open_database
from tests.doors.ears import plain_ear
settings = read_settings()
be_quiet(settings.secrets)
write_log()
async def main():
    await Serve(open_database(settings.db).room(), settings, plain_ear, poll_seconds=2, paced=False).run()
asyncio.run(main())
"""
SERVE = """
import sys
from bot.channels.serve import serve
from bot.settings import read_settings
from storage.engine import open_database
from tests.doors.ears import plain_ear
settings = read_settings()
sys.exit(serve(open_database(settings.db).room(), settings, plain_ear))
"""
# libraries that cost much to load and are only for certain answers, and servers the house does not use
HEAVY = "scipy matplotlib pint statsmodels lifelines pandas aiohttp tornado twilio PIL"


def environment(api: BotApi, room_file: Path, **more: str) -> dict[str, str]:
    given = {
        "ROOMHAND_TELEGRAM_TOKEN": TOKEN,
        "ROOMHAND_TELEGRAM_API": api.url,
        "ROOMHAND_DB": str(room_file),
        "ROOMHAND_STATE": str(room_file.parent / "state"),
        "XDG_CONFIG_HOME": str(room_file.parent),
        **{f"ROOMHAND_{name.upper()}": value for name, value in more.items()},
    }
    return {k: v for k, v in os.environ.items() if not k.startswith("ROOMHAND_")} | given


async def start(environ: dict[str, str], *command: str) -> asyncio.subprocess.Process:
    return await asyncio.create_subprocess_exec(
        sys.executable, *(command or ("-c", HOUSE)), env=environ, stderr=asyncio.subprocess.PIPE
    )


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM])
async def test_ended_in_the_middle_of_a_burst_nothing_is_lost_and_nothing_logged_twice(
    api: BotApi, room_file: Path, how: signal.Signals
) -> None:
    # told to stop, it finishes the hundred it fetched at a time
    many, points = (40, (7, 22)) if how == signal.SIGKILL else (130, (7,))
    notes = [f"note {i}" for i in range(many)]
    for i, note in enumerate(notes):
        api.say(note, who=(ROSA, IVO)[i % 2])
    api.delay = 0.005
    ends = 0
    for point in points:
        process = await start(environment(api, room_file))
        await api.until(lambda point=point: len(api.sent) >= point, 60)  # type: ignore[misc]
        process.send_signal(how)
        await process.communicate()
        assert process.returncode == (-how if how == signal.SIGKILL else 0)
        ends += 1
    assert len(api.sent) < len(notes), "it was ended in the middle"
    process = await start(environment(api, room_file))
    await api.until(lambda: not api.updates, 60)
    process.send_signal(signal.SIGTERM)
    _, log = await process.communicate()
    assert process.returncode == 0, log.decode()

    assert kept(room_file) == (notes, notes)
    answers = Counter(s["text"] for s in api.sent)
    assert set(answers) == {f"kept: {note}" for note in notes}, "everybody was answered"
    # only what was on the wire in each of the two chats at the moment of a kill can come a second time
    assert sum(answers.values()) - len(notes) <= (2 * ends if how == signal.SIGKILL else 0)
    for who in (ROSA, IVO):
        order = list(dict.fromkeys(s["text"] for s in api.sent if s["chat_id"] == who["id"]))
        assert order == [f"kept: {note}" for i, note in enumerate(notes) if (ROSA, IVO)[i % 2] is who]


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM])
async def test_ended_in_the_middle_of_texts_nothing_is_lost_and_nothing_logged_twice(
    api: BotApi, room_file: Path, unused_tcp_port: int, how: signal.Signals
) -> None:
    """The gateway passes each text on until it is taken, as every gateway does."""
    more = {"listen": f"127.0.0.1:{unused_tcp_port}", "sms_gateway": "plain", "sms_secret": SECRET}
    environ = {k: v for k, v in environment(api, room_file, **more).items() if "TELEGRAM" not in k}
    said: dict[str, list[str]] = {ROSA_NUMBER: [], IVO_NUMBER: []}

    async def pass_on(number: str) -> None:
        async with aiohttp.ClientSession() as web:
            for i in range(40):
                note = {"from": number, "id": f"{number}-{i}", "text": f"note {i} of {number[-1]}"}
                body = json.dumps(note).encode()
                while len(said[number]) <= i:
                    with contextlib.suppress(aiohttp.ClientError):
                        url = f"http://127.0.0.1:{unused_tcp_port}/sms"
                        async with web.post(url, data=body, headers=signed(body)) as answer:
                            if answer.status == 200:
                                said[number] += [m["text"] for m in (await answer.json())["messages"]]
                                continue
                    await asyncio.sleep(0.02)

    passing = asyncio.gather(*map(pass_on, said))
    for point in (10, 40):
        process = await start(environ)
        await api.until(lambda point=point: sum(map(len, said.values())) >= point, 60)  # type: ignore[misc]
        process.send_signal(how)
        await process.communicate()
        assert process.returncode == (-how if how == signal.SIGKILL else 0)
    assert not passing.done(), "it was ended in the middle"
    process = await start(environ)
    await asyncio.wait_for(passing, 60)
    process.send_signal(signal.SIGTERM)
    await process.communicate()
    texts, entries = kept(room_file)
    assert Counter(texts) == Counter(entries) == Counter(f"note {i} of {n[-1]}" for n in said for i in range(40))
    assert said == {n: [f"kept: note {i} of {n[-1]}" for i in range(40)] for n in said}


def kept(room_file: Path) -> tuple[list[str], list[str]]:
    """The texts of the messages and of the entries, in order."""
    database = open_database(str(room_file))
    book = database.room()
    found = [m.text for m in book.messages()], [e.event.text for e in book.entries()]  # type: ignore[union-attr]
    database.close()
    return found


async def test_a_token_that_is_refused_ends_with_a_clear_line(api: BotApi, room_file: Path) -> None:
    wrong = "123456789:AAwrongwrongwrongwrongwrongwrongwrong"
    environ = environment(api, room_file) | {"ROOMHAND_TELEGRAM_TOKEN": wrong}
    process = await start(environ, "-c", SERVE)
    _, log = await process.communicate()
    assert process.returncode == 1
    assert "ROOMHAND_TELEGRAM_TOKEN is not accepted" in log.decode()
    assert wrong not in log.decode() and "Traceback" not in log.decode()


async def test_an_address_in_use_is_named(api: BotApi, book: RoomBook, tmp_path: Path) -> None:
    house = Serve(book, settings_for(api, tmp_path, listen=f"127.0.0.1:{api.port}"), plain_ear)
    with pytest.raises(SettingsError, match="ROOMHAND_LISTEN"):
        await house.run()


async def test_a_state_folder_that_cannot_be_is_named(book: RoomBook, api: BotApi, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(SettingsError, match="ROOMHAND_STATE"):
        Serve(book, settings_for(api, tmp_path, state=str(tmp_path / "file" / "state")), plain_ear)


async def test_no_door_at_all_is_named(book: RoomBook, tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="ROOMHAND_TELEGRAM_TOKEN"):
        Serve(book, settings_for(None, tmp_path), plain_ear)


async def test_told_to_stop_while_the_network_is_away_it_stops(api: BotApi, room_file: Path) -> None:
    await api.stop()
    process = await start(environment(api, room_file))
    assert process.stderr
    assert b"a request failed" in await asyncio.wait_for(process.stderr.readline(), 60)
    process.send_signal(signal.SIGTERM)
    await asyncio.wait_for(process.communicate(), 30)
    assert process.returncode == 0


async def test_the_whole_way_from_a_note_to_the_ledger(api: BotApi, room_file: Path) -> None:
    pytest.importorskip("bot.hear", exc_type=ImportError)
    card = room_file.with_suffix(".json")
    tank = {"name": "tank 3", "volume": "10 gal", "role": "breeders", "line": "gardneri"}
    line = {"name": "gardneri", "species": "Fundulopanchax gardneri"}
    card.write_text(json.dumps({"name": "Millrace room", "lines": [line], "places": [tank]}))
    environ = environment(api, room_file)
    process = await start(environ, "-m", "bot.commands", "setup", str(card))
    assert await process.wait() == 0
    process = await start(environ, "-m", "bot.commands", "serve")
    try:
        number = api.say("pulled mop tank 3, 40 eggs")
        # an owner also hears who came in, sooner or later
        await api.until(lambda: any("40 eggs" in s.get("text", "") for s in api.sent))
        api.edit(number, "pulled mop tank 3, 14 eggs")
        await api.until(lambda: any("14 eggs" in s.get("text", "") for s in api.sent))
        await api.taken()
    finally:
        with contextlib.suppress(ProcessLookupError):
            process.send_signal(signal.SIGTERM)
        _, log = await process.communicate()
    assert process.returncode == 0, log.decode()
    assert "40 eggs" not in log.decode()
    database = open_database(str(room_file))
    pulls = [e.event.outside() for e in database.room().entries(kinds=("pull",))]
    assert [(p["place"], p["count"]) for p in pulls] == [("tank 3", 14)]
    database.close()


async def test_what_is_said_unasked_is_said_once_over_restarts(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    def tick(_: RoomBook, now: dt.datetime) -> list[Notice]:
        return [Notice("nightly", "2026-03-09:p1", "telegram", "501", "good evening", b"a chart", ("tap me",))]

    api.fail("sendphoto", "drop", Refusal(500, "Internal Server Error"))
    for _ in range(2):
        house = await open_house(api, tick=tick)
        await api.until(lambda: api.sent)
        house.stop()
        await asyncio.sleep(0.2)
    assert [s["caption"] for s in api.sent] == ["good evening"]
    assert not book.unconfirmed()


async def test_a_fault_in_what_is_said_unasked_stops_nothing(api: BotApi, open_house: OpenHouse) -> None:
    def tick(_: RoomBook, now: dt.datetime) -> list[Notice]:
        raise RuntimeError("a fault")

    await open_house(api, tick=tick)
    api.say("one")
    assert await api.texts(1) == ["kept: one"]


@pytest.mark.parametrize("more", ["", "import bot.hear, bot.unasked.reminders"])
async def test_the_house_starts_without_what_it_seldom_needs(api: BotApi, room_file: Path, more: str) -> None:
    if more:
        pytest.importorskip("bot.hear", exc_type=ImportError)
    code = (
        f"import sys\n{more}\nfrom bot.channels.serve import Serve\nfrom bot.settings import read_settings\n"
        "from storage.engine import open_database\nimport asyncio\nsettings = read_settings()\n"
        "async def main(): Serve(open_database(settings.db).room(), settings, None)\nasyncio.run(main())\n"
        f"assert 'telegram' in sys.modules\nprint(*[m for m in '{HEAVY}'.split() if m in sys.modules], file=sys.stderr)"
    )
    environ = environment(api, room_file, listen="127.0.0.1:0", sms_gateway="plain", sms_secret=SECRET)
    process = await start(environ, "-c", code)
    _, log = await process.communicate()
    assert (process.returncode, log.decode().split()) == (0, [])


def test_every_command_of_the_menu_is_understood(book: RoomBook) -> None:
    person = book.person_at("telegram", str(ROSA["id"]))
    assert person and MENU
    now = dt.datetime.now(dt.UTC)
    for name, _ in MENU:
        said = hear(book, Message("telegram", name, "501", person.key, name, now))
        assert said.text and "Nothing to log or answer" not in said.text, name
