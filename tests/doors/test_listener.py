"""The HTTP server in front of the webhooks: bounded in size, time and number, and deaf to forged requests."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

import aiohttp
import pytest

from bot.channels import listener as listening
from bot.channels.listener import Answer, Listener, Request
from bot.channels.telegram import HOOK
from storage.journal import RoomBook
from storage.trouble import StorageTrouble
from tests.doors.bot_api import BotApi
from tests.doors.conftest import OpenHouse

CHUNKED = b"POST /echo HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n"


@pytest.fixture
async def listener() -> AsyncIterator[Listener]:
    made = Listener("127.0.0.1", 0)

    async def echo(request: Request) -> Answer:
        return Answer(200, request.body)

    async def broken(_: Request) -> Answer:
        raise RuntimeError("secretphrase")

    async def slow(_: Request) -> Answer:
        await asyncio.sleep(0.4)
        return Answer(200, b"done")

    async def guarded(_: Request) -> Answer:
        return Answer(403, forged=True)

    made.routes |= {
        ("POST", "/echo"): echo,
        ("GET", "/broken"): broken,
        ("GET", "/slow"): slow,
        ("POST", "/guarded"): guarded,
    }
    await made.open()
    yield made
    await made.close()


async def raw(listener: Listener, data: bytes, *, wait: float = 3.0) -> bytes:
    """What comes back for these bytes until the other side closes (or the wait ends)."""
    reader, writer = await asyncio.open_connection("127.0.0.1", listener.port)
    writer.write(data)
    try:
        return await asyncio.wait_for(reader.read(), wait)
    except ConnectionResetError:
        return b""
    finally:
        writer.close()


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nConnection: close\r\n\r\nhi", 200),
        (CHUNKED + b"Connection: close\r\n\r\n2\r\nhi\r\n0\r\n\r\n", 200),
        (b"GET /nowhere HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", 404),
        (b"GET /../etc/passwd HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", 404),
        (b"GET /echo HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", 405),
        (b"GET /broken HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", 500),
        (b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 999999999\r\n\r\n", 413),
        (CHUNKED + b"\r\n10000\r\n" + b"x" * 65536 + b"\r\n40000\r\n" + b"x" * 262144, 413),
        (b"POST /echo HTTP/1.1\r\nHost: x\r\nX: " + b"y" * 40_000, 431),
        (b"nonsense\r\n\r\n", 400),
        (b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nContent-Length: 3\r\n\r\nhi", 400),
        (b"POST /echo HTTP/1.1\r\nContent-Length: -1\r\nHost: x\r\n\r\nhi", 400),
        (b"POST /echo HTTP/1.1\r\n\r\n", 400),
    ],
)  # fmt: skip
async def test_a_request_gets_its_status(listener: Listener, sent: bytes, status: int) -> None:
    came = await raw(listener, sent)
    assert came.startswith(f"HTTP/1.1 {status} ".encode())
    assert b"secretphrase" not in came and b"Traceback" not in came


async def test_a_client_that_dawdles_is_dropped(listener: Listener, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "READ_SECONDS", 0.2)
    assert await raw(listener, b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\n\r\nhe", wait=2) == b""


async def test_a_handler_that_takes_too_long_is_given_up(listener: Listener, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "ANSWER_SECONDS", 0.05)
    assert b" 503 " in await raw(listener, b"GET /slow HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")


async def test_a_peer_that_asks_too_often_is_told_to_wait(listener: Listener) -> None:
    async with aiohttp.ClientSession(f"http://127.0.0.1:{listener.port}") as web:
        statuses = [(await web.post("/echo", data=b"x")).status for _ in range(int(listening.BURST) + 60)]
    assert statuses[0] == 200 and 429 in statuses


async def test_a_peer_that_forges_is_no_longer_listened_to(listener: Listener) -> None:
    async with aiohttp.ClientSession(f"http://127.0.0.1:{listener.port}") as web:
        statuses = [(await web.post("/guarded", data=b"x")).status for _ in range(listening.FORGERIES + 2)]
    assert statuses == [403] * listening.FORGERIES + [429, 429]


async def test_behind_a_proxy_one_forger_does_not_shut_out_the_others(listener: Listener) -> None:
    async with aiohttp.ClientSession(f"http://127.0.0.1:{listener.port}") as web:
        for _ in range(listening.FORGERIES + 1):
            bad = await web.post("/guarded", data=b"x", headers={"X-Forwarded-For": "10.0.0.1, 203.0.113.9"})
        good = await web.post("/echo", data=b"x", headers={"X-Forwarded-For": "203.0.113.9, 198.51.100.7"})
    assert (bad.status, good.status) == (429, 200)


@pytest.mark.parametrize(
    ("peer", "told", "who"),
    [
        ("127.0.0.1", "1.1.1.1, 203.0.113.9", "203.0.113.9"),
        ("8.8.8.8", "203.0.113.9", "8.8.8.8"),
        ("127.0.0.1", "nonsense", "127.0.0.1"),
        ("127.0.0.1", "", "127.0.0.1"),
        ("local", "203.0.113.9", "local"),
    ],
)
def test_only_a_proxy_of_ours_is_believed(peer: str, told: str, who: str) -> None:
    assert listening.origin(peer, {"x-forwarded-for": told}) == who


async def test_too_many_connections_are_refused(listener: Listener, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "CONNECTIONS", 2)
    held = [await asyncio.open_connection("127.0.0.1", listener.port) for _ in range(2)]
    await asyncio.sleep(0.05)
    assert await raw(listener, b"GET /slow HTTP/1.1\r\nHost: x\r\n\r\n", wait=1) == b""
    for _, writer in held:
        writer.close()


async def test_closing_finishes_an_answer_that_was_begun(listener: Listener) -> None:
    asked = asyncio.create_task(raw(listener, b"GET /slow HTTP/1.1\r\nHost: x\r\n\r\n"))
    await asyncio.sleep(0.1)
    await listener.close()
    assert b"done" in await asked


# ---- health


async def test_health_tells_whether_all_is_well(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    house = await open_house(api, listen=":0")
    assert house.listener
    await api.until(lambda: api.called("getupdates"))
    async with aiohttp.ClientSession(f"http://127.0.0.1:{house.listener.port}") as web:
        async with web.get("/health") as answer:
            assert (answer.status, await answer.json()) == (200, {"book": True, "telegram": True})

        def away() -> Any:
            raise StorageTrouble("gone")

        book.people = away  # type: ignore[method-assign,assignment]
        async with web.get("/health") as answer:
            assert (answer.status, await answer.json()) == (503, {"book": False, "telegram": True})


async def test_looking_for_doors_tells_nothing_and_is_soon_stopped(api: BotApi, open_house: OpenHouse) -> None:
    """What is not configured is as unknown as what does not exist, and there are only so many tries."""
    house = await open_house(api, listen=":0")
    assert house.listener
    found: dict[str, tuple[int, bytes]] = {}
    async with aiohttp.ClientSession(f"http://127.0.0.1:{house.listener.port}") as web:
        for path in (HOOK, "/sms", "/telegram/1", "/", "/.git/config", "/health/", "/HEALTH"):
            async with web.post(path, data=b"{}") as answer:
                found[path] = (answer.status, await answer.read())
                assert "Server" not in answer.headers
        assert set(found.values()) == {(404, b"")}
        tries = [await status(web, f"/guess{i}") for i in range(300)]
    assert 429 in tries and set(tries) <= {404, 429}


async def status(web: aiohttp.ClientSession, path: str) -> int:
    async with web.get(path) as answer:
        return answer.status


# ---- Telegram's webhook


@pytest.fixture
async def hooked(api: BotApi, open_house: OpenHouse, unused_tcp_port: int) -> str:
    url = f"http://127.0.0.1:{unused_tcp_port}"
    await open_house(api, listen=f":{unused_tcp_port}", public_url=url)
    await api.until(lambda: api.webhook)
    return url


async def test_messages_come_by_webhook(api: BotApi, hooked: str, book: RoomBook) -> None:
    for i in range(5):
        api.say(f"note {i}")
    assert await api.texts(5) == [f"kept: note {i}" for i in range(5)]
    await api.taken()
    assert not api.called("getupdates")
    assert api.webhook and api.webhook["max_connections"] == 1


async def test_an_update_pushed_twice_at_once_is_answered_once(api: BotApi, hooked: str, book: RoomBook) -> None:
    assert api.webhook
    headers = {"X-Telegram-Bot-Api-Secret-Token": api.webhook["secret_token"]}
    update = {"update_id": 5, "message": api.message("slow")}
    async with aiohttp.ClientSession() as web:
        answers = await asyncio.gather(*(web.post(hooked + HOOK, json=update, headers=headers) for _ in range(2)))
    assert [a.status for a in answers] == [200, 200]
    assert [s["text"] for s in api.sent] == ["that took a while"]


@pytest.mark.parametrize(
    ("secret", "body", "status"),
    [
        (None, b"{}", 403),
        ("", b"{}", 403),
        ("wrong", b"{}", 403),
        ("größer", b"{}", 403),
        ("right", b"not json", 400),
        ("right", b"[]", 400),
        ("right", b'{"update_id": "one"}', 400),
        ("right", b"\xff\xfe", 400),
        ("right", b'{"update_id": 7, "message": {"message_id": 1}}', 200),
        ("right", b'{"update_id": 8, "something_new": 1}', 200),
    ],
)
async def test_what_is_pushed_is_checked(
    api: BotApi, hooked: str, book: RoomBook, secret: str | None, body: bytes, status: int
) -> None:
    assert api.webhook
    right = api.webhook["secret_token"]
    headers = {} if secret is None else {"X-Telegram-Bot-Api-Secret-Token": right if secret == "right" else secret}
    async with aiohttp.ClientSession() as web, web.post(hooked + HOOK, data=body, headers=headers) as answer:
        assert answer.status == status
    assert not book.messages() and not api.sent


async def test_a_forged_update_is_not_heard(api: BotApi, hooked: str, book: RoomBook) -> None:
    update = json.dumps({"update_id": 5, "message": api.message("all fish sold")}).encode()
    headers = {"X-Telegram-Bot-Api-Secret-Token": "a" * 64}
    async with aiohttp.ClientSession() as web, web.post(hooked + HOOK, data=update, headers=headers) as answer:
        assert answer.status == 403
    assert not book.messages() and not api.sent
