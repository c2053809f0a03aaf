"""The house with its doors open: everything that is configured, until it is told to stop."""

from __future__ import annotations

import asyncio
import contextlib
import datetime as dt
import gc
import importlib
import logging
import os
import signal
import sys
import time
from collections.abc import Callable, Coroutine, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bot.channels.doorstep import Clock, Doorstep, Ear, Line, Said
from bot.logs import bare_trace, be_quiet, write_log
from bot.settings import Settings, SettingsError
from storage.journal import Message, RoomBook
from storage.trouble import StorageTrouble

if TYPE_CHECKING:
    from bot.channels.listener import Answer, Listener, Request
    from bot.channels.sms import SmsDoor
    from bot.channels.telegram import TelegramDoor

log = logging.getLogger("roomhand.serve")
TICK_SECONDS = 60.0
SETTLE_SECONDS = 0.3  # in which the first request goes out undisturbed
FINISH_SECONDS = 8.0  # for what was begun when told to stop; a container is given 10


@dataclass(frozen=True)
class Notice:
    """Something to say unasked, once: `what` and `key` are its name in the book, so that no restart repeats it."""

    what: str
    key: str
    door: str
    address: str
    text: str
    picture: bytes | None = None
    options: tuple[str, ...] = ()
    about: str | None = None  # what a choice of the options is said to be about


Tick = Callable[[RoomBook, dt.datetime], Iterable[Notice]]


def hear(
    book: RoomBook,
    message: Message,
    *,
    about: str | None = None,
    edited: str | None = None,
    picture: bytes | None = None,
) -> Said:
    """The room's ear, loaded when it is first needed: the doors open meanwhile."""
    from bot.hear import hear as ear

    return ear(book, message, about=about, edited=edited, picture=picture)


def unasked(book: RoomBook, now: dt.datetime) -> Iterable[Notice]:
    """What the room has to say unasked, loaded likewise."""
    from bot.unasked.reminders import unasked as due

    return due(book, now)


class Serve:
    """The doors of one room. `tick` is asked each minute what there is to say unasked."""

    def __init__(
        self,
        book: RoomBook,
        settings: Settings,
        ear: Ear = hear,
        *,
        tick: Tick | None = None,
        clock: Clock = lambda: dt.datetime.now(dt.UTC),
        poll_seconds: int | None = None,
        paced: bool = True,
    ) -> None:
        if not settings.telegram_token and not settings.sms_gateway:
            raise SettingsError("no door is configured: set ROOMHAND_TELEGRAM_TOKEN or ROOMHAND_SMS_GATEWAY")
        self._book, self._settings, self._tick, self._clock = book, settings, tick, clock
        self._doorstep = Doorstep(book, ear, clock)
        self._ready = ear is not hear
        self._stop = asyncio.Event()
        state = _made(settings.state_folder)
        self.listener: Listener | None = None
        self.scraped: Listener | None = None  # apart, so that what faces the street tells nothing
        self.telegram: TelegramDoor | None = None
        self.sms: SmsDoor | None = None
        if settings.telegram_token:
            from bot.channels.telegram import POLL_SECONDS, TelegramDoor

            self.telegram = TelegramDoor(
                settings,
                self._doorstep,
                state=state,
                poll_seconds=POLL_SECONDS if poll_seconds is None else poll_seconds,
                paced=paced,
            )
        if settings.sms_gateway:
            from bot.channels.sms import SmsDoor

            self.sms = SmsDoor(settings, self._doorstep, state=state)
        if settings.listen:
            from bot.channels.listener import Listener

            self.listener = Listener(*settings.listen)
            self.listener.routes["GET", "/health"] = self._health
        if settings.metrics:
            from bot.channels.listener import Listener

            self.scraped = Listener(*settings.metrics)
            self.scraped.routes["GET", "/metrics"] = self._metrics

    def stop(self) -> None:
        """Take nothing new and finish what was begun."""
        self._stop.set()

    async def run(self) -> None:
        """Until `stop`, SIGTERM or SIGINT. Raises SettingsError when a door cannot be opened as configured."""
        loop = asyncio.get_running_loop()
        for name in (signal.SIGTERM, signal.SIGINT):
            loop.add_signal_handler(name, self.stop)
        running: list[asyncio.Task[None]] = []
        try:
            await self._open(running)
            waiting = asyncio.ensure_future(self._stop.wait())
            await asyncio.wait([waiting, *running], return_when=asyncio.FIRST_COMPLETED)
            waiting.cancel()
            if not self._stop.is_set():
                for task in running:
                    if task.done():
                        task.result()
        finally:
            await self._close(running)
            for name in (signal.SIGTERM, signal.SIGINT):
                loop.remove_signal_handler(name)

    async def _open(self, running: list[asyncio.Task[None]]) -> None:
        if self.listener:
            if self.sms:
                self.sms.open_at(self.listener)
            if self.telegram and self._settings.public_url:
                from bot.channels.telegram import HOOK

                self.listener.routes["POST", HOOK] = self.telegram.hook
        for name, listener in (("LISTEN", self.listener), ("METRICS", self.scraped)):
            try:
                if listener:
                    await listener.open()
            except OSError as problem:
                raise SettingsError(f"ROOMHAND_{name}: the address cannot be had ({problem.strerror})") from None
        if self.telegram:
            await self._unless_stopped(self.telegram.open())
            if not self._settings.public_url and not self._stop.is_set():
                running.append(asyncio.ensure_future(self.telegram.run()))
        log.info("the doors are open")
        if not self._ready:  # before the first message has to wait for it, but not before the first is asked for
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self._stop.wait(), SETTLE_SECONDS)
            await self._doorstep.ask(self._warm)
        if self._tick:
            running.append(asyncio.ensure_future(self._ticking(self._tick)))

    async def _unless_stopped(self, opening: Coroutine[None, None, None]) -> None:
        """Open a door, giving up when we are told to stop while the network is away."""
        task = asyncio.ensure_future(opening)
        stop = asyncio.ensure_future(self._stop.wait())
        await asyncio.wait((task, stop), return_when=asyncio.FIRST_COMPLETED)
        stop.cancel()
        if task.done():
            task.result()
        else:
            task.cancel()
            await asyncio.gather(task, return_exceptions=True)

    def _warm(self) -> None:
        """Load what the first message needs."""
        importlib.import_module("bot.hear")
        with contextlib.suppress(StorageTrouble):
            self._book.standing()
        gc.collect()
        gc.freeze()  # what is loaded by now stays; to look through it for garbage would hold a message up for long

    async def _close(self, running: list[asyncio.Task[None]]) -> None:
        until = time.monotonic() + FINISH_SECONDS

        def left() -> float:
            return max(0.1, until - time.monotonic())

        if self.telegram:
            self.telegram.stop()
        for listener in filter(None, (self.listener, self.scraped)):
            await listener.close(left())
        if running:
            await asyncio.wait(running, timeout=left())
        for task in running:
            task.cancel()
        await asyncio.gather(*running, return_exceptions=True)
        if self.telegram:
            await self.telegram.close(left())
        if self.sms:
            await self.sms.close()
        self._doorstep.close()
        log.info("the doors are closed")

    async def _health(self, _: Request) -> Answer:
        from bot.channels.listener import Answer

        try:
            await asyncio.wait_for(self._doorstep.ask(lambda: self._book.people()), 5)
            book = True
        except (StorageTrouble, TimeoutError):
            book = False
        telegram = True
        if self.telegram and not self._settings.public_url:
            telegram = self.telegram.in_contact
        return Answer.json({"book": book, "telegram": telegram}, 200 if book and telegram else 503)

    async def _metrics(self, _: Request) -> Answer:
        from bot.channels import metrics
        from bot.channels.listener import Answer

        def kept() -> tuple[int, int, int]:
            file = self._book.file
            return len(self._book.people()), self._book.knocks(), file.stat().st_size if file else 0

        people, knocks, size = await asyncio.wait_for(self._doorstep.ask(kept), 5)
        gauges = [
            ("roomhand_people", "Who may speak here.", people),
            ("roomhand_book_bytes", "Size of the record's file; 0 on a server.", size),
        ]
        if self.telegram:
            gauges.append(("roomhand_telegram_in_contact", "Whether the service answers.", self.telegram.in_contact))
        forged = self.listener.forged if self.listener else 0
        counters = [
            ("roomhand_strangers", "Messages of people nobody let in, since the record began.", knocks),
            ("roomhand_forged_requests", "Requests that were not signed by whom they claimed.", forged),
        ]
        figures = [
            *metrics.of_counts(self._doorstep.counts),
            *(metrics.Figure(name, "gauge", meaning, (("", value),)) for name, meaning, value in gauges),
            *(metrics.Figure(name, "counter", meaning, (("_total", value),)) for name, meaning, value in counters),
            *metrics.of_process(),
        ]
        return Answer(200, metrics.written(figures), metrics.KIND)

    # ---- unasked

    async def _ticking(self, tick: Tick) -> None:
        while not self._stop.is_set():
            try:
                notices = await self._doorstep.ask(lambda: list(tick(self._book, self._clock())))
                await asyncio.gather(*map(self._tell, notices))
            except Exception as problem:
                log.error("what is to be said unasked could not be: %s", bare_trace(problem))
            try:
                await asyncio.wait_for(self._stop.wait(), TICK_SECONDS)
            except TimeoutError:
                continue

    async def _tell(self, notice: Notice) -> None:
        book, now = self._book, self._clock()
        if not self._can_say(notice.door):
            return
        if not await self._doorstep.ask(lambda: book.claim(notice.what, notice.key, now)):
            return
        line = Line(notice.text, notice.options, notice.picture, notice.about)
        if await self.say(notice.door, notice.address, line):
            await self._doorstep.ask(lambda: book.confirm(notice.what, notice.key))

    def _can_say(self, door: str) -> bool:
        """Whether a door is there and open, so that nothing is claimed which cannot be said now."""
        if door == "telegram":
            return self.telegram is not None and self.telegram.in_contact
        return door == "sms" and self.sms is not None

    async def say(self, door: str, address: str, said: Said) -> bool:
        """Say something at a door; False when that cannot be done."""
        if door == "telegram" and self.telegram:
            return await self.telegram.say(address, said)
        if door == "sms" and self.sms:
            return await self.sms.say(address, said)
        return False


def _made(folder: Path) -> Path:
    """The folder, there and ours to write in."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not os.access(folder, os.W_OK | os.X_OK):
            raise PermissionError(13, "it may not be written")
    except OSError as problem:
        raise SettingsError(f"ROOMHAND_STATE: {folder} cannot be used ({problem.strerror})") from None
    return folder


def serve(
    book: RoomBook,
    settings: Settings,
    ear: Ear = hear,
    *,
    tick: Tick | None = unasked,
) -> int:
    """Run the doors until told to stop; the exit code: 0, or 1 after a clear line on standard error."""
    be_quiet(settings.secrets, getattr(logging, settings.log.upper()))
    write_log()
    try:
        asyncio.run(_run(book, settings, ear, tick))
    except SettingsError as wrong:
        print(f"roomhand serve: {wrong}", file=sys.stderr)
        return 1
    return 0


async def _run(book: RoomBook, settings: Settings, ear: Ear, tick: Tick | None) -> None:
    await Serve(book, settings, ear, tick=tick).run()
