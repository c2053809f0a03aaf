"""The Telegram door when things go wrong: answers that fail, servers that go away, updates that make no sense."""

from __future__ import annotations

import asyncio
import time
from typing import Any

import pytest

from bot.channels import telegram
from bot.channels.doorstep import CANNOT_WRITE, NOT_INVITED, STUMBLED
from storage.journal import Message, RoomBook
from storage.trouble import StorageTrouble
from tests.doors.bot_api import IVO, ME, ROSA, STRANGER, BotApi, Refusal
from tests.doors.conftest import OpenHouse
from tests.doors.ears import plain_ear


def words(book: RoomBook) -> list[str]:
    return [m.text for m in book.messages()]


@pytest.mark.parametrize(
    "faults",
    [
        ["drop"],
        ["drop", "drop"],
        [Refusal(500, "Internal Server Error")],
        [Refusal(502, "Bad Gateway")],
        [Refusal(429, "Too Many Requests: retry after 1", retry_after=1)],
    ],
)
async def test_a_failed_answer_is_sent_again_and_arrives_once(
    api: BotApi, open_house: OpenHouse, book: RoomBook, faults: list[str | Refusal]
) -> None:
    await open_house(api)
    api.fail("sendmessage", *faults)
    api.say("one")
    api.say("two")
    assert await api.texts(2) == ["kept: one", "kept: two"]
    await api.taken()
    assert words(book) == ["one", "two"]
    assert len(api.sent) == 2


async def test_an_answer_that_may_have_arrived_is_sent_again_rather_than_lost(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api)
    api.fail("sendmessage", "lose")
    api.say("one")
    assert await api.texts(2) == ["kept: one", "kept: one"]
    assert words(book) == ["one"]


async def test_a_chat_told_to_wait_keeps_its_order(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    api.fail("sendmessage", Refusal(429, "Too Many Requests: retry after 1", retry_after=1))
    start = time.monotonic()
    for i in range(4):
        api.say(f"{i}")
    assert await api.texts(4) == [f"kept: {i}" for i in range(4)]
    assert time.monotonic() - start >= 1


async def test_a_chat_told_to_wait_long_does_not_keep_others_waiting(
    api: BotApi, open_house: OpenHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(telegram, "PATIENCE", 0.1)
    await open_house(api)
    api.fail("sendmessage", Refusal(429, "Too Many Requests: retry after 2", retry_after=2))
    api.say("waits")
    await api.until(lambda: api.called("sendmessage"))
    start = time.monotonic()
    api.say("goes on", who=IVO)
    assert await api.texts(1) == ["kept: goes on"]
    assert time.monotonic() - start < 1.5
    assert await api.texts(2) == ["kept: goes on", "kept: waits"]


async def test_in_a_backlog_each_is_answered_in_order_whatever_stands_between(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    first = api.say("note 1")
    api.say("note 2", who=IVO)
    api.say("fault")
    api.say("who am I", who=STRANGER)
    api.push("message", api.messages[ROSA["id"], first])  # brought twice
    api.say("note 3")
    api.push("poll", {"id": "1"})
    api.edit(first, "note 1 mended")
    api.say("note 4", who=IVO)
    api.say("note 5")
    await open_house(api)
    await api.until(lambda: len(api.sent) == 8)
    await api.taken()
    assert await api.texts(5, chat=ROSA["id"]) == [
        "kept: note 1", STUMBLED, "kept: note 3", f"kept: note 1 mended (edit of 501:{first})", "kept: note 5",
    ]  # fmt: skip
    assert await api.texts(2, chat=IVO["id"]) == ["kept: note 2", "kept: note 4"]
    assert await api.texts(1, chat=STRANGER["id"]) == [NOT_INVITED]
    assert words(book) == ["note 1", "note 2", "note 3", "note 1 mended", "note 4", "note 5"]


async def test_a_backlog_is_kept_in_few_goes(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    for i in range(60):
        api.say(f"note {i}", who=(ROSA, IVO)[i % 2])
    before = book._database.transactions
    await open_house(api, paced=False)
    await api.until(lambda: len(api.sent) == 60)
    assert words(book) == [f"note {i}" for i in range(60)]
    assert book._database.transactions - before < 40


@pytest.mark.parametrize(
    "fault",
    [
        Refusal(403, "Forbidden: bot was blocked by the user"),
        Refusal(400, "Bad Request: chat not found"),
        Refusal(403, "Forbidden: user is deactivated"),
    ],
)
async def test_a_chat_out_of_reach_holds_up_nobody(
    api: BotApi, open_house: OpenHouse, book: RoomBook, fault: Refusal
) -> None:
    await open_house(api)
    api.fail("sendmessage", fault)
    api.say("one")
    api.say("two", who=IVO)
    assert len(await api.texts(1)) == 1
    await api.taken()
    assert words(book) == ["one", "two"]
    assert len(api.called("sendmessage")) == 2


async def test_an_answer_refused_for_its_form_is_sent_plainly(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    api.fail("sendmessage", Refusal(400, "Bad Request: BUTTON_DATA_INVALID"))
    api.say("which")
    assert await api.texts(1) == ["Which tank?"]
    assert "reply_markup" not in api.sent[0]


async def test_the_server_going_away_and_coming_back(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    api.say("before")
    await api.texts(1)
    await api.stop()
    await asyncio.sleep(0.3)
    api.say("meanwhile")
    await api.start()
    assert await api.texts(2) == ["kept: before", "kept: meanwhile"]
    await api.taken()
    assert words(book) == ["before", "meanwhile"]


async def test_starting_while_the_network_is_away(open_house: OpenHouse, book: RoomBook) -> None:
    api = BotApi()
    await api.start()
    await api.stop()
    await open_house(api)
    await asyncio.sleep(0.2)
    await api.start()
    api.say("hello")
    assert await api.texts(1) == ["kept: hello"]
    await api.stop()


async def test_a_webhook_left_behind_is_taken_back(api: BotApi, open_house: OpenHouse) -> None:
    api.webhook = {"url": "http://127.0.0.1:9/nobody"}
    await open_house(api)
    api.say("hello")
    assert await api.texts(1) == ["kept: hello"]


async def test_an_answer_sent_before_a_crash_is_not_sent_again(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    house = await open_house(api)
    api.say("one")
    await api.texts(1)
    await api.taken()
    house.stop()
    await asyncio.sleep(0.1)
    api.push("message", api.messages[501, 1])  # as if it had never been confirmed
    await open_house(api)
    api.say("two")
    assert await api.texts(2) == ["kept: one", "kept: two"]
    assert words(book) == ["one", "two"]


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("poll_answer", {"poll_id": "1", "user": ROSA, "option_ids": [0]}),
        ("not_invented_yet", {"anything": [1, {"deep": None}]}),
        ("message", {"message_id": 9}),
        ("message", {"message_id": "nine", "date": "yesterday", "chat": [], "text": 7}),
        ("message", None),
        ("callback_query", {"id": "tapX", "from": ROSA, "data": "0:501"}),
        (
            "channel_post",
            {"message_id": 9, "date": 1, "chat": {"id": -5, "type": "channel", "title": "x"}, "text": "x"},
        ),
        ("message", {"message_id": 9, "date": 1, "chat": {"id": 2, "type": "private"}, "from": ME, "text": "a bot"}),
        (
            "message",
            {"message_id": 9, "date": 10**14, "chat": {"id": 501, "type": "private"}, "from": ROSA, "text": "x"},
        ),
        (
            "message",
            {"message_id": 9, "date": None, "chat": {"id": 501, "type": "private"}, "from": ROSA, "text": "no date"},
        ),
    ],
)
async def test_an_update_that_makes_no_sense_is_passed_over(
    api: BotApi, open_house: OpenHouse, book: RoomBook, kind: str, body: Any
) -> None:
    await open_house(api)
    api.say("before")
    api.push(kind, body)
    api.say("after")
    assert await api.texts(2) == ["kept: before", "kept: after"]
    await api.taken()
    assert words(book) == ["before", "after"]


async def test_a_fault_of_ours_is_owned_up_to_and_stops_nothing(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api)
    api.say("fault")
    api.say("after")
    assert await api.texts(2) == [STUMBLED, "kept: after"]
    assert words(book) == ["after"]


async def test_a_book_that_cannot_be_written_for_a_while_loses_nothing(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    failures = 2

    def ear(book: RoomBook, message: Message, **more: Any) -> Any:
        nonlocal failures
        if failures:
            failures -= 1
            raise StorageTrouble("The disk that holds the room is full.")
        return plain_ear(book, message, **more)

    await open_house(api, ear=ear)
    api.say("one")
    api.say("two")
    assert await api.texts(2) == ["kept: one", "kept: two"]
    assert CANNOT_WRITE not in [s["text"] for s in api.sent]


async def test_stopping_finishes_what_was_begun(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    house = await open_house(api)
    api.say("slow")
    await api.until(lambda: api.called("sendchataction"))
    house.stop()
    assert await api.texts(1) == ["that took a while"]
    await api.taken()


async def test_while_one_answer_takes_long_the_doors_stay_open(api: BotApi, open_house: OpenHouse) -> None:
    house = await open_house(api, listen=":0")
    api.say("slow")
    await api.until(lambda: api.called("sendchataction"))
    assert not api.sent, "typing is shown while the answer is still being made"
    assert house.listener
    reader, writer = await asyncio.open_connection("127.0.0.1", house.listener.port)
    writer.write(b"GET /nowhere HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
    assert b" 404 " in await reader.read()
    assert not api.sent
    writer.close()
    await api.texts(1)
