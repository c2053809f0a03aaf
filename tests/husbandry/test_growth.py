"""Growth: the published series, what the room's own rulers add, and the practice that crowding is anchored in."""

from __future__ import annotations

import datetime as dt
import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.husbandry.growth import (
    _curves,
    days_left,
    degree_days,
    length_at,
    move_up,
    sale_size,
    species_with_lengths,
    when_length,
)
from tests.husbandry.figures import Published, each

HATCHED = dt.date(2026, 3, 3)


def after(day: dt.date | None) -> int:
    assert day is not None
    return (day - HATCHED).days


@each("S28")
def test_temperature_units_left(row: Published) -> None:
    row.approves(days_left(900, 756, 50, base=32).value)


@each("S30", "S31")
def test_degree_days(row: Published) -> None:
    if row.id == "S30":
        row.approves(degree_days([20] * 30, base=10).value)
    else:
        row.approves(degree_days([(70 + 50) / 2], base=50).value)


def test_no_days_are_left_when_enough_is_gathered() -> None:
    assert days_left(100, 120, 20).value == 0
    assert days_left(100, 40, 20, base=8).value == 5


def test_days_below_the_base_add_nothing() -> None:
    assert degree_days([8, 12, 9], base=10).value == 2
    assert degree_days([20], base=10, days_each=7).value == 70


@pytest.mark.parametrize(
    ("species", "from_age", "to_age", "rate"),
    [  # % a day between the weights that each paper gives at two ages, reckoned apart
        ("Jordanella floridae", 30, 135.5, 4.0),
        ("Jordanella floridae", 135.5, 175.5, 1.5),
        ("Oryzias latipes", 7, 28, 6.1),
        ("Melanotaenia fluviatilis", 32, 82, 2.9),
        ("Pimephales promelas", 31, 88, 5.4),
    ],
)
def test_specific_growth_of_the_published_weights(species: str, from_age: float, to_age: float, rate: float) -> None:
    (points,) = ({p.age: p.mg for p in c.points} for c in _curves() if c.species == species)
    early, late = points[from_age], points[to_age]
    assert early is not None and late is not None
    assert 100 * math.log(late / early) / (to_age - from_age) == pytest.approx(rate, abs=0.08)


def test_every_series_grows_and_names_its_source() -> None:
    assert len(_curves()) >= 15
    for curve in _curves():
        lengths = [curve.at(age) for age in range(int(curve.last * 1.5) + 1)]
        assert all(later > earlier for earlier, later in pairwise(lengths)), curve.species
        assert all(point.source for point in curve.points)


@pytest.mark.parametrize(
    ("species", "celsius", "age", "mm"),
    [
        ("Danio rerio", 28.5, 18, 18.5),  # Delomas & Dabrowski 2018
        ("Danio rerio", 23, 18, 12.7),
        ("Danio rerio", 23, 32, 18.9),
        ("melanotaenia boesemani", None, 28, 17.7),  # Akhsan 2020
        ("Melanotaenia fluviatilis", None, 72, 21.2 * 1.2),  # Reid & Holdway 1995, standard length
        ("Oryzias latipes", 24, 60, 25.3),  # Kang 2002 continues Spencer 2006
    ],
)
def test_published_lengths_come_back(species: str, celsius: float | None, age: float, mm: float) -> None:
    found = length_at(species, age, celsius=celsius)
    assert found.value == pytest.approx(mm)
    assert found.low is not None and found.high is not None and found.low < mm < found.high


def test_one_species_at_two_temperatures_lies_in_each_others_width() -> None:
    warm_fish_by_the_cool_curve = [c for c in _curves() if c.species == "Danio rerio" and c.celsius == 23]
    assert warm_fish_by_the_cool_curve
    cool = length_at("Danio rerio", 18, celsius=23)
    between = length_at("Danio rerio", 18, celsius=25.7)
    assert cool.high is not None and between.high is not None and between.high > cool.high
    assert between.low is not None and between.low < 18.5 < between.high * 1.15


@pytest.mark.parametrize("own", [0.7, 0.9, 1.0, 1.2, 1.5])
def test_the_rooms_own_lengths_take_over_and_narrow_the_width(own: float) -> None:
    shape = {age: length_at("Fundulopanchax gardneri", age).value for age in (7, 14, 21, 28)}
    widths, misses = [], []
    for many in range(4):
        measured = [(age, own * shape[age]) for age in (7, 14, 21)[:many]]
        found = length_at("Fundulopanchax gardneri", 28, measured)
        assert found.low is not None and found.high is not None
        widths.append(math.log(found.high / found.low))
        misses.append(abs(math.log(found.value / (own * shape[28]))))
    assert widths == sorted(widths, reverse=True) and widths[-1] < 0.7 * widths[0]
    assert misses == sorted(misses, reverse=True)
    assert misses[-1] <= 0.25 * misses[0] + 1e-9


def test_a_recent_measurement_counts_more_than_an_old_one() -> None:
    shape = {age: length_at("Melanotaenia boesemani", age).value for age in (7, 40)}
    slow_then = length_at("Melanotaenia boesemani", 42, [(7, 0.7 * shape[7]), (40, 1.2 * shape[40])])
    slow_now = length_at("Melanotaenia boesemani", 42, [(7, 1.2 * shape[7]), (40, 0.7 * shape[40])])
    assert slow_then.value > slow_now.value


def test_an_unknown_species_is_answered_from_the_others_wider_and_says_so() -> None:
    known, unknown = length_at("Melanotaenia boesemani", 28), length_at("Epiplatys annulatus", 28)
    assert unknown.low is not None and unknown.high is not None and known.low is not None and known.high is not None
    assert unknown.high / unknown.low > known.high / known.low
    assert "Epiplatys annulatus" in unknown.cautions[0]
    assert "Epiplatys annulatus" not in species_with_lengths()


def test_a_genus_stands_in_for_its_species_and_tiny_species_are_not_taken_for_robust_ones() -> None:
    rainbow = length_at("Melanotaenia praecox", 28)
    assert "Melanotaenia" in rainbow.basis and "No published growth of Melanotaenia praecox" in rainbow.cautions[0]
    assert length_at("Epiplatys annulatus", 28).value < 0.75 * length_at(None, 28).value
    assert length_at("Corydoras pygmaeus", 28).value < length_at("Corydoras panda", 28).value


def test_fry_leave_the_tub_in_one_to_two_weeks_when_robust_and_later_when_not() -> None:
    # common practice, no source: one to two weeks in robust species, later in tiny ones
    assert 5 <= after(move_up("Fundulopanchax gardneri", HATCHED).day) <= 14
    assert 7 <= after(move_up("Melanotaenia boesemani", HATCHED).day) <= 15
    assert after(move_up("Oryzias latipes", HATCHED).day) > 14
    assert after(move_up("Paracheirodon innesi", HATCHED).day) > 21


@given(st.sampled_from(species_with_lengths()), st.floats(8, 25), st.sampled_from([None, 22.0, 26.0]))
def test_dates_and_lengths_agree(species: str, mm: float, celsius: float | None) -> None:
    when = when_length(species, mm, HATCHED, celsius=celsius)
    if when.day is None:
        assert any("beyond" in caution for caution in when.cautions)
        return
    age = after(when.day)
    assert length_at(species, age, celsius=celsius).value >= mm - 1e-9
    assert age == 0 or length_at(species, age - 1, celsius=celsius).value < mm
    assert when.earliest is not None and when.earliest <= when.day
    assert when.latest is None or when.latest >= when.day


def test_sale_size_has_a_width_and_moves_with_what_was_measured() -> None:
    plain = sale_size("Melanotaenia boesemani", HATCHED)
    slow = sale_size("Melanotaenia boesemani", HATCHED, [(14, 8.0), (28, 13.5)])
    assert plain.earliest is not None and plain.day is not None and plain.earliest < plain.day
    assert plain.latest is not None and plain.latest > plain.day
    assert slow.day is None or slow.day > plain.day
    barely_published = sale_size("Fundulopanchax gardneri", HATCHED)
    assert 32 < after(barely_published.day) < 70
    assert after(barely_published.latest) - after(barely_published.earliest) > 20
    tiny = sale_size("Paracheirodon innesi", HATCHED, mm=60)
    assert tiny.day is None and tiny.cautions


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: length_at("Oryzias latipes", -1), "not known at -1 days"),
        (lambda: length_at("Oryzias latipes", 900), "only up to about 135"),
        (lambda: length_at("Oryzias latipes", 20, [(10, 0.2)]), "0.2 mm"),
        (lambda: length_at("Oryzias latipes", 20, celsius=78), "°F"),
        (lambda: when_length("Oryzias latipes", 0, HATCHED), "not a length"),
        (lambda: days_left(900, 0, 32, base=32), "nothing develops"),
        (lambda: degree_days([]), "need temperatures"),
    ],
)
def test_impossible_growth_is_refused_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
