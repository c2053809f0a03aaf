"""Water: published values, PHREEQC and the sea-water toolbox as independent witnesses, and laws that must hold."""

from __future__ import annotations

import math
import re

import gsw  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st
from phreeqpython import PhreeqPython  # type: ignore[import-untyped]

from shared.husbandry.water import (
    BANDS,
    ammonia,
    ammonia_pka,
    nitrate,
    nitrite,
    oxygen_percent,
    oxygen_saturation,
    unionised_fraction,
)
from shared.husbandry.water_changes import after_changes
from tests.husbandry.figures import Published, each


@each("A01", "A02", "A04", "A05", "A07", "A08", "A09", "A11", "A13", "A21")
def test_unionised_share(row: Published) -> None:
    row.approves(unionised_fraction(row.number("T"), row.number("pH")))


@each("A18")
def test_pka(row: Published) -> None:
    row.approves(ammonia_pka(row.number("T")))


@each("A19")
def test_the_worked_example_of_the_extension_sheet(row: Published) -> None:
    answer = ammonia(row.number("TAN"), row.number("pH"), row.number("T"))
    row.approves(answer.value)
    assert answer.band == "harmful"
    assert answer.first
    assert answer.basis.startswith("5.0% of 1 mg/L")


@each("A22")
def test_salt_holds_ammonia_back(row: Published) -> None:
    row.approves(unionised_fraction(row.number("T"), row.number("pH"), salt_g_per_l=0.005 * 58.44))


@pytest.fixture(scope="module")
def phreeqc() -> PhreeqPython:
    return PhreeqPython()


@pytest.mark.parametrize("celsius", [10, 20, 25, 30])
@pytest.mark.parametrize("ph", [7.0, 8.0, 8.6])
@pytest.mark.parametrize(("salt", "within"), [(0.0, 0.01), (0.3, 0.02), (1.0, 0.03), (3.0, 0.05)])
def test_ammonia_agrees_with_phreeqc(
    phreeqc: PhreeqPython, celsius: float, ph: float, salt: float, within: float
) -> None:
    mmol = salt / 58.44 * 1000
    water = {"units": "mmol/kgw", "temp": celsius, "pH": ph, "Amm": 1e-4}
    if mmol:
        water |= {"Na": mmol, "Cl": f"{mmol} charge"}
    solution = phreeqc.add_solution(water)
    ammonium, free = solution.species["AmmH+"], solution.species["Amm"]
    share = free / (free + ammonium)
    solution.forget()
    assert unionised_fraction(celsius, ph, salt) == pytest.approx(share, rel=within)


@given(st.floats(0, 50), st.floats(4, 10), st.floats(0, 10))
def test_warmer_higher_and_fresher_is_never_safer(celsius: float, ph: float, salt: float) -> None:
    share = unionised_fraction(celsius, ph, salt)
    assert 0 < share < 1
    assert unionised_fraction(min(celsius + 1, 50), ph, salt) >= share
    assert unionised_fraction(celsius, ph + 0.1, salt) > share
    assert unionised_fraction(celsius, ph) >= share


@pytest.mark.parametrize(
    ("total", "ph", "celsius", "band"),
    [
        (0.5, 8.0, 25.6, "raised"),
        (1.0, 6.5, 25.0, "fine"),
        (1.0, 8.4, 30.0, "harmful"),
        (4.0, 8.2, 26.0, "dangerous"),
        (0.0, 8.0, 25.0, "fine"),
        (4.0, None, None, "dangerous"),
        (0.5, 8.0, None, "raised"),
        (0.9, 8.0, 25.0, "raised"),
        (0.9, 8.0, None, "harmful"),  # a band without the temperature is that of the upper end
        (0.9, None, 25.0, "harmful"),
    ],
)
def test_bands_of_ammonia(total: float, ph: float | None, celsius: float | None, band: str) -> None:
    answer = ammonia(total, ph, celsius)
    assert answer.band == band
    assert answer.low is not None and answer.high is not None
    assert answer.low <= answer.value <= answer.high
    assert BANDS.index(answer.perhaps) >= BANDS.index(answer.band)
    assert bool(answer.first) == (band != "fine" or total >= 0.25)


def test_the_changes_advised_do_bring_ammonia_down() -> None:
    answer = ammonia(4.0, 8.2, 26.0)
    times = int(re.findall(r"(\d+) times", " ".join(answer.first))[0])
    assert after_changes(answer.value, 50, times).value <= 0.02 < after_changes(answer.value, 50, times - 1).value


def test_acid_water_with_much_ammonium_warns_of_the_change_itself() -> None:
    assert any("same pH" in caution for caution in ammonia(2.0, 6.5, 25).cautions)
    assert not any("Change little" in caution for caution in ammonia(2.0, 8.0, 25).cautions)


def test_as_ion_as_n_or_unknown() -> None:
    as_n, as_ion, unknown = (ammonia(1.0, 8, 25, as_=a) for a in ("n", "ion", None))
    assert as_ion.value == pytest.approx(as_n.value / 1.28786, rel=1e-4)
    assert unknown.value == as_n.value
    assert unknown.low is not None and as_n.low is not None and unknown.low < as_n.low
    assert any("not known" in caution for caution in unknown.cautions)


@pytest.mark.parametrize(
    ("reading", "as_", "band"),
    [
        (0.0, "n", "fine"),
        (0.25, "n", "harmful"),
        (0.25, "ion", "raised"),
        (5.0, "ion", "dangerous"),
        (0.25, None, "harmful"),
    ],
)
def test_bands_of_nitrite(reading: float, as_: str | None, band: str) -> None:
    answer = nitrite(reading, as_)  # type: ignore[arg-type]
    assert answer.band == band
    assert bool(answer.first) == (band != "fine")
    assert any("Chloride" in caution for caution in answer.cautions) == (band != "fine")


@pytest.mark.parametrize(
    ("reading", "as_", "band"),
    [(20, "ion", "fine"), (80, "ion", "raised"), (40, "n", "harmful"), (600, "ion", "dangerous")],
)
def test_bands_of_nitrate(reading: float, as_: str, band: str) -> None:
    assert nitrate(reading, as_).band == band  # type: ignore[arg-type]


@each("O01", "O02", "O04", "O05", "O07", "O08")
def test_oxygen_saturation(row: Published) -> None:
    row.approves(oxygen_saturation(row.number("T")).value)


@pytest.mark.parametrize("celsius", [2, 10, 18, 24, 30, 36])
@pytest.mark.parametrize("salt", [0, 5, 15, 35])
def test_oxygen_agrees_with_the_sea_water_toolbox(celsius: float, salt: float) -> None:
    density = gsw.rho(gsw.SA_from_SP(salt, 0, 0, 0), gsw.CT_from_pt(salt, celsius), 0)
    theirs = gsw.O2sol_SP_pt(salt, celsius) * 31.9988 * density / 1e6
    assert oxygen_saturation(celsius, salt).value == pytest.approx(theirs, rel=0.006)


def test_oxygen_thins_with_altitude() -> None:
    # APHA 4500-O: at constant temperature saturation follows the pressure nearly in proportion
    air, vapour = 0.8246, 0.02308  # atm: standard atmosphere at 1600 m; water at 20 °C (IAPWS)
    high = oxygen_saturation(20, altitude_m=1600).value / oxygen_saturation(20).value
    assert high == pytest.approx((air - vapour) / (1 - vapour), rel=0.001)
    assert oxygen_saturation(40).value < oxygen_saturation(39).value
    with pytest.raises(ValueError, match="0 to 40"):
        oxygen_saturation(41)
    assert oxygen_percent(4.5, 25).cautions and not oxygen_percent(7.5, 25).cautions


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: ammonia(0.5, 72, 25), "pH 72"),
        (lambda: ammonia(0.5, 7.2, 416), "°F"),
        (lambda: ammonia(-1, 7, 25), "below zero"),
        (lambda: ammonia(math.nan, 7, 25), "plain number"),
        (lambda: oxygen_saturation(20, altitude_m=9000), "5000 m"),
        (lambda: unionised_fraction(25, 8, 35), "salt"),
        (lambda: nitrite(-0.1), "below zero"),
    ],
)
def test_impossible_questions_are_answered_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
