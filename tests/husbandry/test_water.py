"""Water: published values, PHREEQC and the sea-water toolbox as independent witnesses, and laws that must hold."""

from __future__ import annotations

import math
import re

import gsw  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st
from phreeqpython import PhreeqPython  # type: ignore[import-untyped]

from shared.quantities import convert
from shared.water import (
    BANDS,
    Change,
    after_changes,
    aged_water,
    ammonia,
    ammonia_pka,
    box_volume,
    changes_needed,
    exchanged,
    mixed,
    nitrate,
    nitrite,
    oxygen_percent,
    oxygen_saturation,
    percent_needed,
    steady_state,
    tap_share,
    unionised_fraction,
    volumes_to_exchange,
)
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
    high = oxygen_saturation(20, altitude_m=1600).value / oxygen_saturation(20).value
    assert high == pytest.approx((1 - 2.25577e-5 * 1600) ** 5.25588, rel=0.01)
    assert oxygen_percent(4.5, 25).cautions and not oxygen_percent(7.5, 25).cautions


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


@each("T01", "T02", "T03", "T05", "T07", "T08")
def test_tanks_by_their_sides(row: Published) -> None:
    length, width, height = (float(side) for side in row.inputs.removesuffix(" in").split("x"))
    full = box_volume(length, width, height)
    row.approves(convert(full.value, "l", row.unit).value)
    assert full.low is not None and full.low < full.value


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


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: ammonia(0.5, 72, 25), "pH 72"),
        (lambda: ammonia(0.5, 7.2, 416), "°F"),
        (lambda: ammonia(-1, 7, 25), "below zero"),
        (lambda: ammonia(math.nan, 7, 25), "plain number"),
        (lambda: after_changes(10, 140, 1), "140 %"),
        (lambda: after_changes(10, 0, 1), "changes nothing"),
        (lambda: after_changes(10, 20, -1), "below zero"),
        (lambda: box_volume(20, 0, 10), "longer than nothing"),
        (lambda: box_volume(20, 10, 10, "gal"), "does not turn"),
        (lambda: mixed([]), "no water"),
        (lambda: volumes_to_exchange(100), "never"),
        (lambda: oxygen_saturation(20, altitude_m=9000), "5000 m"),
        (lambda: unionised_fraction(25, 8, 35), "salt"),
        (lambda: nitrite(-0.1), "below zero"),
        (lambda: aged_water([Change(-5, 50)]), "not a volume"),
    ],
)
def test_impossible_questions_are_answered_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
