"""Sending to Telegram: in order within a chat, no faster than allowed, and again until it is out."""

from __future__ import annotations

import asyncio
import datetime as dt
import logging
import os
import re
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from typing import Any, TypeVar

from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup, Message, ReplyParameters
from telegram.error import BadRequest, ChatMigrated, Forbidden, InvalidToken, NetworkError, RetryAfter, TelegramError

from bot.channels.doorstep import Said
from bot.channels.telegram_in import button_data
from bot.channels.telegram_wire import surely_unsent
from bot.logs import bare_trace
from storage.pictures import is_page, kind_of

T = TypeVar("T")
os.environ.setdefault("PTB_TIMEDELTA", "true")  # waits as timedelta, the form the library is moving to
log = logging.getLogger("roomhand.telegram")

LONGEST = 4096  # units of UTF-16 in one message; Telegram Bot API, sendMessage
CAPTION = 1024  # of a photo; Telegram Bot API, sendPhoto
LONGEST_LABEL = 36  # letters of a button that a telephone shows on one line; common practice, no source
# requests under way together: enough for ALL_PER_SECOND while each takes a quarter of a second; more cost processor
# time (httpcore looks through all connections for each), and one chat has its answers one after the other anyway
AT_ONCE = 8
# Telegram's Bots FAQ, "My bot is hitting limits": about one message a second in a chat with short bursts
# allowed, 20 a minute in a group, 30 a second over all. The size of a burst is ours.
BURST, PER_SECOND, GROUP_BURST, GROUP_PER_SECOND, ALL_PER_SECOND = 20, 1.0, 10, 20 / 60, 30.0


@dataclass
class Bucket:
    """How much may be sent now: fills at `rate` a second up to `size`."""

    size: float
    rate: float
    level: float = field(init=False)
    at: float = field(default_factory=time.monotonic)

    def __post_init__(self) -> None:
        self.level = self.size

    def take(self) -> float:
        """Take one; the seconds to wait before it may be used."""
        now = time.monotonic()
        self.level = min(self.size, self.level + (now - self.at) * self.rate) - 1
        self.at = now
        return max(0.0, -self.level / self.rate)


@dataclass
class Lane:
    """One chat: what goes into it goes one after the other."""

    bucket: Bucket
    order: asyncio.Lock = field(default_factory=asyncio.Lock)


def cut(text: str, longest: int = LONGEST) -> Iterator[str]:
    """A long text in pieces a message can hold, cut where a reader would: paragraph, line, sentence, word."""
    while True:
        room = _fits(text, longest)
        if room == len(text):
            if text.strip():
                yield text.strip("\n")
            return
        piece = text[:room]
        for mark in ("\n\n", "\n", ". ", " "):
            at = piece.rfind(mark)
            if at > room // 3:
                piece = piece[: at + len(mark)]
                break
        if piece.strip():
            yield piece.rstrip()
        text = text[len(piece) :].lstrip("\n")


def _fits(text: str, longest: int) -> int:
    """How many characters of the text take at most `longest` UTF-16 units."""
    if len(text) * 2 <= longest:
        return len(text)
    units = 0
    for i, letter in enumerate(text):
        units += 2 if ord(letter) > 0xFFFF else 1
        if units > longest:
            return i
    return len(text)


def asked_to_wait(told: RetryAfter) -> float:
    """Seconds, in either of the two forms the library knows."""
    wait = told.retry_after
    return wait.total_seconds() if isinstance(wait, dt.timedelta) else float(wait)


class UnreachableError(Exception):
    """A chat that can no longer be written to: blocked, deleted, left."""


class Post:
    """Sends through one bot. `paced` false leaves the pace to the server's own refusals."""

    def __init__(self, bot: Bot, paced: bool = True) -> None:
        self._bot, self._paced = bot, paced
        self._lanes: dict[int, Lane] = {}
        self._all = Bucket(ALL_PER_SECOND, ALL_PER_SECOND)
        self._slots = asyncio.Semaphore(AT_ONCE)

    def _lane(self, chat: int) -> Lane:
        if chat not in self._lanes:
            if len(self._lanes) > 1000:
                self._lanes = {c: lane for c, lane in self._lanes.items() if lane.order.locked()}
            group = chat < 0
            bucket = Bucket(GROUP_BURST, GROUP_PER_SECOND) if group else Bucket(BURST, PER_SECOND)
            self._lanes[chat] = Lane(bucket)
        return self._lanes[chat]

    @asynccontextmanager
    async def lane(self, chat: int):  # type: ignore[no-untyped-def]
        """Hold the chat's place in the order; waiting ones are served as they came."""
        lane = self._lane(chat)
        async with lane.order:
            yield lane

    async def answer(
        self, chat: int, said: Said, *, quoting: int | None, asked: str, about: str | None = None
    ) -> int | None:
        """Send an answer, in pieces if it is long; the number of its last message. Raises UnreachableError."""
        text, labels = laid_out(said.text, said.options)
        buttons = _buttons(labels, asked, about)
        reply = ReplyParameters(quoting, allow_sending_without_reply=True) if quoting else None
        last: int | None = None
        async with self.lane(chat) as lane:
            pieces = list(cut(text))
            if said.picture is not None:
                short = len(pieces) == 1 and _fits(pieces[0], CAPTION) == len(pieces[0])
                caption = pieces.pop() if short else None
                last = await self._photo(lane, chat, said.picture, caption, reply, buttons if short else None)
                reply = None
            for number, piece in enumerate(pieces, 1):
                ending = buttons if number == len(pieces) else None

                async def send(piece: str = piece, ending: Any = ending, reply: Any = reply) -> Message:
                    return await self._bot.send_message(chat, piece, reply_markup=ending, reply_parameters=reply)

                last = (await self._out(lane, send)).message_id
                reply = None
        return last

    async def _photo(
        self, lane: Lane, chat: int, picture: bytes, caption: str | None, reply: ReplyParameters | None, buttons: Any
    ) -> int | None:
        async def send() -> Message:
            if is_page(picture):
                return await self._bot.send_document(
                    chat, picture, caption=caption, reply_parameters=reply, reply_markup=buttons, filename="record.pdf"
                )
            return await self._bot.send_photo(
                chat,
                picture,
                caption=caption,
                reply_parameters=reply,
                reply_markup=buttons,
                filename=f"photo.{kind_of(picture) or 'png'}",
            )

        return (await self._out(lane, send)).message_id

    async def _out(self, lane: Lane, send: Callable[[], Awaitable[Message]]) -> Message:
        if self._paced:
            wait = max(lane.bucket.take(), self._all.take())
            if wait:
                await asyncio.sleep(wait)
        return await self.insist(send)

    async def insist(self, send: Callable[[], Awaitable[T]]) -> T:
        """Do a request until it is done, waiting as told or longer each time.

        Raises UnreachableError, BadRequest, InvalidToken.

        When a connection broke after a request went out, nobody knows whether it arrived: it is sent again,
        since an answer that comes twice does no harm and one that never comes leaves the keeper in doubt.
        """
        pause = 0.3
        while True:
            try:
                async with self._slots:
                    return await send()
            except RetryAfter as told:
                wait = asked_to_wait(told)
                log.info("asked to wait %s s", wait)
                await asyncio.sleep(wait)
            except (Forbidden, ChatMigrated) as gone:
                raise UnreachableError from gone
            except BadRequest as refused:
                if re.search(r"chat not found|user is deactivated|have no rights|kicked|PEER_ID", str(refused), re.I):
                    raise UnreachableError from refused
                raise
            except InvalidToken:
                raise
            except (NetworkError, TelegramError) as problem:
                known = "nothing was sent" if surely_unsent(problem) else "not known whether it arrived"
                log.warning("a request failed (%s), %s; again in %.1f s", type(problem).__name__, known, pause)
                log.debug("%s", bare_trace(problem))
                await asyncio.sleep(pause)
                pause = min(pause * 2, 30.0)

    async def typing(self, chat: int) -> None:
        """Show that an answer is being made; of no importance."""
        try:
            await self._bot.send_chat_action(chat, "typing")
        except TelegramError as problem:
            log.debug("typing not shown (%s)", type(problem).__name__)


def laid_out(text: str, options: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
    """A text with its choices: one too long for a line of a button stands in the text, the button bears its number."""
    long = {n: option for n, option in enumerate(options, 1) if len(option) > LONGEST_LABEL}
    if not long:
        return text, options
    listed = "\n".join(f"{n}. {option}" for n, option in long.items())
    return f"{text}\n{listed}", tuple(str(n) if n in long else option for n, option in enumerate(options, 1))


def _buttons(options: tuple[str, ...], asked: str, about: str | None = None) -> InlineKeyboardMarkup | None:
    """One button an option, short ones side by side."""
    if not options:
        return None
    width = 3 if all(len(o) <= 10 for o in options) else 1
    made = [InlineKeyboardButton(o, callback_data=button_data(i, asked, about)) for i, o in enumerate(options[:24])]
    return InlineKeyboardMarkup([made[i : i + width] for i in range(0, len(made), width)])
