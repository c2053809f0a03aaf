"""The Telegram door: fetches what was written there, by long polling or webhook, and brings the answers back.

An update counts as taken only when it was heard and answered: until then Telegram keeps it and brings it again,
and the delivery's own id sees to it that nothing is logged twice.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import json
import logging
import time
from collections import deque
from dataclasses import replace
from pathlib import Path
from typing import Any
from weakref import WeakValueDictionary

import httpx
from telegram import Bot, BotCommand, Update
from telegram.error import BadRequest, Conflict, InvalidToken, RetryAfter, TelegramError

from bot.channels.doorstep import CANNOT_WRITE, Doorstep, Line, Said
from bot.channels.listener import Answer, Request
from bot.channels.sent import Sent
from bot.channels.telegram_in import WANTED, Heard, heard, meant_for
from bot.channels.telegram_out import AT_ONCE, Post, UnreachableError, asked_to_wait
from bot.channels.telegram_updates import Updates, numbered
from bot.channels.telegram_wire import Wire
from bot.logs import bare_trace
from bot.settings import Settings, SettingsError
from storage.pictures import MOST_BYTES

log = logging.getLogger("roomhand.telegram")

HOOK = "/telegram"
POLL_SECONDS = 50  # how long Telegram holds an empty getUpdates open
SILENT_FOR = 90.0  # seconds without a word from Telegram, which answers each POLL_SECONDS, before it counts as away
PATIENCE = 30.0  # seconds an answer may take before others are heard meanwhile
PHOTO_SECONDS = 15.0  # for fetching a photo; a webhook is answered within 25
SLOW = 0.8  # seconds after which "typing" is shown
MENU = (
    ("due", "what is to be done"),
    ("stock", "what is alive"),
    ("undo", "take back my last note"),
    ("help", "what I understand"),
)
PHOTO_LOST = "The photo could not be fetched and was not kept; please send it again."
NOT_YOURS = "That was asked of somebody else."
TOO_OLD = "That question is too old. Please write it."


class TelegramDoor:
    """One bot. `run` polls; `hook` takes what a webhook brings."""

    def __init__(
        self,
        settings: Settings,
        doorstep: Doorstep,
        *,
        state: Path | None = None,
        poll_seconds: int = POLL_SECONDS,
        paced: bool = True,
    ) -> None:
        assert settings.telegram_token is not None
        token = settings.telegram_token.get_secret_value()
        key = hashlib.blake2b(token.encode(), digest_size=32).digest()
        self._secret = hmac.new(key, b"webhook", "sha256").hexdigest()
        self._public = settings.public_url
        self._doorstep, self._poll_seconds = doorstep, poll_seconds
        # one set of certificates for both; loading them is a good part of starting. Plain http needs none.
        tls = httpx.create_ssl_context() if settings.telegram_api.startswith("https:") else None
        self._bot = Bot(
            token,
            base_url=settings.telegram_api + "/bot",
            base_file_url=settings.telegram_api + "/file/bot",
            request=Wire(AT_ONCE, 20, tls),
            get_updates_request=Wire(1, 10, tls),
        )
        self.sent = Sent(state / "telegram.sent" if state else None, key)
        self._post = Post(self._bot, paced)
        self._stopping = asyncio.Event()
        self._updates = Updates(self._bot, self._stopping)
        self._under_way: dict[int, asyncio.Task[None]] = {}
        self._ahead: dict[str, Said | None] = {}  # heard together and not yet told
        self._aside: set[asyncio.Task[None]] = set()
        self._answering: WeakValueDictionary[str, asyncio.Lock] = WeakValueDictionary()  # one for each delivery
        self.last_contact = 0.0  # monotonic; when Telegram last answered

    @property
    def in_contact(self) -> bool:
        """Whether Telegram answers; with a webhook it is Telegram that calls, so only opening tells."""
        return self.last_contact > 0 and (bool(self._public) or time.monotonic() - self.last_contact < SILENT_FOR)

    # ---- opening and closing

    async def open(self) -> None:
        """Make sure of the token, waiting for the network if need be. Raises SettingsError."""
        try:
            await self._post.insist(self._bot.initialize)
            if self._public:
                await self._post.insist(self._set_hook)
        except InvalidToken:
            raise SettingsError("ROOMHAND_TELEGRAM_TOKEN is not accepted; @BotFather tells it") from None
        except BadRequest as refused:
            raise SettingsError(f"the Bot API refuses ROOMHAND_PUBLIC_URL ({type(refused).__name__})") from None
        self.last_contact = time.monotonic()
        self._besides(self._menu())

    async def _set_hook(self) -> bool:
        # one connection: what is written in a chat then arrives in the order it was written
        return await self._bot.set_webhook(
            f"{self._public}{HOOK}", secret_token=self._secret, allowed_updates=WANTED, max_connections=1
        )

    async def _menu(self) -> None:
        try:
            await self._bot.set_my_commands([BotCommand(name, what) for name, what in MENU])
        except TelegramError as problem:
            log.info("the command menu was not set (%s)", type(problem).__name__)

    def stop(self) -> None:
        """Take nothing new."""
        self._stopping.set()

    async def close(self, seconds: float = 8.0) -> None:
        """Finish what was begun, in so many seconds; then let go of the connections."""
        self.stop()
        waiting = [*self._under_way.values(), *self._aside]
        if waiting:
            await asyncio.wait(waiting, timeout=seconds)
        for task in waiting:
            task.cancel()
        await asyncio.gather(*waiting, return_exceptions=True)
        await self._bot.shutdown()
        self.sent.close()

    def _besides(self, work: Any) -> None:
        task: asyncio.Task[None] = asyncio.ensure_future(work)
        self._aside.add(task)
        task.add_done_callback(self._aside.discard)

    # ---- polling

    async def run(self) -> None:
        """Long polling until `stop`."""
        offset, pause = 0, 0.5
        while not self._stopping.is_set():
            try:
                updates = await self._updates.or_stop(self._updates.fetch(offset, self._poll_seconds))
            except RetryAfter as told:
                await self._updates.rest(asked_to_wait(told))
                continue
            except Conflict:
                log.warning("somebody else fetches this bot's messages, or a webhook is set: taking it back")
                await self._updates.rest(pause)
                await self._quietly(self._bot.delete_webhook())
                pause = min(pause * 2, 30.0)
                continue
            except TelegramError as problem:
                log.warning("Telegram cannot be reached (%s); again in %.1f s", type(problem).__name__, pause)
                await self._updates.rest(pause)
                pause = min(pause * 2, 30.0)
                continue
            pause = 0.5
            if updates is None:
                break
            self.last_contact = time.monotonic()
            if updates:
                offset = await self._take_all(updates, offset)
        if offset:  # tell Telegram what was taken, so that it is not brought again
            await self._quietly(self._updates.fetch(offset, 0, 1))

    async def _take_all(self, updates: list[tuple[int, Update | None]], offset: int) -> int:
        """Hear a handful in order, send the answers meanwhile; the next offset, all before it being done."""
        begun: list[asyncio.Task[None]] = []
        plain: deque[Heard] = deque()  # read already and not yet heard: each is read once, however many wait
        heard_to = 0
        for at, (number, update) in enumerate(updates):
            if at >= heard_to:
                if self._stopping.is_set():
                    break
                heard_to = at + await self._hear_ahead([u for _, u in updates[at:]], plain)
            offset = number + 1
            if update is not None:
                begun.append(await self._begin(update, plain.popleft() if plain else None))
        if begun:
            _, late = await asyncio.wait(begun, timeout=PATIENCE)
            if late:  # one chat that Telegram makes wait must not keep all others waiting
                log.warning("%d answers are still waiting to be sent", len(late))
        return offset

    async def _hear_ahead(self, updates: list[Update | None], plain: deque[Heard]) -> int:
        """Of a backlog, hear the plain notes it begins with together, to be told as each comes up.

        How many these were; where one was in the way, so many to be heard one by one. `plain`: those of them that
        were read before, and now those read.
        """
        for update in updates[len(plain) :] if len(updates) > 1 else ():
            what = self._plain(update)
            if what is None:
                break
            plain.append(what)
        words = [what.words for what in plain]
        said = await self._doorstep.hear_together(words) if len(words) > 1 else []
        self._ahead = {one.delivery: answer for one, answer in zip(words, said, strict=False)}
        return len(said) or len(words) or 1

    def _plain(self, update: Update | None) -> Heard | None:
        """What an update says, when that is a note and nothing but words."""
        if update is None or update.update_id in self._under_way:
            return None
        try:
            what = self._heard(update)
        except Exception:  # whatever is wrong with it is told when it comes up
            return None
        return None if what is None or what.picture or what.unheard or what.tap or what.words.edited else what

    async def _quietly(self, work: Any) -> None:
        try:
            await asyncio.wait_for(work, 5)
        except (TelegramError, TimeoutError) as problem:
            log.info("not done (%s)", type(problem).__name__)

    # ---- webhook

    async def hook(self, request: Request) -> Answer:
        """One update pushed to us; answered only when it is taken, so that Telegram brings it again otherwise."""
        given = request.headers.get("x-telegram-bot-api-secret-token", "")
        if not hmac.compare_digest(given.encode(), self._secret.encode()):
            return Answer(403, forged=True)
        try:
            raw = json.loads(request.body)
        except (ValueError, RecursionError):
            return Answer(400)
        if not isinstance(raw, dict) or not numbered(raw):
            return Answer(400)
        self.last_contact = time.monotonic()
        update = self._updates.read(raw)
        if update is None:
            return Answer(200)
        if self._stopping.is_set():
            return Answer(503)
        task = self._under_way.get(update.update_id) or await self._begin(update)
        done, _ = await asyncio.wait({task}, timeout=25)
        return Answer(200 if done else 503)

    # ---- one update

    async def _begin(self, update: Update, what: Heard | None = None) -> asyncio.Task[None]:
        """Hear an update (`what`: as it was read before); the task returned is done when its answer is out."""
        known = self._under_way.get(update.update_id)
        if known:
            return known
        waiting: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        task = asyncio.ensure_future(self._take(update, what, waiting))
        self._under_way[update.update_id] = task
        task.add_done_callback(lambda _: self._under_way.pop(update.update_id, None))
        # the next one is heard only after this one, while this one's answer may still be on its way
        await waiting
        return task

    async def _take(self, update: Update, what: Heard | None, is_heard: asyncio.Future[None]) -> None:
        try:
            what = what or self._heard(update)
            if what is None:
                if update.callback_query:
                    await self._acknowledge(update.callback_query, TOO_OLD)
                return
            if what.tap and not meant_for(what.tap):
                await self._acknowledge(what.tap, NOT_YOURS)
                return
            said = await self._listen(what)
            if not is_heard.done():  # it is when whoever waited for it was sent away meanwhile
                is_heard.set_result(None)
            await self._bring(what, said)
        except Exception as problem:
            log.error("update %s was not answered: %s", update.update_id, bare_trace(problem))
        finally:
            if not is_heard.done():
                is_heard.set_result(None)

    def _heard(self, update: Update) -> Heard | None:
        return heard(update, self._bot.bot, self.sent.answered_by, self._doorstep.clock)

    async def _listen(self, what: Heard) -> Said | None:
        if what.words.delivery in self._ahead and not (what.tap or what.words.edited):
            return self._ahead.pop(what.words.delivery)
        if what.unheard and await self._doorstep.knows(what.words):
            return Line(what.unheard)
        loop = asyncio.get_running_loop()
        timers: list[asyncio.TimerHandle] = []

        def typing() -> None:
            self._besides(self._post.typing(what.chat))
            timers[:] = [loop.call_later(4.5, typing)]  # it is shown for five seconds

        timers.append(loop.call_later(SLOW, typing))
        try:
            again = bool(what.words.edited) or self.sent.has_answered(what.words.delivery)
            if what.picture and not again and await self._doorstep.knows(what.words):
                return await self._hear_photo(what, what.picture)
            return await self._doorstep.hear(what.words, waiting=lambda: self._cannot_write(what))
        finally:
            timers[0].cancel()

    async def _hear_photo(self, what: Heard, file_id: str) -> Said | None:
        """The photo first, so that “kept” is said of what is on the disk; its caption is heard either way."""
        picture = await self._fetch_photo(file_id)
        if picture is None and not what.words.text:
            return Line(PHOTO_LOST)
        words = replace(what.words, picture=picture)
        said = await self._doorstep.hear(words, waiting=lambda: self._cannot_write(what))
        if picture is None and said is not None:
            return Line(f"{said.text}\n{PHOTO_LOST}", said.options, said.picture)
        return said

    async def _fetch_photo(self, file_id: str) -> bytes | None:
        async def fetched() -> bytes | None:
            file = await self._bot.get_file(file_id)
            if (file.file_size or 0) > 2 * MOST_BYTES:
                return None
            return bytes(await file.download_as_bytearray())

        try:
            async with asyncio.timeout(PHOTO_SECONDS):
                return await self._post.insist(fetched)
        except (TelegramError, UnreachableError, TimeoutError) as problem:
            log.warning("a photo could not be fetched (%s)", type(problem).__name__)
            return None

    async def _cannot_write(self, what: Heard) -> None:
        self._besides(self._answer(what, Line(CANNOT_WRITE)))

    async def _bring(self, what: Heard, said: Said | None) -> None:
        if what.tap:
            self._besides(self._acknowledge(what.tap, None))
            self._besides(self._without_buttons(what))
        if said is None or not (said.text or said.picture):
            return
        # the same message brought twice at once: the second waits, and finds it answered
        async with self._answering.setdefault(what.words.delivery, asyncio.Lock()):
            if self.sent.has_answered(what.words.delivery):
                return
            number = await self._answer(what, said)
            if number is not None:
                self.sent.note(what.words.delivery, what.words.chat, number, what.message)

    async def _answer(self, what: Heard, said: Said) -> int | None:
        quoting = what.message if what.quote else None
        try:
            return await self._post.answer(what.chat, said, quoting=quoting, asked=what.words.address)
        except UnreachableError:
            log.info("a chat can no longer be written to")
            return None
        except BadRequest as refused:
            log.error("an answer was refused: %s", bare_trace(refused))
        try:  # without whatever was not liked about it
            return await self._post.answer(what.chat, Line(said.text), quoting=None, asked=what.words.address)
        except (UnreachableError, BadRequest) as refused:
            log.error("nor was it taken as plain text: %s", bare_trace(refused))
        return None

    async def _acknowledge(self, tap: Any, text: str | None) -> None:
        await self._quietly(self._bot.answer_callback_query(tap.id, text))

    async def _without_buttons(self, what: Heard) -> None:
        await self._quietly(self._bot.edit_message_reply_markup(what.chat, what.message, reply_markup=None))

    # ---- unasked

    async def say(self, address: str, said: Said) -> bool:
        """Send something nobody asked for just now; False when the chat cannot be reached."""
        try:
            about = said.about if isinstance(said, Line) else None
            await self._post.answer(int(address), said, quoting=None, asked=address, about=about)
        except (UnreachableError, BadRequest) as problem:
            log.info("not delivered (%s)", type(problem).__name__)
            return False
        return True
