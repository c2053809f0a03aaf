"""Water changes: published arithmetic, and laws that must hold whatever the numbers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.husbandry.water_changes import (
    Change,
    after_changes,
    aged_water,
    box_volume,
    changes_needed,
    exchanged,
    mixed,
    percent_needed,
    steady_state,
    tap_share,
    volumes_to_exchange,
)
from shared.quantities import convert
from tests.husbandry.figures import Published, each


@each("W01", "W02", "W04")
def test_what_changes_leave(row: Published) -> None:
    start, percent, changes = {"W01": (1, 25, 4), "W02": (100, 10, 5), "W04": (50, 100 * 25 / 125, 1)}[row.id]
    row.approves(after_changes(start, percent, changes).value)


@each("W06")
def test_continuous_exchange(row: Published) -> None:
    row.approves(exchanged(1).value)


@each("W08")
def test_flushing(row: Published) -> None:
    row.approves(volumes_to_exchange(99.9).value)


@each("W09", "W11")
def test_steady_state(row: Published) -> None:
    gained, percent, fresh = {"W09": (7, 25, 0), "W11": (5, 20, 10)}[row.id]
    row.approves(steady_state(gained, percent, fresh).value)


@given(st.floats(0.1, 20), st.floats(5, 95), st.floats(0, 30))
def test_steady_state_is_where_repeated_changes_end(gained: float, percent: float, fresh: float) -> None:
    level = 0.0
    for _ in range(600):
        level = after_changes(level + gained, percent, 1, fresh).value
    settled = steady_state(gained, percent, fresh)
    assert level == pytest.approx(settled.after, rel=1e-6)
    assert level + gained == pytest.approx(settled.value, rel=1e-6)


@given(st.floats(10, 200), st.floats(0.05, 0.95), st.floats(5, 90), st.floats(0, 0.9))
def test_changes_needed_is_the_least_that_does_it(start: float, part: float, percent: float, dirt: float) -> None:
    target, fresh = start * part, start * part * dirt
    changes = int(changes_needed(start, target, percent, fresh).value)
    assert after_changes(start, percent, changes, fresh).value <= target * (1 + 1e-6)
    assert after_changes(start, percent, changes - 1, fresh).value > target * (1 - 1e-6)
    once = percent_needed(start, target, fresh).value
    assert after_changes(start, once, 1, fresh).value == pytest.approx(target)


@pytest.mark.parametrize(
    ("start", "fresh", "percent", "changes"), [(80, 0, 50, 1), (80, 0, 25, 3), (80, 20, 30, 4), (30, 0, 100, 1)]
)
def test_halving_nitrate(start: float, fresh: float, percent: float, changes: int) -> None:
    assert changes_needed(start, start / 2, percent, fresh).value == changes


def test_tap_water_that_holds_the_target_cannot_reach_it() -> None:
    with pytest.raises(ValueError, match="the new water itself holds"):
        percent_needed(40, 20, fresh=20)
    assert percent_needed(40, 20, fresh=10).value == pytest.approx(66.667, abs=0.001)
    assert changes_needed(10, 20, 25).value == 0
    assert changes_needed(20, 20, 25, fresh=20).value == 0


@each("T01", "T02", "T03", "T05", "T07", "T08")
def test_tanks_by_their_sides(row: Published) -> None:
    length, width, height = (float(side) for side in row.inputs.removesuffix(" in").split("x"))
    full = box_volume(length, width, height)
    row.approves(convert(full.value, "l", row.unit).value)
    assert full.low == pytest.approx(0.8 * full.value) and full.high == full.value


def test_the_same_box_in_centimetres() -> None:
    assert box_volume(60, 30, 30, "cm").value == pytest.approx(54.0)
    assert box_volume(16, 8, 10).value == pytest.approx(box_volume(40.64, 20.32, 25.4, "cm").value)


@pytest.mark.parametrize(
    ("parts", "value"),
    [([(1, 300), (2, 10)], 320 / 3), ([(1, 16.0), (1, 0.0)], 8.0), ([(30, 24.0), (10, 20.0)], 23.0)],
)
def test_waters_poured_together(parts: list[tuple[float, float]], value: float) -> None:
    assert mixed(parts).value == pytest.approx(value)


@given(st.floats(0, 50), st.floats(60, 600), st.floats(0, 1))
def test_mixing_back_gives_the_target(pure: float, tap: float, part: float) -> None:
    target = pure + part * (tap - pure)
    share = tap_share(target, tap, pure).value
    assert mixed([(share, tap), (100 - share, pure)]).value == pytest.approx(target, abs=1e-6)


def test_a_target_outside_both_waters_is_refused() -> None:
    with pytest.raises(ValueError, match="does not lie between"):
        tap_share(20, 15, 0)


def test_water_to_have_standing_tomorrow() -> None:
    tubs = [Change(0.473, 100, times=2)] * 3
    tank = Change(113.6, 50)
    water = aged_water([*tubs, tank])
    assert water.low == pytest.approx(6 * 0.473 + 56.8)
    assert water.value == pytest.approx(1.1 * (6 * 0.473 + 56.8))
    assert aged_water([]).value == 0
    assert aged_water([Change(10, 50, times=0), Change(10, 50, times=3)]).low == pytest.approx(15)
    with pytest.raises(ValueError, match="number of changes"):
        aged_water([Change(10, 50, times=-1)])


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: after_changes(10, 140, 1), "140 %"),
        (lambda: after_changes(10, 0, 1), "changes nothing"),
        (lambda: after_changes(10, 20, -1), "below zero"),
        (lambda: box_volume(20, 0, 10), "longer than nothing"),
        (lambda: box_volume(20, 10, 10, "gal"), "does not turn"),
        (lambda: mixed([]), "no water"),
        (lambda: volumes_to_exchange(100), "never"),
        (lambda: aged_water([Change(-5, 50)]), "not a volume"),
    ],
)
def test_impossible_questions_are_answered_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
