"""Hatching estimates: published figures, traps, bad input, and what the room's own batches change."""

from __future__ import annotations

import datetime as dt
import math

import pytest

from shared.hatching import Experience, PastBatch, batch_hatch, hatch_age
from shared.species import find_species

UTC = dt.UTC
LAID = dt.datetime(2026, 3, 2, 8, tzinfo=UTC)


def day(days: float) -> dt.datetime:
    return LAID + dt.timedelta(days=days)


# ---- bad input


@pytest.mark.parametrize("temp_c", [780.0, -1.0, 45.1, math.nan, math.inf])
def test_an_impossible_temperature_is_refused(temp_c: float) -> None:
    with pytest.raises(ValueError, match="cannot be the temperature"):
        hatch_age("gardneri", temp_c)
    with pytest.raises(ValueError, match="cannot be the temperature"):
        batch_hatch("gardneri", LAID, LAID, day(1), [(LAID, temp_c)])


def test_times_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(ValueError, match="before the eggs were laid"):
        PastBatch(LAID, LAID, fry_seen=day(-1))
    with pytest.raises(ValueError, match="end before it begins"):
        batch_hatch("gardneri", day(1), LAID, day(2))
    with pytest.raises(ValueError, match="before the last look without fry"):
        PastBatch(LAID, LAID, clear_until=day(9), fry_seen=day(8))
    with pytest.raises(ValueError, match="future"):
        batch_hatch("gardneri", day(3), day(3), day(2))
    with pytest.raises(ValueError, match="time zone"):
        batch_hatch("gardneri", LAID, LAID, dt.datetime(2026, 3, 9))  # noqa: DTZ001


@pytest.mark.parametrize("name", ["unicorn fish", "", None])
def test_no_figure_for_a_fish_nobody_has_figures_for(name: str | None) -> None:
    age = hatch_age(name, 24.0)
    assert age.median_days is None and age.p10_days is None and age.p90_days is None
    assert age.cautions


# ---- eggs that wait


@pytest.mark.parametrize("name", ["Nothobranchius furzeri", "furzeri", "Nothobranchius kadleci"])
def test_annual_eggs_get_no_date_but_a_wet_test(name: str) -> None:
    age = hatch_age(name, 25.0)
    assert age.median_days is None and age.earliest_days is not None and age.earliest_days >= 12
    assert any("wet a pinch" in caution for caution in age.cautions)
    batch = batch_hatch(name, LAID, day(7), day(20), [(LAID, 25.0)])
    assert batch.first_fry is None and batch.earliest == day(age.earliest_days)


# ---- names


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("fundulopanchax GARDNERI", "Fundulopanchax gardneri"),
        ("Aphyosemion gardneri", "Fundulopanchax gardneri"),
        ("Fundulopanchax sjoestedti", "Fundulopanchax sjostedti"),
        ("Clown Killi", "Epiplatys annulatus"),
        ("panda cory", "Corydoras panda"),
        ("medaka", "Oryzias latipes"),
    ],
)
def test_a_species_goes_by_many_names(said: str, meant: str) -> None:
    found = find_species(said)
    assert found is not None and found.name == meant and not found.genus_level


def test_an_unlisted_species_of_a_listed_genus_says_so() -> None:
    found = find_species("Corydoras duplicareus")
    assert found is not None and found.genus_level and found.name == "Corydoras duplicareus"
    assert find_species("gardnerii") is None


# ---- the room's own batches


def test_own_batches_move_and_narrow_the_window() -> None:
    def own(days: float, back: int) -> PastBatch:
        start = LAID - dt.timedelta(days=20 * back)
        seen = start + dt.timedelta(days=days)
        return PastBatch(start, start, seen - dt.timedelta(days=0.5), seen, 24.0, "gardneri", "g")

    before = batch_hatch("gardneri", LAID, LAID, day(1), [(LAID, 24.0)], line="g")
    past = Experience.of([own(12.0 + 0.2 * (k % 3), k) for k in range(1, 8)])
    after = batch_hatch("gardneri", LAID, LAID, day(1), [(LAID, 24.0)], line="g", earlier=past)
    assert before.first_fry and after.first_fry
    assert after.earlier_batches == 7 and after.basis == "7 earlier batches here, 24.0 °C"
    assert abs((after.first_fry.p50 - day(12.2)).total_seconds()) < 0.6 * 86400
    width_before = before.first_fry.p90 - before.first_fry.p10
    assert after.first_fry.p90 - after.first_fry.p10 < 0.6 * width_before
