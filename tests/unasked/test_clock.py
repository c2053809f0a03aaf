"""One nightly message a day, never two: the nights the clock is changed, restarts, outages, several processes."""

from __future__ import annotations

import datetime as dt
import random
import threading
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.channels.serve import Notice
from bot.hear import hear
from bot.routine.chores import zone_of
from bot.unasked.reminders import unasked
from shared.events import event_from
from shared.room import RoomCard
from storage.journal import Message, RoomBook
from tests.unasked.conftest import House, when

MINUTE = dt.timedelta(minutes=1)


def sent(book: RoomBook, now: dt.datetime) -> list[Notice]:
    """What a house with every door open says at that minute."""
    return [n for n in unasked(book, now) if book.claim(n.what, n.key, now)]


def during(book: RoomBook, first: str, last: str, what: str, step: int = 10) -> list[tuple[dt.datetime, Notice]]:
    """What is said of one kind between two local times, asked every `step` minutes."""
    at, end = when(first).astimezone(dt.UTC), when(last).astimezone(dt.UTC)
    found = []
    while at <= end:
        found += [(at.astimezone(book.info.zone), n) for n in sent(book, at) if n.what == what]
        at += step * MINUTE
    return found


def plain_rooms(file: Path, begun: str) -> House:
    """A small room, so that a month goes by quickly."""
    card = RoomCard.model_validate(
        {
            "name": "Small room",
            "timezone": "America/Chicago",
            "members": ["Rosa"],
            "lines": [{"name": "gardneri"}],
            "places": [{"name": "tub A", "kind": "tub", "role": "eggs"}],
        }
    )
    house = House(file, card, begun)
    house.admit("Rosa", "telegram", "501")
    return house


@pytest.fixture
def small(tmp_path: Path) -> Iterator[House]:
    house = plain_rooms(tmp_path / "small.db", "2026-03-01 08:00")
    house.admit("Ivo", "sms", "+13125550102", "helper")
    yield house
    house.close()


@pytest.mark.parametrize(
    ("begun", "hour"),
    [
        ("2026-02-20 08:00", "21:00"),
        ("2026-10-18 08:00", "21:00"),
        ("2026-02-20 08:00", "02:30"),  # the night of 8 March has none
        ("2026-10-18 08:00", "01:30"),  # the night of 1 November has two
    ],
)
def test_a_month_of_nights_with_the_process_killed_at_random(tmp_path: Path, begun: str, hour: str) -> None:
    dice = random.Random(f"{begun}{hour}")
    house = plain_rooms(tmp_path / "room.db", begun)
    house.say(f"nightly at {hour}", begun)
    start = when(begun).astimezone(dt.UTC)
    told: Counter[str] = Counter()
    lost: set[str] = set()
    up: dict[str, list[dt.datetime]] = {}
    at, book = start, house.again()
    while at < start + dt.timedelta(days=30):
        near = abs((at.astimezone(book.info.zone).hour - int(hour[:2]) + 12) % 24 - 12) <= 1
        at += dt.timedelta(minutes=dice.choice((1, 7, 20, 25) if near else (60, 90, 120)))
        if dice.random() < 0.05:  # killed, and away for up to a day
            at += dt.timedelta(hours=dice.choice((0, 0, 1, 5, 9, 14, 26)))
            book = house.again()
        local = at.astimezone(book.info.zone)
        up.setdefault(local.date().isoformat(), []).append(local)
        for notice in [n for n in unasked(book, at) if n.what == "nightly"]:
            if not book.claim(notice.what, notice.key, at):
                continue
            night = notice.key.partition(":")[0]
            if dice.random() < 0.1:  # killed between the claim and the sending: never said rather than twice
                lost.add(night)
                book = house.again()
                break
            told[night] += 1
    assert max(told.values()) == 1
    assert not lost & set(told)
    nights = sorted(told)
    assert len(nights) > 12
    clock = dt.time.fromisoformat(hour)
    for day in sorted(up)[1:-2]:
        due = dt.datetime.combine(dt.date.fromisoformat(day), clock, house.book.info.zone).astimezone(dt.UTC)
        there = [u for us in up.values() for u in us if 0 <= (u.astimezone(dt.UTC) - due).total_seconds() < 30 * 60]
        if there and day not in lost:
            assert told[day] == 1, day
    house.close()


@pytest.mark.parametrize(
    ("day", "hour", "at"),
    [
        ("2026-03-07", "21:00", "2026-03-08 03:00:00+00:00"),  # CST
        ("2026-03-08", "21:00", "2026-03-09 02:00:00+00:00"),  # CDT
        ("2026-03-08", "02:30", "2026-03-08 08:30:00+00:00"),  # jumped over: as much later, 03:30 CDT
        ("2026-11-01", "01:30", "2026-11-01 06:30:00+00:00"),  # the first of two
        ("2026-11-01", "21:00", "2026-11-02 03:00:00+00:00"),
    ],
)
def test_the_hour_is_the_wall_clocks(tmp_path: Path, day: str, hour: str, at: str) -> None:
    house = plain_rooms(tmp_path / "room.db", "2026-02-20 08:00")
    house.say(f"nightly at {hour}", "2026-02-20 08:00")
    due = dt.datetime.fromisoformat(at)
    assert [n for n in unasked(house.book, due - MINUTE) if n.key.startswith(day)] == []
    assert [n.key[:10] for n in sent(house.book, due) if n.what == "nightly"] == [day]
    # the second 01:30, and the hours after, say nothing more
    assert [n for h in (1, 2, 24 - 1) for n in unasked(house.book, due + dt.timedelta(hours=h)) if day in n.key] == []
    house.close()


def test_two_processes_claim_at_the_same_instant(small: House) -> None:
    now = when("2026-03-09 21:00")
    for turn in range(4):
        night = now + dt.timedelta(days=turn)
        books = [small.again() for _ in range(4)]
        ready = threading.Barrier(len(books))
        told: list[Notice] = []

        def one(book: RoomBook, ready: threading.Barrier = ready, night: dt.datetime = night) -> None:
            notices = [n for n in unasked(book, night) if n.what == "nightly"]
            ready.wait()
            told.extend(n for n in notices if book.claim(n.what, n.key, night))  # noqa: B023

        threads = [threading.Thread(target=one, args=(book,)) for book in books]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(n.door for n in told) == ["sms", "telegram"]  # Ivo's and Rosa's, once each


def test_a_person_with_two_doors_is_told_once_at_the_first_that_is_open(small: House) -> None:
    small.admit("Rosa", "sms", "+13125550101")
    now = when("2026-03-09 21:00")
    ways = [(n.door, n.address) for n in unasked(small.book, now) if n.what == "nightly"]
    assert [way for way in ways if way != ("sms", "+13125550102")] == [("telegram", "501"), ("sms", "+13125550101")]
    assert sorted(n.address for n in sent(small.book, now) if n.what == "nightly") == ["+13125550102", "501"]


@pytest.mark.parametrize(
    ("back", "want"),
    [
        ("2026-03-09 21:20", "in time"),
        ("2026-03-09 21:40", "late"),
        ("2026-03-09 22:10", None),  # the quiet hours have begun
        ("2026-03-10 05:50", None),
        ("2026-03-10 06:00", "late"),
        ("2026-03-10 08:50", "late"),
        ("2026-03-10 09:10", None),  # let go
    ],
)
def test_a_message_missed_comes_on_return_and_says_so(small: House, back: str, want: str | None) -> None:
    small.say("fed everyone", "2026-03-09 18:00")
    texts = [n.text for n in unasked(small.book, when(back)) if n.what == "nightly" and n.door == "telegram"]
    assert len(texts) == (want is not None)
    if want:
        assert texts[0].startswith("Small room, Mon 9 Mar")
        assert ("21:00 (sent late)" in texts[0]) == (want == "late")


def test_nobody_is_told_of_a_night_before_the_room_was_kept(tmp_path: Path) -> None:
    house = plain_rooms(tmp_path / "room.db", "2026-03-09 21:40")
    house.say("fed everyone", "2026-03-09 21:40")
    assert during(house.book, "2026-03-09 21:41", "2026-03-10 20:00", "nightly", 60) == []
    assert len(during(house.book, "2026-03-10 20:30", "2026-03-10 22:00", "nightly")) == 1
    house.close()


def test_an_hour_set_for_earlier_today_is_met_at_once_and_not_called_late(small: House) -> None:
    small.say("nightly at 20:00", "2026-03-09 20:45")
    found = during(small.book, "2026-03-09 20:46", "2026-03-09 23:00", "nightly", 5)
    assert sorted((f"{at:%H:%M}", n.door) for at, n in found) == [("20:46", "sms"), ("20:46", "telegram")]
    assert "late" not in found[0][1].text.split("\n")[0]


def test_a_room_that_moves_zone_keeps_one_message_a_day(small: House) -> None:
    def told(first: str, last: str) -> list[str]:
        found = during(small.book, first, last, "nightly", 30)
        return [f"{at.astimezone(ZoneInfo('UTC')):%d %H:%M}" for at, n in found if n.door == "telegram"]

    assert told("2026-03-09 20:00", "2026-03-09 23:00") == ["10 02:00"]
    moved(small, "America/Denver", "2026-03-09 23:30")
    assert told("2026-03-09 23:30", "2026-03-11 23:30") == ["11 03:00", "12 03:00"]
    moved(small, "London", "2026-03-12 12:00")
    # at noon in Chicago it is 17:00 in London
    assert told("2026-03-12 12:00", "2026-03-13 20:00") == ["12 21:00", "13 21:00"]


def test_after_a_move_notes_are_read_by_the_new_clock_until_it_is_taken_back(
    small: House,
) -> None:
    assert small.book.info.zone == ZoneInfo("America/Chicago")
    moved(small, "London", "2026-03-09 12:00")
    assert small.book.info.zone == zone_of(small.book.standing(), small.book) == ZoneInfo("Europe/London")
    rosa = small.book.person_named("Rosa").key
    noon = dt.datetime(2026, 3, 10, 18, tzinfo=dt.UTC)
    hear(small.book, Message("test", "read", "t", rosa, "temp tub A 76 at 5pm", noon))
    measured = small.book.entries(kinds=("measure",))[-1]
    assert measured.at == dt.datetime(2026, 3, 10, 17, tzinfo=dt.UTC)
    again = small.book._database.room()
    assert again.info.zone == ZoneInfo("Europe/London"), "also after a restart"
    setting = small.book.entries(kinds=("setting",))[-1]
    with small.book.turn(Message("test", "undo", "t", rosa, "undo", noon)) as turn:
        turn.retract([setting.seq], event_from({"kind": "undo"}))
        turn.reply("", {}, "log")
    assert small.book.info.zone == ZoneInfo("America/Chicago")


def moved(house: House, zone: str, at: str) -> None:
    message = Message("test", f"zone {at}", "t", house.book.person_named("Rosa").key, f"time zone {zone}", when(at))
    with house.book.turn(message) as turn:
        turn.append(event_from({"kind": "setting", "what": "time_zone", "value": zone}), at=when(at))
        turn.reply("", {}, "log")


def test_an_empty_house_and_a_viewer_are_told_nothing(house: House, tmp_path: Path, card: RoomCard) -> None:
    house.admit("Lena", "telegram", "777", "viewer")
    assert "777" not in {n.address for n in unasked(house.book, when("2026-03-09 21:00"))}
    alone = House(tmp_path / "alone.db", card, "2026-03-01 08:00")
    assert list(unasked(alone.book, when("2026-03-09 21:00"))) == []
    alone.close()


# ---- reminders


def texts(found: Iterable[tuple[dt.datetime, Notice]]) -> list[str]:
    return [f"{at:%d %H:%M} {n.address}: {n.text}" for at, n in found]


def remind(house: House, text: str, at: str, name: str = "Rosa", **more: object) -> None:
    event = event_from({"kind": "remind", "text": text, **more})
    message = Message("test", f"{text} {at}", "t", house.book.person_named(name).key, text, when(at))
    with house.book.turn(message) as turn:
        turn.append(event, at=when(at))
        turn.reply("", {}, "log")


def test_a_reminder_comes_at_its_time_to_whoever_asked_and_once(small: House) -> None:
    # every ten minutes of a day and a half
    remind(small, "order foam", "2026-03-09 08:00", date="2026-03-10", time="13:30")
    remind(small, "call Lena", "2026-03-09 08:00", name="Ivo", date="2026-03-10")
    found = during(small.book, "2026-03-09 20:00", "2026-03-11 08:00", "reminder")
    assert texts(found) == ["10 09:00 +13125550102: To remember: call Lena", "10 13:30 501: To remember: order foam"]


def test_reminders_alike_for_forty_letters_are_two(small: House) -> None:
    words = "look whether the sponge in the corner of tank 4 "
    remind(small, words + "sits", "2026-03-09 08:00", date="2026-03-10")
    remind(small, words + "bubbles", "2026-03-09 08:01", date="2026-03-10")
    found = during(small.book, "2026-03-10 08:50", "2026-03-10 09:30", "reminder")
    assert sorted(n.text.rpartition(" ")[2] for _, n in found) == ["bubbles", "sits"]


def test_quiet_hours_hold_back_what_gave_no_hour(small: House) -> None:
    small.say("nightly at 20:00", "2026-03-09 08:00")
    remind(small, "early train", "2026-03-09 08:00", date="2026-03-11", time="05:15")
    found = during(small.book, "2026-03-11 05:00", "2026-03-11 07:00", "reminder")
    assert texts(found) == ["11 05:20 501: To remember: early train"]


def test_a_reminder_missed_comes_late_and_says_so(small: House) -> None:
    remind(small, "order foam", "2026-03-09 08:00", date="2026-03-10", time="13:30")
    found = during(small.book, "2026-03-10 16:00", "2026-03-10 16:30", "reminder")
    assert texts(found) == ["10 16:00 501: To remember: order foam (was for 13:30)"]
    assert during(small.again(), "2026-03-10 16:30", "2026-03-11 20:00", "reminder", 60) == []


@pytest.mark.parametrize(("day", "want"), [("2026-03-08", "03:30"), ("2026-11-01", "01:30")])
def test_a_reminder_on_the_night_the_clock_is_changed_comes_once(small: House, day: str, want: str) -> None:
    hour = "02:30" if day == "2026-03-08" else "01:30"
    remind(small, "look in", f"{day[:8]}01 00:10" if day == "2026-11-01" else "2026-03-07 08:00", date=day, time=hour)
    found = during(small.book, f"{day} 00:30", f"{day} 08:00", "reminder")
    assert [f"{at:%H:%M}" for at, _ in found] == [want]


def test_every_other_week_comes_every_other_week_for_a_month(small: House) -> None:
    remind(small, "squeeze the sponge in 4", "2026-03-02 08:00", every_days=14, date="2026-03-03")
    found = during(small.book, "2026-03-02 09:00", "2026-04-05 09:00", "reminder", 60)
    assert [f"{at:%d %b %H:%M}" for at, _ in found] == ["03 Mar 09:00", "17 Mar 09:00", "31 Mar 09:00"]


# ---- what cannot wait


def test_only_eggs_in_their_window_are_pushed_and_once_a_day(house: House) -> None:
    found = during(house.book, "2026-03-09 00:00", "2026-03-10 23:50", "look", 30)
    days = [(f"{at:%d %H:%M}", n.address) for at, n in found]
    assert days == [(f"{day} 06:00", to) for day in ("09", "10") for to in ("501", "+13125550102")]
    assert found[0][1].text == (
        "Fry are expected, and no look is logged: tub A (not looked since Thu, fry expected 7–31 Mar)."
    )


def test_a_look_logged_keeps_it_quiet(house: House) -> None:
    house.say("tubs A, B and C changed", "2026-03-09 05:50")
    assert during(house.book, "2026-03-09 06:00", "2026-03-09 18:00", "look", 30) == []


def test_a_dose_that_has_its_hour_is_sent_at_its_hour_and_once(small: House) -> None:
    small.say("treating tub A with 1 tbsp salt twice a day for 2 days", "2026-03-09 12:00")
    told = during(small.book, "2026-03-09 12:00", "2026-03-10 12:00", "reminder")
    text = "To remember: dose of 1 tbsp salt (tub A)"
    for door in ("telegram", "sms"):  # both of the room's people
        mine = [(f"{at:%d %H:%M}", n.text) for at, n in told if n.door == door]
        assert mine == [("09 18:30", text), ("10 06:30", text)]


def test_a_dose_that_only_has_its_day_is_on_the_list_and_not_sent(small: House) -> None:
    small.say("treating tub A with 1 tbsp salt a day for 2 days", "2026-03-09 12:00")
    assert during(small.book, "2026-03-09 12:00", "2026-03-10 12:00", "reminder") == []
