"""Rates: textbook values, statsmodels, scipy and lifelines as witnesses, and coverage measured on drawn spawns."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats  # type: ignore[import-untyped]
from statsmodels.stats.proportion import (  # type: ignore[import-untyped]
    confint_proportions_2indep,
    proportion_confint,
)

from shared.husbandry.rates import (
    Spawn,
    _difference,
    _student,
    compare,
    compare_each,
    hatch_rate,
    wilson,
)
from tests.husbandry.figures import Published, each


@each("S01", "S02", "S05", "S06", "S09", "S10", "S11", "S12")
def test_wilson_interval(row: Published) -> None:
    successes, total = map(int, row.inputs.split("/"))
    rate = wilson(successes, total)
    bound = rate.low if row.quantity.endswith("lower") else rate.high
    assert bound is not None
    row.approves(bound)


@given(
    st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), st.sampled_from([0.8, 0.95, 0.99])
)
def test_wilson_agrees_with_statsmodels(counts: tuple[int, int], confidence: float) -> None:
    rate = wilson(*counts, confidence)
    low, high = proportion_confint(*counts, alpha=1 - confidence, method="wilson")
    assert rate.low == pytest.approx(low, abs=1e-9) and rate.high == pytest.approx(high, abs=1e-9)


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 7, 10, 31, 100, 200])
@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.95, 0.99])
def test_student_agrees_with_scipy(degrees: int, confidence: float) -> None:
    assert _student(degrees, confidence) == pytest.approx(stats.t.ppf(0.5 + confidence / 2, degrees), rel=1e-8)


@pytest.mark.parametrize(
    ("a", "b"), [((81, 263), (40, 100)), ((9, 12), (3, 15)), ((48, 50), (50, 50)), ((1, 20), (0, 20))]
)
def test_a_difference_of_independent_counts_agrees_with_statsmodels(a: Spawn, b: Spawn) -> None:
    ours = _difference(wilson(*a), wilson(*b), 0.95)
    low, high = confint_proportions_2indep(*a, *b, method="newcomb", compare="diff")
    assert ours.low == pytest.approx(low, abs=1e-9) and ours.high == pytest.approx(high, abs=1e-9)


def drawn(chance: random.Random, spawns: int, rate: float, likeness: float) -> list[Spawn]:
    """Spawns whose rates differ as a beta distribution says."""
    found = []
    for _ in range(spawns):
        eggs = chance.randint(10, 60)
        own = chance.betavariate(rate * (1 - likeness) / likeness, (1 - rate) * (1 - likeness) / likeness)
        found.append((sum(chance.random() < own for _ in range(eggs)), eggs))
    return found


@pytest.mark.parametrize(
    ("spawns", "rate", "likeness"), [(3, 0.7, 0.1), (6, 0.6, 0.2), (15, 0.8, 0.2), (30, 0.5, 0.05)]
)
def test_the_width_holds_for_spawns_that_differ_where_wilsons_does_not(
    spawns: int, rate: float, likeness: float
) -> None:
    chance = random.Random(20260309)
    ours = theirs = 0
    rounds = 250
    for _ in range(rounds):
        sample = drawn(chance, spawns, rate, likeness)
        mine = hatch_rate(sample)
        plain = wilson(mine.successes, mine.total)
        assert mine.low is not None and mine.high is not None and plain.low is not None and plain.high is not None
        ours += mine.low <= rate <= mine.high
        theirs += plain.low <= rate <= plain.high
    assert ours / rounds >= 0.91
    assert theirs / rounds < ours / rounds - (0.05 if likeness > 0.05 else 0.02)


def test_many_like_spawns_come_near_wilson_and_one_spawn_says_so() -> None:
    chance = random.Random(5)
    alike = [(sum(chance.random() < 0.7 for _ in range(30)), 30) for _ in range(200)]
    rate = hatch_rate(alike)
    plain = wilson(rate.successes, rate.total)
    assert rate.low == pytest.approx(plain.low, abs=0.004) and rate.high == pytest.approx(plain.high, abs=0.004)
    one = hatch_rate([(30, 40)])
    assert one.design == pytest.approx(1 + 39 * 0.1)  # nothing but the assumed likeness to go by
    single = wilson(30, 40)
    assert one.low is not None and single.low is not None and one.low < single.low
    assert any("One spawn" in caution for caution in one.cautions)


def test_spawns_that_differ_wildly_are_named() -> None:
    rate = hatch_rate([(40, 40), (2, 40), (38, 40), (0, 30), (35, 40), (1, 40)])
    assert any("one by one" in caution for caution in rate.cautions)
    assert rate.design > 10 and rate.likeness > 0.3


@given(
    st.lists(st.integers(1, 80).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), min_size=1, max_size=12)
)
def test_the_width_is_never_narrower_than_independence(spawns: list[Spawn]) -> None:
    rate = hatch_rate(spawns)
    plain = wilson(rate.successes, rate.total)
    assert rate.low is not None and rate.high is not None and plain.low is not None and plain.high is not None
    assert 0 <= rate.low <= plain.low + 1e-9 and plain.high - 1e-9 <= rate.high <= 1
    assert rate.low <= rate.value <= rate.high
    assert hatch_rate(reversed(spawns)).low == pytest.approx(rate.low)


def test_one_tank_against_the_others() -> None:
    poor = [(8, 30), (10, 35), (6, 28), (9, 33)]
    good = [(25, 30), (30, 34), (27, 31), (22, 28), (26, 30)]
    assert compare(poor, good).verdict == "lower"
    assert compare(good, poor).verdict == "higher"
    alike = compare(good[:2], good[2:])
    assert alike.verdict == "no telling" and any("too few" in caution for caution in alike.cautions)
    assert compare([(5, 10)], [(8, 10)]).verdict == "no telling"


def test_among_many_tanks_chance_alone_seldom_names_one() -> None:
    chance = random.Random(11)
    named = 0
    for _ in range(60):
        tanks = {f"tank {n}": drawn(chance, 6, 0.7, 0.1) for n in range(8)}
        named += any(c.verdict != "no telling" for c in compare_each(tanks).values())
    assert named <= 9
    tanks = {f"tank {n}": drawn(chance, 8, 0.8, 0.05) for n in range(8)} | {"tank 9": drawn(chance, 8, 0.2, 0.05)}
    found = compare_each(tanks)
    assert found["tank 9"].verdict == "lower"
    assert sum(c.verdict == "lower" for c in found.values()) == 1
    with pytest.raises(ValueError, match="two tanks"):
        compare_each({"tank 1": [(3, 4)], "tank 2": [(0, 0)]})


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: wilson(3, 0), "nothing has been counted"),
        (lambda: wilson(5, 4), "5 of 4"),
        (lambda: wilson(1, 4, confidence=95), "confidence"),
        (lambda: hatch_rate([]), "nothing has been counted"),
        (lambda: hatch_rate([(41, 40)]), "41 of 40"),
        (lambda: hatch_rate([(1, 0), (3, 4)]), "nothing has been counted"),
    ],
)
def test_counts_that_cannot_be_are_refused_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
