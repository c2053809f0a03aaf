"""Units: published values, an independent library of units, and the slips of the finger a keeper makes."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.quantities import (
    Gallon,
    celsius_of,
    convert,
    ion_of,
    litres_of,
    nitrogen_of,
    sane_celsius,
    sane_litres,
    sane_percent,
    sane_ph,
)
from tests.husbandry.figures import Published, each


@each("U01", "U02", "U04", "U05", "U07", "U17")
def test_measures_are_those_of_the_handbook(row: Published) -> None:
    unit = row.quantity.removeprefix("1 ")
    row.approves(convert(float(row.inputs), unit, row.unit).value)


@each("U09", "U10")
def test_fahrenheit(row: Published) -> None:
    row.approves(celsius_of(float(row.inputs)))
    row.approves(convert(float(row.inputs), "°F", "C").value)


@each("U12", "U14", "U15")
def test_degrees_of_hardness(row: Published) -> None:
    row.approves(convert(float(row.inputs.split()[0]), "fH" if row.id == "U15" else "dGH", "ppm").value)


def test_a_french_degree_is_not_a_german_one() -> None:
    assert convert(1, "german degree", "french degree").value == pytest.approx(1.7848, abs=0.001)
    assert convert(1, "english degree", "mg/L CaCO3").value == pytest.approx(14.254, abs=0.001)


@each("A24", "A26", "A27")
def test_as_nitrogen_or_as_the_ion(row: Published) -> None:
    kind = {"A24": "ammonia", "A26": "nitrite", "A27": "nitrate"}[row.id]
    row.approves(ion_of(1, kind))  # type: ignore[arg-type]
    assert nitrogen_of(ion_of(0.37, kind), kind) == pytest.approx(0.37)  # type: ignore[arg-type]


@each("H17")
def test_drops_in_a_millilitre_and_how_much_they_vary(row: Published) -> None:
    drops = convert(1, "ml", "drops")
    row.approves(drops.value)
    assert (drops.low, drops.high) == pytest.approx((18, 22))
    back = convert(20, "drops", "ml")
    assert back.low is not None and back.high is not None
    assert (back.low, back.value, back.high) == pytest.approx((20 / 22, 1, 20 / 18))
    assert "dropper" in back.cautions[0]


OURS_AND_PINTS = [
    ("gal", "gallon"), ("qt", "quart"), ("pint", "pint"), ("cups", "cup"), ("fl oz", "fluid_ounce"),
    ("tbsp", "tablespoon"), ("tsp", "teaspoon"), ("imp gal", "imperial_gallon"), ("imp pt", "imperial_pint"),
    ("imperial fl oz", "imperial_fluid_ounce"), ("imp qt", "imperial_quart"), ("ft3", "foot**3"), ("in³", "inch**3"),
    ("cc", "milliliter"),
]  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> Any:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("ours", "theirs"), OURS_AND_PINTS)
def test_volumes_agree_with_pint(registry: Any, ours: str, theirs: str) -> None:
    assert convert(3, ours, "l").value == pytest.approx(registry.Quantity(3, theirs).to("liter").magnitude, rel=1e-9)


@pytest.mark.parametrize(
    ("ours", "theirs", "basic"),
    [("oz", "ounce", "gram"), ("lb", "pound", "gram"), ("in", "inch", "millimeter"), ("ft", "foot", "millimeter")],
)
def test_weights_and_lengths_agree_with_pint(registry: Any, ours: str, theirs: str, basic: str) -> None:
    value = convert(7, ours, "g" if basic == "gram" else "mm").value
    assert value == pytest.approx(registry.Quantity(7, theirs).to(basic).magnitude, rel=1e-9)


@pytest.mark.parametrize(
    ("amount", "unit", "to", "gallon", "value"),
    [
        (20, "gal", "l", "us", 75.708),
        (20, "gal", "l", "imperial", 90.922),
        (20, "us gal", "l", "imperial", 75.708),
        (1, "imp gal", "US gal", "us", 1.20095),
        (8, "oz", "cup", "us", 1.0),  # beside a cup an ounce is a fluid ounce
        (8, "oz", "g", "us", 226.796),
        (78, "F", "C", "us", 25.556),
        (26, "C", "F", "us", 78.8),
        (298.15, "K", "C", "us", 25.0),
        (77, "F", "K", "us", 298.15),
        (10, "grains per gallon", "dGH", "us", 9.591),
        (2, "ppt", "mg/L", "us", 2000.0),
        (1, "bushel", "gal", "us", 9.3092),
        (1, "gal", "hogshead", "us", 1 / 63),
        (0.5, "oil barrel", "l", "us", 79.494),
    ],
)
def test_conversions(amount: float, unit: str, to: str, gallon: Gallon, value: float) -> None:
    assert convert(amount, unit, to, gallon).value == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("amount", "unit", "to", "says"),
    [
        (780, "F", "C", "780 °F"),
        (-3, "gal", "l", "below zero"),
        (1, "gal", "kg", "does not turn into"),
        (1, "dGH", "l", "does not turn into"),
        (1, "smidgeonette", "l", "cannot turn"),
        (1, "parsec", "l", "cannot turn"),
        (1, "zz", "l", "do not know"),
        (1, "xyz3", "l", "do not know"),
        (math.nan, "l", "ml", "plain number"),
        (math.inf, "F", "C", "plain number"),
    ],
)
def test_what_cannot_be_converted_is_said_in_a_sentence(amount: float, unit: str, to: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        convert(amount, unit, to)


@pytest.mark.parametrize(
    ("check", "value", "says"),
    [
        (sane_celsius, 416.0, "780.8 °F"),
        (sane_celsius, -1.0, "no water temperature"),
        (sane_ph, 72.0, "pH 72"),
        (sane_ph, 0.5, "between 3 and 11"),
        (sane_litres, 0.0, "more than nothing"),
        (sane_litres, -20.0, "more than nothing"),
        (sane_percent, 140.0, "140 %"),
    ],
)
def test_impossible_readings_are_refused(check: object, value: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        check(value)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("text", "gallon", "litres"),
    [
        ("20 gal", "us", 75.708),
        ("20 gal", "imperial", 90.922),
        ("5.5gal", "us", 20.81976),
        ("2 cups", "us", 0.473176),
        ("1 qt.", "us", 0.946353),
        ("5,5 l", "us", 5.5),
        ("40", "us", 40.0),
        (40, "us", 40.0),
        ("750 ml", "us", 0.75),
        ("8 fl. oz", "us", 0.236588),
        ("3 tbsp", "us", 0.0443603),
        ("1 Liter", "us", 1.0),
        ("10 imp gal", "us", 45.4609),
    ],
)
def test_volumes_as_written_on_a_card(text: str | int, gallon: Gallon, litres: float) -> None:
    assert litres_of(text, gallon) == pytest.approx(litres, rel=1e-5)


@pytest.mark.parametrize("text", ["", "gal", "-3 gal", "0 l", "12 in", "20 grams", "two cups", "3 x 4", "1,000 ml"])
def test_what_is_no_volume_is_refused_by_name(text: str) -> None:
    with pytest.raises(ValueError, match=r"volume|thousands"):
        litres_of(text)


@given(st.floats(-60, 120))
def test_fahrenheit_to_celsius(celsius: float) -> None:
    assert celsius_of(celsius * 1.8 + 32) == pytest.approx(celsius, abs=1e-9)


@given(
    st.floats(0, 1e6),
    st.sampled_from(["gal", "imp gal", "qt", "pt", "cup", "fl oz", "tbsp", "tsp", "drop", "ml", "l"]),
    st.sampled_from(["gal", "imp pt", "cup", "tsp", "ml", "drop"]),
)
def test_there_and_back_again(amount: float, unit: str, to: str) -> None:
    assert convert(convert(amount, unit, to).value, to, unit).value == pytest.approx(amount, rel=1e-9, abs=1e-12)


def test_the_room_never_loads_a_heavy_library() -> None:
    sums = "water, water_changes, doses, rates, survival, growth, crowding, foods"
    modules = f"from shared import quantities; from shared.kin import inbreeding; from shared.husbandry import {sums}"
    heavy = "{'pint', 'numpy', 'scipy', 'statsmodels', 'lifelines', 'pandas', 'matplotlib', 'gsw'}"
    code = f"import sys; {modules}; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
