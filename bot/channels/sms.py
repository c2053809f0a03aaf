"""The SMS door: a gateway posts each text message to us and takes the answer back with the response."""

from __future__ import annotations

import asyncio
import base64
import datetime as dt
import hashlib
import hmac
import importlib
import json
import logging
import re
from collections.abc import Awaitable, Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from bot.channels.doorstep import Doorstep, Said, Words
from bot.channels.gsm import folded, shortened
from bot.channels.listener import Answer, Listener, Request
from bot.channels.sent import Sent
from bot.channels.sms_out import TwilioPost, announced
from bot.logs import bare_trace
from bot.settings import Settings, SettingsError
from storage.journal import RoomBook
from storage.trouble import StorageTrouble

Fetch = Callable[[], Awaitable[bytes | None]]
log = logging.getLogger("roomhand.sms")

DOOR = "sms"
PATH = "/sms"
MOST_PARTS = 10  # a gateway takes about ten parts; an answer longer than that is no text message
STALE = dt.timedelta(hours=24)  # what was said unasked so long ago is of no use to anybody
WITH_PICTURE = 2_000_000  # bytes of a request of the plain gateway: what telephones send as a picture message, and more
PATIENCE = 8.0  # seconds a gateway may be kept waiting while the book cannot be written; Twilio gives up after 15
FRESH = dt.timedelta(minutes=10)  # how old a signed request of the plain gateway may be
# The words carriers ask every programme to honour, alone in a message (CTIA Messaging Principles, 2023, 5.1.3).
STOP = {"stop", "stopall", "unsubscribe", "end", "quit", "cancel", "optout", "revoke"}
START = {"start", "unstop"}
HELP = {"help", "info"}
STOPPED = "You will get no more messages from this fish room. Send START to come back."
STARTED = "Welcome back. Send HELP for help, STOP to stop."
PICTURE_LOST = "The picture could not be fetched and was not kept; please send it again."
FIRST_ONLY = "Only the first picture was kept; send the others one by one."
HELP_LINE = "Fish room log. Text what you did, or a question such as: due. STOP ends all messages."


class SmsDoor:
    """One gateway; see `roomhand doctor` for how it has to be set."""

    def __init__(self, settings: Settings, doorstep: Doorstep, *, state: Path | None = None) -> None:
        assert settings.sms_secret is not None
        self._settings, self._doorstep = settings, doorstep
        self._secret = settings.sms_secret.get_secret_value()
        key = hashlib.blake2b(self._secret.encode(), digest_size=32).digest()
        self._marks = Sent(state / "sms.marks" if state else None, key)
        self._number = plain_number(settings.sms_number or "")
        self._order: dict[str, asyncio.Lock] = {}
        self._validator: Any = None  # of twilio, which is loaded only where it is used
        if settings.sms_gateway == "twilio":
            try:
                validator = importlib.import_module("twilio.request_validator")
            except ImportError:
                raise SettingsError("ROOMHAND_SMS_GATEWAY=twilio needs the package twilio installed") from None
            self._validator = validator.RequestValidator(self._secret)
            self._post = TwilioPost(settings)

    def open_at(self, listener: Listener) -> None:
        handler: Callable[[Request], Awaitable[Answer]] = self._twilio if self._validator else self._plain
        listener.routes["POST", PATH] = handler
        if self._validator is None:
            listener.bodies[PATH] = WITH_PICTURE

    async def close(self) -> None:
        self._marks.close()

    # ---- gateways

    async def _twilio(self, request: Request) -> Answer:
        """Twilio's webhook: a form signed with the account's token, answered in its XML."""
        try:
            form = request.form
        except ValueError:
            return Answer(400)
        url = f"{self._settings.public_url}{PATH}" + (f"?{request.query}" if request.query else "")
        signature = request.headers.get("x-twilio-signature", "")
        if not self._validator.validate(url, form, signature):
            return Answer(403, forged=True)
        account = self._settings.sms_account
        if account and not hmac.compare_digest(form.get("AccountSid", "").encode(), account.encode()):
            return Answer(403, forged=True)
        if not form.get("From") or not form.get("MessageSid"):
            return Answer(400)
        said = await self._said(
            form["From"],
            form["MessageSid"],
            form.get("Body", ""),
            self._doorstep.clock(),
            pictures=announced(form),
            fetch=lambda: self._post.picture(form),
        )
        response = importlib.import_module("twilio.twiml.messaging_response").MessagingResponse()
        if said:
            response.message(said)
        return Answer(200, str(response).encode(), "text/xml; charset=utf-8")

    async def _plain(self, request: Request) -> Answer:
        """A telephone at home that passes messages on: JSON {from, id, text, sent}, answered {messages: [{to, text}]}.

        A picture comes with it as `picture`, in base64.

        Signed in X-Roomhand-Signature with hex(HMAC-SHA256(secret, X-Roomhand-Time + "." + body)), the time in
        seconds since 1970. An empty `from` only fetches what waits to be sent.
        """
        stamp = request.headers.get("x-roomhand-time", "")
        given = request.headers.get("x-roomhand-signature", "").lower()
        right = hmac.new(self._secret.encode(), stamp.encode() + b"." + request.body, "sha256").hexdigest()
        if not hmac.compare_digest(given.encode(), right.encode()):
            return Answer(403, forged=True)
        now = self._doorstep.clock()
        if not stamp.isdecimal() or len(stamp) > 12 or abs(now.timestamp() - int(stamp)) > FRESH.total_seconds():
            return Answer(403, forged=True)
        try:
            note = json.loads(request.body)
            sender, delivery, text = (note.get(key, "") for key in ("from", "id", "text"))
            sent = dt.datetime.fromisoformat(note["sent"]) if note.get("sent") else now
            picture = base64.b64decode(note["picture"], validate=True) if note.get("picture") else None
        except (ValueError, AttributeError, TypeError, RecursionError):
            return Answer(400)
        if not all(isinstance(x, str) for x in (sender, delivery, text)) or sent.tzinfo is None:
            return Answer(400)
        if sender and not delivery:
            return Answer(400)
        messages = []
        if sender:
            some, fetch = int(picture is not None), lambda: _at_hand(picture)
            if said := await self._said(sender, delivery, text, sent, pictures=some, fetch=fetch):
                messages.append({"to": sender, "text": said})
        return Answer.json({"messages": [*await self._waiting(now), *messages]})

    async def _waiting(self, now: dt.datetime) -> list[dict[str, str]]:
        """What was said unasked and not fetched yet; with a book that cannot be written it goes on waiting."""
        try:
            found = await self._doorstep.ask(lambda: self._doorstep.book.take_waiting(DOOR, now - STALE))
        except StorageTrouble as trouble:
            log.error("what waits cannot be handed out: %s", bare_trace(trouble))
            return []
        return [{"to": to, "text": text} for to, text in found]

    # ---- one message

    async def _said(
        self, sender: str, delivery: str, text: str, sent: dt.datetime, *, pictures: int = 0, fetch: Fetch
    ) -> str | None:
        number = plain_number(sender)
        if not number or number == self._number:
            return None
        if len(self._order) > 1000:
            self._order = {n: lock for n, lock in self._order.items() if lock.locked()}
        async with self._order.setdefault(number, asyncio.Lock()):
            words = Words(DOOR, number, number[-4:], number, delivery, text.strip(), sent)
            if not pictures or not await self._doorstep.knows(words):
                return await self._in_turn(words)
            picture = await fetch()
            if picture is None and not words.text:
                return PICTURE_LOST
            said = await self._in_turn(replace(words, picture=picture))
            more = PICTURE_LOST if picture is None else FIRST_ONLY if pictures > 1 else ""
            return f"{said}\n{more}" if said and more else said

    async def _in_turn(self, words: Words) -> str | None:
        word = words.text.casefold().strip(" .!")
        known = await self._doorstep.knows(words)
        if known and word in STOP:
            already = self._marks.marked("stop", words.address)
            self._marks.mark("stop", words.address, True)
            await self._doorstep.ask(lambda: self._doorstep.book.drop_waiting(DOOR, words.address))
            return None if already else STOPPED
        if known and word in START:
            self._marks.mark("stop", words.address, False)
            return STARTED
        if self._marks.marked("stop", words.address):
            return None
        if known and word in HELP:
            return HELP_LINE
        if re.fullmatch(r"[1-9a-j]", word):
            options, about = await self._doorstep.ask(lambda: last_options(self._doorstep.book, words))
            chosen = dict(numbered(options)).get(word)
            words = replace(words, text=chosen, about=about) if chosen else words
        said = await self._doorstep.hear(words, patience=PATIENCE)
        return texted(said) if said is not None and said.text else None

    # ---- unasked

    async def say(self, address: str, said: Said) -> bool:
        """Send something unasked; False when they asked us to stop or the gateway does not take it."""
        if self._marks.marked("stop", address):
            return False
        text = texted(said)
        if self._validator is not None:
            return await self._post.send(address, text)
        book, now = self._doorstep.book, self._doorstep.clock()
        return await self._doorstep.ask(lambda: book.put_by(DOOR, address, text, now))


async def _at_hand(picture: bytes | None) -> bytes | None:
    return picture


def plain_number(text: str) -> str:
    """A telephone number without what people put between its digits; a sender's name stays as it is."""
    bare = re.sub(r"[\s().\-/]", "", text)
    return bare if re.fullmatch(r"\+?\d+", bare) else text.strip()


def numbered(options: tuple[str, ...]) -> list[tuple[str, str]]:
    """Each option with the sign that chooses it: a number, or a letter where a number could mean another option.

    Empty when neither is safe: "1" must never be taken for tank 1 when it stands before tank 2.
    """
    for signs in ("123456789", "abcdefghij"):
        if len(options) > len(signs):
            continue
        pairs = list(zip(signs, options, strict=False))
        used = {sign for sign, _ in pairs}
        if not any(word in used for option in options for word in re.findall(r"\w+", option.casefold())):
            return pairs
    return []


def texted(said: Said) -> str:
    """An answer as a text message: plain letters, choices numbered."""
    text = said.text
    if said.options:
        choices = numbered(said.options)
        listed = " / ".join(f"{sign} {option}" for sign, option in choices) or " / ".join(said.options)
        text = f"{shortened(folded(text), MOST_PARTS - 2)}\n{listed}"
    return shortened(folded(text), MOST_PARTS)


def last_options(book: RoomBook, words: Words) -> tuple[tuple[str, ...], str | None]:
    """What a person was given to choose from here, if that was said last, and what it is about if that is no message.

    What was said unasked since goes before: its choices are about that.
    """
    person = book.person_at(words.door, words.address)
    if person is None:
        return (), None
    mine = [m for m in book.messages(person=person.key, newest_first=True, limit=10) if m.door == words.door]
    # without this very message, brought again
    kept = [m for m in mine if m.delivery != words.delivery and m.chat == words.chat]
    notices = importlib.import_module("bot.unasked.notices")  # with the rest of the room, not while the door opens
    claim = notices.newest(book, person.key, kept[0].sent if kept else None, words.sent)
    if claim:
        return notices.CHOICES, notices.about(claim.what, claim.key)
    options = kept[0].reply.payload.get("options", ()) if kept and kept[0].reply else ()
    return tuple(str(option) for option in options), None
