"""Done, later and why under what is said unasked: by its button, a number, the words; once, after a restart too."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bot.channels.doorstep import Words
from bot.channels.gsm import segments
from bot.channels.serve import Notice
from bot.channels.sms import last_options, texted
from bot.hear import Reply, hear
from bot.unasked.notices import CHOICES
from bot.unasked.reminders import unasked
from shared.room import RoomCard
from storage.journal import Message, RoomBook
from tests.unasked.conftest import House, when


def sent(house: House, at: str, what: str, book: RoomBook | None = None) -> list[Notice]:
    """What is said unasked of one kind at that minute, claimed as a door does."""
    book = book or house.book
    return [n for n in unasked(book, when(at)) if n.what == what and book.claim(n.what, n.key, when(at))]


def tap(book: RoomBook, notice: Notice, word: str, at: str, delivery: str = "tap") -> Reply:
    person = book.person_at(notice.door, notice.address)
    assert person
    message = Message(notice.door, delivery, notice.address, person.key, word, when(at))
    return hear(book, message, about=notice.about)


def kinds(book: RoomBook) -> list[str]:
    return [e.event.kind for e in book.entries(kinds=("done", "snooze"))]


@pytest.fixture
def small_house(tmp_path: Path, card: RoomCard) -> Iterator[House]:
    """A room with one empty tub, in which nothing is ever due."""
    bare = {"places": tuple(p for p in card.places if p.name == "tub D"), "batches": (), "lines": (), "cultures": ()}
    house = House(tmp_path / "small.db", card.model_copy(update=bare), "2026-03-01 08:00")
    house.admit("Rosa", "telegram", "501")
    yield house
    house.close()


@pytest.fixture
def reminded(house: House) -> Notice:
    house.say("remind me at 14:00 to rinse the filter", "2026-03-09 08:00")
    (notice,) = sent(house, "2026-03-09 14:00", "reminder")
    assert notice.options == CHOICES
    return notice


def test_done_ticks_the_reminder_off_once(house: House, reminded: Notice) -> None:
    first = tap(house.book, reminded, "done", "2026-03-09 14:05")
    assert first.text == "Done: rinse the filter."
    assert tap(house.book, reminded, "done", "2026-03-09 14:05").text == first.text  # the same tap, brought again
    other = tap(house.book, reminded, "done", "2026-03-09 14:06", "another")
    assert other.text == "That is done already, or no longer due; nothing was put down."
    assert kinds(house.book) == ["done"]
    assert sent(house, "2026-03-09 16:30", "reminder") == []


def test_later_brings_it_back_in_two_hours(house: House, reminded: Notice) -> None:
    assert tap(house.book, reminded, "later", "2026-03-09 14:05").text == "Put off to today 16:05: rinse the filter."
    assert sent(house, "2026-03-09 15:30", "reminder") == []
    (again,) = sent(house, "2026-03-09 16:05", "reminder")
    assert tap(house.book, again, "done", "2026-03-09 16:10", "2").text == "Done: rinse the filter."


def test_why_says_since_when_and_asks_on(house: House, reminded: Notice) -> None:
    told = tap(house.book, reminded, "why", "2026-03-09 14:05")
    assert told.text == "Rinse the filter: you asked today 08:00.\nDone, or later?"
    assert told.options == ("done", "later")
    assert tap(house.book, reminded, "done", "2026-03-09 14:06", "2").text == "Done: rinse the filter."


def test_a_button_works_after_a_restart_and_after_other_notes(house: House, reminded: Notice) -> None:
    house.say("fed tub E", "2026-03-09 14:30")
    house.say("what's due in tank 13", "2026-03-10 08:00")
    assert tap(house.again(), reminded, "done", "2026-03-10 08:01").text == "Done: rinse the filter."


def test_the_words_alone_answer_what_was_said_last(house: House, reminded: Notice) -> None:
    person = house.book.person_at(reminded.door, reminded.address)
    assert person
    message = Message("telegram", "typed", "501", person.key, "Done!", when("2026-03-09 14:10"))
    assert hear(house.book, message).text == "Done: rinse the filter."


def night(house: House, door: str, at: str = "2026-03-09 21:00") -> Notice:
    (notice,) = [n for n in sent(house, at, "nightly") if n.door == door]
    return notice


def test_done_under_the_nightly_message_asks_which(house: House) -> None:
    notice = night(house, "telegram")
    asked = tap(house.book, notice, "done", "2026-03-09 21:10")
    assert asked.text == "Which is done?"
    assert asked.options[0].startswith("egg water tubs A, B and C")
    assert asked.options[-2:] == ("all of it", "none")
    assert kinds(house.book) == []
    chosen = house.book.person_at("telegram", "501")
    assert chosen
    message = Message("telegram", "2", "501", chosen.key, asked.options[0], when("2026-03-09 21:11"))
    assert hear(house.book, message).text == "Done: egg water tubs A, B and C."


def test_what_was_done_last_night_is_told_this_morning_of_last_night(house: House) -> None:
    notice = night(house, "telegram")
    asked = tap(house.book, notice, "done", "2026-03-10 08:00")
    person = house.book.person_at("telegram", "501")
    assert person
    hear(house.book, Message("telegram", "2", "501", person.key, asked.options[0], when("2026-03-10 08:01")))
    (entry,) = house.book.entries(kinds=("done",))
    assert entry.at.astimezone(house.book.info.zone) == when("2026-03-09 21:00")
    assert "Egg tubs" in house.say("due", "2026-03-10 08:02").text  # this morning's still is to do


def test_later_under_the_nightly_message_leaves_it_till_tomorrow(house: House) -> None:
    notice = night(house, "telegram")
    assert tap(house.book, notice, "later", "2026-03-09 21:10").text.startswith("Put off to tomorrow: egg water")
    assert (
        "Nothing" in house.say("due", "2026-03-09 21:30").text
        or "mops" not in house.say("due", "2026-03-09 21:31").text
    )


def test_why_under_the_nightly_message_tells_each(house: House) -> None:
    told = tap(house.book, night(house, "telegram"), "why", "2026-03-09 21:10")
    assert "Egg tubs, fresh water, tubs A, B and C: not changed since" in told.text
    assert told.options[-1] == "none"


# ---- text messages


def texts(house: House, word: str, at: str) -> tuple[dict[str, Any], Words]:
    words = Words("sms", "+13125550102", "Ivo", "+13125550102", f"sms {at}", word, when(at))
    options, about = last_options(house.book, words)
    return {"options": options, "about": about}, words


def test_a_text_message_numbers_them_and_a_number_answers(house: House) -> None:
    house.say("remind me at 14:00 to rinse the filter", "2026-03-09 08:00", "Ivo")
    (notice,) = sent(house, "2026-03-09 14:00", "reminder")
    assert texted(notice).endswith("\n1 done / 2 later / 3 why")
    given, words = texts(house, "1", "2026-03-09 14:20")
    assert given == {"options": CHOICES, "about": notice.about}
    person = house.book.person_at("sms", words.address)
    assert person
    message = Message("sms", words.delivery, words.chat, person.key, "done", words.sent)
    assert hear(house.book, message, about=notice.about).text == "Done: rinse the filter."
    # what was answered since goes before
    assert texts(house, "1", "2026-03-09 14:30")[0] == {"options": (), "about": None}


def test_the_nightly_text_with_its_numbers_fits_two_parts(house: House) -> None:
    house.say("remind me at 08:00 to rinse the filter", "2026-03-01 08:00", "Ivo")
    for day in range(9, 15):
        notice = night(house, "sms", f"2026-03-{day:02} 21:00")
        assert notice.options == CHOICES, notice.text
        assert segments(texted(notice)) <= 2, texted(notice)


def test_a_quiet_night_offers_nothing(small_house: House) -> None:
    (notice,) = sent(small_house, "2026-03-09 21:00", "nightly")
    assert notice.text.endswith("a quiet day, nothing missed.")
    assert notice.options == ()


def test_the_one_question_the_night_shows_is_answered_by_its_choice(house: House) -> None:
    house.say("mop tank 4", "2026-03-09 18:20")
    person = house.book.person_named("Rosa")
    house.say("fed tub E", "2026-03-09 19:00")
    notice = night(house, "telegram")
    assert "“mop tank 4” (18:20) – Which tub for B24? tub A · tub B · tub C · tub D" in notice.text
    message = Message("test", "d", f"t:{person.key}", person.key, "tub D", when("2026-03-09 21:30"))
    assert hear(house.book, message).text == "B24: all to tub D (today 18:20)."
