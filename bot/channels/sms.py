"""The SMS door: a gateway posts each text message to us and takes the answer back with the response."""

from __future__ import annotations

import asyncio
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
from bot.quiet import bare_trace
from bot.settings import Settings, SettingsError
from storage.journal import RoomBook

log = logging.getLogger("roomhand.sms")

DOOR = "sms"
PATH = "/sms"
MOST_PARTS = 10  # a gateway takes about ten parts; an answer longer than that is no text message
MOST_WAITING = 200  # messages kept for a telephone that does not fetch them
PATIENCE = 8.0  # seconds a gateway may be kept waiting while the book cannot be written; Twilio gives up after 15
FRESH = dt.timedelta(minutes=10)  # how old a signed request of the plain gateway may be
# The words carriers ask every programme to honour, alone in a message (CTIA Messaging Principles, 2023, 5.1.3).
STOP = {"stop", "stopall", "unsubscribe", "end", "quit", "cancel", "optout", "revoke"}
START = {"start", "unstop"}
HELP = {"help", "info"}
STOPPED = "You will get no more messages from this fish room. Send START to come back."
STARTED = "Welcome back. Send HELP for help, STOP to stop."
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
        self._outbox: list[dict[str, str]] = []
        self._order: dict[str, asyncio.Lock] = {}
        self._validator: Any = None  # of twilio, which is loaded only where it is used
        if settings.sms_gateway == "twilio":
            try:
                validator = importlib.import_module("twilio.request_validator")
            except ImportError:
                raise SettingsError("ROOMHAND_SMS_GATEWAY=twilio needs the package twilio installed") from None
            self._validator = validator.RequestValidator(self._secret)

    def open_at(self, listener: Listener) -> None:
        handler: Callable[[Request], Awaitable[Answer]] = self._twilio if self._validator else self._plain
        listener.routes["POST", PATH] = handler

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
        said = await self._said(form["From"], form["MessageSid"], form.get("Body", ""), self._doorstep.clock())
        response = importlib.import_module("twilio.twiml.messaging_response").MessagingResponse()
        if said:
            response.message(said)
        return Answer(200, str(response).encode(), "text/xml; charset=utf-8")

    async def _plain(self, request: Request) -> Answer:
        """A telephone at home that passes messages on: JSON {from, id, text, sent}, answered {messages: [{to, text}]}.

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
        except (ValueError, AttributeError, TypeError, RecursionError):
            return Answer(400)
        if not all(isinstance(x, str) for x in (sender, delivery, text)) or sent.tzinfo is None:
            return Answer(400)
        messages, self._outbox = self._outbox, []
        if sender:
            if not delivery:
                return Answer(400)
            if said := await self._said(sender, delivery, text, sent):
                messages.append({"to": sender, "text": said})
        return Answer.json({"messages": messages})

    # ---- one message

    async def _said(self, sender: str, delivery: str, text: str, sent: dt.datetime) -> str | None:
        number = plain_number(sender)
        if not number or number == self._number:
            return None
        if len(self._order) > 1000:
            self._order = {n: lock for n, lock in self._order.items() if lock.locked()}
        async with self._order.setdefault(number, asyncio.Lock()):
            return await self._in_turn(Words(DOOR, number, number[-4:], number, delivery, text.strip(), sent))

    async def _in_turn(self, words: Words) -> str | None:
        word = words.text.casefold().strip(" .!")
        known = await self._doorstep.knows(words)
        if known and word in STOP:
            already = self._marks.marked("stop", words.address)
            self._marks.mark("stop", words.address, True)
            return None if already else STOPPED
        if known and word in START:
            self._marks.mark("stop", words.address, False)
            return STARTED
        if self._marks.marked("stop", words.address):
            return None
        if known and word in HELP:
            return HELP_LINE
        if re.fullmatch(r"[1-9a-j]", word):
            options = await self._doorstep.ask(lambda: last_options(self._doorstep.book, words))
            words = replace(words, text=dict(numbered(options)).get(word, words.text))
        said = await self._doorstep.hear(words, patience=PATIENCE)
        return texted(said) if said is not None and said.text else None

    # ---- unasked

    async def say(self, address: str, said: Said) -> bool:
        """Send something unasked; False when they asked us to stop or the gateway does not take it."""
        if self._marks.marked("stop", address):
            return False
        text = texted(said)
        if self._validator is None:
            if len(self._outbox) >= MOST_WAITING:
                return False
            self._outbox.append({"to": address, "text": text})
            return True
        return await asyncio.to_thread(self._send_by_twilio, address, text)

    def _send_by_twilio(self, address: str, text: str) -> bool:
        trouble = importlib.import_module("twilio.base.exceptions").TwilioException
        try:
            client = importlib.import_module("twilio.rest").Client(self._settings.sms_account, self._secret)
            client.messages.create(to=address, from_=self._settings.sms_number, body=text)
        except (trouble, OSError) as problem:
            log.warning("a text message was not taken: %s", bare_trace(problem))
            return False
        return True


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


def last_options(book: RoomBook, words: Words) -> tuple[str, ...]:
    """What the person was last given to choose from in this chat, if that was the last thing said."""
    person = book.person_at(words.door, words.address)
    if person is None:
        return ()
    for message in book.messages(person=person.key, newest_first=True, limit=10):
        if message.door == words.door and message.delivery == words.delivery:
            continue  # this very message, brought again
        if message.door == words.door and message.chat == words.chat:
            options = message.reply.payload.get("options", ()) if message.reply else ()
            return tuple(str(option) for option in options)
    return ()
