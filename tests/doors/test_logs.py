"""Nothing that is logged, by whichever library and at whichever level, holds a token, a number or a note's words."""

from __future__ import annotations

import asyncio
import logging
import subprocess
import sys
from collections.abc import Iterator

import pytest

from bot.logs import LOUD, Redactor, bare_trace, be_quiet
from tests.doors.bot_api import TOKEN, BotApi, Refusal
from tests.doors.conftest import ROSA_NUMBER, OpenHouse


@pytest.fixture
def everything_logged() -> Iterator[list[str]]:
    """All records of the process at DEBUG, as a handler would write them, with every library at its loudest."""
    lines: list[str] = []

    class Keep(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            lines.append(logging.Formatter("%(name)s %(message)s").format(record))

    names = ["", *LOUD, "telegram.Bot", "telegram.ext", "httpcore.http11", "httpcore.connection", "sqlalchemy.engine"]
    before = {name: logging.getLogger(name).level for name in names}
    factory, hook = logging.getLogRecordFactory(), sys.excepthook
    be_quiet([TOKEN, "s3cret-s3cret"])
    keep = Keep(0)
    logging.getLogger().addHandler(keep)
    for name in names:
        logging.getLogger(name).setLevel(logging.DEBUG)
    yield lines
    logging.getLogger().removeHandler(keep)
    logging.setLogRecordFactory(factory)
    sys.excepthook = hook
    for name, level in before.items():
        logging.getLogger(name).setLevel(level)


async def test_real_traffic_leaves_no_trace_in_the_log(
    api: BotApi, open_house: OpenHouse, everything_logged: list[str]
) -> None:
    await open_house(api)
    api.fail("sendmessage", "drop", Refusal(500, "Internal"))
    api.say("pulled mop, secretphrase, 40 eggs")
    api.say("fault")
    api.push("message", {"message_id": "secretphrase", "text": "secretphrase"})
    api.say("picture")
    api.say("long 300")
    await api.texts(4)
    await api.stop()
    await asyncio.sleep(0.1)
    await api.start()
    text = "\n".join(everything_logged)
    assert len(everything_logged) > 40, "the libraries were heard"
    assert "httpx" in text and "httpcore" in text and "telegram" in text
    for trace in (TOKEN, TOKEN.split(":")[1], "secretphrase", "pulled mop", "40 eggs", "a fault that quotes"):
        assert trace not in text


@pytest.mark.parametrize(
    ("text", "left"),
    [
        (f"GET https://api.example.org/bot{TOKEN}/getMe", "GET https://api.example.org/bot…/getMe"),
        (f"from {ROSA_NUMBER} to", "from … to"),
        ("(312) 555-0101", "(…"),
        ("at 2026-03-09 18:30:00", "at 2026-03-09 18:30:00"),
        ("secret is hunter2x", "secret is …"),
        ("tank 3, 40 eggs", "tank 3, 40 eggs"),
    ],
)
def test_what_is_taken_out(text: str, left: str) -> None:
    assert Redactor(["hunter2x"])(text) == left


def test_a_trace_tells_where_and_not_what() -> None:
    try:
        try:
            raise ValueError("pulled mop tank 3")
        except ValueError as inner:
            raise RuntimeError("40 eggs") from inner
    except RuntimeError as problem:
        trace = bare_trace(problem)
    assert "RuntimeError" in trace and "ValueError" in trace and "test_logs.py" in trace
    assert "eggs" not in trace and "mop" not in trace


def test_an_exception_nobody_caught_shows_no_words() -> None:
    code = "from bot.logs import be_quiet; be_quiet(); raise ValueError('pulled mop secretphrase')"
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert ended.returncode == 1
    assert "ValueError" in ended.stderr and "secretphrase" not in ended.stderr
