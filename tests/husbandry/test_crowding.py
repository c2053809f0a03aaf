"""Crowding: the practice it is anchored in, and that more fish or less water is never roomier."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.husbandry.crowding import crowding, weight_of
from shared.husbandry.growth import length_at
from shared.quantities import litres_of


def test_weight_lies_among_published_pairs() -> None:
    # zebrafish 18.5 mm 67.3 mg (Delomas & Dabrowski 2018), boesemani 22.7 mm 132 mg (Akhsan 2020)
    for mm, mg in ((18.5, 67.3), (22.7, 132)):
        weight = weight_of(mm)
        assert weight.low is not None and weight.high is not None
        assert weight.low <= mg <= weight.high
        assert weight.value == pytest.approx(mg, rel=0.2)


@pytest.mark.parametrize(
    ("count", "mm", "volume", "changes", "percent", "filtered", "band"),
    [
        (100, 25.3, "30 gal", 1, 50, True, "full"),  # the practice itself
        (100, 12.7, "30 gal", 1, 50, True, "roomy"),
        (100, 25.3, "30 gal", 1 / 7, 50, True, "overcrowded"),
        (84, 25, "30 gal", 1, 50, True, "full"),
        (31, 6, "1 qt", 2, 75, False, "full"),
        (31, 9, "1 qt", 2, 75, False, "crowded"),
        (31, 9, "1 qt", 1, 50, False, "overcrowded"),
        (3, 50, "10 gal", 1 / 7, 40, True, "full"),
        (0, 10, "1 qt", 2, 75, False, "roomy"),
    ],
)
def test_crowding(
    count: int, mm: float, volume: str, changes: float, percent: float, filtered: bool, band: str
) -> None:
    found = crowding(count, mm, litres_of(volume), changes, percent, filtered)
    assert found.band == band
    assert found.low == pytest.approx(0.81 * found.value) and found.high == pytest.approx(1.21 * found.value)


@given(st.integers(1, 400), st.floats(4, 60), st.floats(0.5, 300), st.floats(0, 4), st.floats(0, 95), st.booleans())
def test_more_fish_or_less_water_is_never_roomier(
    count: int, mm: float, litres: float, changes: float, percent: float, filtered: bool
) -> None:
    found = crowding(count, mm, litres, changes, percent, filtered).value
    assert crowding(count + 1, mm, litres, changes, percent, filtered).value > found
    assert crowding(count, mm * 1.1, litres, changes, percent, filtered).value > found
    assert crowding(count, mm, litres * 1.1, changes, percent, filtered).value < found
    assert crowding(count, mm, litres, changes + 0.5, percent, filtered).value <= found
    most = crowding(count, mm, litres, changes, percent, filtered).most
    assert crowding(most, mm, litres, changes, percent, filtered).value <= 1 + 1e-9


def test_the_weight_of_fish_to_the_litre_is_shown_and_bounds_the_band() -> None:
    found = crowding(100, 20, 100, 12, 90)
    assert found.g_per_l == pytest.approx(100 * weight_of(20).value / 1000 / 100)
    assert crowding(4, 150, 100, 12, 100).band == "overcrowded"  # 4 fish of some 38 g, however much is changed


def test_crowding_by_age_carries_the_width_of_the_length() -> None:
    found = crowding(60, length_at("Melanotaenia boesemani", 17), litres_of("5.5 gal"), 1, 50)
    assert found.low is not None and found.high is not None and found.high > 1.5 * found.low


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: weight_of(400), "3 to 150"),
        (lambda: crowding(-1, 10, 10, 1, 50), "below zero"),
        (lambda: crowding(1, 10, 0, 1, 50), "not a volume"),
        (lambda: crowding(1, 10, 10, 99, 50), "twelve a day"),
    ],
)
def test_impossible_growth_is_refused_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
