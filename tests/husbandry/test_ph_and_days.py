"""pH and oxygen by their published bands; degree-days that agree with the days they stand for."""

from __future__ import annotations

import pytest

from shared.hatching.estimate import degree_days_to_hatch, hatch_age
from shared.husbandry.water import oxygen_means, ph


@pytest.mark.parametrize(
    ("reading", "genus", "band"),
    [  # Swingle 1969, as in Boyd 1990, from memory: 4 and 11 kill, 6.5 to 9 as wanted
        (7.2, None, "fine"),
        (6.0, None, "raised"),
        (4.5, None, "harmful"),
        (9.6, None, "harmful"),
        (3.5, None, "dangerous"),
        (6.0, "Aphyosemion", "fine"),  # bred in soft water: common practice, no source
        (6.0, "Melanotaenia", "raised"),
    ],
)
def test_a_ph(reading: float, genus: str | None, band: str) -> None:
    assert ph(reading, genus).band == band


@pytest.mark.parametrize("reading", [0.0, 2.9, 11.1, 72.0, float("nan")])
def test_a_ph_that_cannot_be_is_refused(reading: float) -> None:
    with pytest.raises(ValueError, match="pH"):
        ph(reading)


def test_oxygen_is_judged_by_what_warm_water_fish_want() -> None:
    """5 mg/L and more wanted, stress below 3 to 4 (UF/IFAS FA002 and Boyd 1990, from memory)."""
    assert [oxygen_means(x).split()[0] for x in (8.0, 5.0, 4.0, 2.0)] == ["Enough", "Enough", "Low:", "Too"]


@pytest.mark.parametrize(("fish", "warm"), [("medaka", 25.0), ("gardneri", 24.0), ("Melanotaenia fluviatilis", 25.5)])
def test_degree_days_over_the_warmth_are_the_days(fish: str, warm: float) -> None:
    """D = K/(T − T0), Kamler 2002."""
    found, days = degree_days_to_hatch(fish), hatch_age(fish, warm).median_days
    assert days is not None and found.low is not None and found.high is not None
    assert found.value / (warm - found.base_c) == pytest.approx(days)
    assert found.low < found.value < found.high


@pytest.mark.parametrize(("fish", "why"), [("furzeri", "wait for water"), ("Xenus incognitus", "nobody has figures")])
def test_no_degree_days_where_there_are_none(fish: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        degree_days_to_hatch(fish)
