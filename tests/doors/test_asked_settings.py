"""`roomhand serve` with nothing set asks for it in the terminal: tried over a real one, and a stand-in Bot API."""

from __future__ import annotations

import asyncio
import contextlib
import os
import pty
import re
import select
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from bot.command_line.asked_settings import write_private
from bot.settings import read_settings
from storage.engine import open_database
from tests.doors.bot_api import ROSA, TOKEN, BotApi

SERVE = [sys.executable, "-m", "bot.commands", "serve"]


class Terminal:
    """A program on a terminal of its own; `seen` is all that stood on the screen.

    What is typed unseen must wait for its prompt: what came before the terminal stopped showing it is thrown away.
    """

    def __init__(self, environ: dict[str, str], *words: str) -> None:
        self.seen, self._read_to = "", 0
        self.pid, self._end = pty.fork()
        if self.pid == 0:
            os.execve(sys.executable, [*SERVE, *words], environ)

    def close(self) -> None:
        """Whatever a failed test left running ends."""
        with contextlib.suppress(ProcessLookupError, ChildProcessError):
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
        os.close(self._end)

    async def until(self, text: str) -> None:
        """Wait until a text stands on the screen, after the one waited for before."""
        ends = time.monotonic() + 60
        while (found := self.seen.find(text, self._read_to)) < 0:
            assert time.monotonic() < ends, self.seen[self._read_to :]
            if not select.select([self._end], [], [], 0)[0]:
                await asyncio.sleep(0.01)
                continue
            try:
                self.seen += os.read(self._end, 4096).decode(errors="replace")
            except OSError:
                raise AssertionError(f"ended before “{text}”: {self.seen}") from None
        self._read_to = found + len(text)

    def type(self, text: str) -> None:
        os.write(self._end, text.encode())

    async def say(self, prompt: str, text: str) -> None:
        await self.until(prompt)
        self.type(text + "\n")

    async def status(self) -> int:
        """Let it end; its exit status."""
        while True:
            if select.select([self._end], [], [], 0)[0]:
                with contextlib.suppress(OSError):
                    self.seen += os.read(self._end, 4096).decode(errors="replace")
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                return os.waitstatus_to_exitcode(status)
            await asyncio.sleep(0.01)


@pytest.fixture
def environ(tmp_path: Path) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("ROOMHAND_")}
    return kept | {
        "HOME": str(tmp_path),
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "ROOMHAND_DB": str(tmp_path / "room.db"),
        "ROOMHAND_STATE": str(tmp_path / "state"),
        "PYTHONPATH": os.pathsep.join(p for p in (str(Path.cwd()), kept.get("PYTHONPATH")) if p),
    }


@pytest.fixture
def terminal(environ: dict[str, str]) -> Iterator[Callable[..., Terminal]]:
    opened: list[Terminal] = []

    def open_(*words: str) -> Terminal:
        opened.append(Terminal(environ, *words))
        return opened[-1]

    yield open_
    for one in opened:
        one.close()


@pytest.fixture
def file(tmp_path: Path) -> Iterator[Path]:
    yield tmp_path / "config" / "roomhand" / "settings"


async def test_a_stranger_is_walked_through_and_the_owner_let_in(
    api: BotApi, environ: dict[str, str], file: Path, terminal: Callable[..., Terminal]
) -> None:
    environ["ROOMHAND_TELEGRAM_API"] = api.url
    screen = terminal()
    await screen.say("Time zone", "gotham")
    await screen.say("is no time zone I know", "chicago")
    await screen.say("Units", "us")
    await screen.say("for no Telegram: ", "what token")
    await screen.until("That is no token")
    await screen.say("for no Telegram: ", "123456789:AAwrongwrongwrongwrongwrongwrongwro")
    await screen.until("does not accept that token")
    await screen.say("for no Telegram: ", TOKEN)
    await screen.say("Text messages too", "")
    await screen.until("Open the doors now")
    code = re.search(r"two days: (\w+)", screen.seen)
    assert code and "@millrace_room_bot" in screen.seen
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    settings = read_settings({}, file)
    assert settings.telegram_token and settings.telegram_token.get_secret_value() == TOKEN
    screen.type("\n")
    await screen.until("the doors are open")
    api.say(code[1], ROSA)
    while not any("text" in s for s in api.sent):
        await asyncio.sleep(0.02)
    os.kill(screen.pid, signal.SIGTERM)
    assert await screen.status() == 0
    assert TOKEN not in screen.seen and "AAwrong" not in screen.seen
    database = open_database(environ["ROOMHAND_DB"])
    book = database.room()
    assert (book.info.timezone, book.info.units) == ("America/Chicago", "us")
    assert [(p.name, p.role) for p in book.people() if book.addresses(p.key)] == [("Rosa", "owner")]
    database.close()


async def test_a_second_time_keeps_what_is_there(
    api: BotApi, environ: dict[str, str], file: Path, terminal: Callable[..., Terminal]
) -> None:
    file.parent.mkdir(parents=True)
    file.write_text(f"# mine\nROOMHAND_LOG=warning\nROOMHAND_TELEGRAM_TOKEN={TOKEN}\n")
    environ["ROOMHAND_TELEGRAM_API"] = api.url
    screen = terminal("--ask")
    for prompt in ("Time zone", "Units", "for no Telegram", "Text messages too"):
        await screen.say(prompt, "")
    await screen.say("Open the doors now", "n")
    assert await screen.status() == 0
    assert file.read_text() == f"# mine\nROOMHAND_LOG=warning\nROOMHAND_TELEGRAM_TOKEN={TOKEN}\n"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert TOKEN not in screen.seen


async def test_without_the_net_the_token_is_kept_and_texts_are_asked_for(
    environ: dict[str, str], file: Path, terminal: Callable[..., Terminal]
) -> None:
    environ["ROOMHAND_TELEGRAM_API"] = "http://127.0.0.1:9"  # nobody answers there
    screen = terminal()
    await screen.say("Time zone", "Europe/Berlin")
    await screen.say("Units", "metric")
    await screen.say("for no Telegram: ", TOKEN)
    await screen.say("kept unchecked", "y")
    await screen.say("Gateway", "plain")
    await screen.say("signed with", "s3cret-s3cret")
    await screen.say("own number", "+13125550199")
    await screen.say("Listen at", "everywhere")
    await screen.say("outside address", "")
    await screen.say("write it like 127.0.0.1:8080", "plain")
    await screen.say("signed with", "s3cret-s3cret")
    await screen.say("own number", "")
    await screen.say("Listen at", "")
    await screen.say("outside address", "")
    await screen.say("Open the doors now", "n")
    assert await screen.status() == 0
    settings = read_settings({}, file)
    assert settings.sms_gateway == "plain" and settings.listen == ("127.0.0.1", 8080)
    assert settings.sms_secret and settings.sms_secret.get_secret_value() == "s3cret-s3cret"
    assert "s3cret" not in screen.seen


async def test_answers_that_end_early_write_nothing(file: Path, terminal: Callable[..., Terminal]) -> None:
    screen = terminal()
    await screen.say("Time zone", "UTC")
    await screen.until("Units")
    screen.type("\x04")
    assert await screen.status() == 1
    assert "nothing was written" in screen.seen and not file.exists()


@pytest.mark.parametrize(
    ("words", "told"), [((), "ROOMHAND_TELEGRAM_TOKEN is missing"), (("--ask",), "--ask asks in a terminal")]
)
def test_without_a_terminal_it_says_what_is_missing(
    environ: dict[str, str], file: Path, words: tuple[str, ...], told: str
) -> None:
    done = subprocess.run([*SERVE, *words], env=environ, input="", capture_output=True, text=True, check=False)
    assert done.returncode == 1 and not done.stdout
    assert told in done.stderr and done.stderr.count("\n") == 1
    assert not file.exists()


def test_a_line_is_changed_where_it_stands_and_the_rest_left(tmp_path: Path) -> None:
    file = tmp_path / "settings"
    file.write_text("# a\nexport ROOMHAND_LOG=info\nROOMHAND_SMS_NUMBER=+13125550199\nOTHER=1\n")
    file.chmod(0o644)
    write_private(file, {"ROOMHAND_LOG": "debug", "ROOMHAND_SMS_NUMBER": "", "ROOMHAND_LISTEN": ":1"})
    assert file.read_text() == "# a\nROOMHAND_LOG=debug\nOTHER=1\nROOMHAND_LISTEN=:1\n"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [f.name for f in tmp_path.iterdir()] == ["settings"]
