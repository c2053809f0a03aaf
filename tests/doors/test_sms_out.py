"""What goes out by text unasked: over the gateway's API, held to what it documents, and kept until it is fetched."""

from __future__ import annotations

import asyncio
import base64
import datetime as dt
import json
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import aiohttp
import pytest
from aiohttp import web
from twilio.request_validator import RequestValidator  # type: ignore[import-untyped,unused-ignore]

from bot.channels import sms_out
from bot.channels.doorstep import Line
from bot.channels.serve import Notice
from bot.channels.sms import FIRST_ONLY, PICTURE_LOST, STALE
from bot.channels.sms_out import TwilioPost, announced
from bot.settings import Settings, read_settings
from storage import waiting
from storage.engine import open_database
from storage.journal import RoomBook
from tests.doors.bot_api import PHOTO
from tests.doors.conftest import IVO_NUMBER, ROSA_NUMBER, OpenHouse
from tests.doors.texted import SECRET, signed

ACCOUNT, TOKEN, OURS = "AC00000000000000000000000000000000", "t0ken-of-the-account", "+13125550100"
BASIC = "Basic " + base64.b64encode(f"{ACCOUNT}:{TOKEN}".encode()).decode()
PUBLIC = "https://room.example.org"
TWILIO = {
    "listen": ":0",
    "public_url": PUBLIC,
    "sms_gateway": "twilio",
    "sms_account": ACCOUNT,
    "sms_secret": TOKEN,
    "sms_number": OURS,
}


class Gateway:
    """A stand-in for the gateway's API: the one call we make, as its documentation of the Message resource has it.

    `faults`: what the next calls meet: a status with the gateway's code, "drop" (cut off, nothing said) or "hang".
    """

    def __init__(self) -> None:
        self.taken: list[dict[str, str]] = []
        self.asked = 0
        self.faults: list[tuple[int, int] | str] = []
        self.fetched: list[str] = []
        self.pictures = {"/pictures/1": PHOTO}
        self._held = asyncio.Event()

    async def start(self) -> None:
        app = web.Application()
        app.router.add_post("/2010-04-01/Accounts/{account}/Messages.json", self._message)
        app.router.add_get("/{path:.*}", self._picture)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.1)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", 0)
        await site.start()
        self.url = f"http://127.0.0.1:{self._runner.addresses[0][1]}"

    async def stop(self) -> None:
        self._held.set()
        await self._runner.cleanup()

    async def _message(self, request: web.Request) -> web.StreamResponse:
        self.asked += 1
        if request.headers.get("Authorization") != BASIC:
            return web.json_response({"code": 20003, "message": "Authenticate", "status": 401}, status=401)
        assert request.match_info["account"] == ACCOUNT
        form = {key: str(value) for key, value in (await request.post()).items()}
        fault = self.faults.pop(0) if self.faults else None
        if fault == "drop":
            assert request.transport
            request.transport.abort()
            return web.Response()
        if fault == "hang":
            await self._held.wait()
        if isinstance(fault, tuple):
            status, code = fault
            return web.json_response({"code": code, "message": "no", "more_info": "", "status": status}, status=status)
        self.taken.append(form)
        return web.json_response({"sid": f"SM{self.asked}", "status": "queued", **form}, status=201)

    async def _picture(self, request: web.Request) -> web.StreamResponse:
        self.fetched.append(request.path)
        if request.headers.get("Authorization") != BASIC:
            return web.Response(status=401)
        body = self.pictures.get(request.path)
        return web.Response(status=404) if body is None else web.Response(body=body, content_type="image/jpeg")


@pytest.fixture
async def gateway() -> AsyncIterator[Gateway]:
    made = Gateway()
    await made.start()
    yield made
    await made.stop()


def settings_of(api: str, secret: str = TOKEN) -> Settings:
    given = {"SMS_GATEWAY": "twilio", "SMS_ACCOUNT": ACCOUNT, "SMS_SECRET": secret, "SMS_NUMBER": OURS, "SMS_API": api}
    return read_settings({f"ROOMHAND_{k}": v for k, v in {**given, "LISTEN": ":0", "PUBLIC_URL": PUBLIC}.items()}, None)


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sms_out, "PAUSES", (0.01, 0.01, 0.01))


async def test_a_text_is_handed_to_the_gateway(gateway: Gateway) -> None:
    assert await TwilioPost(settings_of(gateway.url)).send(ROSA_NUMBER, "3 tubs are due & more")
    assert gateway.taken == [{"To": ROSA_NUMBER, "From": OURS, "Body": "3 tubs are due & more"}]


@pytest.mark.parametrize(
    ("faults", "taken", "asked"),
    [
        ([(429, 20429)], True, 2),
        ([(429, 20429)] * 3, True, 4),
        ([(429, 20429)] * 4, False, 4),
        ([(400, 21211)], False, 1),
        ([(400, 21610)], False, 1),
        ([(500, 20500)], False, 1),
        ([(503, 20503)], False, 1),
        (["drop"], False, 1),
    ],
)
async def test_only_what_surely_was_not_taken_is_sent_again(
    gateway: Gateway, faults: list[tuple[int, int] | str], taken: bool, asked: int
) -> None:
    gateway.faults = faults
    assert await TwilioPost(settings_of(gateway.url)).send(ROSA_NUMBER, "good evening") is taken
    assert (gateway.asked, len(gateway.taken)) == (asked, int(taken))


async def test_a_gateway_that_does_not_answer_is_given_up(gateway: Gateway, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sms_out, "SECONDS", 0.2)
    gateway.faults = ["hang"]
    assert await TwilioPost(settings_of(gateway.url)).send(ROSA_NUMBER, "good evening") is False
    assert gateway.asked == 1


async def test_a_wrong_token_is_not_tried_again(gateway: Gateway) -> None:
    assert await TwilioPost(settings_of(gateway.url, "wrong")).send(ROSA_NUMBER, "good evening") is False
    assert (gateway.asked, gateway.taken) == (1, [])


async def test_a_gateway_out_of_reach_is_tried_again_since_nothing_was_taken(
    unused_tcp_port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    tries: list[tuple[str, str]] = []
    post = TwilioPost(settings_of(f"http://127.0.0.1:{unused_tcp_port}"))
    send = post._send

    def counted(address: str, text: str) -> bool | None:
        tries.append((address, text))
        return send(address, text)

    monkeypatch.setattr(post, "_send", counted)
    assert await post.send(ROSA_NUMBER, "good evening") is False
    assert tries == [(ROSA_NUMBER, "good evening")] * 4


async def test_what_the_gateway_did_not_take_stays_visible(
    gateway: Gateway, open_house: OpenHouse, book: RoomBook
) -> None:
    gateway.faults = [(500, 20500)]
    house = await open_house(
        tick=lambda *_: [Notice("nightly", "2026-03-09:p1", "sms", ROSA_NUMBER, "good evening")],
        **TWILIO,
        sms_api=gateway.url,
    )
    for _ in range(500):
        if gateway.asked:
            break
        await asyncio.sleep(0.01)
    house.stop()
    assert [(c.what, c.key) for c in book.unconfirmed()] == [("nightly", "2026-03-09:p1")]


# ---- the plain gateway fetches


async def fetched(house: Any, note: dict[str, Any] | None = None, status: int = 200) -> list[dict[str, str]]:
    body = json.dumps(note or {"from": ""}).encode()
    url = f"http://127.0.0.1:{house.listener.port}/sms"
    async with aiohttp.ClientSession() as at, at.post(url, data=body, headers=signed(body)) as answer:
        assert answer.status == status
        found: list[dict[str, str]] = (await answer.json())["messages"] if status == 200 else []
        return found


PLAIN = {"listen": ":0", "sms_gateway": "plain", "sms_secret": SECRET}


async def test_what_waits_for_the_telephone_outlives_a_restart_and_is_handed_out_once(open_house: OpenHouse) -> None:
    first = await open_house(**PLAIN)
    assert first.sms and await first.sms.say(ROSA_NUMBER, Line("good evening"))
    assert await first.sms.say(IVO_NUMBER, Line("to you too"))
    first.stop()
    await asyncio.sleep(0.1)
    again = await open_house(**PLAIN)
    assert await fetched(again) == [
        {"to": ROSA_NUMBER, "text": "good evening"},
        {"to": IVO_NUMBER, "text": "to you too"},
    ]
    assert await fetched(again) == []


async def test_what_waits_is_let_go_for_whoever_wants_no_more_or_is_put_out(
    open_house: OpenHouse, book: RoomBook
) -> None:
    house = await open_house(**PLAIN)
    assert house.sms
    await house.sms.say(ROSA_NUMBER, Line("good evening"))
    await house.sms.say(IVO_NUMBER, Line("good evening"))
    said = await fetched(house, {"from": ROSA_NUMBER, "id": "1", "text": "STOP"})
    assert [m["to"] for m in said] == [ROSA_NUMBER, IVO_NUMBER] or [m["to"] for m in said] == [IVO_NUMBER, ROSA_NUMBER]
    assert "good evening" not in [m["text"] for m in said if m["to"] == ROSA_NUMBER]
    await house.sms.say(IVO_NUMBER, Line("good night"))
    ivo = book.person_at("sms", IVO_NUMBER)
    assert ivo
    book.remove(ivo.key)
    assert await fetched(house) == []


async def test_what_waited_for_more_than_a_day_is_not_said(open_house: OpenHouse, book: RoomBook) -> None:
    house = await open_house(**PLAIN)
    now = dt.datetime.now(dt.UTC)
    book.put_by("sms", ROSA_NUMBER, "long ago", now - STALE - dt.timedelta(minutes=1))
    book.put_by("sms", ROSA_NUMBER, "just now", now - STALE + dt.timedelta(minutes=1))
    assert [m["text"] for m in await fetched(house)] == ["just now"]


def test_no_more_waits_than_is_sensible_and_none_for_the_forgotten(
    book: RoomBook, room_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(waiting, "MOST", 2)
    now = dt.datetime.now(dt.UTC)
    assert [book.put_by("sms", ROSA_NUMBER, f"Rosa's {i}", now) for i in range(3)] == [True, True, False]
    rosa = book.person_at("sms", ROSA_NUMBER)
    assert rosa
    book.forget(rosa.key)
    database = open_database(str(room_file))
    assert database.room().take_waiting("sms", now) == []
    database.close()


# ---- pictures


async def test_a_picture_from_the_plain_gateway_is_kept_like_a_photo(open_house: OpenHouse) -> None:
    house = await open_house(**PLAIN)
    note = {"from": ROSA_NUMBER, "id": "1", "text": "tank 3", "picture": base64.b64encode(PHOTO).decode()}
    assert await fetched(house, note) == [{"to": ROSA_NUMBER, "text": f"kept: tank 3 (a photo, {len(PHOTO)} bytes)"}]
    large = base64.b64encode(PHOTO + b"x" * 700_000).decode()
    assert "a photo" in (await fetched(house, note | {"id": "2", "picture": large}))[0]["text"]
    await fetched(house, note | {"id": "3", "picture": "no base64!"}, status=400)


@pytest.mark.parametrize(
    ("media", "text", "said"),
    [
        (["/pictures/1"], "tank 3", f"kept: tank 3 (a photo, {len(PHOTO)} bytes)"),
        (["/pictures/1", "/pictures/1"], "tank 3", f"kept: tank 3 (a photo, {len(PHOTO)} bytes)\n{FIRST_ONLY}"),
        (["/pictures/gone"], "tank 3", f"kept: tank 3\n{PICTURE_LOST}"),
        (["/pictures/gone"], "", PICTURE_LOST),
        ([], "tank 3", "kept: tank 3"),
    ],
)
async def test_a_picture_message_is_kept_like_a_photo(
    gateway: Gateway, open_house: OpenHouse, media: list[str], text: str, said: str
) -> None:
    assert (await passed_on(gateway, open_house, [gateway.url + path for path in media], text)) == said


async def passed_on(
    gateway: Gateway, open_house: OpenHouse, media: list[str], text: str, who: str = ROSA_NUMBER
) -> str:
    house = await open_house(
        **TWILIO,
        sms_api=gateway.url,
    )
    assert house.listener
    form = {"From": who, "MessageSid": "MM1", "Body": text, "AccountSid": ACCOUNT, "NumMedia": str(len(media))}
    form |= {f"MediaUrl{i}": url for i, url in enumerate(media)}
    form |= {f"MediaContentType{i}": "image/jpeg" for i in range(len(media))}
    headers = {"X-Twilio-Signature": RequestValidator(TOKEN).compute_signature(f"{PUBLIC}/sms", form)}
    url = f"http://127.0.0.1:{house.listener.port}/sms"
    async with aiohttp.ClientSession() as at, at.post(url, data=form, headers=headers) as answer:
        assert answer.status == 200
        return (await answer.text()).partition("<Message>")[2].partition("</Message>")[0]


async def test_a_strangers_picture_is_not_fetched(gateway: Gateway, open_house: OpenHouse) -> None:
    await passed_on(gateway, open_house, [gateway.url + "/pictures/1"], "look", "+19995550000")
    assert gateway.fetched == []


@pytest.mark.parametrize(
    "url", ["http://127.0.0.1:1/x", "file:///etc/passwd", "https://twilio.com.example.org/x", "x", "https://[/"]
)
async def test_a_picture_is_fetched_from_nowhere_else(gateway: Gateway, open_house: OpenHouse, url: str) -> None:
    assert await passed_on(gateway, open_house, [url], "tank 3") == f"kept: tank 3\n{PICTURE_LOST}"


async def test_a_huge_picture_is_not_read_to_its_end(gateway: Gateway, open_house: OpenHouse) -> None:
    gateway.pictures["/pictures/2"] = PHOTO + b"x" * 11_000_000
    assert (
        await passed_on(gateway, open_house, [gateway.url + "/pictures/2"], "tank 3") == f"kept: tank 3\n{PICTURE_LOST}"
    )


@pytest.mark.parametrize(("form", "many"), [({}, 0), ({"NumMedia": "x"}, 0), ({"NumMedia": "9" * 30}, 0)])
def test_a_count_of_pictures_that_makes_no_sense_is_none(form: dict[str, str], many: int) -> None:
    assert announced(form) == many
