"""Orders: what a keeper tells the hand itself, sentence by sentence, and what must never be taken for one."""

from __future__ import annotations

import datetime as dt
import itertools
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.channels.sms import numbered
from bot.command_line.setup import set_up
from bot.hear import Reply, hear
from bot.orders.to_the_hand import taken_as_order
from bot.routine.putting_off import choices, groups
from bot.routine.taken import Taken
from bot.routine.words import Words
from bot.talk.knowing import reader_for
from bot.unasked.notices import reminder_name
from shared.due.house_rules import Routine
from shared.due.tasks import DueTask
from shared.events import RoutineSet
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

NOTES = Path(__file__).parents[1] / "language" / "data"
_NUMBERS = itertools.count()


class House:
    """The Millrace room on the morning of Monday 9 March 2026."""

    def __init__(self, database: Database, card: RoomCard) -> None:
        self.now = dt.datetime(2026, 3, 9, 8, 30, tzinfo=card.zone)
        self.book: RoomBook = set_up(database, card, self.now)[0]
        self.rosa = self.book.person_named("Rosa")

    def message(self, text: str) -> Message:
        return Message("terminal", str(next(_NUMBERS)), "t:rosa", self.rosa.key, text, self.now)

    def say(self, text: str, after: float = 1) -> Reply:
        self.now += dt.timedelta(minutes=after)
        return hear(self.book, self.message(text))

    def order(self, text: str) -> Taken | None:
        standing = self.book.standing()
        reader = reader_for(self.book, standing)
        return taken_as_order(text, standing, self.book, self.now, self.message(text), reader)

    def logged(self, text: str) -> list[dict[str, Any]]:
        return [{k: v for k, v in e.items() if k not in ("id", "at")} for e in self.say(text).events]


@pytest.fixture
def house(database: Database, card: RoomCard) -> House:
    return House(database, card)


def setting(what: str, value: object = None, **more: object) -> dict[str, object]:
    return {"kind": "setting", "what": what, **({} if value is None else {"value": value}), **more}


TODAY = {"from": "2026-03-09", "to": "2026-03-09"}


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("call tank 14 the big grow-out", [{"kind": "word", "word": "big grow-out", "means": "tank 14"}]),
        ("gards means gardneri", [{"kind": "word", "word": "gards", "means": "gardneri"}]),
        ("The big grow-out is tank 14.", [{"kind": "word", "word": "big grow-out", "means": "tank 14"}]),
        (
            "no noon feed on Sundays",
            [setting("off", "fry_feed", weekday="sun", slot="noon")],
        ),
        ("feed fry at 7, 12 and 6", [setting("fry_feed_at", "07:00,12:00,18:00")]),
        ("no more water tests in tub E", [setting("off", "test_water", place="tub E")]),
        (
            "rest 3 two weeks",
            [
                setting("rest", "2026-03-23", place="tank 3"),
                {"kind": "remind", "text": "tank 3: back together", "date": "2026-03-23", "place": "tank 3"},
            ],
        ),
        (
            "rest tank 3 until the 24th",
            [
                setting("rest", "2026-03-24", place="tank 3"),
                {"kind": "remind", "text": "tank 3: back together", "date": "2026-03-24", "place": "tank 3"},
            ],
        ),
        ("sexes apart in 7", [setting("sexes_apart", True, place="tank 7")]),
        ("Ivo does the mornings", [setting("who", "all", person="Ivo", **{"from": "00:00", "to": "12:00"})]),
        ("Ivo does tank 7", [setting("who", "all", person="Ivo", place="tank 7")]),
        ("I do the weekends", [setting("who", "all", person="Rosa", weekday="sat,sun")]),
        ("Ivo does the mops", [setting("who", "pull_mop", person="Ivo")]),
        ("Ivo feeds the fry on Saturdays", [setting("who", "fry_feed", person="Ivo", weekday="sat")]),
        (
            "Ivo does tank 7 till Thursday",
            [setting("who", "all", person="Ivo", place="tank 7", **{"from": "2026-03-09", "to": "2026-03-11"})],
        ),
        ("quiet from 10 to 7", [setting("quiet", **{"from": "22:00", "to": "07:00"})]),
        ("pull mops every 4 days in 2 and 3", [setting("mop_every_days", 4, places=["tank 2", "tank 3"])]),
        ("fry fed four times a day", None),
        ("water changes on Saturdays", [setting("water_change", weekday="sat")]),
        ("no mops in 2 and 3 till the 20th", [
            setting("off", "pull_mop", places=["tank 2", "tank 3"], **{"from": "2026-03-09", "to": "2026-03-19"})
        ]),
        ("no mops for the gardneri on weekends", [setting("off", "pull_mop", line="gardneri", weekday="sat,sun")]),
        ("mornings at 7", [setting("morning_at", "07:00")]),
        ("evenings at 7", [setting("evening_at", "19:00")]),
        ("egg water at 6:30 and 18:30 in tub B", [setting("egg_water_at", "06:30,18:30", place="tub B")]),
        ("skip the mops today", [{"kind": "snooze", "task": "pull_mop", "date": "2026-03-10"}]),
        ("From now on, no mops on Sunday", [setting("off", "pull_mop", weekday="sun")]),
        ("not tank 7 till Thursday", [{"kind": "snooze", "task": "pull_mop", "place": "tank 7", "date": "2026-03-12"}]),
        (
            "stop the filters; water changes on Saturdays",
            [setting("off", "service"), setting("water_change", weekday="sat")],
        ),
    ],
)  # fmt: skip
def test_an_order_logs_what_it_says(house: House, text: str, want: list[dict[str, object]] | None) -> None:
    taken = house.order(text)
    if want is None:
        assert taken is None
        return
    assert taken is not None
    by_keys = [sorted(e.outside().items(), key=str) for e in taken.events]
    assert by_keys == [sorted(raw.items(), key=str) for raw in want]
    assert taken.lines


@pytest.mark.parametrize(
    "text",
    [
        "call Tom about tank 14",
        "call tank 14 people tomorrow",
        "the big one is dead",
        "the smell is tank 3",
        "the male is tank 3",
        "the count is 14",
        "Ivo did the mornings",
        "Ivo did tank 7",
        "Ivo does tank 7?",
        "does Ivo do the mornings?",
        "Ivo does not do the mornings",
        "if Ivo does the mornings I sleep in",
        "rest of the eggs to tub D",
        "rest 3",
        "rest in peace tank 3 male",
        "no eggs in 3",
        "no mops today",
        "no mops on Sunday",
        "no feed in tank 7",
        "no more eggs in 3",
        "no more fry in tub E",
        "not 14 but 40",
        "not tank 7, tank 8",
        "fed fry at 7, 12 and 6",
        "fed everyone at 7 and 12",
        "feed fry at 7",
        "pulled mops every tank",
        "pulled mops in 2 and 3, 12 and 30 eggs",
        "was away 12th to 15th",
        "away",
        "Ivo was away 12th to 15th",
        "may be away 12th to 15th",
        "water changes saturday",
        "skipped the mops today",
        "Ivo does that",
        "that means 40 eggs",
        "means nothing",
        "undo",
        "fry back together in tub E",
        "sexes",
        "7 apart",
        "light day for the gardneri",
        "forget it",
        "forget gards",
        "routine water change tank 7",
        "routine check of all tubs done",
        "",
        "🐟",
        "40 eggs from 3 to B, rest to C",
    ],
)
def test_not_taken_as_an_order(house: House, text: str) -> None:
    assert house.order(text) is None


def test_notes_are_no_orders(house: House) -> None:
    """Of all labelled notes and traps none is taken as an order whose fair readings log or ask something else."""
    seen = 0
    for name in ("fresh.jsonl", "more.jsonl", "millrace.jsonl", "traps.jsonl"):
        for line in (NOTES / name).read_text(encoding="utf-8").splitlines():
            note = json.loads(line)
            taken = house.order(note["text"])
            seen += 1
            if taken:
                told = (e for want in note["want"] for e in want.get("events", [want]))  # traps name events alone
                fair = {e["kind"] for e in told if "kind" in e}
                assert {e.kind for e in taken.events} <= fair, note["text"]
    assert seen > 200


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=60) | st.lists(
    st.sampled_from("no more mops feed rest tank 3 tub E on Sundays till Thursday Ivo does the at 7 and 12 skip away to 15th routine means".split()),  # noqa: E501, SIM905
    max_size=9,
).map(" ".join))  # fmt: skip
def test_no_text_raises(house: House, text: str) -> None:
    taken = house.order(text)
    assert taken is None or taken.events or taken.asked or taken.answer


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("7, 12 and 6", ("07:00", "12:00", "18:00")),
        ("7 and 7", ("07:00", "19:00")),
        ("7am, noon and 5:30pm", ("07:00", "12:00", "17:30")),
        ("06:30, 12:30, 17:30, 21:00", ("06:30", "12:30", "17:30", "21:00")),
        ("8pm", ("20:00",)),
        ("25:00", None),
        ("7 12", None),
        ("18:00 and 7", None),
    ],
)
def test_hours_run_through_the_day(house: House, text: str, want: tuple[str, ...] | None) -> None:
    assert words(house).clocks(text) == want


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("till thursday", (9, 11)),
        ("until the 24th", (9, 23)),
        ("until monday", (9, 15)),
        ("two weeks", (9, 22)),
        ("for 3 days", (9, 11)),
        ("12th to 15th", (12, 15)),
        ("thursday to sunday", (12, 15)),
        ("march 12 to 15", (12, 15)),
        ("this weekend", (14, 15)),
        ("tomorrow", (10, 10)),
        ("yesterday", None),
        ("15th to 12th to 9th", None),
        ("40 eggs", None),
    ],
)
def test_days_have_a_first_and_a_last(house: House, text: str, want: tuple[int, int] | None) -> None:
    found = words(house).days(text)
    assert (found and (found.first.day, found.last.day)) == want


def words(house: House) -> Words:
    return Words(reader_for(house.book, house.book.standing()).names, house.now)


# ---- what an order brings about


def due_in(house: House, place: str) -> set[str]:
    from bot.routine.chores import due_list

    return {t.task for t in due_list(house.book.standing(), house.book, house.now) if t.place == place}


def test_a_taught_word_is_read_and_forgotten(house: House) -> None:
    house.say("call tank 14 the big grow-out")
    assert house.logged("wc 30% the big grow-out") == [{"kind": "water_change", "places": ["tank 14"], "percent": 30.0}]
    house.say("forget the big grow-out")
    assert not house.logged("wc 30% the big grow-out")


def test_a_word_that_means_something_is_not_taken_over(house: House) -> None:
    house.say("gards means gardneri")
    assert house.say("gards means boesemani").options == ("yes", "no")
    house.say("yes")
    assert house.book.standing().words["gards"] == "boesemani"
    for text in ("eggs means gardneri", "tank 3 means gardneri", "Ivo means gardneri", "call 7 the big one"):
        reply = house.say(text)
        assert not reply.events and "Nothing was changed" in reply.text, text


def test_a_tank_at_rest_has_no_mops_until_it_ends(house: House) -> None:
    assert "pull_mop" in due_in(house, "tank 3")
    house.say("rest tank 3 for two weeks")
    assert "pull_mop" not in due_in(house, "tank 3")
    house.now += dt.timedelta(days=14)
    assert "pull_mop" in due_in(house, "tank 3")
    assert any(t.startswith("tank 3: back") for t in reminders(house))
    house.say("tank 3 back together")
    house.say("rest tank 3 for two weeks")
    house.say("undo the routine for tank 3")
    assert "pull_mop" in due_in(house, "tank 3")
    assert not reminders(house)


def reminders(house: House) -> list[str]:
    from bot.routine.chores import due_list

    tasks = due_list(house.book.standing(), house.book, house.now, days=20)
    return [t.text or "" for t in tasks if t.task == "reminder"]


def test_a_light_day_keeps_what_cannot_wait(house: House) -> None:
    before = {t.task for t in tasks(house)}
    assert {"pull_mop", "water_change", "fry_feed"} <= before
    house.say("light day today")
    assert {t.task for t in tasks(house)} == before - {"pull_mop", "water_change"}
    house.say("undo")
    assert {t.task for t in tasks(house)} == before


def tasks(house: House) -> list[Any]:
    from bot.routine.chores import due_list

    return due_list(house.book.standing(), house.book, house.now)


def test_what_was_put_off_is_not_due_before(house: House) -> None:
    house.say("not tank 7 till Thursday")
    assert due_in(house, "tank 7") == {"feed"}
    house.now += dt.timedelta(days=3)
    assert {"pull_mop", "water_change"} <= due_in(house, "tank 7")


def test_later_points_at_the_list(house: House) -> None:
    assert house.say("later").outcome == "answer"  # nothing was listed
    house.say("due")
    reply = house.say("later")
    assert reply.options[-1] == "all of it"
    (chosen,) = house.say(next(o for o in reply.options if o.startswith("mops"))).events
    assert (chosen["kind"], chosen["task"], chosen["time"]) == ("snooze", "pull_mop", "10:33")
    assert {f"{t.due:%H:%M}" for t in tasks(house) if t.task == "pull_mop"} == {"10:33"}
    house.say("what's due in tank 13")
    assert house.say("later").options == ("feed tank 13", "water changes tank 13", "all of it")


def test_a_list_grown_old_is_not_meant(house: House) -> None:
    house.say("due")
    assert house.say("skip today", after=200).outcome == "answer"


def test_a_reminder_just_sent_is_what_later_means(house: House) -> None:
    house.say("remind me to squeeze the sponge in 4 at 9:00")
    house.now = house.now.replace(hour=9, minute=0)
    task = next(t for t in tasks(house) if t.task == "reminder")
    house.book.claim("reminder", f"{reminder_name(task)}:{house.rosa.key}", house.now)
    reply = house.say("later", after=5)
    assert [e["kind"] for e in reply.events] == ["snooze"]
    assert "11:05" in reply.text
    assert next(t for t in tasks(house) if t.task == "reminder").due.hour == 11


def test_handing_over_names_the_person(house: House) -> None:
    house.say("due")
    house.say("Ivo does it all")
    assert {(t.task, t.place) for t in tasks(house) if t.due <= house.now and t.person != "Ivo"} == set()
    house.now += dt.timedelta(days=1)
    assert {t.person for t in tasks(house) if t.due.date() == house.now.date()} == {None}


def test_a_trip_is_put_down_and_listed_again(house: House) -> None:
    first = house.say("away 12th to 15th, Ivo does it")
    assert first.text.startswith("Away Thu 12 Mar to Sun 15 Mar (4 days), Ivo does it.")
    assert house.say("list for Ivo").text == first.text
    assert house.say("away 12th to 15th, Ivo does it").events == ()
    house.now = house.now.replace(day=13)
    assert {t.person for t in tasks(house)} == {"Ivo"}
    assert "pull_mop" not in {t.task for t in tasks(house)}
    house.now = house.now.replace(day=16)
    assert {t.person for t in tasks(house) if t.due.day == 16} == {None}
    assert "pull_mop" in {t.task for t in tasks(house)}


def test_back_to_usual_asks_for_the_room_and_keeps_the_house(house: House) -> None:
    for text in ("no mops on Sundays", "quiet from 10 to 7", "Ivo does the mops", "feed fry at 7, 12 and 6"):
        house.say(text)
    assert house.say("back to usual").options == ("yes", "no")
    house.say("yes")
    routine = Routine.of(house.book.standing())
    assert [s.key for s in routine.settings] == ["quiet_from", "quiet_to"]


def test_a_tank_back_to_usual_leaves_the_others(house: House) -> None:
    house.say("no more mops in 2 and 3")
    house.say("undo the routine for tank 3")
    assert "pull_mop" in due_in(house, "tank 3")
    assert "pull_mop" not in due_in(house, "tank 2")


def test_hours_that_are_gone_are_asked_about(house: House) -> None:
    house.now = house.now.replace(hour=20)
    reply = house.say("feed fry at 7, 12 and 6")
    assert reply.options == ("every day from now on", "fed today", "neither") and not reply.events
    assert [e["kind"] for e in house.say("fed today").events] == ["feed"] * 3


def test_leaving_out_what_fish_need_is_asked(house: House) -> None:
    reply = house.say("stop feeding")
    assert reply.options == ("yes", "no") and not reply.events


def test_somebody_who_may_only_look_orders_nothing(house: House) -> None:
    house.rosa = house.book.person_named("Vera", role="viewer")
    assert not house.say("no mops on Sundays").events
    assert house.say("show the routine").text.startswith("As usual")
    assert not house.book.standing().settings


def test_undo_takes_an_order_back(house: House) -> None:
    for text in ("no mops on Sundays", "rest 3 two weeks", "Ivo does tank 7", "away 12th to 15th, Ivo does it"):
        house.say(text)
        assert house.book.standing().settings
        house.say("undo")
        assert not house.book.standing().settings and not house.book.standing().reminders, text


def test_how_a_note_was_read(house: House) -> None:
    assert house.say("how did you read that?").text == "No earlier note of yours is here."
    house.say("pulled mop tank 3, forty eggs into tub d")
    want = ["pulled → pull", "forty → the number 40", "tub d → tub D", "Taken for: pull."]
    for question in ("how did you read that?", "how was that read"):
        told = house.say(question).text.splitlines()
        assert [line for line in told if line in want] == want


def test_every_order_reads_back_as_it_was_said(house: House) -> None:
    """What the routine shows after an order is the line that read the order back."""
    for text in (
        "no noon feed on Sundays",
        "Ivo does tank 7",
        "no more water tests in tub E",
        "water changes on Saturdays",
    ):
        reply = house.say(text)
        assert reply.text in house.say("show the routine").text
        assert any(isinstance(k.event, RoutineSet) for k in house.book.standing().settings)


def test_the_choices_of_a_large_room_fit_a_button_and_can_be_numbered() -> None:
    due = dt.datetime(2026, 3, 9, 6, 30, tzinfo=dt.UTC)
    tasks = [
        DueTask(task, f"tank {n}", None, None, due, "late", grace=dt.timedelta(days=1))
        for task in ("pull_mop", "water_change", "feed")
        for n in range(1, 41, 2)
    ]
    labels = tuple(label for label, _ in choices(groups(tasks)))
    assert labels == ("mops", "water changes", "feed")
    assert numbered(labels) == [("1", "mops"), ("2", "water changes"), ("3", "feed")]
    few = tuple(label for label, _ in choices(groups(tasks[:1] + tasks[-1:])))
    assert few == ("mops tank 1", "feed tank 39")
