"""The one small HTTP server for webhooks, text messages and health: strict, bounded, and silent about what it holds.

h11 (which the Telegram library brings along) does the protocol, so that nothing else has to be installed or loaded.
It speaks plain HTTP and belongs behind whatever does TLS.
"""

from __future__ import annotations

import asyncio
import ipaddress
import json
import logging
import time
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import parse_qsl

import h11

from bot.logs import bare_trace

log = logging.getLogger("roomhand.listener")

HEADERS = 16 * 1024  # bytes of a request's head
BODY = 256 * 1024  # bytes of a body; Telegram's updates stay far below
READ_SECONDS = 10.0  # to send a whole request
IDLE_SECONDS = 60.0  # between requests on one connection
ANSWER_SECONDS = 30.0  # to make an answer
CONNECTIONS = 64
PER_SECOND, BURST = 40.0, 120.0  # requests of one peer
FORGERIES = 20  # refused signatures of one peer in a minute before it is not listened to for the rest of it


@dataclass(frozen=True)
class Request:
    """A request with its whole body. Header names are lower case."""

    method: str
    path: str
    query: str
    headers: Mapping[str, str]
    body: bytes

    @property
    def form(self) -> dict[str, str]:
        """The fields of a form. Raises ValueError for one that cannot be read."""
        return dict(
            parse_qsl(self.body.decode("utf-8"), keep_blank_values=True, strict_parsing=False, max_num_fields=100)
        )


@dataclass(frozen=True)
class Answer:
    """What goes back. `forged` counts the request among those with a wrong signature."""

    status: int
    body: bytes = b""
    kind: str = "text/plain; charset=utf-8"
    headers: tuple[tuple[str, str], ...] = ()
    forged: bool = False

    @staticmethod
    def json(value: Any, status: int = 200) -> Answer:
        return Answer(status, json.dumps(value, ensure_ascii=False).encode(), "application/json")


Handler = Callable[[Request], Awaitable[Answer]]


@dataclass
class Peer:
    """What one address has used up."""

    level: float = BURST
    at: float = field(default_factory=time.monotonic)
    forged: int = 0
    minute: float = field(default_factory=time.monotonic)

    def may(self) -> bool:
        now = time.monotonic()
        self.level = min(BURST, self.level + (now - self.at) * PER_SECOND)
        self.at = now
        if now - self.minute > 60:
            self.minute, self.forged = now, 0
        if self.level < 1 or self.forged >= FORGERIES:
            return False
        self.level -= 1
        return True


class RefusedError(Exception):
    """A request that is not read to its end."""

    def __init__(self, status: int) -> None:
        self.status = status


def origin(peer: str, headers: Mapping[str, str]) -> str:
    """Whom a request comes from: what our own proxy says when it comes from one, so that it is not blamed for all."""
    told = headers.get("x-forwarded-for", "").rpartition(",")[2].strip()
    try:
        near = ipaddress.ip_address(peer)
        return str(ipaddress.ip_address(told)) if told and (near.is_loopback or near.is_private) else peer
    except ValueError:
        return peer


class Listener:
    """Serves `routes`, a handler for each (method, path)."""

    def __init__(self, host: str, port: int) -> None:
        self._host, self._port = host, port
        self.routes: dict[tuple[str, str], Handler] = {}
        self.bodies: dict[str, int] = {}  # bytes a path takes, where it is more than BODY
        self._server: asyncio.Server | None = None
        self._connections: dict[asyncio.Task[None], bool] = {}  # each with whether it is answering just now
        self._peers: dict[str, Peer] = {}
        self._closing = False
        self.forged = 0  # requests with a wrong signature so far

    async def open(self) -> None:
        """Raises OSError when the address cannot be had."""
        self._server = await asyncio.start_server(self._connected, self._host, self._port, limit=HEADERS)

    @property
    def started(self) -> bool:
        return self._server is not None

    @property
    def port(self) -> int:
        assert self._server is not None
        return int(self._server.sockets[0].getsockname()[1])

    async def close(self, seconds: float = 8.0) -> None:
        """Listen no more; answers that were begun are finished, in so many seconds."""
        self._closing = True
        if self._server is None:
            return
        self._server.close()
        for task, busy in list(self._connections.items()):
            if not busy:
                task.cancel()
        if self._connections:
            await asyncio.wait(list(self._connections), timeout=seconds)
        for task in list(self._connections):
            task.cancel()
        await asyncio.gather(*self._connections, return_exceptions=True)

    # ---- one connection

    async def _connected(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task is not None
        if len(self._connections) >= CONNECTIONS:
            writer.close()
            return
        self._connections[task] = False
        try:
            await self._converse(reader, writer, task)
        except (OSError, h11.RemoteProtocolError, h11.LocalProtocolError, TimeoutError, asyncio.CancelledError):
            pass
        except Exception as problem:
            log.error("a connection ended badly: %s", bare_trace(problem))
        finally:
            self._connections.pop(task, None)
            writer.close()

    async def _converse(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, task: asyncio.Task[None]
    ) -> None:
        talk = h11.Connection(h11.SERVER, max_incomplete_event_size=HEADERS)
        name = writer.get_extra_info("peername")
        address = str(name[0]) if isinstance(name, tuple) else "local"
        while not self._closing:
            try:
                request = await self._read(talk, reader, writer, task)
                if request is None:
                    return
                answer = await self._answer(request, self._peer(origin(address, request.headers)))
            except RefusedError as refused:
                answer = Answer(refused.status, headers=(("connection", "close"),))
            except h11.RemoteProtocolError as wrong:
                answer = Answer(wrong.error_status_hint, headers=(("connection", "close"),))
            await self._write(talk, writer, answer)
            if talk.our_state is not h11.DONE or talk.their_state is not h11.DONE:
                return
            talk.start_next_cycle()
            self._connections[task] = False

    def _peer(self, address: str) -> Peer:
        if len(self._peers) > 10_000:
            self._peers.clear()
        return self._peers.setdefault(address, Peer())

    async def _read(
        self, talk: h11.Connection, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, task: asyncio.Task[None]
    ) -> Request | None:
        """The next request, or None when there is none."""
        head: h11.Request | None = None
        body, most = bytearray(), BODY
        until = time.monotonic() + IDLE_SECONDS
        while True:
            event = talk.next_event()
            if event is h11.NEED_DATA:
                if talk.they_are_waiting_for_100_continue:
                    writer.write(talk.send(h11.InformationalResponse(status_code=100, headers=[])))
                data = await asyncio.wait_for(reader.read(65536), max(0.0, until - time.monotonic()))
                if data and not self._connections[task]:
                    self._connections[task] = True
                    until = time.monotonic() + READ_SECONDS
                talk.receive_data(data)
            elif isinstance(event, h11.Request):
                head = event
                length = dict(event.headers).get(b"content-length", b"0")
                most = self.bodies.get(event.target.partition(b"?")[0].decode("latin-1"), BODY)
                if int(length) > most:
                    raise RefusedError(413)
            elif isinstance(event, h11.Data):
                body += event.data
                if len(body) > most:
                    raise RefusedError(413)
            elif isinstance(event, h11.EndOfMessage):
                assert head is not None
                path, _, query = head.target.decode("latin-1").partition("?")
                headers = {k.decode("latin-1"): v.decode("latin-1") for k, v in head.headers}
                return Request(head.method.decode("latin-1"), path, query, headers, bytes(body))
            else:
                return None

    async def _answer(self, request: Request, peer: Peer) -> Answer:
        if not peer.may():
            return Answer(429, headers=(("retry-after", "10"),))
        method = "GET" if request.method == "HEAD" else request.method
        handler = self.routes.get((method, request.path))
        if handler is None:
            known = any(path == request.path for _, path in self.routes)
            return Answer(405 if known else 404)
        try:
            answer = await asyncio.wait_for(handler(request), ANSWER_SECONDS)
        except TimeoutError:
            return Answer(503)
        except Exception as problem:
            log.error("a request could not be answered: %s", bare_trace(problem))
            return Answer(500)
        if answer.forged:
            peer.forged += 1
            self.forged += 1
            log.warning("a request to %s was not signed by whom it claims", request.path)
        return answer

    async def _write(self, talk: h11.Connection, writer: asyncio.StreamWriter, answer: Answer) -> None:
        if talk.our_state not in (h11.SEND_RESPONSE, h11.IDLE):
            return
        headers = [("content-length", str(len(answer.body))), ("content-type", answer.kind), *answer.headers]
        headers += [("cache-control", "no-store"), ("x-content-type-options", "nosniff")]
        writer.write(talk.send(h11.Response(status_code=answer.status, headers=headers)) or b"")
        if answer.body:
            writer.write(talk.send(h11.Data(data=answer.body)) or b"")
        writer.write(talk.send(h11.EndOfMessage()) or b"")
        await asyncio.wait_for(writer.drain(), READ_SECONDS)
