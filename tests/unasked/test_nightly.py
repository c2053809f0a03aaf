"""The nightly message: its figures against the notes, what is unlike the room, and that it fits where it goes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats  # type: ignore[import-untyped]

from bot.answers.found import Found
from bot.channels.gsm import is_gsm, segments
from bot.unasked.night import Line
from bot.unasked.nightly import MOST_LINES, _fitted, nightly, weekly
from shared.due.unlike import chance_of, many_deaths, out_of_band, stopped_laying
from tests.unasked.conftest import House, when

NIGHT = "2026-03-10 21:00"


def line_of(text: str, start: str) -> str:
    return next((line for line in text.split("\n") if line.startswith(start)), "")


@pytest.mark.parametrize(
    ("notes", "want"),
    [
        (["pulled mop tank 3, 40 eggs into tub D"], "Today: 40 eggs (gardneri)."),
        (
            ["pulled mop tank 3, 40 eggs into tub D", "tank 5 mop 2 eggs into tub C"],
            "Today: 42 eggs (gardneri 40, lampeye 2).",
        ),
        (["pulled mops in 2 and 3, 12 and 30 eggs"], "Today: 42 eggs (gardneri)."),
        (["pulled mop tank 3"], "Today: eggs, not counted."),
        (["pulled mop tank 3, no eggs"], ""),
        (["12 hatched in tub B, moved to tub F"], "Today: 12 fry hatched (B22)."),
        (["2 dead in tank 13", "1 dead in tank 14"], "Today: 3 dead (tank 13 2, tank 14 1)."),
        (["3 bad eggs tub B"], "Today: 3 bad eggs."),
        (["sold 6 juveniles from tank 13 to Okafor for $30"], "Today: 6 sold for $30."),
        (["sold 4 juveniles from tank 13 to Okafor for $20", "undo"], ""),
    ],
)
def test_what_was_found_is_added_up(house: House, notes: Sequence[str], want: str) -> None:
    for note in notes:
        house.say(note, "2026-03-10 07:00")
    assert line_of(nightly(house.book, when(NIGHT)), "Today:") == want


def test_each_egg_is_told_in_one_message_only(house: House) -> None:
    """Also what was pulled or told after the message, and what was told days late."""
    house.say("pulled mop tank 3, 40 eggs into tub D", "2026-03-09 07:00")
    house.say("tank 5 mop 3 eggs into tub C", "2026-03-09 22:30")  # after the message
    house.say("yesterday tank 1 mop 5 eggs into tub A", "2026-03-11 08:00")
    nights = [nightly(house.book, when(f"2026-03-{day:02} 21:00")) for day in (9, 10, 11)]
    told = [[line for line in text.split("\n") if " eggs" in line and "Tonight" not in line] for text in nights]
    assert [lines[:1] for lines in told] == [
        ["Today: 40 eggs (gardneri)."],
        ["Today: 5 eggs (blue gularis)."],
        ["Of the days before, told since: 5 eggs (blue gularis)."],
    ]
    assert told[1][1:] == ["Of the days before, told since: 3 eggs (lampeye)."]


def test_a_quiet_room_says_so_in_a_line(house: House) -> None:
    early = nightly(house.book, when("2026-03-04 21:00"))  # before the day the card speaks of
    assert early == "Millrace room, Wed 4 Mar: a quiet day, nothing missed."
    assert nightly(house.book, when("2026-03-04 21:00"), short=True) == early


def test_chores_this_room_never_logs_are_not_called_missed(house: House) -> None:
    assert "mops" in line_of(nightly(house.book, when(NIGHT)), "Not logged")
    house.say("egg tubs A, B and C changed", "2026-03-27 07:00")
    later = line_of(nightly(house.book, when("2026-03-28 21:00")), "Not logged")
    assert "egg water" in later
    assert "mops" not in later


def test_the_week_holds_seven_days_and_the_week_before(house: House) -> None:
    for at, eggs in (("03-08 07:00", 1), ("03-09 07:00", 10), ("03-15 07:00", 30), ("03-16 07:00", 5)):
        house.say(f"pulled mop tank 3, {eggs} eggs into tub D", f"2026-{at}")
    assert line_of(weekly(house.book, when("2026-03-15 21:00")), "Week") == (
        "Week 9–15 Mar: 40 eggs (1); in brackets the week before."
    )
    assert "Week 9–15 Mar" in nightly(house.book, when("2026-03-15 21:00"))
    assert "Week" not in nightly(house.book, when("2026-03-16 21:00"))


# ---- unlike this room


def test_more_deaths_than_usual_are_said_with_where(house: House) -> None:
    for day in range(10, 28):
        house.say("fed everyone", f"2026-03-{day} 08:00")
    house.say("1 dead in tank 13", "2026-03-20 08:00")
    house.say("4 dead in tank 13", "2026-03-28 08:00")
    assert line_of(nightly(house.book, when("2026-03-28 21:00")), "More deaths") == (
        "More deaths than usual: 4, against 0 a day in 23 days (4 in tank 13). Test the water there."
    )
    house.say("2 dead in tank 13", "2026-03-29 08:00")
    assert line_of(nightly(house.book, when("2026-03-29 21:00")), "More deaths") == ""


def test_a_tank_that_stopped_laying_is_said_on_the_second_time_only(house: House) -> None:
    for day, eggs in ((1, "12 eggs"), (4, "8 eggs"), (7, "15 eggs"), (10, "no eggs"), (13, "no eggs")):
        house.say(f"pulled mop tank 5, {eggs}", f"2026-03-{day:02} 08:30")
    nights = [line_of(nightly(house.book, when(f"2026-03-{d} 21:00")), "tank 5 has") for d in (10, 13, 14)]
    assert nights == ["", "tank 5 has stopped laying: nothing twice running, 12 a pull before.", ""]


def test_readings_out_of_band_are_said(house: House) -> None:
    for day, degrees in ((5, 76), (6, 77), (7, 76), (8, 76), (10, 68)):
        house.say(f"temp tank 5 {degrees}", f"2026-03-{day:02} 08:30")
    house.say("ammonia in tub E 0.5", "2026-03-10 08:30")
    house.say("ammonia in tank 5 0", "2026-03-10 08:30")
    text = nightly(house.book, when(NIGHT))
    assert line_of(text, "tank 5") == "tank 5: 68 °F at the last test, usually 76 °F."
    assert line_of(text, "tub E") == "tub E: ammonia 0.5 mg/L at the last test."


@given(st.integers(0, 12), st.lists(st.integers(0, 6), min_size=1, max_size=40))
def test_the_chance_of_so_many_deaths_is_the_negative_binomials(many: int, before: list[int]) -> None:
    share = len(before) / (len(before) + 1)
    want = float(stats.nbinom.sf(many - 1, sum(before) + 0.5, share))
    assert chance_of(many, before) == pytest.approx(want, abs=1e-9)


@pytest.mark.parametrize(
    ("many", "before", "want"),
    [
        (2, [0] * 28, False),
        (3, [0] * 28, True),
        (3, [1] * 28, False),
        (6, [1] * 28, True),
        (4, [0] * 5, False),
        (5, [0] * 5, True),
        (3, [], False),
    ],
)
def test_deaths_are_many_by_what_the_room_is_used_to(many: int, before: list[int], want: bool) -> None:
    assert many_deaths(many, before) is want


@pytest.mark.parametrize(
    ("counts", "usual"),
    [
        ([12, 8, 10, 0, 0], 10.0),
        ([12, 8, 10, 0, 3], None),
        ([12, 8, 10, 0], None),
        ([0, 0], None),
        ([5, 0, 0, 5, 0, 0], None),  # it never laid much
        ([12, 8, 0, 10, 0, 0], 7.5),
        ([], None),
    ],
)
def test_a_tank_stopped_when_nothing_came_twice_running(counts: list[int], usual: float | None) -> None:
    assert stopped_laying(counts) == usual


@pytest.mark.parametrize(
    ("quantity", "value", "earlier", "want"),
    [
        ("ammonia", 0.25, [], (True, None)),
        ("ammonia", 0.1, [], (False, None)),
        ("nitrite", 0.5, [], (True, None)),
        ("temperature", 24.0, [24, 24, 24, 24], (False, None)),
        ("temperature", 20.9, [24, 24, 24, 24], (True, 24)),
        ("temperature", 20.9, [24, 24, 24], (False, None)),
        ("temperature", 15.0, [], (True, None)),
        ("temperature", 32.0, [], (True, None)),
        ("ph", 6.4, [7.3, 7.2, 7.4, 7.3], (True, 7.3)),
        ("gh", 20.0, [3.0, 3.0, 3.0, 3.0], (False, None)),
    ],
)
def test_a_reading_is_out_of_band(
    quantity: str, value: float, earlier: list[float], want: tuple[bool, float | None]
) -> None:
    assert out_of_band(quantity, value, earlier) == want


# ---- where it goes

WORDS = st.text(alphabet="abc 123ü°“”—–…łß🐟", min_size=1, max_size=90)


@given(st.lists(st.builds(Line, text=WORDS, short=WORDS, rank=st.integers(0, 9)), max_size=14), WORDS)
def test_the_short_form_is_two_text_messages_at_most(lines: list[Line], head: str) -> None:
    assert segments(_fitted(head, lines)) <= 2


def test_the_short_form_keeps_what_matters_most(house: House) -> None:
    for tank in range(1, 10):
        house.say(f"nitrite tank {tank} 1", "2026-03-10 08:00")
    house.say("5 dead in tank 13", "2026-03-10 08:00")
    text = nightly(house.book, when(NIGHT), short=True)
    assert segments(text) == 2
    assert is_gsm(text)
    assert "tank 1 nitrite 1 mg/L." in text
    assert "tank 9 nitrite 1 mg/L." in text
    assert "Many deaths: 5 (5 in tank 13)." in text
    assert "more: ask what's due" in text


def test_the_long_form_fits_a_screen(house: House) -> None:
    for tank in range(1, 11):
        house.say(f"nitrite tank {tank} 1", "2026-03-10 08:00")
    text = nightly(house.book, when(NIGHT))
    assert len(text.split("\n")) == MOST_LINES
    assert text.split("\n")[-1].startswith("… and ")


def test_a_bad_sunday_keeps_what_matters_in_both_forms(house: House) -> None:
    """Many deaths, a stopped tank, ammonia, cold, a batch past its window: before the figures of the week."""
    for day, eggs in ((2, 12), (5, 8), (8, 15), (26, 0)):
        house.say(f"pulled mop tank 5, {eggs or 'no'} eggs", f"2026-03-{day:02} 08:30")
    for note in (
        "fed everyone", "pulled mop tank 5, no eggs", "14 dead in tank 13", "9 dead in tank 14", "ammonia in tub E 2",
        "ammonia in tank 13 1", "nitrite in tank 14 3", "temp tank 5 60", "nitrite tank 9 1",
    ):  # fmt: skip
        house.say(note, "2026-03-29 17:00")
    text, short = (nightly(house.book, when("2026-03-29 21:00"), short=brief) for brief in (False, True))
    assert len(text.split("\n")) <= MOST_LINES
    for told in ("More deaths", "tank 5 has stopped", "tub E: ammonia", "tank 5: 60 °F", "Past the window", "Week"):
        assert line_of(text, told), told
    assert segments(short) == 2
    assert is_gsm(short)
    for told in ("Many deaths: 23", "tank 5 no eggs twice.", "tub E ammonia 2", "tank 5 60 F.", "Past window: B22."):
        assert line_of(short, told), told


def test_late_is_said_with_the_hour(house: House) -> None:
    assert nightly(house.book, when(NIGHT), late=True).startswith("Millrace room, Tue 10 Mar, 21:00 (sent late)")
    assert segments(nightly(house.book, when(NIGHT), short=True, late=True)) <= 2


def test_figures_of_nothing_are_none() -> None:
    assert not Found.of([]).eggs


def test_the_hour_is_the_rooms_whatever_zone_is_asked_in(house: House) -> None:
    house.say("pulled mop tank 3, 40 eggs into tub D", "2026-03-10 20:30")
    assert nightly(house.book, when(NIGHT)) == nightly(house.book, when(NIGHT).astimezone(dt.UTC))
