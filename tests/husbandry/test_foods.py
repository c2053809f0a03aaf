"""Foods: the published gape rule, hatches across a change of the clocks, and plans that reach back far enough."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.husbandry.foods import (
    Brood,
    Mouth,
    brine_shrimp,
    cysts_needed,
    first_foods,
    foods,
    live_food_plan,
    microworm_restart,
    prey_width,
)
from tests.husbandry.figures import Published, each

CHICAGO = ZoneInfo("America/Chicago")
TODAY = dt.date(2026, 3, 9)


def utc(month: int, day: int, hour: int = 0, minute: int = 0) -> dt.datetime:
    return dt.datetime(2026, month, day, hour, minute, tzinfo=dt.UTC)


@each("L26")
def test_best_prey_for_a_mouth(row: Published) -> None:
    width = prey_width(500.0)
    row.approves(width.value / 500)
    assert (width.low, width.high) == pytest.approx((100, 250))


@pytest.mark.parametrize(
    ("mouth", "suits", "not_yet"),
    [
        ("tiny", {"infusoria", "powder", "microworms"}, {"baby brine shrimp", "adult moina"}),
        ("small", {"infusoria", "baby brine shrimp"}, {"adult moina"}),
        ("large", {"baby brine shrimp", "young moina"}, {"powder", "vinegar eels"}),
    ],
)
def test_first_foods_by_mouth(mouth: Mouth, suits: set[str], not_yet: set[str]) -> None:
    fitting = {fit.food.name for fit in first_foods(mouth) if fit.verdict == "suits"}
    assert suits <= fitting
    assert not not_yet & fitting


@given(st.floats(30, 5000))
def test_every_food_is_judged_and_a_wider_mouth_never_finds_food_too_large_again(mouth: float) -> None:
    fits = {fit.food.name: fit for fit in first_foods(mouth)}
    assert len(fits) == len(foods()) > 5
    wider = {fit.food.name: fit for fit in first_foods(min(5000, mouth * 1.5))}
    for name, fit in fits.items():
        if fit.verdict != "too large":
            assert wider[name].verdict != "too large"
        width = prey_width(mouth)
        assert width.low is not None and width.high is not None
        if width.low <= (fit.food.narrow_um + fit.food.wide_um) / 2 <= width.high:
            assert fit.verdict == "suits"


def test_the_best_food_comes_first() -> None:
    assert first_foods(500.0)[0].food.name == "baby brine shrimp"
    assert first_foods(150.0)[0].share == pytest.approx(0.36, abs=0.06)


def test_a_hatch_is_started_the_evening_before() -> None:
    hatch = brine_shrimp(utc(3, 10, 18, 0), 26)
    assert hatch.start == utc(3, 9, 18, 0)
    assert hatch.earliest == utc(3, 9, 6, 0)
    assert hatch.latest == utc(3, 10, 0, 0)
    assert hatch.feed_within < dt.timedelta(hours=12)


def test_hours_are_real_hours_across_a_change_of_the_clocks() -> None:
    ready = dt.datetime(2026, 3, 8, 18, 0, tzinfo=CHICAGO)  # clocks went forward that night
    start = brine_shrimp(ready, 26).start
    assert start == dt.datetime(2026, 3, 7, 17, 0, tzinfo=CHICAGO)
    assert ready.astimezone(dt.UTC) - start.astimezone(dt.UTC) == dt.timedelta(hours=24)
    assert start.tzinfo is CHICAGO


@given(st.floats(15, 33), st.integers(0, 500_000))
def test_colder_hatches_start_earlier(celsius: float, minutes: int) -> None:
    ready = utc(1, 1) + dt.timedelta(minutes=minutes)
    hatch = brine_shrimp(ready, celsius)
    assert hatch.earliest < hatch.start < hatch.latest < hatch.ready
    assert brine_shrimp(ready, max(15, celsius - 2)).start <= hatch.start


@pytest.mark.parametrize(("celsius", "warned"), [(24, True), (25, False), (28, False), (30, False), (31, True)])
def test_a_hatchery_too_cool_or_too_warm_is_said_to_be(celsius: float, warned: bool) -> None:
    assert (len(brine_shrimp(utc(3, 10), celsius).cautions) > 1) is warned


def test_the_rooms_own_hours_go_before_the_usual() -> None:
    ready = utc(3, 10, 18, 0)
    own = brine_shrimp(ready, 26, hours=30)
    assert own.start == utc(3, 9, 12, 0)
    assert own.earliest < own.start < own.latest


def test_cysts_for_a_meal() -> None:
    found = cysts_needed(100, 50)
    assert found.value == pytest.approx(20)
    assert (found.low, found.high) == pytest.approx((1000 * 5000 / 300_000, 25))
    assert cysts_needed(0).value == 0


def test_food_is_planned_back_from_the_hatch() -> None:
    small = Brood("B23", dt.date(2026, 3, 18), dt.date(2026, 3, 24), "tiny")
    large = Brood("B21", dt.date(2026, 3, 14), dt.date(2026, 3, 20), "large")
    plan = live_food_plan([small, large], TODAY, running=["microworms"])
    foods_of = {(start.batch, start.food): start for start in plan}
    shrimp = foods_of["B21", "baby brine shrimp"]
    assert shrimp.wanted == large.first and shrimp.latest == dt.date(2026, 3, 13) and not shrimp.late
    assert foods_of["B23", "baby brine shrimp"].wanted == dt.date(2026, 3, 25)
    assert ("B21", "microworms") not in foods_of
    assert foods_of["B23", "microworms"].running
    assert foods_of["B23", "infusoria"].earliest == dt.date(2026, 3, 11)
    assert list(plan) == sorted(plan, key=lambda start: start.earliest)


def test_a_brood_that_hatches_before_its_food_is_said_to_be_late() -> None:
    brood = Brood("B22", TODAY + dt.timedelta(days=1), TODAY + dt.timedelta(days=4), "tiny")
    late = {start.food for start in live_food_plan([brood], TODAY) if start.late}
    assert "infusoria" in late or "microworms" in late
    assert all("powder" in start.why for start in live_food_plan([brood], TODAY) if start.late)
    assert not any(s.late for s in live_food_plan([brood], TODAY, running=[food.name for food in foods()]))


@given(
    st.integers(0, 60),
    st.integers(0, 20),
    st.sampled_from(["tiny", "small", "large"]),
    st.sampled_from([0.0, 2.0, 5.0]),
)
def test_every_brood_has_food_wanted_when_it_first_eats(ahead: int, long: int, mouth: Mouth, eats: float) -> None:
    first = TODAY + dt.timedelta(days=ahead)
    brood = Brood("B30", first, first + dt.timedelta(days=long), mouth, eats)
    plan = live_food_plan([brood], TODAY)
    assert any(start.wanted == first + dt.timedelta(days=int(eats)) for start in plan)
    for start in plan:
        assert start.earliest <= start.latest < start.wanted


@pytest.mark.parametrize(
    ("started", "others", "due", "caution"),
    [
        (dt.date(2026, 3, 1), [dt.date(2026, 2, 20)], False, None),
        (dt.date(2026, 2, 22), [dt.date(2026, 3, 5)], True, None),
        (dt.date(2026, 3, 1), [], False, "only one"),
        (dt.date(2026, 3, 1), [dt.date(2026, 3, 2)], False, "one age"),
        (dt.date(2026, 2, 1), [dt.date(2026, 3, 1)], True, "past three weeks"),
        (dt.date(2026, 2, 20), [dt.date(2026, 3, 1)], True, None),
        (dt.date(2026, 3, 1), [dt.date(2026, 3, 5)], False, None),
    ],
)
def test_microworms(started: dt.date, others: list[dt.date], due: bool, caution: str | None) -> None:
    found = microworm_restart(started, TODAY, others)
    assert found.due is due
    assert found.latest - found.earliest == dt.timedelta(days=7)
    assert found.feeds_from >= max(TODAY, found.earliest) + dt.timedelta(days=7)
    assert (caution is None and not found.cautions) or any(caution in text for text in found.cautions if caution)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: prey_width(5.0), "not that of fry"),
        (lambda: brine_shrimp(utc(3, 9), 36), "do not hatch well"),
        (lambda: brine_shrimp(utc(3, 9), 78), "°F"),
        (lambda: brine_shrimp(utc(3, 9), 26, hours=200), "no time for"),
        (lambda: cysts_needed(-1), "fewer than none"),
        (lambda: live_food_plan([Brood("B1", TODAY, dt.date(2026, 3, 1), "tiny")], TODAY), "ends before"),
        (lambda: microworm_restart(dt.date(2027, 1, 1), TODAY), "future"),
    ],
)
def test_impossible_foods_are_refused_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
