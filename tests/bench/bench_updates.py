"""Ten thousand mixed updates over real HTTP, by polling and by webhook: what stands, and what memory it took.

Run: python -m tests.bench.bench_updates [--updates 10000] [--seed 1]
The same crowd as in `tests/doors/test_mixed.py`: half is fetched by long polling, half is pushed to the webhook while
texts, forgeries and malformed bodies come to the same address. The record is compared with what was said to us.
"""

from __future__ import annotations

import argparse
import asyncio
import socket
import tempfile
import time
from pathlib import Path

from tests.doors.bot_api import BotApi
from tests.doors.mixed import Crowd
from tests.doors.own_process import by_polling, by_webhook, room_with_people


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


async def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--updates", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    api = BotApi()
    await api.start()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        file = room_with_people(folder)
        crowd = Crowd(api, asked.seed)
        for way in ("polling", "webhook"):
            looked: list[tuple[int, float]] = []
            began, before = time.monotonic(), crowd.done
            if way == "polling":
                house = await by_polling(crowd, folder, asked.updates // 2, looked)
            else:
                house = await by_webhook(crowd, folder, free_port(), asked.updates // 2, looked)
            took = time.monotonic() - began
            marks = [looked[round((len(looked) - 1) * part)] for part in (0.1, 0.2, 0.4, 0.6, 0.8, 1)]
            print(f"{way}: {crowd.done - before} updates in {took:.0f} s, exit {house.process.returncode}")
            print("  MB after " + ", ".join(f"{done - before}: {held:.1f}" for done, held in marks))
            fifth = min(looked, key=lambda at: abs(at[0] - before - (crowd.done - before) / 5))
            print(f"  at the end ÷ after a fifth: {looked[-1][1] / fifth[1]:.3f}")
        wrong = crowd.compare(file)
        print(f"{crowd.done} updates, {len(crowd.heard)} heard, {len(crowd.stands)} notes stand; wrong: {wrong[:5]}")
        print(f"lines of the log that tell of a fault of ours: {house.log.count('could not be handled')}")
    await api.stop()


if __name__ == "__main__":
    asyncio.run(main())
