"""The calendar is read back by the library that knows the standard, and compared with the record."""

from __future__ import annotations

import datetime as dt
from typing import Any

import icalendar
import pytest

from bot.routine.chores import due_list
from bot.unasked.calendar import calendar_feed
from shared.due.tasks import DueTask
from shared.hatching.forecast import forecast
from storage.journal import RoomBook
from tests.pictures.fishroom import DAY, NOW, furnish, log, saw


def read(raw: bytes) -> dict[str, Any]:
    """The events by title, after a look at the form: RFC 5545 sections 3.1, 3.6 and 3.6.1."""
    assert raw.endswith(b"END:VCALENDAR\r\n") and raw.replace(b"\r\n", b"").count(b"\n") == 0
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    calendar: Any = icalendar.Calendar.from_ical(raw)
    calendar.validate()
    assert calendar.errors == [] and all(c.errors == [] for c in calendar.walk())
    assert calendar["version"] == "2.0" and calendar["prodid"]
    found = {}
    ids = set()
    for event in calendar.walk("VEVENT"):
        assert event["uid"] and event["dtstamp"].dt.tzinfo is not None and event["dtstart"]
        assert not ("dtend" in event and "duration" in event)
        ids.add(str(event["uid"]))
        found[str(event["summary"])] = event
    assert len(ids) == len(found) == len(calendar.walk("VEVENT"))
    return found


def uids(raw: bytes) -> dict[str, str]:
    return {title: str(event["uid"]) for title, event in read(raw).items()}


def test_hatch_windows_are_days_of_the_forecast(busy: RoomBook) -> None:
    found = read(calendar_feed(busy.standing(), busy, NOW))
    seen = forecast(busy.standing(), "B14", NOW)
    assert seen and seen.first_fry
    event = found["B14 gardneri: fry expected in tub B"]
    zone = busy.info.zone
    assert event["dtstart"].dt == seen.first_fry.p10.astimezone(zone).date()
    assert event["dtend"].dt == seen.first_fry.p90.astimezone(zone).date() + DAY  # the end itself is left out
    assert not isinstance(event["dtstart"].dt, dt.datetime)
    assert seen.basis in event["description"]


def test_promises_are_days_and_reminders_keep_their_hour(busy: RoomBook) -> None:
    found = read(calendar_feed(busy.standing(), busy, NOW))
    assert found["Promised: 6 gardneri for Rosa"]["dtstart"].dt == dt.date(2026, 3, 14)
    assert found["Order peat"]["dtstart"].dt == dt.datetime(2026, 3, 12, 14, 0, tzinfo=dt.UTC)  # nine in Chicago


def test_an_event_keeps_its_id(empty: RoomBook) -> None:
    furnish(empty, NOW - 9 * DAY)
    log(empty, NOW, saw("reserve", line="gardneri", count=6, buyer="Ana", date="2026-03-20"))
    log(empty, NOW, saw("remind", text="order peat", date="2026-03-12"))
    log(empty, NOW, saw("pull", place="tank 2", count=30, to="tub B"))
    before = uids(calendar_feed(empty.standing(), empty, NOW))
    assert {"Order peat", "Promised: 6 gardneri for Ana"} < set(before)
    assert len(before) == 3
    # more is written, a day goes by, and the reminder is put off
    log(empty, NOW + DAY, saw("measure", place="tub B", quantity="temperature", value=26))
    log(empty, NOW + DAY, saw("snooze", task="order peat", date="2026-03-16"))
    log(empty, NOW + DAY, saw("remind", text="buy bulbs", date="2026-03-18"))
    later = calendar_feed(empty.standing(), empty, NOW + DAY)
    assert {t: u for t, u in uids(later).items() if t in before} == before
    assert read(later)["Order peat"]["dtstart"].dt == dt.date(2026, 3, 16)


def test_what_repeats_is_listed_time_by_time(empty: RoomBook) -> None:
    furnish(empty, NOW - 9 * DAY)
    log(empty, NOW, saw("remind", text="squeeze sponges", every_days=7))
    raw = calendar_feed(empty.standing(), empty, NOW, days=30)
    events: list[Any] = icalendar.Calendar.from_ical(raw).walk("VEVENT")
    days = [e["dtstart"].dt for e in events]
    assert days == [dt.date(2026, 3, 16) + n * 7 * DAY for n in range(4)]
    assert len({str(e["uid"]) for e in events}) == 4
    shifted = icalendar.Calendar.from_ical(calendar_feed(empty.standing(), empty, NOW + DAY, days=30)).walk("VEVENT")
    assert {str(e["uid"]) for e in events} <= {str(e["uid"]) for e in shifted}


def test_two_things_alike_are_two_events(empty: RoomBook) -> None:
    furnish(empty, NOW - 9 * DAY)
    for _ in range(2):
        log(empty, NOW, saw("reserve", line="gardneri", count=6, buyer="Ana", date="2026-03-20"))
    events = icalendar.Calendar.from_ical(calendar_feed(empty.standing(), empty, NOW)).walk("VEVENT")
    assert len(events) == len({str(e["uid"]) for e in events}) == 2


def test_what_is_done_or_released_is_gone(empty: RoomBook) -> None:
    furnish(empty, NOW - 9 * DAY)
    log(empty, NOW, saw("reserve", line="gardneri", count=6, buyer="Ana", date="2026-03-20"))
    log(empty, NOW, saw("remind", text="order peat", date="2026-03-12"))
    assert len(read(calendar_feed(empty.standing(), empty, NOW))) == 2
    log(empty, NOW, saw("release", buyer="Ana"), saw("done", task="order peat"))
    assert read(calendar_feed(empty.standing(), empty, NOW + 4 * DAY)) == {}


def test_nothing_lies_beyond_the_days_asked_for(empty: RoomBook) -> None:
    furnish(empty, NOW - 9 * DAY)
    for day in ("2026-03-20", "2026-05-01"):
        log(empty, NOW, saw("reserve", line="gardneri", count=6, buyer=f"Ana {day}", date=day))
    assert len(read(calendar_feed(empty.standing(), empty, NOW, days=20))) == 1
    assert len(read(calendar_feed(empty.standing(), empty, NOW, days=60))) == 2


def test_daily_chores_stay_out_and_moves_come_in(busy: RoomBook) -> None:
    tasks = due_list(busy.standing(), busy, NOW, days=30)
    assert {t.task for t in tasks} > {"promised", "reminder"}
    due = dt.datetime(2026, 3, 20, 8, 0, tzinfo=busy.info.zone)
    move = DueTask("move_up", "tub E", "B12", "gardneri", due, "six weeks old", grace=DAY)
    found = read(calendar_feed(busy.standing(), busy, NOW, tasks=[*tasks, move]))
    assert found["Move up: B12 gardneri, tub E"]["dtstart"].dt == dt.date(2026, 3, 20)
    assert found["Move up: B12 gardneri, tub E"]["description"] == "Six weeks old."
    assert {t.partition(":")[0].partition(" ")[0] for t in found} == {"B13", "B14", "B15", "Promised", "Order", "Move"}


ODD = ["semicolons; commas, and \\ backslashes", "a\nb", "🐟 " * 40, "BEGIN:VEVENT\r\nSUMMARY:not mine"]


@pytest.mark.parametrize("text", ODD)
def test_any_words_stay_words(empty: RoomBook, text: str) -> None:
    furnish(empty, NOW - 9 * DAY)
    log(empty, NOW, saw("remind", text=text, date="2026-03-12"))
    (title,) = read(calendar_feed(empty.standing(), empty, NOW))
    assert title.replace("\r", "").casefold() == text.replace("\r", "").casefold()
