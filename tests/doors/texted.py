"""Requests as the plain gateway makes them: signed, and passed on again until they are taken."""

from __future__ import annotations

import hmac
import time

import aiohttp

SECRET = "s3cret-of-the-gateway"


def signed(body: bytes, secret: str = SECRET, age: float = 0) -> dict[str, str]:
    stamp = str(int(time.time() - age))
    mark = hmac.new(secret.encode(), stamp.encode() + b"." + body, "sha256").hexdigest()
    return {"X-Roomhand-Time": stamp, "X-Roomhand-Signature": mark}


async def posted(web: aiohttp.ClientSession, url: str, body: bytes, headers: dict[str, str], status: int) -> str:
    """The answer; what is not answered in time is passed on again, as a gateway does."""
    while True:
        async with web.post(url, data=body, headers=headers) as answer:
            if answer.status == 503:
                continue
            assert answer.status == status, (url, body[:60], answer.status, status)
            return await answer.text()
