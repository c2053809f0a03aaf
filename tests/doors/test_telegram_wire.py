"""One request and its answer on a kept connection: whatever the other side does, no answer goes to another request."""

from __future__ import annotations

import asyncio
import shutil
import ssl
import subprocess
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path

import pytest
from telegram.error import NetworkError, TimedOut
from telegram.request import RequestData

from bot.channels.telegram_wire import UnreachedError, Wire, surely_unsent

FINE = b"HTTP/1.1 200 OK\r\nContent-Length: 2\r\n\r\nok"
CLOSES = "close"
Serves = Callable[..., Awaitable[str]]


class Server:
    """Answers each request with the next of `says`, piece by piece; CLOSES hangs up, a number waits so long."""

    def __init__(self, *says: tuple[bytes | str | float, ...]) -> None:
        self.says = list(says)
        self.connections = self.open = self.most = 0
        self.heard: list[bytes] = []

    async def __call__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self.connections += 1
        try:
            while True:
                head = await reader.readuntil(b"\r\n\r\n")
                size = int(head.lower().split(b"content-length: ")[1].split(b"\r\n")[0])
                self.heard.append(head + await reader.readexactly(size))
                self.open += 1
                self.most = max(self.most, self.open)
                for piece in self.says.pop(0) if self.says else (FINE,):
                    if isinstance(piece, bytes):
                        writer.write(piece)
                        await writer.drain()
                    elif isinstance(piece, float):
                        await asyncio.sleep(piece)
                    else:
                        return
                self.open -= 1
        except (asyncio.IncompleteReadError, OSError):
            pass
        finally:
            writer.close()


@pytest.fixture
async def serve() -> AsyncIterator[Serves]:
    """Puts a server up and gives its address."""
    up: list[asyncio.Server] = []

    async def at(server: Server, tls: ssl.SSLContext | None = None) -> str:
        up.append(await asyncio.start_server(server, "localhost", 0, ssl=tls))
        return f"{'https' if tls else 'http'}://localhost:{up[-1].sockets[0].getsockname()[1]}/bot1:x/getMe"

    yield at
    for server in up:
        server.close()


@pytest.fixture
async def wire() -> AsyncIterator[Wire]:
    made = Wire(2, 0.3, None)
    yield made
    await made.shutdown()


async def ask(wire: Wire, url: str) -> tuple[int, bytes]:
    return await wire.do_request(url, "POST", RequestData())


@pytest.mark.parametrize(
    ("said", "connections"),
    [
        ((FINE,), 1),
        ((FINE[:20], 0.01, FINE[20:-1], 0.01, FINE[-1:]), 1),
        ((b"HTTP/1.1 100 Continue\r\n\r\n", FINE), 1),
        ((b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n1\r\no\r\n", 0.01, b"1\r\nk\r\n0\r\n\r\n"), 1),
        ((b"HTTP/1.1 200 OK\r\nConnection: close\r\nContent-Length: 2\r\n\r\nok",), 2),
        ((b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\nok", CLOSES), 2),  # its end is the answer's end
        ((FINE, CLOSES), 2),  # hung up while nothing was asked
        ((FINE, b"HTTP/1.1 408 Too slow\r\nContent-Length: 0\r\n\r\n"), 2),  # said unasked, at once or later
        ((FINE, 0.02, b"HTTP/1.1 408 Too slow\r\nContent-Length: 0\r\n\r\n"), 2),
    ],
)
async def test_an_answer_is_had_and_its_connection_kept_while_it_is_good(
    serve: Serves, wire: Wire, said: tuple[bytes | str | float, ...], connections: int
) -> None:
    server = Server(said)
    url = await serve(server)
    assert await ask(wire, url) == (200, b"ok")
    await asyncio.sleep(0.1)
    assert await ask(wire, url) == (200, b"ok")
    assert server.connections == connections and len(server.heard) == 2


@pytest.mark.parametrize(
    "said",
    [
        (CLOSES,),
        (FINE[:20], CLOSES),
        (FINE[:-1], CLOSES),
        (b"what is this\r\n\r\n",),
    ],
)
async def test_what_is_no_whole_answer_is_none_and_may_have_arrived(
    serve: Serves, wire: Wire, said: tuple[bytes | str | float, ...]
) -> None:
    server = Server(said)
    url = await serve(server)
    with pytest.raises(NetworkError) as told:
        await ask(wire, url)
    assert not surely_unsent(told.value)
    assert await ask(wire, url) == (200, b"ok")
    assert server.connections == 2


async def test_an_answer_that_comes_too_late_is_not_taken_for_the_next_ones(serve: Serves, wire: Wire) -> None:
    late = FINE.replace(b"ok", b"no")
    server = Server((0.4, late), (0.2, FINE))
    url = await serve(server)
    with pytest.raises(TimedOut) as told:
        await ask(wire, url)
    assert not surely_unsent(told.value)
    assert await ask(wire, url) == (200, b"ok")


async def test_whoever_is_not_there_was_told_nothing(serve: Serves, wire: Wire) -> None:
    with pytest.raises(UnreachedError) as told:
        await ask(wire, "http://localhost:9/bot1:x/getMe")
    assert surely_unsent(told.value)


async def test_no_more_at_a_time_than_there_are_connections(serve: Serves, wire: Wire) -> None:
    server = Server(*[(0.02, FINE)] * 6)
    url = await serve(server)
    assert await asyncio.gather(*(ask(wire, url) for _ in range(6))) == [(200, b"ok")] * 6
    assert server.most == server.connections == 2


async def test_a_request_given_up_takes_its_connection_along(serve: Serves, wire: Wire) -> None:
    server = Server((0.1, FINE.replace(b"ok", b"no")))
    url = await serve(server)
    task = asyncio.ensure_future(ask(wire, url))
    await asyncio.sleep(0.05)
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)
    assert await ask(wire, url) == (200, b"ok")
    assert server.connections == 2


async def test_a_proxy_is_gone_through(serve: Serves, monkeypatch: pytest.MonkeyPatch) -> None:
    proxy = Server()
    url = await serve(proxy)
    monkeypatch.setenv("HTTP_PROXY", url.rpartition("/bot")[0])
    wire = Wire(1, 1.0, None)
    assert await ask(wire, "http://api.example.org/bot1:x/getMe") == (200, b"ok")
    assert b"POST http://api.example.org/bot1:x/getMe HTTP/1.1" in proxy.heard[0]
    await wire.shutdown()


@pytest.fixture(scope="session")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A certificate of localhost's own, with its key."""
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not here to make one")
    file = tmp_path_factory.mktemp("tls") / "own.pem"
    made = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=localhost"]
    made += ["-addext", "subjectAltName=DNS:localhost", "-keyout", str(file), "-out", f"{file}.crt"]
    subprocess.run(made, check=True, capture_output=True)
    file.write_text(file.read_text() + Path(f"{file}.crt").read_text())
    return file


async def test_a_server_is_told_something_only_when_it_is_the_one_meant(serve: Serves, certificate: Path) -> None:
    own = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    own.load_cert_chain(certificate)
    server = Server()
    url = await serve(server, own)
    trusting = ssl.create_default_context(cafile=str(certificate))
    other_name = url.replace("localhost", "127.0.0.1")
    for tls, to in ((ssl.create_default_context(), url), (trusting, other_name)):
        wire = Wire(1, 1.0, tls)
        with pytest.raises(UnreachedError):
            await ask(wire, to)
    assert not server.heard
    wire = Wire(1, 1.0, trusting)
    assert await ask(wire, url) == await ask(wire, url) == (200, b"ok")
    assert server.connections == 1
    await wire.shutdown()
