"""What the keeper says about the routine: what is in force, where, on which days, for whom."""

from __future__ import annotations

import datetime as dt
import json

import pytest

from shared.due.due_list import due
from shared.due.house_rules import Routine
from shared.due.rules import Spot, spot_of, weekdays_in
from shared.due.usual import USUAL
from tests.routine.room import Room
from tests.routine.told import BREEDERS, EGGS, FRY, ZONE, new_room, tell, when

TUB = Spot("tub A", "tub", frozenset({"B1"}), frozenset({"gardneri"}))


def room_with(*settings: tuple[str, object, dict[str, object]]) -> Room:
    room = tell(new_room(), EGGS)
    for what, value, more in settings:
        room.setting(what, value, **more)
    return room


@pytest.mark.parametrize(
    ("settings", "want"),
    [
        ([], 2),
        ([("egg_changes_per_day", 3, {})], 3),
        ([("egg_changes_per_day", "3", {})], 3),
        ([("egg changes per day", 3, {})], 3),
        ([("egg_changes_per_day", 3, {}), ("egg_changes_per_day", 1, {})], 1),
        ([("egg_changes_per_day", 3, {"line": "gardneri"}), ("egg_changes_per_day", 1, {})], 3),
        ([("egg_changes_per_day", 3, {"line": "lampeye"}), ("egg_changes_per_day", 1, {})], 1),
        ([("egg_changes_per_day", 3, {"place": "tub A"}), ("egg_changes_per_day", 1, {"line": "gardneri"})], 3),
        ([("egg_changes_per_day", 3, {"batch": "B1"}), ("egg_changes_per_day", 1, {"place": "tub A"})], 3),
        ([("egg_changes_per_day", 3, {"places": ["tub A", "tub B"]})], 3),
        ([("egg_changes_per_day", 3, {"places": ["all egg tubs"]})], 3),
        ([("egg_changes_per_day", 3, {"places": ["all tanks"]})], 2),
        ([("egg_changes_per_day", 3, {"place": "tub A"}), ("egg_changes_per_day", "default", {"place": "tub A"})], 2),
        ([("egg_changes_per_day", 0, {})], 0),
    ],
)
def test_the_nearest_and_newest_word_counts(settings: list[tuple[str, object, dict[str, object]]], want: float) -> None:
    routine = Routine.of(room_with(*settings).standing)
    assert routine.number("egg_changes_per_day", TUB) == want


def test_a_weekday_goes_before_every_day() -> None:
    routine = Routine.of(room_with(("feeds_per_day", 3, {"weekday": "weekends"}), ("feeds_per_day", 1, {})).standing)
    saturday, monday = dt.date(2026, 3, 14), dt.date(2026, 3, 16)
    assert [routine.number("feeds_per_day", TUB, day) for day in (saturday, monday)] == [3, 1]


def test_from_and_to_bound_the_days() -> None:
    routine = Routine.of(room_with(("feeds_per_day", 1, {"from": "2026-03-12", "to": "2026-03-14"})).standing)
    days = [dt.date(2026, 3, d) for d in (11, 12, 14, 15)]
    assert [routine.number("feeds_per_day", TUB, day) for day in days] == [2, 1, 1, 2]


@pytest.mark.parametrize(
    ("words", "want"),
    [
        (None, {0, 1, 2, 3, 4, 5, 6}),
        ("Monday", {0}),
        ("Mondays", {0}),
        ("sat,sun", {5, 6}),
        ("weekends", {5, 6}),
        ("weekdays", {0, 1, 2, 3, 4}),
        ("tue and thu", {1, 3}),
        ("every fortnight", {0, 1, 2, 3, 4, 5, 6}),
    ],
)
def test_weekdays_by_their_names(words: str | None, want: set[int]) -> None:
    assert weekdays_in(words) == want


def test_settings_other_code_reads() -> None:
    room = room_with(
        ("nightly_at", "20:30", {}),
        ("quiet", None, {"from": "23:00", "to": "07:00"}),
        ("time_zone", "Europe/London", {}),
        ("units", "metric", {}),
        ("heater_c", 26.7, {"place": "tank 15"}),
    )
    routine = Routine.of(room.standing)
    assert routine.nightly_at == dt.time(20, 30)
    assert routine.quiet == (dt.time(23), dt.time(7))
    assert (routine.value("time_zone"), routine.value("units")) == ("Europe/London", "metric")
    assert routine.value("heater_c", spot_of(room.standing, "tank 15")) == 26.7
    assert routine.value("heater_c", spot_of(room.standing, "tub A")) is None


def test_the_usual_without_a_word_said() -> None:
    routine = Routine.of(new_room().standing)
    assert routine.nightly_at == dt.time(21)
    assert routine.quiet == (dt.time(22), dt.time(6))
    assert {key: routine.value(key) for key in USUAL} == dict(USUAL)


def test_an_impossible_hour_leaves_the_usual() -> None:
    assert Routine.of(room_with(("nightly_at", "25:70", {})).standing).nightly_at == dt.time(21)


def test_the_routine_shown_is_plain_data_and_names_what_was_changed() -> None:
    room = room_with(
        ("mop_every_days", 4, {}),
        ("off", "filters", {}),
        ("egg_changes_per_day", 3, {"place": "tub A", "weekday": "saturday"}),
        ("feeding", None, {"person": "Ivo", "weekday": "sunday"}),
    )
    shown = Routine.of(room.standing).shown()
    assert json.loads(json.dumps(shown)) == shown
    assert shown["changed"] == ["mop_every_days"]
    assert shown["room"]["mop_every_days"] == 4
    assert shown["off"] == ["service"]
    assert [(e["what"], e.get("place"), e.get("weekdays"), e.get("person")) for e in shown["exceptions"]] == [
        ("egg_changes_per_day", "tub A", ["sat"], None),
        ("feed", None, ["sun"], "Ivo"),
    ]


def test_switched_off_and_on_again_is_not_off() -> None:
    room = room_with(("off", "filters", {}), ("on", "filters", {}))
    assert Routine.of(room.standing).shown()["off"] == []


@pytest.mark.parametrize("value", ["the moon", "no"])
def test_words_for_nothing_of_ours_switch_nothing_off(value: str) -> None:
    room = tell(new_room(), EGGS)
    before = due(room.standing, when("10 07:00"), ZONE)
    room.at(when("09 07:00")).setting("off", value)
    assert due(room.standing, when("10 07:00"), ZONE) == before != []


def test_a_whole_place_can_be_switched_off() -> None:
    room = tell(new_room(), (*BREEDERS, *FRY, ("09 07:00", "setting", "off", None, {"place": "tank 3"})))
    tasks = due(room.standing, when("16 12:00"), ZONE)
    assert {t.place for t in tasks if t.task != "draw_water"} == {"tub E"}


def test_the_hours_move_with_the_mornings_hour() -> None:
    room = tell(new_room(), (*EGGS, ("09 20:00", "water", "tub A"), ("09 20:00", "setting", "morning_at", "07:15")))
    tasks = due(room.standing, when("10 05:00"), ZONE)
    assert {(t.task, f"{t.due:%H:%M}") for t in tasks} == {
        ("egg_water", "07:15"), ("egg_water", "18:30"), ("check_hatch", "07:15"), ("pick_eggs", "07:15"),
        ("draw_water", "18:30"),
    }  # fmt: skip


def test_a_chore_can_have_its_own_hours() -> None:
    room = tell(new_room(), (*EGGS, ("09 20:00", "water", "tub A"),
                             ("09 20:00", "setting", "egg_water_at", "08:00, 20:00")))  # fmt: skip
    tasks = [t for t in due(room.standing, when("10 05:00"), ZONE) if t.task == "egg_water"]
    assert [f"{t.due:%H:%M}" for t in tasks] == ["08:00", "20:00"]


def test_a_task_given_to_somebody_is_left_out_for_others() -> None:
    story = (
        *BREEDERS,
        *EGGS,
        ("09 18:30", "fed", "tank 3"),
        ("09 18:30", "setting", "who", "feeding", {"person": "Ivo", "weekday": "tuesday", "slot": "morning"}),
    )
    room = tell(new_room(), story)
    now = when("10 06:00")

    def feeds(person: str | None) -> list[tuple[str, str | None]]:
        tasks = due(room.standing, now, ZONE, for_person=person)
        return [(f"{t.due:%H:%M}", t.person) for t in tasks if t.task == "feed"]

    assert feeds(None) == feeds("ivo") == [("06:30", "Ivo"), ("17:30", None)]
    assert feeds("Rosa") == [("17:30", None)]
    assert any(t.task == "egg_water" for t in due(room.standing, now, ZONE, for_person="Rosa"))


def test_what_one_person_does_not_do_is_only_off_for_that_person() -> None:
    room = tell(new_room(), (*BREEDERS, ("09 18:30", "setting", "off", "feeding", {"person": "Ivo"})))
    asked = {
        p: [t.task for t in due(room.standing, when("10 07:00"), ZONE, for_person=p)] for p in (None, "Ivo", "Rosa")
    }
    assert [("feed" in tasks) for tasks in asked.values()] == [True, False, True]


def test_no_slot_is_due_from_before_a_rule_was_made() -> None:
    story = (*BREEDERS, ("10 07:00", "fed", "tank 3"), ("10 15:00", "setting", "feeds_per_day", 4))
    tasks = [t for t in due(tell(new_room(), story).standing, when("10 16:00"), ZONE) if t.task == "feed"]
    assert [f"{t.due:%H:%M}" for t in tasks] == ["17:30", "21:00"]


def test_no_slot_of_a_rule_given_up_is_due() -> None:
    story = (*FRY, ("10 07:00", "fed", "tub E"), ("10 15:00", "setting", "fry_feeds_per_day", 2))
    tasks = [t for t in due(tell(new_room(), story).standing, when("10 16:00"), ZONE) if t.task == "fry_feed"]
    assert [f"{t.due:%H:%M}" for t in tasks] == ["17:30"]
