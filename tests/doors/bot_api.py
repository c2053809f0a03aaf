"""A stand-in for the Bot API server, over real HTTP, held to what the published documentation says of each method.

Source: Telegram Bot API documentation, "Making requests", "Getting updates", "Available methods".
"""

from __future__ import annotations

import asyncio
import copy
import json
import re
import time
from collections.abc import Awaitable, Callable
from typing import Any

import aiohttp
from aiohttp import web

TOKEN = "987654321:AAHstandInStandInStandInStandInSt01"
ME = {"id": 987654321, "is_bot": True, "first_name": "Millrace", "username": "millrace_room_bot"}
ROSA: dict[str, Any] = {"id": 501, "is_bot": False, "first_name": "Rosa"}
IVO: dict[str, Any] = {"id": 502, "is_bot": False, "first_name": "Ivo"}
STRANGER: dict[str, Any] = {"id": 666, "is_bot": False, "first_name": "Somebody", "last_name": "Else"}
PHOTO = b"\xff\xd8\xff\xe0 not really a picture"


class Refusal(Exception):
    def __init__(self, code: int, description: str, **parameters: int) -> None:
        self.code, self.description, self.parameters = code, description, parameters


class BotApi:
    """One bot's server. `sent` holds what came out of the bot, in order."""

    def __init__(self) -> None:
        self.updates: list[dict[str, Any]] = []  # not yet confirmed by an offset
        self.sent: list[dict[str, Any]] = []
        self.calls: list[tuple[str, dict[str, Any]]] = []
        self.messages: dict[tuple[int, int], dict[str, Any]] = {}
        self.faults: dict[str, list[str | Refusal]] = {}
        self.commands: list[dict[str, str]] = []
        self.webhook: dict[str, Any] | None = None
        self.blocked: set[int] = set()
        self.offset = 0
        self.delay = 0.0  # seconds each sendMessage takes
        self.via: list[str] = []  # the addresses pushes come from, as a proxy would tell
        self.first_poll: float | None = None
        self._next_update, self._next_message = 1000, 1
        self._news = asyncio.Event()
        self._poller: asyncio.Event | None = None
        self._runner: web.AppRunner | None = None
        self._pusher: asyncio.Task[None] | None = None
        self.port = 0

    # ---- coming and going

    async def start(self) -> None:
        app = web.Application(client_max_size=60 * 1024 * 1024)
        app.router.add_route("*", "/bot{token}/{method}", self._called)
        app.router.add_get("/file/bot{token}/{path:.*}", self._file)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.1)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", self.port, reuse_address=True)
        await site.start()
        assert self._runner.addresses
        self.port = self._runner.addresses[0][1]

    async def stop(self) -> None:
        if self._pusher:
            self._pusher.cancel()
        if self._poller:
            self._poller.set()
        if self._runner:
            await self._runner.cleanup()
            self._runner = None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    # ---- what people do

    def push(self, kind: str, body: Any) -> int:
        """Any update at all; its id."""
        self._next_update += 1
        # as it is now: a later edit is an update of its own
        self.updates.append({"update_id": self._next_update, kind: copy.copy(body)})
        self._news.set()
        return self._next_update

    def message(
        self, text: str | None, who: dict[str, Any] = ROSA, chat: int | None = None, **more: Any
    ) -> dict[str, Any]:
        number = self._next_message
        self._next_message += 1
        where = who["id"] if chat is None else chat
        group = {"id": where, "type": "supergroup", "title": "room"}
        made: dict[str, Any] = {
            "message_id": number,
            "from": who,
            "chat": group if where < 0 else {"id": where, "type": "private", "first_name": who["first_name"]},
            "date": int(time.time()),
        }
        if text is not None:
            made["text"] = text
        made |= more
        self.messages[where, number] = made
        return made

    def say(self, text: str | None, who: dict[str, Any] = ROSA, chat: int | None = None, **more: Any) -> int:
        """Somebody writes; the message's number."""
        made = self.message(text, who, chat, **more)
        self.push("message", made)
        return int(made["message_id"])

    def edit(self, number: int, text: str, who: dict[str, Any] = ROSA, chat: int | None = None) -> None:
        old = self.messages[who["id"] if chat is None else chat, number]
        old["text"] = text
        self.push("edited_message", {**old, "edit_date": int(time.time())})

    def tap(self, number: int, label: str, who: dict[str, Any] = ROSA, chat: int | None = None) -> None:
        shown = self.messages[who["id"] if chat is None else chat, number]
        buttons = [b for row in shown["reply_markup"]["inline_keyboard"] for b in row if b["text"] == label]
        body = {"id": f"tap{self._next_update}", "from": who, "message": shown, "chat_instance": "1"}
        self.push("callback_query", body | {"data": buttons[0]["callback_data"]})

    def fail(self, method: str, *faults: str | Refusal) -> None:
        """What the next calls meet: "drop" (cut off, nothing done), "lose" (done, then cut off), a Refusal."""
        self.faults.setdefault(method, []).extend(faults)

    # ---- waiting for the bot

    async def until(self, true: Callable[[], Any], seconds: float = 40.0) -> None:
        end = time.monotonic() + seconds
        while not true():
            if time.monotonic() > end:
                raise AssertionError(f"did not happen in {seconds} s; sent: {[s.get('text') for s in self.sent]}")
            await asyncio.sleep(0.005)

    async def texts(self, many: int, chat: int | None = None) -> list[str]:
        """The texts sent (to a chat), once there are so many."""

        def now() -> list[str]:
            return [s["text"] for s in self.sent if "text" in s and chat in (None, s["chat_id"])]

        await self.until(lambda: len(now()) >= many)
        return now()

    async def taken(self) -> None:
        """Until every update was confirmed."""
        await self.until(lambda: not self.updates)

    def called(self, method: str) -> list[dict[str, Any]]:
        return [given for name, given in self.calls if name == method]

    # ---- the server

    async def _called(self, request: web.Request) -> web.StreamResponse:
        method = request.match_info["method"].lower()
        given = {**request.query, **(await request.post())}
        params = {k: _parsed(k, v) for k, v in given.items()}
        if request.match_info["token"] != TOKEN:
            return _refused(Refusal(401, "Unauthorized"))
        handler: Callable[[dict[str, Any]], Awaitable[Any]] | None = getattr(self, f"_do_{method}", None)
        if handler is None:
            return _refused(Refusal(404, "Not Found"))
        self.calls.append((method, params))
        fault = self.faults[method].pop(0) if self.faults.get(method) else None
        if isinstance(fault, Refusal):
            return _refused(fault)
        if fault == "drop":
            return _cut_off(request)
        try:
            result = await handler(params)
        except Refusal as refusal:
            return _refused(refusal)
        if fault == "lose":
            return _cut_off(request)
        return web.json_response({"ok": True, "result": result})

    async def _file(self, request: web.Request) -> web.Response:
        return web.Response(body=PHOTO)

    async def _do_getme(self, _: dict[str, Any]) -> Any:
        can = ("can_join_groups", "can_read_all_group_messages", "supports_inline_queries")
        return ME | dict.fromkeys(can, False) | {"can_connect_to_business": False, "has_main_web_app": False}

    async def _do_getupdates(self, given: dict[str, Any]) -> Any:
        if self.first_poll is None:
            self.first_poll = time.time()
        if self.webhook:
            raise Refusal(409, "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook first")
        if self._poller:
            self._poller.set()
        mine = self._poller = asyncio.Event()
        offset, limit = int(given.get("offset", 0)), int(given.get("limit", 100))
        if not 1 <= limit <= 100:
            raise Refusal(400, "Bad Request: limit")
        self.offset = max(self.offset, offset)
        self.updates = [u for u in self.updates if u["update_id"] >= offset]
        until = time.monotonic() + float(given.get("timeout", 0))
        allowed = given.get("allowed_updates")
        while True:
            found = [u for u in self.updates if not allowed or any(kind in u for kind in allowed) or len(u) == 1]
            if found or time.monotonic() >= until:
                return found[:limit]
            self._news.clear()
            waits = [asyncio.ensure_future(self._news.wait()), asyncio.ensure_future(mine.wait())]
            await asyncio.wait(waits, timeout=until - time.monotonic(), return_when=asyncio.FIRST_COMPLETED)
            for wait in waits:
                wait.cancel()
            if mine.is_set():
                raise Refusal(409, "Conflict: terminated by other getUpdates request")

    async def _do_sendmessage(self, given: dict[str, Any]) -> Any:
        text = given.get("text")
        if not isinstance(text, str) or not text.strip():
            raise Refusal(400, "Bad Request: message text is empty")
        if len(text.encode("utf-16-le")) // 2 > 4096:
            raise Refusal(400, "Bad Request: message is too long")
        if self.delay:
            await asyncio.sleep(self.delay)
        return self._keep(given, {"text": text})

    async def _do_sendphoto(self, given: dict[str, Any]) -> Any:
        if len(given.get("caption", "")) > 1024:
            raise Refusal(400, "Bad Request: message caption is too long")
        if not given.get("photo"):
            raise Refusal(400, "Bad Request: there is no photo in the request")
        size = {"file_id": "P1", "file_unique_id": "P1", "width": 8, "height": 5}
        return self._keep(given, {"photo": [size], "caption": given.get("caption", "")})

    async def _do_senddocument(self, given: dict[str, Any]) -> Any:
        if len(given.get("caption", "")) > 1024:
            raise Refusal(400, "Bad Request: message caption is too long")
        if not given.get("document"):
            raise Refusal(400, "Bad Request: there is no document in the request")
        file = {"file_id": "D1", "file_unique_id": "D1"}
        return self._keep(given, {"document": file, "caption": given.get("caption", "")})

    def _keep(self, given: dict[str, Any], content: dict[str, Any]) -> dict[str, Any]:
        chat = given.get("chat_id")
        if not isinstance(chat, int):
            raise Refusal(400, "Bad Request: chat_id is empty")
        if chat in self.blocked:
            raise Refusal(403, "Forbidden: bot was blocked by the user")
        markup = given.get("reply_markup")
        for row in (markup or {}).get("inline_keyboard", []):
            for button in row:
                if not 1 <= len(button["callback_data"].encode()) <= 64:
                    raise Refusal(400, "Bad Request: BUTTON_DATA_INVALID")
        made = self.message(None, ME, chat, **({"reply_markup": markup} if markup else {}))
        made.update(content)
        self.sent.append({**given, **content, "message_id": made["message_id"]})
        return made

    async def _do_editmessagetext(self, given: dict[str, Any]) -> Any:
        return self._change(given, {"text": given["text"], "reply_markup": given.get("reply_markup")})

    async def _do_editmessagereplymarkup(self, given: dict[str, Any]) -> Any:
        return self._change(given, {"reply_markup": given.get("reply_markup")})

    def _change(self, given: dict[str, Any], new: dict[str, Any]) -> Any:
        message = self.messages.get((given["chat_id"], given["message_id"]))
        if message is None or message["from"] is not ME:
            raise Refusal(400, "Bad Request: message to edit not found")
        if all(message.get(key) == value for key, value in new.items()):
            raise Refusal(400, "Bad Request: message is not modified")
        message.update(new)
        if message["reply_markup"] is None:
            del message["reply_markup"]
        return {**message, "edit_date": int(time.time())}

    async def _do_answercallbackquery(self, given: dict[str, Any]) -> Any:
        if not str(given.get("callback_query_id", "")).startswith("tap"):
            raise Refusal(400, "Bad Request: query is too old and response timeout expired or query ID is invalid")
        return True

    async def _do_sendchataction(self, given: dict[str, Any]) -> Any:
        if given.get("action") not in ("typing", "upload_photo"):
            raise Refusal(400, "Bad Request: wrong parameter action in request")
        return True

    async def _do_setmycommands(self, given: dict[str, Any]) -> Any:
        for command in given["commands"]:
            if not re.fullmatch(r"[a-z0-9_]{1,32}", command["command"]) or not 1 <= len(command["description"]) <= 256:
                raise Refusal(400, "Bad Request: BOT_COMMAND_INVALID")
        self.commands = given["commands"]
        return True

    async def _do_getfile(self, given: dict[str, Any]) -> Any:
        return {
            "file_id": given["file_id"],
            "file_unique_id": "U",
            "file_path": "photos/one.jpg",
            "file_size": len(PHOTO),
        }

    async def _do_setwebhook(self, given: dict[str, Any]) -> Any:
        if not re.fullmatch(r"[A-Za-z0-9_-]{1,256}", str(given.get("secret_token", "x"))):
            raise Refusal(400, "Bad Request: secret token contains unallowed characters")
        self.webhook = given
        self._pusher = asyncio.ensure_future(self._push_all())
        return True

    async def _do_deletewebhook(self, _: dict[str, Any]) -> Any:
        self.webhook = None
        if self._pusher:
            self._pusher.cancel()
        return True

    async def _push_all(self) -> None:
        """Bring each update to the webhook, in order, again until it is answered 2xx."""
        assert self.webhook
        headers = {"X-Telegram-Bot-Api-Secret-Token": self.webhook.get("secret_token", "")}
        async with aiohttp.ClientSession() as session:
            while True:
                while self.updates:
                    first = self.updates[0]
                    if self.via:
                        headers["X-Forwarded-For"] = self.via[first["update_id"] % len(self.via)]
                    try:
                        async with session.post(self.webhook["url"], json=first, headers=headers) as answer:
                            if answer.status < 300:
                                self.updates.remove(first)
                                continue
                    except aiohttp.ClientError:
                        pass
                    await asyncio.sleep(0.05)
                self._news.clear()
                await self._news.wait()


TEXTS = {"text", "caption", "callback_query_id", "file_id", "url", "secret_token", "action", "file_name"}


def _parsed(name: str, value: Any) -> Any:
    """A parameter as it was meant: numbers and JSON-serialized objects; text stays text."""
    if isinstance(value, web.FileField):
        return value.file.read()
    if name not in TEXTS and isinstance(value, str) and re.fullmatch(r"-?\d{1,18}|\{.*\}|\[.*\]", value, re.DOTALL):
        try:
            return json.loads(value)
        except ValueError:
            return value
    return value


def _refused(refusal: Refusal) -> web.Response:
    body: dict[str, Any] = {"ok": False, "error_code": refusal.code, "description": refusal.description}
    if refusal.parameters:
        body["parameters"] = refusal.parameters
    return web.json_response(body, status=refusal.code)


def _cut_off(request: web.Request) -> web.Response:
    assert request.transport is not None
    request.transport.abort()
    return web.Response()
