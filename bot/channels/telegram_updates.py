"""Fetches from Telegram what was written, leaving out only what cannot be read, and is stopped at any time."""

from __future__ import annotations

import asyncio
import logging
from typing import Any

from telegram import Bot, Update
from telegram.error import TelegramError

from bot.channels.telegram_in import WANTED
from bot.logs import bare_trace

log = logging.getLogger("roomhand.telegram")

FEW_AT_ONCE = 100


class Updates:
    """What waits at Telegram for one bot."""

    def __init__(self, bot: Bot, stopping: asyncio.Event) -> None:
        self._bot, self._stopping = bot, stopping

    async def fetch(self, offset: int, seconds: int, few: int = FEW_AT_ONCE) -> list[tuple[int, Update | None]]:
        """The next of them by number, None for one that cannot be read; waits so many seconds for the first."""
        try:
            updates = await self._bot.get_updates(offset, few, seconds, allowed_updates=WANTED)
        except TelegramError:
            raise
        except Exception as problem:  # one update the library cannot read must not stop all others
            log.warning("an update could not be read: %s", bare_trace(problem))
            return await self._fetch_raw(offset)
        return [(u.update_id, u) for u in updates]

    async def _fetch_raw(self, offset: int) -> list[tuple[int, Update | None]]:
        # the odd spelling: the name as such would only earn advice to use the method that just failed
        raw: Any = await self._bot.do_api_request(
            "get_Updates", {"offset": offset, "limit": FEW_AT_ONCE, "allowed_updates": WANTED}
        )
        found = [(u["update_id"], self.read(u)) for u in raw if isinstance(u, dict) and numbered(u)]
        if raw and not found:
            await self.rest(5)
        return sorted(found, key=lambda pair: pair[0])

    def read(self, raw: dict[str, Any]) -> Update | None:
        """One update; None, and a line in the log, when the library cannot read it."""
        try:
            return Update.de_json(raw, self._bot)
        except Exception as problem:
            log.warning("update %s could not be read and is left out: %s", raw.get("update_id"), bare_trace(problem))
            return None

    async def or_stop(self, work: Any) -> Any:
        """What the work gives, or None when we are stopped before."""
        task, stop = asyncio.ensure_future(work), asyncio.ensure_future(self._stopping.wait())
        try:
            await asyncio.wait((task, stop), return_when=asyncio.FIRST_COMPLETED)
            if task.done():
                return task.result()
            task.cancel()
            await asyncio.gather(task, return_exceptions=True)
            return None
        finally:
            stop.cancel()

    async def rest(self, seconds: float) -> None:
        """Wait so long, or until we are stopped."""
        try:
            await asyncio.wait_for(self._stopping.wait(), seconds)
        except TimeoutError:
            return


def numbered(raw: dict[str, Any]) -> bool:
    """Whether an update says which one it is."""
    return isinstance(raw.get("update_id"), int)
