"""The whole way over the Bot API stand-in: photos kept and shown, labels that open the chat, replies that mend."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from bot.channels.doorstep import NO_SUCH_LABEL, NOT_INVITED
from bot.hear import hear
from bot.pictures.labels import place_code
from bot.talk.conversation import WHICH_NOTE
from shared.room import RoomCard
from storage.journal import Message, RoomBook
from tests.doors.bot_api import IVO, PHOTO, ROSA, STRANGER, BotApi
from tests.doors.conftest import OpenHouse, with_its_tanks

SIZE = {"file_id": "F", "file_unique_id": "F", "width": 1, "height": 1}


@pytest.fixture
def room_file(room_file: Path, card: RoomCard) -> Path:
    """The room with its tanks."""
    return with_its_tanks(room_file, card)


def photo(api: BotApi, caption: str | None = None, **more: Any) -> int:
    more |= {"caption": caption} if caption else {}
    return api.say(None, photo=[SIZE], **more)


def eggs(book: RoomBook) -> list[tuple[str | None, int | None]]:
    return [(e.event.place, e.event.count) for e in book.entries(kinds=("pull",)) if e.event.kind == "pull"]


async def test_a_photo_goes_with_its_caption_and_is_shown_again(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api, ear=hear)
    photo(api, "2 dead tank 5")
    (first,) = await api.texts(1)
    assert first.startswith("tank 5: 2 dead") and first.endswith("Photo kept with tank 5.")
    api.say("show me the photo of tank 5", who=IVO)
    await api.until(lambda: api.called("sendphoto"))
    shown = api.called("sendphoto")[0]
    assert shown["photo"] == PHOTO and shown["chat_id"] == IVO["id"]
    assert shown["caption"].endswith("Rosa: “2 dead tank 5”")
    assert [e.event.kind for e in book.entries(name="tank 5", kinds=("death",))] == ["death"]


async def test_a_photo_without_words_is_asked_about_and_goes_with_the_answer(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api, ear=hear)
    photo(api)
    assert await api.texts(1) == ["The photo: which tank or batch?"]
    assert [p.names for p in book.pictures()] == [()]
    api.say("t3")
    assert (await api.texts(2))[1] == "Photo kept with tank 3."
    assert [p.names for p in book.pictures("tank 3")] == [("tank 3",)]


async def test_a_photo_of_a_stranger_leaves_nothing_and_a_viewers_is_not_kept(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    code = book.invite("viewer", dt.timedelta(days=1))
    await open_house(api, ear=hear)
    photo(api, "tank 3", who=STRANGER)
    assert await api.texts(1) == [NOT_INVITED]
    api.say(code, who=STRANGER)
    await api.texts(2)
    photo(api, "tank 3", who=STRANGER)
    assert "The photo was not kept" in (await api.texts(3))[2]
    assert book.pictures() == [] and not book._database.album.folder.exists()


# ---- labels


async def test_a_label_opens_the_chat_at_its_tank(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api, ear=hear)
    api.say(f"/start {place_code('tank 3')}")
    assert (await api.texts(1))[0].startswith("tank 3 (")
    assert [m.text for m in book.messages() if m.door == "telegram"] == ["tank 3?"]
    assert eggs(book) == []


async def test_a_label_of_a_tank_that_is_gone_says_so(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api, ear=hear)
    api.say(f"/start {place_code('tank 77')}")
    assert await api.texts(1) == [NO_SUCH_LABEL]


async def test_a_label_lets_nobody_in(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api, ear=hear)
    api.say(f"/start {place_code('tank 3')}", who=STRANGER)
    code = book.invite("helper", dt.timedelta(days=1))
    api.say(f"/start {code}", who=STRANGER)
    texts = await api.texts(2)
    assert texts[0] == NOT_INVITED and texts[1].startswith("Welcome, Somebody Else.")


# ---- replies


async def test_a_reply_to_our_answer_mends_the_note_it_answered(
    api: BotApi, open_house: OpenHouse, book: RoomBook
) -> None:
    await open_house(api, ear=hear)
    api.say("pulled mop tank 3, 40 eggs into tub D")
    await api.texts(1)
    api.say("pulled mop tank 5, 9 eggs into tub D")
    await api.texts(2)
    api.say("14 not 40", reply_to_message=api.messages[501, api.sent[0]["message_id"]])
    assert "14 eggs" in (await api.texts(3))[2]
    assert sorted(eggs(book)) == [("tank 3", 14), ("tank 5", 9)]


async def test_a_reply_to_what_nobody_knows_is_asked_about(api: BotApi, open_house: OpenHouse, book: RoomBook) -> None:
    await open_house(api, ear=hear)
    api.say("pulled mop tank 3, 40 eggs into tub D")
    await api.texts(1)
    lost = api.message("a note from before the bot was here", who=ROSA)
    for words in ("14 not 40", "undo"):
        api.say(words, reply_to_message=lost)
    assert (await api.texts(3))[1:] == [WHICH_NOTE] * 2
    assert eggs(book) == [("tank 3", 40)]


def test_a_correction_is_no_answer_to_the_question_that_is_open(book: RoomBook) -> None:
    rosa = book.person_at("telegram", "501")
    assert rosa
    now = dt.datetime.now(dt.UTC)
    for number, text in enumerate(("pulled mop tank 3, 40 eggs", "14 not 40")):
        said = hear(book, Message("telegram", f"501:{number}", "501", rosa.key, text, now))
        assert said.text.splitlines()[-1].startswith("Which tub for ")
    assert eggs(book) == [("tank 3", 14)]
    assert [h.place for h in book.standing().at_place("tank 14") if h.stage == "eggs"] == []
