"""A thousand mixed updates over real HTTP, by polling and by webhook: exactly what was said to us is on record."""

from __future__ import annotations

from pathlib import Path

from tests.doors.bot_api import BotApi
from tests.doors.mixed import Crowd
from tests.doors.own_process import by_polling, by_webhook, room_with_people


async def test_of_a_thousand_mixed_updates_exactly_the_right_entries_stand(
    api: BotApi, tmp_path: Path, unused_tcp_port: int
) -> None:
    file = room_with_people(tmp_path)
    crowd = Crowd(api, seed=20260309)
    looked: list[tuple[int, float]] = []
    house = await by_polling(crowd, tmp_path, 500, looked)
    assert house.process.returncode == 0, house.log
    house = await by_webhook(crowd, tmp_path, unused_tcp_port, 500, looked)
    assert house.process.returncode == 0, house.log
    assert crowd.done >= 1000 and len(crowd.stands) > 300
    assert crowd.compare(file) == []
    assert "Traceback" not in house.log and "could not be handled" not in house.log
