"""The SMS door over real HTTP: signed requests only, plain letters, choices that cannot be misread, STOP kept."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
from collections.abc import Awaitable, Callable
from typing import Any
from xml.etree import ElementTree

import aiohttp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.channels import gsm
from bot.channels.doorstep import NOT_INVITED, Line
from bot.channels.serve import Notice
from bot.channels.sms import HELP_LINE, MOST_PARTS, STARTED, STOPPED, numbered, plain_number, texted
from storage.journal import RoomBook
from tests.doors.conftest import IVO_NUMBER, ROSA_NUMBER, OpenHouse
from tests.doors.texted import SECRET, signed

ACCOUNT = "AC0123456789"
Text = Callable[..., Awaitable[list[str]]]


@pytest.fixture
async def text(open_house: OpenHouse) -> Text:
    """Send a text message through the plain gateway; what comes back for its sender."""
    house = await open_house(listen=":0", sms_gateway="plain", sms_secret=SECRET, sms_number="+13125550100")
    number = 0

    async def send(words: str, sender: str = ROSA_NUMBER, delivery: str | None = None, **more: Any) -> list[str]:
        nonlocal number
        number += 1
        assert house.listener
        body = json.dumps({"from": sender, "id": delivery or f"m{number}", "text": words} | more).encode()
        url = f"http://127.0.0.1:{house.listener.port}/sms"
        async with aiohttp.ClientSession() as web, web.post(url, data=body, headers=signed(body)) as answer:
            assert answer.status == 200, answer.status
            return [m["text"] for m in (await answer.json())["messages"]]

    return send


async def test_a_text_is_heard_and_answered(text: Text, book: RoomBook) -> None:
    assert await text("pulled mop tank 3, 40 eggs", delivery="abc") == ["kept: pulled mop tank 3, 40 eggs"]
    (message,) = book.messages()
    assert (message.door, message.delivery, message.chat) == ("sms", "abc", ROSA_NUMBER)


async def test_a_text_passed_on_twice_is_logged_once(text: Text, book: RoomBook) -> None:
    assert await text("one", delivery="x") == await text("one", delivery="x")
    assert len(book.messages()) == 1


@pytest.mark.parametrize(
    ("written", "kept"),
    [("half a letter \ud83d", "half a letter ?"), ("zero\0byte", "zerobyte"), ("x" * 6000, "x" * 6000)],
)
async def test_odd_letters_harm_nothing_and_nothing_is_cut_short(
    text: Text, book: RoomBook, written: str, kept: str
) -> None:
    await text(written)
    assert [m.text for m in book.messages()] == [kept]


async def test_the_time_it_was_sent_counts(text: Text, book: RoomBook) -> None:
    await text("one", sent="2026-03-09T18:30:00-05:00")
    assert book.messages()[0].sent == dt.datetime(2026, 3, 9, 23, 30, tzinfo=dt.UTC)


async def test_a_number_written_otherwise_is_the_same_person(text: Text) -> None:
    assert await text("one", sender="+1 (312) 555-0101") == ["kept: one"]


async def test_a_stranger_gets_one_line_once(text: Text, book: RoomBook) -> None:
    assert await text("hello", sender="+19995550000") == [NOT_INVITED]
    assert await text("STOP", sender="+19995550000") == []
    assert await text("hello?", sender="+19995550000") == []
    assert not book.messages()


async def test_a_code_lets_a_number_in(text: Text, book: RoomBook) -> None:
    code = book.invite("helper", dt.timedelta(days=1))
    assert (await text(code.lower(), sender="+19995550000"))[0].startswith("Welcome")
    assert await text("one", sender="+19995550000") == ["kept: one"]


async def test_a_digit_chooses_and_is_kept_for_a_restart(text: Text) -> None:
    assert await text("which") == ["Which tank?\n1 tank 3 / 2 tank 5"]
    assert await text("2") == ["kept: tank 5"]
    assert await text("2") == ["kept: 2"], "nothing is asked any more"


async def test_a_choice_passed_on_twice_is_the_same_choice(text: Text, book: RoomBook) -> None:
    await text("which")
    assert await text("2", delivery="d") == ["kept: tank 5"]
    assert await text("2", delivery="d") == ["kept: tank 5"]
    assert len(book.messages()) == 2


async def test_a_digit_beyond_the_choices_is_left_to_the_listener(text: Text) -> None:
    await text("which")
    assert await text("5") == ["kept: 5"]


async def test_one_persons_choices_are_not_anothers(text: Text) -> None:
    await text("which")
    assert await text("2", sender=IVO_NUMBER) == ["kept: 2"]


@pytest.mark.parametrize(
    ("options", "shown"),
    [
        (("tank 3", "tank 5"), ["1 tank 3", "2 tank 5"]),
        (("tank 2", "tank 1"), ["a tank 2", "b tank 1"]),
        (("tank 1", "tub A"), []),
        (("tub A", "tub B"), ["1 tub A", "2 tub B"]),
        (("yes", "no"), ["1 yes", "2 no"]),
        (tuple(f"batch X{i}" for i in range(11)), []),
    ],
)
def test_a_sign_never_means_two_choices(options: tuple[str, ...], shown: list[str]) -> None:
    assert [f"{sign} {option}" for sign, option in numbered(options)] == shown


@pytest.mark.parametrize("word", ["STOP", "stop", " Stop. ", "UNSUBSCRIBE", "quit"])
async def test_stop_is_honoured_until_start(text: Text, book: RoomBook, word: str) -> None:
    assert await text(word) == [STOPPED]
    assert await text(word) == []
    assert await text("fed everyone") == []
    assert not book.messages()
    assert await text("START") == [STARTED]
    assert await text("fed everyone") == ["kept: fed everyone"]


async def test_stop_is_remembered_over_a_restart(open_house: OpenHouse, text: Text) -> None:
    await text("STOP")
    house = await open_house(listen=":0", sms_gateway="plain", sms_secret=SECRET)
    assert house.sms and not await house.sms.say(ROSA_NUMBER, Line("good evening"))
    assert await house.sms.say(IVO_NUMBER, Line("good evening"))


async def test_stop_within_a_note_is_a_word(text: Text) -> None:
    assert await text("stop feeding tank 3") == ["kept: stop feeding tank 3"]


async def test_help_is_honoured(text: Text) -> None:
    assert await text("HELP") == [HELP_LINE]


async def test_what_is_said_unasked_waits_for_the_telephone(open_house: OpenHouse, book: RoomBook) -> None:
    def tick(_: RoomBook, now: dt.datetime) -> list[Notice]:
        return [
            Notice("evening", "today", "sms", ROSA_NUMBER, "3 tubs are due"),
            Notice("e", "t", "telegram", "1", "x"),
        ]

    house = await open_house(listen=":0", sms_gateway="plain", sms_secret=SECRET, tick=tick)
    assert house.listener
    body = b'{"from": ""}'
    messages: list[dict[str, str]] = []
    async with aiohttp.ClientSession(f"http://127.0.0.1:{house.listener.port}") as web:
        for _ in range(50):
            async with web.post("/sms", data=body, headers=signed(body)) as answer:
                messages += (await answer.json())["messages"]
            if messages:
                break
    assert messages == [{"to": ROSA_NUMBER, "text": "3 tubs are due"}]
    await asyncio.sleep(0.1)
    assert not book.unconfirmed()
    assert [c.key for c in book.claims("e")] == [], "what cannot be said is not claimed"


@pytest.mark.parametrize(
    ("secret", "age", "changed", "status"),
    [
        (SECRET, 0, b"", 200),
        ("wrong", 0, b"", 403),
        (SECRET, 0, b" ", 403),
        (SECRET, 3600, b"", 403),
        (SECRET, -3600, b"", 403),
    ],
)
async def test_only_the_gateway_is_listened_to(
    open_house: OpenHouse, book: RoomBook, secret: str, age: int, changed: bytes, status: int
) -> None:
    house = await open_house(listen=":0", sms_gateway="plain", sms_secret=SECRET)
    assert house.listener
    body = json.dumps({"from": ROSA_NUMBER, "id": "1", "text": "one"}).encode()
    headers = signed(body, secret, age)
    url = f"http://127.0.0.1:{house.listener.port}/sms"
    async with aiohttp.ClientSession() as web, web.post(url, data=body + changed, headers=headers) as answer:
        assert answer.status == status
    assert len(book.messages()) == (status == 200)


@pytest.mark.parametrize(
    "body",
    [b"", b"[]", b"{", b'{"from": 7, "id": "1", "text": "x"}', b'{"from": "+1", "text": "x"}', b"null", b"\xff",
     b"[" * 5000,
     b'{"from": "+1", "id": "1", "text": "x", "sent": "yesterday"}',
     b'{"from": "+1", "id": "1", "text": "x", "sent": "2026-03-09T18:30:00"}'],
)  # fmt: skip
async def test_a_body_that_makes_no_sense_is_refused(open_house: OpenHouse, book: RoomBook, body: bytes) -> None:
    house = await open_house(listen=":0", sms_gateway="plain", sms_secret=SECRET)
    assert house.listener
    url = f"http://127.0.0.1:{house.listener.port}/sms"
    async with aiohttp.ClientSession() as web, web.post(url, data=body, headers=signed(body)) as answer:
        assert answer.status == 400
    assert not book.messages()


# ---- Twilio


@pytest.mark.parametrize(
    ("change", "status"),
    [({}, 200), ({"signature": "bm90IHRoZSBzaWduYXR1cmU="}, 403), ({"signature": ""}, 403), ({"Body": "sold"}, 403),
     ({"AccountSid": "ACother"}, 403)],
)  # fmt: skip
async def test_twilio_requests_are_checked_and_answered_in_its_form(
    open_house: OpenHouse, book: RoomBook, change: dict[str, str], status: int
) -> None:
    from twilio.request_validator import RequestValidator  # type: ignore[import-untyped,unused-ignore]

    public = "https://room.example.org"
    house = await open_house(
        listen=":0", public_url=public, sms_gateway="twilio", sms_secret=SECRET, sms_account=ACCOUNT
    )
    assert house.listener
    form = {"From": ROSA_NUMBER, "To": "+13125550100", "Body": "fed <all> & more", "MessageSid": "SM1"}
    form |= {"AccountSid": change.get("AccountSid", ACCOUNT)}
    signature = change.get("signature", RequestValidator(SECRET).compute_signature(f"{public}/sms", form))
    form |= {k: v for k, v in change.items() if k == "Body"}
    url = f"http://127.0.0.1:{house.listener.port}/sms"
    headers = {"X-Twilio-Signature": signature}
    async with aiohttp.ClientSession() as web, web.post(url, data=form, headers=headers) as answer:
        assert answer.status == status
        came = await answer.text()
    assert len(book.messages()) == (status == 200)
    if status == 200:
        said = ElementTree.fromstring(came)
        assert said.tag == "Response"
        assert [m.text for m in said] == ["kept: fed <all> & more"]


# ---- the telephone's alphabet


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("21–26 Mar (76 °F, 9 earlier)", "21-26 Mar (76 F, 9 earlier)"),
        ("“tank 3” … it’s ≥ ½", '"tank 3" ... it\'s >= 1/2'),
        ("10\u00a0L → tub", "10 L -> tub"),
        ("Müller, Åse, señor, naïve", "Müller, Åse, señor, naive"),
        ("Łódź 水", "Łodz 水"),
    ],
)
def test_letters_are_written_plainly(written: str, plain: str) -> None:
    assert gsm.folded(written) == plain


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("", 0), ("a" * 160, 1), ("a" * 161, 2), ("a" * 306, 2), ("a" * 307, 3), ("€" * 80, 1), ("€" * 81, 2),
        ("a" * 152 + "€" + "a" * 152, 3), ("水" * 70, 1), ("水" * 71, 2), ("水" * 134, 2), ("水" * 135, 3),
        ("😀" * 35, 1), ("😀" * 36, 2), ("😀" * 66, 2), ("😀" * 67, 3),
    ],
)  # fmt: skip
def test_parts_are_counted_as_they_are_billed(text: str, parts: int) -> None:
    """160/153 septets and 70/67 units, 3GPP TS 23.040; a pair is never split between parts."""
    assert gsm.segments(text) == parts


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=2500))
def test_an_answer_never_takes_more_than_its_parts(text: str) -> None:
    said = texted(Line(text, ("tank 3", "tank 5")))
    assert gsm.segments(said) <= MOST_PARTS
    assert said.endswith("1 tank 3 / 2 tank 5")


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=300))
def test_folding_twice_changes_nothing_more(text: str) -> None:
    assert gsm.folded(gsm.folded(text)) == gsm.folded(text)


@pytest.mark.parametrize(
    ("written", "number"),
    [("+1 (312) 555-0101", "+13125550101"), ("555 0101", "5550101"), ("Carrier", "Carrier"), ("", "")],
)
def test_a_number_is_read_without_its_dressing(written: str, number: str) -> None:
    assert plain_number(written) == number
