"""The due list as it is said: one line a chore, since when, cut with a count; by tasks made up for the purpose."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.channels.gsm import folded, segments
from bot.language import Query
from bot.routine.chore_list import CHORES, MOST_LINES, in_short, listed
from bot.routine.chores import due_told
from shared.due.tasks import NEVER, TASKS, TWO_HOURS, DueTask
from tests.unasked.conftest import ZONE, House, when

NOW = when("2026-03-11 07:00")
DAY = dt.timedelta(hours=17, minutes=30)  # the grace of what only has its day


def task(chore: str, place: str | None, at: str, **more: Any) -> DueTask:
    grace = more.pop(
        "grace", TWO_HOURS if chore in ("egg_water", "check_hatch", "pick_eggs", "fry_feed", "feed") else DAY
    )
    return DueTask(chore, place, more.pop("batch", None), None, when(at), more.pop("why", ""), grace=grace, **more)


@pytest.mark.parametrize(
    ("tasks", "want"),
    [
        ([], "Nothing is due."),
        ([task("pull_mop", "tank 3", "2026-03-11 06:30")], "Pull mops: tank 3"),
        ([task("pull_mop", "tank 3", "2026-03-10 06:30")], "Pull mops: tank 3 (since yesterday)"),
        ([task("pull_mop", "tank 3", "2026-03-08 06:30")], "Pull mops: tank 3 (since Sun)"),
        ([task("pull_mop", "tank 3", "2026-02-22 06:30")], "Pull mops: tank 3 (since 22 Feb)"),
        ([task("pull_mop", "tank 3", "2025-10-22 06:30")], "Pull mops: tank 3 (since 22 Oct 2025)"),
        ([task("feed", "tank 3", "2026-03-11 06:30")], "Feed: tank 3 (06:30)"),
        ([task("feed", "tank 3", "2026-03-11 04:30")], "Feed: tank 3 (since 04:30)"),
        ([task("feed", "tank 3", "2026-03-11 06:30", person="Ivo")], "Feed: tank 3 (06:30, Ivo)"),
        (
            [task("pull_mop", f"tank {n}", "2026-03-11 06:30") for n in (1, 2, 3, 5)],
            "Pull mops: tanks 1–3 and 5",
        ),
        (
            [task("pull_mop", f"tank {n}", at) for n, at in ((1, "2026-03-11 06:30"), (2, "2026-03-09 06:30"))],
            "Pull mops: tank 2 since Mon; tank 1",
        ),
        (
            [task("move_up", "tub E", "2026-03-01 06:30", why="12 days old", grace=NEVER)],
            "Move up: tub E — 12 days old",
        ),
        ([task("reminder", "tank 4", "2026-03-11 09:00", text="squeeze the sponge")], "Squeeze the sponge: tank 4"),
        ([task("promised", None, "2026-03-11 06:30", text="4 gardneri for Lena")], "Promised: 4 gardneri for Lena"),
        (
            [task("check_hatch", "tub A", "2026-03-11 06:30", first=True, why="fry expected")],
            "! Look for fry: tub A (06:30) — fry expected",
        ),
        (
            [
                task(chore, f"tub {n}", "2026-03-11 06:30")
                for chore in ("egg_water", "check_hatch", "pick_eggs")
                for n in "AB"
            ],
            "Egg tubs, fresh water and a look: tubs A and B (06:30)",
        ),
        (
            [task("egg_water", "tub A", "2026-03-11 18:30"), task("fry_feed", "tub E", "2026-03-11 12:30")],
            "Nothing until 12:30, then:\nFeed fry: tub E (12:30)\nLater: 18:30 egg water.",
        ),
        (
            [task("feed", "tank 3", "2026-03-11 06:30"), task("feed", "tank 3", "2026-03-11 17:30")],
            "Feed: tank 3 (06:30)\nLater: 17:30 feed.",
        ),
        (
            [task("feed", "tank 3", "2026-03-12 06:30"), task("feed", "tank 3", "2026-03-12 17:30")],
            "Tomorrow:\nFeed: tank 3 (06:30, 17:30)",
        ),
    ],
)  # fmt: skip
def test_how_it_is_said(tasks: list[DueTask], want: str) -> None:
    assert listed(tasks, NOW) == want


def test_a_week_is_said_day_by_day_with_the_daily_once() -> None:
    days = range(11, 18)
    tasks = [task("feed", "tank 3", f"2026-03-{d} 06:30") for d in days]
    tasks += [task("pull_mop", "tank 3", f"2026-03-{d:02} 06:30") for d in (9, 12, 15)]
    tasks += [task("promised", None, "2026-03-14 06:30", text="4 gardneri for Lena")]
    assert listed(tasks, NOW) == (
        "Late: mops tank 3.\n"
        "Every day: feed.\n"
        "Tomorrow: mops tank 3.\n"
        "Sat 14 Mar: promised: 4 gardneri for Lena.\n"
        "Sun 15 Mar: mops tank 3."
    )


def test_a_long_list_is_cut_with_a_count_and_what_it_is() -> None:
    tasks = [task("reminder", None, "2026-03-11 06:30", text=f"thing {n}") for n in range(1, 31)]
    lines = listed(tasks, NOW).split("\n")
    assert len(lines) == MOST_LINES
    assert lines[-1] == "… and 19 more: thing 12, thing 13, thing 14, thing 15 …."


def test_very_many_places_are_numbered() -> None:
    tasks = [task("feed", f"rack {n % 7} shelf {n}", "2026-03-11 06:30") for n in range(60)]
    text = listed(tasks, NOW)
    assert text.endswith("and 50 more (06:30)")
    assert len(text) < 250


CHORE = st.builds(
    task,
    st.sampled_from(TASKS),
    st.one_of(st.none(), st.sampled_from([*(f"tank {n}" for n in range(1, 30)), "tub A", "tub B"])),
    st.datetimes(dt.datetime(2025, 10, 1), dt.datetime(2026, 3, 19)).map(lambda at: f"{at:%Y-%m-%d %H:%M}"),  # noqa: DTZ001
    first=st.booleans(),
    why=st.sampled_from(["", "last pulled Mon"]),
    grace=st.sampled_from([TWO_HOURS, DAY, NEVER]),
).map(lambda t: replace(t, text=f"see to {t.place or 'the door'}") if t.task in ("reminder", "promised") else t)


@given(st.lists(CHORE, min_size=1, max_size=60))
def test_any_list_fits_a_screen_and_names_no_chore_twice(tasks: list[DueTask]) -> None:
    lines = listed(tasks, NOW).split("\n")
    assert len(lines) <= MOST_LINES
    assert all(line.strip() for line in lines)
    heads = [line.partition(": ")[0].partition(" (")[0] for line in lines if "romised" not in line]
    assert len(heads) == len(set(heads))


@given(st.lists(CHORE, min_size=1, max_size=40))
def test_every_chore_that_waits_now_is_named(tasks: list[DueTask]) -> None:
    ready = [
        t for t in tasks if t.due <= NOW and not t.text and t.task not in ("check_hatch", "pick_eggs", "egg_water")
    ]
    today = [t for t in tasks if t.due.date() <= NOW.date()]
    text = listed(today, NOW, most=200) if today else ""
    assert all(CHORES[t.task] in text for t in ready)


@given(st.lists(CHORE, min_size=1, max_size=60))
def test_two_texts_hold_what_cannot_wait_and_more_tells_the_rest(tasks: list[DueTask]) -> None:
    today = [t for t in tasks if t.due.date() <= NOW.date()]
    text, rest = in_short(today, NOW, brief=True) if today else ("", "")
    shown = [line for line in text.split("\n") if not line.endswith("send “more”")]
    named = [line for line in shown if not line.startswith("Nothing until")]
    assert segments(folded(text)) <= 2 or len(named) == 1
    left = [line for line in rest.split("\n") if line and not line.startswith("Later: ")]
    whole = [line.partition(" — ")[0] for line in listed(today, NOW, most=200).split("\n")] if today else []
    told = {line for line in whole if not line.startswith(("Later: ", "Nothing until"))}
    assert {*named, *left} == (told or {""})
    if any(line.startswith("! ") for line in left):
        assert all(line.startswith(("! ", "Promised: ")) for line in named)
    assert ("send “more”" in text) == bool(rest)


def test_a_place_is_told_with_why_and_how(house: House) -> None:
    standing, book = house.book.standing(), house.book
    told = due_told(standing, book, when("2026-03-09 07:00"), Query("due", place="tank 3"))
    assert told.text == (
        "Pull mops (since yesterday) — not pulled since Thu, every 3 days; "
        "pick the eggs off, count them into a tub, hang the mop back.\n"
        "Feed (06:30, 17:30) — not fed since Thu, twice a day; what is eaten in a few minutes."
    )


def test_why_names_each_chore_with_its_reason(house: House) -> None:
    why = due_told(house.book.standing(), house.book, when("2026-03-09 07:00")).why
    assert any(
        w.startswith("Egg tubs, fresh water, tubs A, B and C: not changed since Thu, twice a day; ") for w in why
    )
    assert all(w.endswith(".") for w in why)


def test_words_are_in_the_rooms_zone_whatever_zone_now_is_in() -> None:
    tasks = [task("feed", "tank 3", "2026-03-11 06:30")]
    assert listed(tasks, NOW.astimezone(dt.UTC)) == listed(tasks, NOW.astimezone(ZONE))
