"""The way to the Bot API: one request and its answer at a time, on connections that are kept for the next.

The client that the library uses by itself does much that no Bot API wants (cookies, redirects, sign-ons); done without
it, a request costs half the processor time. What brings a file along, is fetched, or goes through a proxy still takes
that client, made when it is first needed. As in our own listener, h11 does the protocol.
"""

from __future__ import annotations

import asyncio
import ssl
import time
from typing import Any
from urllib.parse import SplitResult, urlsplit
from urllib.request import getproxies

import h11
import httpx
from telegram.error import NetworkError, TelegramError, TimedOut
from telegram.request import BaseRequest, HTTPXRequest, RequestData

CONNECT_SECONDS = 10.0
WRITE_SECONDS = 20.0  # for a file
KEPT_SECONDS = 30.0  # a connection nobody uses; no router forgets one sooner
_UNSENT = (httpx.ConnectError, httpx.ConnectTimeout, httpx.PoolTimeout)


class UnreachedError(NetworkError):
    """There was no connection, so nothing was sent."""


def surely_unsent(problem: TelegramError) -> bool:
    """Whether a request certainly did not reach the server, so that repeating it doubles nothing."""
    return isinstance(problem, UnreachedError) or isinstance(problem.__cause__, _UNSENT)


class Connection(asyncio.Protocol):
    """One connection: a request at a time, and its answer. Whatever comes unasked ends it."""

    _transport: asyncio.Transport

    def __init__(self) -> None:
        self._talk = h11.Connection(h11.CLIENT)
        self._answer: asyncio.Future[tuple[int, bytes]] | None = None
        self._status, self._body = 0, bytearray()
        self._used = time.monotonic()

    async def ask(self, request: h11.Request, form: bytes) -> tuple[int, bytes]:
        """The status and the body of the answer. Raises OSError or h11.RemoteProtocolError where there is none."""
        self._answer = asyncio.get_running_loop().create_future()
        self._status, self._body = 0, bytearray()
        said = (self._talk.send(event) for event in (request, h11.Data(data=form), h11.EndOfMessage()))
        self._transport.write(b"".join(part for part in said if part))
        answer = await self._answer
        self._answer, self._used = None, time.monotonic()
        if self._talk.our_state is self._talk.their_state is h11.DONE and not self._talk.trailing_data[0]:
            self._talk.start_next_cycle()
        else:
            self.close()
        return answer

    def good(self) -> bool:
        """Whether it may be used once more."""
        return not self._transport.is_closing() and time.monotonic() - self._used < KEPT_SECONDS

    def close(self) -> None:
        self._transport.close()

    def _fed(self, data: bytes) -> None:
        if self._answer is None or self._answer.done():
            self.close()
            return
        try:
            self._talk.receive_data(data)
            while (event := self._talk.next_event()) is not h11.NEED_DATA:
                if isinstance(event, h11.Response):
                    self._status = event.status_code
                elif isinstance(event, h11.Data):
                    self._body += event.data
                elif isinstance(event, h11.EndOfMessage):
                    self._answer.set_result((self._status, bytes(self._body)))
                    return
                elif isinstance(event, h11.ConnectionClosed):
                    raise h11.RemoteProtocolError("no answer came")
        except h11.RemoteProtocolError as wrong:
            self._answer.set_exception(wrong)

    # ---- called by the loop

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport

    def data_received(self, data: bytes) -> None:
        self._fed(data)

    def eof_received(self) -> None:
        self._fed(b"")

    def connection_lost(self, problem: Exception | None) -> None:
        if self._answer is not None and not self._answer.done():
            self._answer.set_exception(problem or ConnectionResetError())


class Wire(BaseRequest):
    """Requests to one server, as many at a time as there are `connections`; each answered in `seconds`."""

    def __init__(self, connections: int, seconds: float, tls: ssl.SSLContext | None) -> None:
        self._connections, self._seconds, self._tls = connections, seconds, tls
        self._turns = asyncio.Semaphore(connections)
        self._kept: list[Connection] = []
        self._proxied = not getproxies().keys().isdisjoint(("http", "https", "all"))
        self._client: HTTPXRequest | None = None

    @property
    def read_timeout(self) -> float:
        return self._seconds

    async def initialize(self) -> None:
        """Nothing to do: connections are made when they are needed."""

    async def shutdown(self) -> None:
        while self._kept:
            self._kept.pop().close()
        if self._client:
            await self._client.shutdown()

    async def do_request(
        self,
        url: str,
        method: str,
        request_data: RequestData | None = None,
        read_timeout: Any = BaseRequest.DEFAULT_NONE,
        write_timeout: Any = BaseRequest.DEFAULT_NONE,
        connect_timeout: Any = BaseRequest.DEFAULT_NONE,
        pool_timeout: Any = BaseRequest.DEFAULT_NONE,
    ) -> tuple[int, bytes]:
        """The status and the body of the answer. Raises NetworkError, TimedOut among them."""
        if method != "POST" or self._proxied or (request_data and request_data.contains_files):
            return await self._by_client().do_request(
                url, method, request_data, read_timeout, write_timeout, connect_timeout, pool_timeout
            )
        form = request_data.url_encoded_parameters().encode() if request_data else b""
        async with self._turns:
            connection = await self._connected(urlsplit(url))
            try:
                async with asyncio.timeout(self._seconds if read_timeout is BaseRequest.DEFAULT_NONE else read_timeout):
                    answer = await connection.ask(self._request(urlsplit(url), form), form)
            except BaseException as problem:
                connection.close()  # nobody knows what may still come on it
                if isinstance(problem, TimeoutError):
                    raise TimedOut from problem
                if isinstance(problem, OSError | h11.RemoteProtocolError):
                    raise NetworkError(type(problem).__name__) from problem
                raise
            self._kept.append(connection)
            return answer

    def _by_client(self) -> HTTPXRequest:
        if self._client is None:
            self._client = HTTPXRequest(
                self._connections,
                read_timeout=self._seconds,
                write_timeout=WRITE_SECONDS,
                connect_timeout=CONNECT_SECONDS,
                pool_timeout=60,
                httpx_kwargs={"verify": self._tls or False},
            )
        return self._client

    async def _connected(self, to: SplitResult) -> Connection:
        """The connection used last, where it is still good, or a new one."""
        while self._kept:
            if (kept := self._kept.pop()).good():
                return kept
            kept.close()
        tls, port = (self._tls, 443) if to.scheme == "https" else (None, 80)
        loop = asyncio.get_running_loop()
        try:
            async with asyncio.timeout(CONNECT_SECONDS):  # of two ways, IPv6 and IPv4, one may lead nowhere
                _, made = await loop.create_connection(
                    Connection, to.hostname or "", to.port or port, ssl=tls, happy_eyeballs_delay=0.25
                )
                return made
        except OSError as problem:  # TimeoutError is one
            raise UnreachedError(type(problem).__name__) from problem

    def _request(self, to: SplitResult, form: bytes) -> h11.Request:
        headers = [
            ("Host", to.netloc),
            ("User-Agent", self.USER_AGENT),
            ("Accept-Encoding", "identity"),
            ("Content-Type", "application/x-www-form-urlencoded"),
            ("Content-Length", str(len(form))),
        ]
        return h11.Request(method="POST", target=to.path, headers=headers)
