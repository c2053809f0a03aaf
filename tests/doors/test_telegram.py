"""The Telegram door over real HTTP: what goes in is heard once and in order, what comes out arrives once."""

from __future__ import annotations

import asyncio
import datetime as dt
from typing import Any

import pytest

from bot.channels import telegram
from bot.channels.doorstep import NOT_INVITED, Line
from bot.channels.serve import Notice
from bot.channels.telegram import NOT_YOURS, PHOTO_LOST, TOO_OLD
from bot.channels.telegram_in import FORWARDED, NO_WORDS
from storage.journal import Message, RoomBook
from tests.doors.bot_api import IVO, PHOTO, ROSA, STRANGER, BotApi
from tests.doors.conftest import OpenHouse
from tests.doors.ears import plain_ear

SIZE = {"file_id": "F", "file_unique_id": "F", "width": 1, "height": 1}


def words(book: RoomBook) -> list[str]:
    return [m.text for m in book.messages()]


async def test_a_note_is_heard_and_answered(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    number = api.say("pulled mop tank 3, 40 eggs")
    assert await api.texts(1) == ["kept: pulled mop tank 3, 40 eggs"]
    await api.taken()
    (message,) = book.messages()
    assert (message.door, message.delivery, message.chat) == ("telegram", f"501:{number}", "501")
    assert book.person(message.person).name == "Rosa"  # type: ignore[union-attr]


async def test_messages_sent_while_nobody_listened_keep_their_order_and_time(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    for i in range(5):
        api.say(f"note {i}", date=1_770_000_000 + 60 * i)
    await open_house(api)
    assert await api.texts(5) == [f"kept: note {i}" for i in range(5)]
    assert [m.sent for m in book.messages()] == [
        dt.datetime.fromtimestamp(1_770_000_000 + 60 * i, dt.UTC) for i in range(5)
    ]
    assert all(s["reply_parameters"]["message_id"] for s in api.sent), "a late answer shows what it answers"


async def test_an_update_brought_again_is_logged_once_and_answered_once(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api)
    api.say("fed everyone")
    await api.texts(1)
    await api.taken()
    api.push("message", api.messages[501, 1])  # the same message under a new update
    api.say("and again")
    assert await api.texts(2) == ["kept: fed everyone", "kept: and again"]
    assert words(book) == ["fed everyone", "and again"]


async def test_a_message_brought_twice_at_once_is_answered_once(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    api.delay = 0.05
    made = api.message("fed everyone")
    for _ in range(3):
        api.push("message", made)
    api.say("after")
    await open_house(api)
    assert await api.texts(2) == ["kept: fed everyone", "kept: after"]
    await api.taken()
    assert words(book) == ["fed everyone", "after"] and len(api.sent) == 2


async def test_what_is_forwarded_is_not_taken_for_the_senders_own_note(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api)
    origin = {"type": "hidden_user", "sender_user_name": "Lena", "date": 1_770_000_000}
    api.say("2 dead in tank 3", forward_origin=origin)
    api.say(None, photo=[SIZE], caption="2 dead in tank 3", forward_origin=origin)
    assert await api.texts(2) == [FORWARDED, FORWARDED]
    assert not book.messages() and not api.called("getfile")


async def test_an_edit_is_heard_as_the_new_wording_of_its_message(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    number = api.say("40 eggs tank 3")
    await api.texts(1)
    api.edit(number, "14 eggs tank 3")
    api.edit(number, "15 eggs tank 3")  # within the same second
    texts = await api.texts(3)
    assert texts[1:] == [f"kept: {n} eggs tank 3 (edit of 501:{number})" for n in (14, 15)]


async def test_a_reply_is_about_the_note_it_replies_to(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    number = api.say("40 eggs tank 3")
    await api.texts(1)
    api.say("14 not 40", reply_to_message=api.messages[501, number])
    api.say("15 not 14", reply_to_message=api.messages[501, api.sent[0]["message_id"]])  # to our answer
    texts = await api.texts(3)
    assert texts[1:] == [f"kept: 14 not 40 (about 501:{number})", f"kept: 15 not 14 (about 501:{number})"]


async def test_our_answers_are_known_again_after_a_restart(api: BotApi, open_house: OpenHouse) -> None:
    house = await open_house(api)
    number = api.say("40 eggs tank 3")
    await api.texts(1)
    await api.taken()
    house.stop()
    await asyncio.sleep(0.1)
    await open_house(api)
    api.say("14 not 40", reply_to_message=api.messages[501, api.sent[0]["message_id"]])
    assert (await api.texts(2))[1] == f"kept: 14 not 40 (about 501:{number})"


async def test_choices_are_buttons_and_a_tap_is_heard_once(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    api.say("which")
    await api.texts(1)
    asked = api.sent[0]["message_id"]
    shown = dict(api.messages[501, asked])
    assert [b["text"] for b in shown["reply_markup"]["inline_keyboard"][0]] == ["tank 3", "tank 5"]
    api.tap(asked, "tank 5")
    assert (await api.texts(2))[1] == "kept: tank 5"
    await api.until(lambda: "reply_markup" not in api.messages[501, asked])
    api.messages[501, asked] = shown  # a second finger was as quick
    api.tap(asked, "tank 3")
    await api.until(lambda: len(api.called("answercallbackquery")) == 2)
    await api.taken()
    assert words(book) == ["which", "tank 5"]
    assert len(api.sent) == 2


async def test_a_button_under_something_said_unasked_says_what_it_is_about(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    heard: list[str | None] = []

    def ear(room: RoomBook, message: Message, *, about: str | None = None, **more: Any) -> Line:
        heard.append(about)
        return plain_ear(room, message, about=about, **more)

    def tick(_: RoomBook, now: dt.datetime) -> list[Notice]:
        choices = ("done", "later", "why")
        return [Notice("reminder", "1", "telegram", "501", "To remember: the sponge", None, choices, "notice:a1b2c3")]

    await open_house(api, ear=ear, tick=tick)
    assert await api.texts(1) == ["To remember: the sponge"]
    asked = api.sent[0]["message_id"]
    api.tap(asked, "later", who=IVO, chat=501)
    await api.until(lambda: api.called("answercallbackquery"))
    assert api.called("answercallbackquery")[0]["text"] == NOT_YOURS
    api.tap(asked, "done")
    assert (await api.texts(2))[1] == "kept: done (about notice:a1b2c3)"
    assert heard == ["notice:a1b2c3"]


async def test_only_the_one_who_was_asked_may_tap(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    api.say("@millrace_room_bot which", chat=-77)
    await api.texts(1)
    api.tap(api.sent[0]["message_id"], "tank 3", who=IVO, chat=-77)
    await api.until(lambda: api.called("answercallbackquery"))
    assert api.called("answercallbackquery")[0]["text"] == NOT_YOURS
    assert words(book) == ["which"]


async def test_a_strangers_tap_is_not_heard(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    api.say("@millrace_room_bot which", chat=-77)
    await api.texts(1)
    number = api.sent[0]["message_id"]
    api.tap(number, "tank 3", who=STRANGER, chat=-77)
    body = {"id": "tap9", "from": STRANGER, "message": api.messages[-77, number], "chat_instance": "1"}
    api.push("callback_query", body | {"data": f"0:{STRANGER['id']}"})  # made up, as if it were asked of them
    await api.until(lambda: len(api.called("answercallbackquery")) == 2)
    await api.taken()
    assert [given["text"] for given in api.called("answercallbackquery")] == [NOT_YOURS, TOO_OLD]
    assert words(book) == ["which"] and len(api.sent) == 1


async def test_a_tap_on_a_question_out_of_reach_says_so(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    gone = {"message_id": 4, "date": 0, "chat": {"id": 501, "type": "private", "first_name": "Rosa"}}
    api.push("callback_query", {"id": "tap1", "from": ROSA, "message": gone, "chat_instance": "1", "data": "0:501"})
    await api.until(lambda: api.called("answercallbackquery"))
    assert api.called("answercallbackquery")[0]["text"] == TOO_OLD


@pytest.mark.parametrize(
    ("text", "is_heard"),
    [
        ("/due", "due"),
        ("/due tank 3", "due tank 3"),
        ("/due@millrace_room_bot today", "due today"),
        ("/water_change 5", "water change 5"),
        ("7/3 pulled mop", "7/3 pulled mop"),
        ("/start", None),
        ("/start ABCDEFGHJK", None),
        ("start brine shrimp", "start brine shrimp"),
        ("start greenwater", "start greenwater"),
    ],
)
async def test_commands_are_words(
    api: BotApi, open_house: OpenHouse, book: RoomBook, text: str, is_heard: str | None
) -> None:
    await open_house(api)
    api.say(text)
    await api.texts(1)
    assert words(book) == [is_heard or "help"]


async def test_in_a_group_only_what_is_said_to_us_is_heard(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    api.say("nice day", who=IVO, chat=-77)
    api.say("/due@other_bot", who=IVO, chat=-77)
    api.say("@millrace_room_bot: fed tank 2", who=IVO, chat=-77)
    api.say("40 eggs @Millrace_Room_Bot tank 3", who=ROSA, chat=-77)
    assert await api.texts(2) == ["kept: fed tank 2", "kept: 40 eggs tank 3"]
    api.say("and tank 4", who=IVO, chat=-77, reply_to_message=api.messages[-77, api.sent[0]["message_id"]])
    await api.texts(3)
    names = [book.person(m.person).name for m in book.messages()]  # type: ignore[union-attr]
    assert names == ["Ivo", "Rosa", "Ivo"]
    assert all("reply_parameters" in s for s in api.sent)


async def test_a_stranger_gets_one_line_once_and_nothing_is_kept(
    api: BotApi, open_house: OpenHouse, book: RoomBook, room_file: Any
) -> None:
    await open_house(api)
    for text in ("hello, secretphrase", "anybody there", "/start", "/start WRONGWRNGC"):
        api.say(text, who=STRANGER)
    api.say(None, who=STRANGER, sticker={})
    api.say("for Rosa")
    assert await api.texts(2) == [NOT_INVITED, "kept: for Rosa"]
    await api.taken()
    assert words(book) == ["for Rosa"]
    kept = b"".join(p.read_bytes() for p in room_file.parent.rglob("*") if p.is_file())
    for trace in (b"secretphrase", b"Somebody", b"666:"):
        assert trace not in kept


@pytest.mark.parametrize("form", ["/start {}", "{}", " {}\n", "/start@millrace_room_bot {}"])
async def test_a_code_lets_somebody_in_once(api: BotApi, open_house: OpenHouse, book: RoomBook, form: str) -> None:
    code = book.invite("helper", dt.timedelta(days=1))
    await open_house(api)
    api.say(form.format(code), who=STRANGER)
    assert (await api.texts(1))[0].startswith("Welcome, Somebody Else.")
    api.say("fed tank 1", who=STRANGER)
    await api.texts(2)
    api.say(form.format(code), who={**STRANGER, "id": 667})
    assert (await api.texts(3))[1:] == ["kept: fed tank 1", NOT_INVITED]


async def test_guessing_codes_ends_after_a_few(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    code = book.invite("helper", dt.timedelta(days=1))
    await open_house(api)
    for letter in "ABCDE":
        api.say(letter * 10, who=STRANGER)
    api.say(code, who=STRANGER)
    await api.taken()
    assert [s["text"] for s in api.sent] == [NOT_INVITED]
    api.say(code, who={**STRANGER, "id": 667})
    assert (await api.texts(2))[1].startswith("Welcome")


async def test_somebody_removed_is_a_stranger(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    api.say("one")
    await api.texts(1)
    person = book.person_at("telegram", "501")
    assert person
    book.remove(person.key)
    api.say("two")
    assert await api.texts(2) == ["kept: one", NOT_INVITED]
    assert words(book) == ["one"]


async def test_a_long_answer_comes_in_pieces_with_its_buttons_last(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    api.say("long 400")
    texts = await api.texts(3)
    assert all(len(t) <= 4096 for t in texts)
    assert "\n".join(texts).splitlines() == [f"line {i} of a long answer" for i in range(400)]


async def test_a_picture_is_sent_with_its_words(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    api.say("picture")
    await api.until(lambda: api.sent)
    assert api.sent[0]["caption"] == "a chart"
    assert api.called("sendphoto")


async def test_a_page_is_sent_as_a_file_with_its_words(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    api.say("page")
    await api.until(lambda: api.sent)
    assert api.sent[0]["caption"] == "a record" and api.sent[0]["document"]
    assert api.called("senddocument") and not api.called("sendphoto")


async def test_a_photo_is_kept_and_its_caption_heard(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    sizes = [{"file_id": f"F{i}", "file_unique_id": f"F{i}", "width": i, "height": i} for i in (1, 2)]
    api.say(None, photo=sizes, caption="fungus in tub B")
    assert await api.texts(1) == [f"kept: fungus in tub B (a photo, {len(PHOTO)} bytes)"]
    assert [given["file_id"] for given in api.called("getfile")] == ["F2"], "the largest there is"
    assert words(book) == ["fungus in tub B"]


@pytest.mark.parametrize("kind", ["image/jpeg", "image/png"])
async def test_a_picture_sent_as_a_file_is_kept_like_a_photo(
    api: BotApi, open_house: OpenHouse, book: RoomBook, kind: str
) -> None:
    await open_house(api)
    file = {"file_id": "D1", "file_unique_id": "D1", "file_name": "../../etc/eggs.jpg", "mime_type": kind}
    api.say(None, document=file, caption="fungus in tub B")
    assert await api.texts(1) == [f"kept: fungus in tub B (a photo, {len(PHOTO)} bytes)"]
    assert [given["file_id"] for given in api.called("getfile")] == ["D1"]


async def test_a_file_that_is_no_picture_is_said_not_to_be_read(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api)
    api.say(None, document={"file_id": "D1", "file_unique_id": "D1", "mime_type": "application/zip"})
    assert await api.texts(1) == [NO_WORDS]
    assert not book.messages() and not api.called("getfile")


async def test_a_strangers_photo_is_not_kept(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    api.say(None, who=STRANGER, photo=[SIZE], caption="look at this")
    api.say(None, who=ROSA, photo=[SIZE], caption="tank 3")
    assert (await api.texts(2))[0] == NOT_INVITED
    assert len(api.called("getfile")) == 1


@pytest.mark.parametrize(("caption", "said"), [("fed tank 2", f"kept: fed tank 2\n{PHOTO_LOST}"), (None, PHOTO_LOST)])
async def test_a_photo_that_cannot_be_had_is_said_and_its_caption_heard(
    api: BotApi, open_house: OpenHouse, book: RoomBook, monkeypatch: pytest.MonkeyPatch, caption: str | None, said: str
) -> None:
    monkeypatch.setattr(telegram, "PHOTO_SECONDS", 0.3)
    api.fail("getfile", *["drop"] * 5)
    await open_house(api)
    given: dict[str, Any] = {"caption": caption} if caption else {}
    api.say(None, photo=[SIZE], **given)
    api.say("after")
    assert await api.texts(2) == [said, "kept: after"]


async def test_a_photo_brought_again_is_not_fetched_again(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    number = api.say(None, photo=[SIZE], caption="tank 3")
    await api.texts(1)
    await api.taken()
    api.push("message", api.messages[501, number])
    api.say("after")
    assert (await api.texts(2))[1] == "kept: after"
    assert len(api.called("getfile")) == 1


async def test_what_holds_no_words_is_said_to_hold_none(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api)
    api.say(None, voice={"file_id": "V", "file_unique_id": "V", "duration": 3})
    assert await api.texts(1) == [NO_WORDS]
    assert not book.messages()


async def test_typing_is_shown_when_an_answer_takes_long(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    api.say("slow")
    await api.texts(1)
    assert api.called("sendchataction")[0]["action"] == "typing"


async def test_the_menu_is_set(api: BotApi, open_house: OpenHouse) -> None:
    await open_house(api)
    await api.until(lambda: api.commands)
    assert {"due", "help", "undo"} <= {c["command"] for c in api.commands}
