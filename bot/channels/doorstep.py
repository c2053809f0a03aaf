"""Who may come in, and the one queue in which everyone is heard: what all doors share."""

from __future__ import annotations

import asyncio
import contextlib
import datetime as dt
import logging
import re
import time
import unicodedata
from collections.abc import Awaitable, Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

from bot.channels.metrics import Counts
from bot.logs import bare_trace
from storage.journal import Message, Person, RoomBook
from storage.people import CODE_LENGTH, CODE_LETTERS
from storage.trouble import StorageTrouble

T = TypeVar("T")
Clock = Callable[[], dt.datetime]

NOT_INVITED = "This is a private fish room. Ask its keeper for an invitation code and send me that."
WELCOME = "Welcome, {name}. Tell me what you do in the room, a line at a time; “help” shows what I understand."
NO_SUCH_LABEL = "That label's tank or tub is not in the room any more."
STUMBLED = "I stumbled over that message. Nothing was logged. Please say it in other words."
CANNOT_WRITE = "I cannot write in the book just now. Your message is not lost: I keep trying."
NOT_WRITTEN = "I cannot write in the book just now. Nothing was logged. Please send it again in a while."

_CODE = re.compile(rf"[{CODE_LETTERS}]{{{CODE_LENGTH}}}", re.IGNORECASE)
_START = re.compile(r"^\s*start\b\s*", re.IGNORECASE)
OPENS = "at_"  # begins the code of a label (bot/pictures/labels.py)
# nothing else that begins so: “start brine shrimp” and “start greenwater” are notes
_STARTED = re.compile(rf"(?i:start)(?:\s+({OPENS}[\w-]*|[{CODE_LETTERS}]{{{CODE_LENGTH}}}))?", re.ASCII)
GUESSES = 5  # wrong codes from one address in a GUESS_SPAN before more are not even looked at
KNOCKS_KEPT = dt.timedelta(minutes=1)
GUESS_SPAN = dt.timedelta(hours=1)
BRIEF = 0.02  # seconds for which the doors may stand still
TOGETHER = 0.05  # seconds of a backlog that are kept in one go
MUCH = 20_000  # characters handed on; what is too long for a note is for the ear to say, so it must see that it is
log = logging.getLogger("roomhand.door")


class Said(Protocol):
    """The part of an answer that a door carries out."""

    @property
    def text(self) -> str: ...
    @property
    def options(self) -> tuple[str, ...]: ...
    @property
    def picture(self) -> bytes | None: ...


class Ear(Protocol):
    """What listens: one message in, one answer out, the same delivery always answered alike."""

    def __call__(
        self,
        book: RoomBook,
        message: Message,
        *,
        about: str | None = None,
        edited: str | None = None,
        picture: bytes | None = None,
    ) -> Said: ...


@dataclass(frozen=True)
class Line:
    """A line of the door's own: said to strangers and when something is wrong; or something said unasked.

    `about`: what a choice of its options is said to be about, when that is no message.
    """

    text: str
    options: tuple[str, ...] = ()
    picture: bytes | None = None
    about: str | None = None


@dataclass(frozen=True)
class Words:
    """What somebody wrote at a door. `about` and `edited` are deliveries: the message answered, the one changed.

    `about` may also be what was said unasked (`Line.about`).

    `picture`: the photo whose caption the text is.
    """

    door: str
    address: str
    name: str
    chat: str
    delivery: str
    text: str
    sent: dt.datetime
    about: str | None = None
    edited: str | None = None
    picture: bytes | None = field(default=None, repr=False)


class Doorstep:
    """Lets people in by invitation and hands what they say to the ear, one message at a time, in order."""

    def __init__(self, book: RoomBook, ear: Ear, clock: Clock = lambda: dt.datetime.now(dt.UTC)) -> None:
        self.book, self._ear, self.clock = book, ear, clock
        self._queue = ThreadPoolExecutor(1, thread_name_prefix="room")
        self.counts = Counts()
        self._slow = 0  # how many are waited for that took longer
        self._members: set[tuple[str, str]] = set()  # where somebody of the room wrote from last time
        self._strangers: dict[tuple[str, str], tuple[dt.datetime, int]] = {}  # last put down, and how often since
        self._guesses: dict[tuple[str, str], list[dt.datetime]] = {}

    def close(self) -> None:
        """Wait for what is being written."""
        self._queue.shutdown(wait=True)

    async def ask(self, work: Callable[[], T], brief: float = BRIEF) -> T:
        """Do something with the book, after what is before it in the queue.

        Most is done in a few milliseconds, and standing still for those costs less than two threads taking turns at
        one interpreter; what takes longer is waited for with the doors open.
        """
        future = self._queue.submit(work)
        if not self._slow:
            with contextlib.suppress(TimeoutError):
                future.exception(brief)
            if future.done():
                return future.result()
        self._slow += 1
        try:
            return await asyncio.wrap_future(future)
        finally:
            self._slow -= 1

    async def hear(
        self,
        words: Words,
        *,
        patience: float | None = None,
        waiting: Callable[[], Awaitable[None]] | None = None,
    ) -> Said | None:
        """The answer to what was written, or None where silence is the answer.

        While the book cannot be written it is tried again: for `patience` seconds, or for ever; `waiting` is
        awaited once when that takes long.
        """
        pause, waited, told = 0.25, 0.0, False
        while True:
            try:
                return self._counted(words, *await self.ask(lambda: self._heard_alone(words)))
            except StorageTrouble as trouble:
                log.error("the book cannot be written: %s", bare_trace(trouble))
                if patience is not None and waited + pause > patience:
                    return self._counted(words, "unwritten", Line(NOT_WRITTEN))
            except Exception as problem:  # a fault of ours must not stop the door, nor hold up what comes after
                log.error("a message could not be handled: %s", bare_trace(problem))
                return self._counted(words, "fault", Line(STUMBLED))
            if waiting and not told and waited > 5:
                told = True
                await waiting()
            await asyncio.sleep(pause)
            waited += pause
            pause = min(pause * 2, 30.0)

    async def hear_together(self, several: Sequence[Words]) -> list[Said | None]:
        """The answers to the first of what was written, as many as go into `TOGETHER`; none where one was in the way.

        They are kept all at once, so that a backlog waits for the disk once and not for every message.
        """
        try:
            found = await self.ask(lambda: self._heard_together(several), brief=2 * TOGETHER)
        except Exception as problem:  # whatever it is, each by itself will show whose it is
            log.info("heard one by one: %s", bare_trace(problem))
            self._strangers.clear()  # what was put down of them was not kept
            return []
        return [self._counted(words, *one) for words, one in zip(several, found, strict=False)]

    def _heard_together(self, several: Sequence[Words]) -> list[tuple[str, Said | None]]:
        said: list[tuple[str, Said | None]] = []
        until = time.monotonic() + TOGETHER
        with self.book.together():
            for words in several:
                said.append(self._heard(words))
                if time.monotonic() > until:
                    break
        return said

    async def knows(self, words: Words) -> bool:
        """Whether somebody of the room wrote this."""
        try:
            return await self.ask(lambda: self.book.person_at(words.door, words.address) is not None)
        except StorageTrouble:
            return False

    def _counted(self, words: Words, became: str, said: Said | None) -> Said | None:
        self.counts.messages[words.door, became] += 1
        return said

    def _heard_alone(self, words: Words) -> tuple[str, Said | None]:
        """As `_heard`, who writes being looked up in the transaction their words are kept in, where it is a member."""
        if (words.door, words.address) in self._members:
            with self.book.together():
                if self.book.person_at(words.door, words.address):
                    return self._heard(words)
        return self._heard(words)

    def _heard(self, words: Words) -> tuple[str, Said | None]:
        """What became of it and what is said."""
        person = self.book.person_at(words.door, words.address)
        if person is None:
            self._members.discard((words.door, words.address))
            return "stranger", self._stranger(words)
        self._members.add((words.door, words.address))
        began = time.perf_counter()
        said = self._of_member(words, person)
        self.counts.hearing += time.perf_counter() - began
        return "heard", said

    def _of_member(self, words: Words, person: Person) -> Said:
        text = clean(words.text)[:MUCH]
        started = _STARTED.fullmatch(text.strip())
        if started:  # somebody let in before who opens the chat anew
            text = self._opened_with(started[1] or "")
            if not text:
                return Line(NO_SUCH_LABEL)
        message = Message(words.door, words.delivery, words.chat, person.key, text, words.sent)
        return self._ear(self.book, message, about=words.about, edited=words.edited, picture=words.picture)

    def _opened_with(self, code: str) -> str:
        """What a start code says: that of a label asks after its tank; any other, an old invitation's too, for help."""
        if not code.startswith(OPENS):
            return "help"
        from bot.pictures.labels import place_meant  # seldom wanted

        place = place_meant(code, self.book.standing())
        return f"{place}?" if place else ""

    def _stranger(self, words: Words) -> Line | None:
        """A code lets them in; otherwise one polite line, once, and nothing of what they write is kept."""
        now = self.clock()
        code = _START.sub("", words.text).strip()
        if _CODE.fullmatch(code) and self._may_guess(words, now):
            person = self.book.admit(code, words.door, words.address, shown_name(words.name)[:64], now)
            if person:
                self._guesses.pop((words.door, words.address), None)
                return Line(WELCOME.format(name=person.name))
        return Line(NOT_INVITED) if self._knocks_first(words, now) else None

    def _knocks_first(self, words: Words, now: dt.datetime) -> bool:
        """Whether a stranger is new. What more they write is put down once a minute, so that it costs nothing."""
        who = words.door, words.address
        last, since = self._strangers.get(who, (now - KNOCKS_KEPT, 0))
        if now - last < KNOCKS_KEPT:
            self._strangers[who] = last, since + 1
            return False
        first = self.book.knock(*who, now, since + 1)
        if len(self._strangers) > 10_000:
            self._strangers.clear()
        self._strangers[who] = now, 0
        return first

    def _may_guess(self, words: Words, now: dt.datetime) -> bool:
        if len(self._guesses) > 10_000:
            self._guesses.clear()
        recent = [t for t in self._guesses.get((words.door, words.address), ()) if now - t < GUESS_SPAN]
        if len(recent) >= GUESSES:
            return False
        self._guesses[words.door, words.address] = [*recent, now]
        return True


def shown_name(name: str) -> str:
    """A name without letters that are not seen or turn others round, so that no two look alike by them."""
    plain = unicodedata.normalize("NFKC", clean(name))
    return "".join(letter for letter in plain if unicodedata.category(letter)[0] != "C")


def clean(text: str) -> str:
    """Without what no database takes: zero bytes and halves of letters."""
    return text.replace("\0", "").encode("utf-8", "replace").decode("utf-8")
