"""Figures for those who scrape them: over HTTP, read by a parser that is not ours, and naming nobody."""

from __future__ import annotations

import aiohttp
from prometheus_client.openmetrics.parser import text_string_to_metric_families

from bot.channels import metrics
from bot.channels.serve import Serve
from bot.channels.telegram import HOOK
from bot.settings import read_settings
from storage.journal import RoomBook
from tests.doors.bot_api import IVO, ROSA, STRANGER, BotApi
from tests.doors.conftest import OpenHouse

Found = dict[tuple[str, ...], float]


async def scraped(house: Serve) -> tuple[str, Found]:
    """The text, and its values by name and labels."""
    assert house.scraped
    async with aiohttp.ClientSession(f"http://127.0.0.1:{house.scraped.port}") as web, web.get("/metrics") as answer:
        assert (answer.status, answer.headers["Content-Type"]) == (200, metrics.KIND)
        text = await answer.text()
    families = list(text_string_to_metric_families(text))  # type: ignore[no-untyped-call]
    assert all(f.documentation and f.type != "unknown" for f in families)
    return text, {(s.name, *s.labels.values()): s.value for f in families for s in f.samples}


async def test_what_happened_is_counted_and_nobody_named(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    house = await open_house(api, metrics=":0", listen=":0")
    _, before = await scraped(house)
    for i in range(3):
        api.say(f"note {i}", who=(ROSA, IVO)[i % 2])
    api.say("fault")
    api.say("let me in", who=STRANGER)
    api.say("hello?", who=STRANGER)
    await api.until(lambda: len(api.sent) == 5)
    await api.taken()
    text, after = await scraped(house)
    assert ("roomhand_messages_total", "telegram", "heard") not in before
    assert after["roomhand_messages_total", "telegram", "heard"] == 3
    assert after["roomhand_messages_total", "telegram", "fault"] == 1
    assert after["roomhand_messages_total", "telegram", "stranger"] == 2
    assert after["roomhand_hearing_seconds_count",] == 3 and after["roomhand_hearing_seconds_sum",] > 0
    assert after["roomhand_people",] == len(book.people())
    assert after["roomhand_strangers_total",] == 1, "more of one stranger is put down once a minute"
    assert after["roomhand_telegram_in_contact",] == 1
    assert after["process_resident_memory_bytes",] > 1e6
    assert after["roomhand_book_bytes",] > 0 and after["process_cpu_seconds_total",] > 0
    assert {label for name, *labels in after for label in labels} == {"telegram", "heard", "fault", "stranger"}
    for private in ("Rosa", "Ivo", "Somebody", "let me in", "Millrace"):
        assert private not in text


async def test_what_is_not_signed_is_counted_and_the_figures_stay_off_the_street(
    api: BotApi, open_house: OpenHouse
) -> None:
    house = await open_house(api, metrics=":0", listen=":0", public_url="https://fish.example")
    await api.until(lambda: house.telegram and house.telegram.in_contact)
    assert house.listener and house.scraped
    async with aiohttp.ClientSession() as web:
        for _ in range(2):
            async with web.post(f"http://127.0.0.1:{house.listener.port}{HOOK}", data=b"{}") as answer:
                assert answer.status == 403
        async with web.get(f"http://127.0.0.1:{house.listener.port}/metrics") as answer:
            assert answer.status == 404
        async with web.get(f"http://127.0.0.1:{house.scraped.port}/health") as answer:
            assert answer.status == 404
    _, found = await scraped(house)
    assert found["roomhand_forged_requests_total",] == 2


def test_a_bare_port_is_scraped_from_this_machine_only() -> None:
    assert read_settings({"ROOMHAND_METRICS": "9100"}).metrics == ("127.0.0.1", 9100)
    assert read_settings({}).metrics is None
