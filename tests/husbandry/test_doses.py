"""Doses: published arithmetic, what is refused, and that a caution is said when its danger is new."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.husbandry.doses import (
    TWO_CUPS,
    Dose,
    Refusal,
    cautions,
    dangers,
    drops_mg,
    dye,
    dye_needed,
    known_cautions,
    peroxide,
    refusal,
    salt,
    stock_needed,
    stock_strength,
)
from shared.quantities import litres_of
from tests.husbandry.figures import FIGURES, Published, each


@each("H01")
def test_three_percent_is_thirty_grams_to_the_litre(row: Published) -> None:
    row.approves(stock_strength(3).value)


@each("H02")
def test_a_drop_of_three_percent(row: Published) -> None:
    row.approves(drops_mg(1, 3, 1 / 0.05).value)


@each("H04")
def test_volume_of_stock(row: Published) -> None:
    row.approves(stock_needed(500, 10, stock_strength(3).value).value)
    assert stock_needed(500, 10, stock_strength(3).value, counting_added=True).value == pytest.approx(169.5, abs=0.05)


@each("H06")
def test_by_weight_is_not_by_volume(row: Published) -> None:
    row.approves(stock_strength(35, g_per_ml=1.13).value / 1000)
    assert stock_strength(35).value / 1000 < FIGURES["H06"].expected * 0.9


@each("H18")
def test_a_teaspoon_of_blue_in_ten_gallons(row: Published) -> None:
    made = dye("methylene blue", 4.92892, litres_of("10 gal"), 2.303)
    assert isinstance(made, Dose)
    row.approves(made.mg_per_l)
    with_five = dye("methylene blue", 5, litres_of("10 gal"), 2.303)
    assert isinstance(with_five, Dose)
    assert with_five.mg_per_l == pytest.approx(3.04, abs=0.005)


@each("H22")
def test_salt_by_weight(row: Published) -> None:
    row.approves(salt(3, litres_of("10 US gal")).value)
    assert salt(0, 10).value == 0 and salt(35, 10).value == 350


@pytest.mark.parametrize(
    ("volume", "drops"),
    [("2 cups", (3, 4, 5)), ("1 cup", (2, 2, 2)), ("1 qt", (6, 8, 10)), ("0.5 cup", (1, 1, 1)), ("1 l", (7, 8, 10))],
)
def test_drops_for_a_tub(volume: str, drops: tuple[int, int, int]) -> None:
    dose = peroxide(litres_of(volume))
    assert isinstance(dose, Dose)
    assert (dose.low, dose.value, dose.high) == drops


def test_the_strength_in_two_cups_is_shown_with_the_width_of_droppers() -> None:
    dose = peroxide(TWO_CUPS)
    assert isinstance(dose, Dose)
    assert dose.mg_per_l == pytest.approx(4 * 1.5 / TWO_CUPS)  # 12.7 mg/L
    assert dose.mg_per_l_low == pytest.approx(3 * 30 / 22 / TWO_CUPS)
    assert dose.mg_per_l_high == pytest.approx(5 * 30 / 18 / TWO_CUPS)
    assert "13 mg/L" in dose.basis
    assert any("no source" in source for source in dose.sources)


def test_the_practice_is_the_rooms_to_set_and_a_heavier_one_is_marked() -> None:
    usual, heavy = peroxide(TWO_CUPS), peroxide(TWO_CUPS, drops=(12, 14))
    assert isinstance(usual, Dose) and isinstance(heavy, Dose)
    assert heavy.value == 13
    assert any("an hour at most" in caution for caution in heavy.cautions)
    assert not any("an hour at most" in caution for caution in usual.cautions)


@given(st.floats(0.12, 4), st.floats(1, 6), st.floats(0, 6))
def test_whole_drops_never_exceed_the_practice(litres: float, fewest: float, more: float) -> None:
    try:
        dose = peroxide(litres, drops=(fewest, fewest + more))
    except ValueError:
        assert (fewest + more) * litres / TWO_CUPS < 1
        return
    assert isinstance(dose, Dose) and dose.low is not None and dose.high is not None
    assert 1 <= dose.low <= dose.value <= dose.high <= (fewest + more) * litres / TWO_CUPS + 1e-6
    assert dose.value == int(dose.value)
    assert dose.mg_per_l_low < dose.mg_per_l < dose.mg_per_l_high


@pytest.mark.parametrize(
    ("refused", "reason"),
    [
        (peroxide(TWO_CUPS, percent=35), "corrosive"),
        (peroxide(TWO_CUPS, percent=6), "3 %"),
        (peroxide(litres_of("20 gal")), "a tank"),
        (dye("malachite green", 1, 10, 1), "cancer"),
        (dye("Formaldehyde", 1, 10, 37), "oxygen"),
        (dye_needed("formalin", 15, 10, 37), "oxygen"),
        (dye("copper sulphate", 1, 10, 1), "shrimp"),
        (dye("some new cure", 1, 10, 1), "know no dose"),
        (refusal("H2O2", percent=35), "corrosive"),
    ],
)
def test_what_is_refused_says_why_and_sends_to_the_label(refused: object, reason: str) -> None:
    assert isinstance(refused, Refusal)
    assert reason in refused.reason
    assert "label" in refused.instead


def test_nothing_against_the_usual() -> None:
    assert refusal("peroxide", percent=3, litres=0.5) is None
    assert refusal("salt") is None


def test_blue_by_the_strength_on_the_bottle() -> None:
    weak, strong = dye_needed("methylene blue", 3, 10, 1), dye_needed("methylene blue", 3, 10, 5)
    assert isinstance(weak, Dose) and isinstance(strong, Dose)
    assert weak.value == pytest.approx(3.0) and strong.value == pytest.approx(0.6)
    assert weak.mg_per_l == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("found", "dangers_there"),
    [
        (dangers("peroxide", percent=3, mg_per_l=12), set()),
        (dangers("peroxide", percent=6), {"stronger stock"}),
        (dangers("peroxide", mg_per_l=40, usual_mg_per_l=16), {"larger dose"}),
        (dangers("peroxide", inside=["fry", "snails"]), {"fry", "invertebrates"}),
        (dangers("hydrogen peroxide", inside=["Shrimp", "java moss", "moss"]), {"invertebrates", "plants"}),
        (dangers("salt", mg_per_l=25_000), {"larger dose"}),
        (dangers("methylene blue", mg_per_l=3.0, inside=["food fish"]), {"food fish"}),
        (dangers("methylene blue", percent=5, usual_percent=1), {"stronger stock"}),
    ],
)
def test_dangers(found: frozenset[str], dangers_there: set[str]) -> None:
    assert found == dangers_there


def test_a_caution_is_said_once_and_again_only_when_a_danger_is_new() -> None:
    first = cautions("peroxide", {"first use", "fry"})
    assert len(first) == 2
    told = {caution.key for caution in first}
    assert cautions("peroxide", {"first use", "fry"}, told) == ()
    (new,) = cautions("peroxide", {"first use", "fry", "invertebrates"}, told)
    assert "snails" in new.text


def test_every_caution_has_a_key_of_its_own_a_source_and_one_line() -> None:
    assert len({caution.key for caution in known_cautions()}) == len(known_cautions()) > 15
    for caution in known_cautions():
        assert caution.source and len(caution.text) < 130 and caution.text.endswith(".")


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: peroxide(-1), "not a volume"),
        (lambda: peroxide(0.02), "half a cup"),
        (lambda: peroxide(0.5, drops=(5, 3)), "not a practice"),
        (lambda: peroxide(0.5, percent=0), "nothing in it"),
        (lambda: drops_mg(-4), "below zero"),
        (lambda: drops_mg(4, drops_per_ml=0), "no dropper"),
        (lambda: stock_strength(140), "140 %"),
        (lambda: stock_strength(35, g_per_ml=113), "density"),
        (lambda: salt(300, 10), "saltier than the sea"),
        (lambda: salt(math.nan, 10), "saltier"),
        (lambda: stock_needed(500, 10, 400), "stronger"),
        (lambda: dye("methylene blue", -1, 10, 1), "below zero"),
    ],
)
def test_impossible_doses_are_refused_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
