"""Survival: the textbook's curve, lifelines as a witness, and sold fish that are not dead."""

from __future__ import annotations

import datetime as dt
import re
import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter  # type: ignore[import-untyped]

from shared.husbandry.survival import Life, survival, survival_at, weekly_losses
from tests.husbandry.figures import Published, each


def remission(row: Published) -> list[Life]:
    weeks = re.findall(r"(\d+)(\+?)", row.inputs.partition(":")[2])
    return [Life(float(week), died=not still) for week, still in weeks]


@each("S15", "S17")
def test_survival_of_the_textbook(row: Published) -> None:
    lives = remission(row)
    assert len(lives) == 21
    row.approves(survival_at(lives, float(re.findall(r"\((\d+)\)", row.quantity)[0])).value)


LIVES = st.lists(
    st.builds(Life, st.integers(1, 30).map(float), st.booleans(), st.integers(1, 5)), min_size=2, max_size=25
)


@given(LIVES)
def test_survival_agrees_with_lifelines(lives: list[Life]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        curve = KaplanMeierFitter().fit(
            [x.days for x in lives], [x.died for x in lives], weights=[x.count for x in lives]
        )
    bounds = curve.confidence_interval_
    for step in survival(lives):
        assert step.survival == pytest.approx(curve.predict(step.day), abs=1e-9)
        if step.survival > 0:
            low, high = bounds.loc[step.day]
            assert step.low == pytest.approx(low, abs=1e-6) and step.high == pytest.approx(high, abs=1e-6)


def test_fish_that_came_in_later_count_from_then() -> None:
    lives = [Life(10, True), Life(20, True), Life(30, False, 3), Life(25, True, 1, entered=15), Life(40, False, 2, 12)]
    curve = KaplanMeierFitter().fit(
        [x.days for x in lives for _ in range(x.count)],
        [x.died for x in lives for _ in range(x.count)],
        entry=[x.entered for x in lives for _ in range(x.count)],
    )
    for step in survival(lives):
        assert step.survival == pytest.approx(curve.predict(step.day))


def test_sold_fish_are_not_dead() -> None:
    sold = [Life(30, False, 50), Life(60, True, 1), Life(90, False, 9)]
    assert survival_at(sold, 80).value == pytest.approx(0.9)
    dead = [Life(30, True, 50), Life(60, True, 1), Life(90, False, 9)]
    assert survival_at(dead, 80).value == pytest.approx(9 / 60)
    with pytest.raises(ValueError, match="followed to day 120"):
        survival_at(sold, 120)


def test_losses_week_by_week() -> None:
    until = dt.date(2026, 3, 29)
    deaths = [(dt.date(2026, 3, 3), 1), (dt.date(2026, 3, 12), 1), (dt.date(2026, 3, 25), 6), (dt.date(2026, 3, 29), 6)]
    moves = [(dt.date(2026, 3, 17), -20), (dt.date(2026, 3, 18), 10)]
    weeks = weekly_losses(deaths, alive=60, until=until, weeks=4, moves=moves)
    assert [week.starts for week in weeks] == [dt.date(2026, 3, day) for day in (2, 9, 16, 23)]
    assert [week.died for week in weeks] == [1, 1, 0, 12]
    assert [week.at_risk for week in weeks] == [84, 83, 92, 72]
    assert [week.unusual for week in weeks] == [False, False, False, True]


def test_one_death_among_few_is_not_a_wave() -> None:
    weeks = weekly_losses([(dt.date(2026, 3, 29), 1)], alive=11, until=dt.date(2026, 3, 29), weeks=3)
    assert not weeks[-1].unusual and weeks[-1].cautions
    with pytest.raises(ValueError, match="a count is wrong"):
        weekly_losses([], alive=5, until=dt.date(2026, 3, 29), weeks=2, moves=[(dt.date(2026, 3, 28), 9)])


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: survival([Life(-1, True)]), "later one"),
        (lambda: survival_at([], 3), "followed"),
        (lambda: weekly_losses([], -1, dt.date(2026, 3, 1)), "below zero"),
    ],
)
def test_counts_that_cannot_be_are_refused_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
