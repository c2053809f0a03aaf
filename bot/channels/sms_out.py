"""Sending a text unasked through the gateway that has an address for it, and fetching the pictures it announces.

What is said unasked is said at most once: a request is made again only when it surely was not taken.
"""

from __future__ import annotations

import asyncio
import importlib
import logging
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

import httpx

from bot.logs import bare_trace
from bot.settings import Settings
from storage.pictures import MOST_BYTES

log = logging.getLogger("roomhand.sms")

SECONDS = 8.0  # for one request; what was begun is finished in as much when told to stop
PAUSES = (1.0, 4.0, 10.0)  # seconds before each further try
TOO_MANY = 429  # HTTP, RFC 6585: refused for now, so not taken
HOST = ".twilio.com"  # whose subdomains hold the pictures
_UNSENT = frozenset(("NewConnectionError", "NameResolutionError", "ConnectTimeoutError"))  # of urllib3, by name


class TwilioPost:
    """One account at that gateway. Its library is loaded with the first text."""

    def __init__(self, settings: Settings) -> None:
        assert settings.sms_secret is not None
        self._account, self._number = settings.sms_account, settings.sms_number
        self._secret, self._api = settings.sms_secret.get_secret_value(), settings.sms_api
        self._client: Any = None
        self._one = asyncio.Lock()  # its connections are not for several threads at once

    async def send(self, address: str, text: str) -> bool:
        """Whether the gateway took the text."""
        async with self._one:
            for pause in (*PAUSES, None):
                taken = await asyncio.to_thread(self._send, address, text)
                if taken is not None or pause is None:
                    return bool(taken)
                await asyncio.sleep(pause)
        return False

    def _send(self, address: str, text: str) -> bool | None:
        """True when it was taken, None when it surely was not and may be tried again, else False."""
        trouble = importlib.import_module("twilio.base.exceptions")
        try:
            self._opened().messages.create(to=address, from_=self._number, body=text)
        except trouble.TwilioRestException as refused:
            log.warning("a text message was refused (%s, %s)", refused.status, refused.code)
            return None if refused.status == TOO_MANY else False
        except (trouble.TwilioException, OSError) as problem:
            log.warning("a text message was not taken: %s", bare_trace(problem))
            return None if _surely_unsent(problem) else False
        return True

    def _opened(self) -> Any:
        if self._client is None:
            transport = importlib.import_module("twilio.http.http_client").TwilioHttpClient(timeout=SECONDS)
            rest = importlib.import_module("twilio.rest")
            self._client = rest.Client(self._account, self._secret, http_client=transport)
            if self._api:
                self._client.api.base_url = self._api
        return self._client

    # ---- pictures

    async def picture(self, form: Mapping[str, str]) -> bytes | None:
        """The first picture a message announces; None when it cannot be had. Raises nothing."""
        url = form.get("MediaUrl0", "")
        if not self._theirs(url):
            log.warning("a picture is not where this gateway keeps them")
            return None
        found = bytearray()
        try:
            async with (
                asyncio.timeout(SECONDS / 2),
                httpx.AsyncClient(auth=(self._account or "", self._secret), follow_redirects=True) as web,
                web.stream("GET", url) as answer,
            ):
                answer.raise_for_status()
                async for piece in answer.aiter_raw():  # as it is: nothing is unpacked
                    found += piece
                    if len(found) > MOST_BYTES:
                        return None
        except (httpx.HTTPError, TimeoutError) as problem:
            log.warning("a picture could not be fetched (%s)", type(problem).__name__)
            return None
        return bytes(found)

    def _theirs(self, url: str) -> bool:
        if self._api and url.startswith(f"{self._api}/"):
            return True
        try:
            parts = urlsplit(url)
        except ValueError:
            return False
        return parts.scheme == "https" and (parts.hostname or "").endswith(HOST)


def announced(form: Mapping[str, str]) -> int:
    """How many pictures come with a message."""
    many = form.get("NumMedia", "0")
    kinds = [form.get(f"MediaContentType{i}", "") for i in range(min(int(many), 10) if many.isdecimal() else 0)]
    return sum(kind.startswith("image/") for kind in kinds)


def _surely_unsent(problem: BaseException) -> bool:
    """Whether no connection came about, so that the gateway cannot have taken anything."""
    inner = problem.args[0] if problem.args else None
    return type(getattr(inner, "reason", None)).__name__ in _UNSENT
