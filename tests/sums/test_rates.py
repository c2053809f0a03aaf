"""Rates asked of a record with some months in it, against the same numbers reckoned elsewhere."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from lifelines import KaplanMeierFitter  # type: ignore[import-untyped]
from statsmodels.stats.proportion import proportion_confint  # type: ignore[import-untyped]

from tests.sums.conftest import Room

# by tank: pulled, bad, hatched
PULLS = {
    "tank 2": [(40, 28, 12), (30, 22, 8), (36, 25, 11), (44, 32, 12)],
    "tank 3": [(40, 8, 32), (30, 6, 24), (36, 9, 27), (44, 8, 36)],
}


def _spawn(room: Room, batch: str, tank: str, day: dt.date, eggs: int, bad: int, hatched: int) -> None:
    room.log(day.isoformat(), "pull", place=tank, count=eggs, to="tub D", batch=batch)
    room.log((day + dt.timedelta(days=5)).isoformat(), "bad_eggs", batch=batch, count=bad)
    if hatched:
        room.log((day + dt.timedelta(days=12)).isoformat(), "hatch", batch=batch, count=hatched)


@pytest.fixture
def spawned(room: Room) -> Room:
    """Eight batches, four from each gardneri tank, each hatched or gone bad to the last egg."""
    room.now = dt.datetime(2026, 5, 20, 18, 0, tzinfo=dt.UTC)
    number = 24
    for tank, pulls in PULLS.items():
        for n, (eggs, bad, hatched) in enumerate(pulls):
            day = dt.date(2026, 3, 12 if tank == "tank 2" else 13) + dt.timedelta(days=14 * n)
            _spawn(room, f"B{number}", tank, day, eggs, bad, hatched)
            number += 1
    return room


def test_the_hatch_rate_of_a_tank(spawned: Room) -> None:
    text = spawned.say("hatch rate of tank 2").text
    assert "43 of 150 eggs hatched, 29 %" in text  # 12 + 8 + 11 + 12 of 40 + 30 + 36 + 44
    assert "4 batches" in text
    low, high = (int(x) / 100 for x in re.findall(r"\((\d+)–(\d+) %, 95 %\)", text)[0])
    least, most = proportion_confint(43, 150, method="wilson")
    assert low <= least + 0.005  # never narrower than independent eggs
    assert high >= most - 0.005


def test_a_month_takes_only_what_was_laid_in_it(spawned: Room) -> None:
    text = spawned.ask("hatch rate of tank 3 in april", "rate", place="tank 3").text
    assert "63 of 80 eggs" in text  # laid by 10 and 24 April: 27 of 36 and 36 of 44


def test_a_batch_still_waited_for_is_left_out(spawned: Room) -> None:
    spawned.log("2026-05-19", "pull", place="tank 2", count=50, to="tub D", batch="B32")
    text = spawned.say("hatch rate of tank 2").text
    assert "43 of 150" in text
    assert "B32" in text
    assert "still waited for" in text


def test_a_batch_that_failed_whole_counts(spawned: Room) -> None:
    _spawn(spawned, "B32", "tank 2", dt.date(2026, 5, 1), 20, 20, 0)
    assert "43 of 170" in spawned.say("hatch rate of tank 2").text


@pytest.mark.parametrize("text", ["is tank 2 really worse than tank 3", "is tank 2 really worse than 3"])
def test_a_tank_that_really_is_worse(spawned: Room, text: str) -> None:
    found = spawned.ask(text, "rate").text
    assert "43 of 150 (29 %" in found
    assert "119 of 150 (79 %" in found
    assert "really lower" in found
    assert "51 points" in found  # 76 / 150


def test_two_tanks_alike_are_not_told_apart(room: Room) -> None:
    for n, (tank, bad) in enumerate((("tank 2", 8), ("tank 3", 6))):
        _spawn(room, f"B{24 + n}", tank, dt.date(2026, 3, 10 + n), 20, bad, 20 - bad)
    assert "no telling them apart" in room.ask("is the hatch rate of tank 2 worse than tank 3", "rate").text


def test_the_worst_of_all(spawned: Room) -> None:
    text = spawned.ask("which tank has the worst hatch rate", "rate").text
    assert text.startswith("Lowest: tank 2")


def test_survival_to_sale_with_and_without_culls(spawned: Room) -> None:
    # B28: 32 fry hatched 25 March
    spawned.log("2026-04-04", "death", batch="B28", count=3)
    spawned.log("2026-04-24", "death", batch="B28", count=4, cause="culled")
    spawned.log("2026-05-14", "sale", batch="B28", count=10, price=40)
    text = spawned.ask("survival to sale of B28", "rate", batch="B28").text
    ages = [10, 30, 50, 56]
    weights = [3, 4, 10, 15]
    with_culls = KaplanMeierFitter().fit(ages, [True, True, False, False], weights=weights).predict(50)
    without = KaplanMeierFitter().fit(ages, [True, False, False, False], weights=weights).predict(50)
    assert f"B28: {100 * with_culls:.0f} %" in text
    assert f"{100 * without:.0f} % when culls are not counted" in text
    assert "about 50 days old" in text


def test_losses_by_the_week(room: Room) -> None:
    room.log("2026-03-06", "death", batch="B14", count=2)
    text = room.ask("losses per week of B14", "rate", batch="B14").text
    assert "2 of 84 (2.4 %)" in text  # the card's 84, of which two died within the last week
    assert "0 of 84 (0.0 %)" in text or "0 of 0" in text


def test_a_bad_week_stands_out(room: Room) -> None:
    for day in ("2026-04-20", "2026-04-27"):
        room.log(day, "death", batch="B14", count=1)
    room.log("2026-05-10", "death", batch="B14", count=12)
    room.now = dt.datetime(2026, 5, 12, 18, 0, tzinfo=dt.UTC)
    assert "out of the common" in room.ask("losses per week of B14", "rate", batch="B14").text


def test_without_a_record_there_is_no_rate(room: Room) -> None:
    assert "no rate" in room.say("hatch rate of boesemani").text
    assert "no survival can be said" in room.ask("survival of lampeye", "rate", line="lampeye").text
