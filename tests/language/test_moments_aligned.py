"""Days and hours said in several words, or made out by what was said before."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language.learnt.second_reading import tags_of
from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, labels_of, note_of
from tests.language.test_told_there_aligned import bad, water
from tests.language.test_water_aligned import fed

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")  # a Monday


def hold(**keys: object) -> Raw:
    return {"kind": "reserve", "line": "gardneri", **keys}


@pytest.mark.parametrize(
    ("text", "events", "label"),
    [
        ("Powder to E at a quarter to six.", [fed("tub E", food="powder", time="17:45")], ("quarter", "feed|when")),
        ("bbs to 11 at four and again at ten past",
         [fed("tank 11", food="brine shrimp", time="16:00"), fed("tank 11", food="brine shrimp", time="16:10")],
         ("ten past", "feed|when")),
        ("half five: all fry had powder", [fed("all fry", food="powder", time="17:30")], ("half five", "feed|when")),
        ("tubs done, it's five twenty", [water("all tubs", time="17:20")], ("five twenty", "water_change|when")),
        ("bbs at 5 15, 11", [fed("tank 11", food="brine shrimp", time="17:15")], ("5 15", "feed|when")),
        ("17h20: powder E", [fed("tub E", food="powder", time="17:20")], ("17 20", "feed|when")),
        ("A 3 white yda, B 2 today", [bad("tub A", 3) | {"date": "2026-03-08"}, bad("tub B", 2)],
         ("yesterday", "bad_eggs|when")),
        ("a pair of gardneri for Walt on the fourteenth", [hold(count=2, buyer="Walt", date="2026-03-14")],
         ("the fourteenth", "reserve|when")),
        ("Walt wants 4 gardneri for Saturday week", [hold(count=4, buyer="Walt", date="2026-03-21")],
         ("saturday week", "reserve|when")),
        ("hold 4 gardneri for Walt til 21", [hold(count=4, buyer="Walt", date="2026-03-21")], ("21", "reserve|when")),
        ("3/7: tub A 2 white. 3/8: tub A 3 white",
         [bad("tub A", 2) | {"date": "2026-03-07"}, bad("tub A", 3) | {"date": "2026-03-08"}],
         ("3 / 7", "bad_eggs|when")),
        ("remind me in two hours to shut the tap", [{"kind": "remind", "text": "shut the tap", "time": "20:30"}],
         ("in", "remind")),
        ("remind me every Tuesday at six to wipe 14",
         [{"kind": "remind", "text": "wipe 14", "every_days": 7, "time": "18:00", "place": "tank 14"}],
         ("every", "remind|every_days")),
    ],
)  # fmt: skip
def test_a_moment_in_several_words_is_found(text: str, events: list[Raw], label: tuple[str, str]) -> None:
    example = example_of(note_of(text, *events), NAMES, ROOM)
    assert example is not None
    assert label in labels_of(example).items()


@pytest.mark.parametrize(
    "text",
    [
        "moved ten to nine, all well",
        "wc at 7 30 of the 13",
        "fed at 8 10 12",
        "fed a quarter to 11",
        "half 6 out",
        "E at ten past the door",
    ],
)
def test_numbers_beside_numbers_stay_what_they_are(text: str) -> None:
    assert not any(t.kind == "clock" and t.value.minute for t in tags_of(NAMES, text, SENT))


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("E: 7:15 mw, 12:30 bbs, 5:45 bbs\n11: 12:30 bbs, 5:45 powder",
         [fed("tub E", food="microworms", time="07:15"), fed("tub E", food="brine shrimp", time="12:30"),
          fed("tub E", food="brine shrimp", time="17:45"), fed("tank 11", food="brine shrimp", time="12:30"),
          fed("tank 11", food="powder", time="17:45")]),
        ("sat: 14 a third at 11", [water("tank 14", percent=33.3, date="2026-03-07", time="11:00")]),
    ],
)  # fmt: skip
def test_hours_run_through_the_day_and_spare_the_night(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


def pulled(place: str, count: int, **more: object) -> Raw:
    return {"kind": "pull", "place": place, "count": count, **more}


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("sat to mon: a fifth of 12 each day",
         [water("tank 12", percent=20, date="2026-03-07"), water("tank 12", percent=20, date="2026-03-08"),
          water("tank 12", percent=20)]),
        ("E at 7, E at noon: half each time",
         [water("tub E", percent=50, time="07:00"), water("tub E", percent=50, time="12:00")]),
        ("sat and sun: tubs changed, powder for all fry both days",
         [water("all tubs", date="2026-03-07"), water("all tubs", date="2026-03-08"),
          fed("all fry", food="powder", date="2026-03-07"), fed("all fry", food="powder", date="2026-03-08")]),
        ("Sat-Mon tank 3: 12 9 14",
         [pulled("tank 3", 12, date="2026-03-07"), pulled("tank 3", 9, date="2026-03-08"), pulled("tank 3", 14)]),
        ("2 white in A yesterday 3 today", [bad("tub A", 2) | {"date": "2026-03-08"}, bad("tub A", 3)]),
        ("A changed at 6 and at 6 again", [water("tub A", time="06:00"), water("tub A", time="18:00")]),
        ("7am E worms + water. 9am 11 bbs",
         [fed("tub E", food="microworms", time="07:00"), water("tub E", time="07:00"),
          fed("tank 11", food="brine shrimp", time="09:00")]),
        ("early: 6:15am A 2 white. 6:30am B new water + powder for E",
         [bad("tub A", 2) | {"time": "06:15"}, water("tub B", time="06:30"),
          fed("tub E", food="powder", time="06:30")]),
        ("flake: 4pm t7, 5pm t14",
         [fed("tank 7", food="flake", time="16:00"), fed("tank 14", food="flake", time="17:00")]),
        ("5/3 14 a fifth, 14/2 14 half",
         [water("tank 14", percent=20, date="2026-03-05"), water("tank 14", percent=50, date="2026-02-14")]),
        ("10% in 4 at 12, 10% at 4",
         [water("tank 4", percent=10, time="12:00"), water("tank 4", percent=10, time="16:00")]),
        ("tubs at 07.10; 07.20 powder E", [water("all tubs", time="07:10"), fed("tub E", food="powder", time="07:20")]),
        ("E got powder and fresh water at 5:55",
         [fed("tub E", food="powder", time="17:55"), water("tub E", time="17:55")]),
        ("bbs 8am noon 5pm E+11",
         [fed("tub E", "tank 11", food="brine shrimp", time=time) for time in ("08:00", "12:00", "17:00")]),
        ("6 eggs (3, sat), mon: 7 a fifth",
         [pulled("tank 3", 6, date="2026-03-07"), water("tank 7", percent=20)]),
    ],
)  # fmt: skip
def test_what_was_done_time_after_time_is_told_each_time(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None
