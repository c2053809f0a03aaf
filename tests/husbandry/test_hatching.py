"""Hatching estimates: published figures, traps, bad input, and what the room's own batches change."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.hatching.estimate import (
    BatchHatch,
    Elsewhere,
    Experience,
    HatchAge,
    PastBatch,
    Window,
    batch_hatch,
    hatch_age,
)
from shared.species import Species, all_species, find_species

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
        ("Fundulopanchax gardneri nigerianus Jos Plateau", "Fundulopanchax gardneri"),
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


def own(
    days: float, back: int, line: str = "g", temp_c: float | None = 24.0, name: str | None = "gardneri"
) -> PastBatch:
    """One batch laid at once, looked at twice a day."""
    start = LAID - dt.timedelta(days=20 * back)
    seen = start + dt.timedelta(days=days)
    return PastBatch(start, start, seen - dt.timedelta(days=0.5), seen, temp_c, name, line)


def first(answer: BatchHatch) -> Window:
    assert answer.first_fry
    return answer.first_fry


def width(answer: BatchHatch) -> dt.timedelta:
    return first(answer).p90 - first(answer).p10


def ask(
    earlier: Experience | list[PastBatch] | None = None, line: str | None = "g", temp_c: float | None = 24.0
) -> BatchHatch:
    readings = [(LAID, temp_c)] if temp_c is not None else []
    return batch_hatch("gardneri", LAID, LAID, day(1), readings, line=line, earlier=earlier or [])


def test_the_warmth_of_other_tanks_stands_between_measured_and_unknown() -> None:
    def with_warmth(elsewhere: Elsewhere | None, *readings: tuple[dt.datetime, float]) -> BatchHatch:
        return batch_hatch("gardneri", LAID, LAID, day(1), readings, line="g", elsewhere=elsewhere)

    warm = Elsewhere(mean_c=26.0, spread_c=1.0, places=5)
    measured, lent, unknown = with_warmth(None, (LAID, 26.0)), with_warmth(warm), with_warmth(None)
    assert width(measured) < width(lent)
    assert first(lent).p50 < first(unknown).p50  # the usual room is taken to be cooler
    assert lent.temp_c is None and "26.0 ± 1.0 °C is taken from 5 other places" in lent.cautions[0]
    assert with_warmth(warm, (LAID, 24.0)) == with_warmth(None, (LAID, 24.0))  # its own readings are better
    # tanks as unlike one another as two rooms say nothing of a third
    assert with_warmth(Elsewhere(mean_c=26.0, spread_c=2.5, places=5)) == unknown


SEVEN = [own(12.0 + 0.2 * (k % 3), k) for k in range(1, 8)]


def test_own_batches_move_and_narrow_the_window() -> None:
    before, after = ask(), ask(SEVEN)
    assert after.earlier_batches == 7 and after.basis == "7 earlier batches here, 24.0 °C"
    assert abs(first(after).p50 - day(12.0)) < dt.timedelta(days=0.6)
    assert width(after) < 0.6 * width(before)


def test_summing_up_first_changes_nothing() -> None:
    assert ask(Experience.of(SEVEN)) == ask(SEVEN)


def test_another_line_teaches_but_less_than_its_own() -> None:
    other = ask(SEVEN, line="another")
    assert width(ask(SEVEN)) < width(other) < width(ask())
    assert first(ask(SEVEN)).p50 <= first(other).p50 < first(ask()).p50


def test_scattered_batches_leave_a_wider_window_than_alike_ones() -> None:
    scattered = [own(12.0 + 3.0 * (-1) ** k, k) for k in range(1, 8)]
    assert width(ask(scattered)) > 1.3 * width(ask(SEVEN))


def test_a_wrong_date_among_many_teaches_nothing() -> None:
    assert ask([*SEVEN, own(112.0, 9)]) == ask(SEVEN)


def test_failed_batches_teach_no_age() -> None:
    failed = PastBatch(day(-60), day(-59), day(-20), None, 24.0, "gardneri", "g")
    assert ask([*SEVEN, failed]) == ask(SEVEN)


def test_a_room_that_never_logs_its_warmth_still_learns() -> None:
    blind = [own(12.0, k, temp_c=None) for k in range(1, 8)]
    assert width(ask(temp_c=None)) > width(ask())
    assert width(ask(blind, temp_c=None)) < 0.6 * width(ask(temp_c=None))
    assert width(ask(blind, temp_c=24.0)) > width(ask(SEVEN))
    assert any("assumed" in caution for caution in ask(temp_c=None).cautions)


def test_a_fish_nobody_has_figures_for_is_known_by_its_own_batches() -> None:
    past = [own(9.0, k, name="Mystery fish") for k in range(1, 6)]
    answer = batch_hatch("mystery FISH", LAID, LAID, day(1), [(LAID, 24.0)], line="g", earlier=past)
    assert abs(first(answer).p50 - day(8.8)) < dt.timedelta(days=0.6)
    assert any("your own batches alone" in caution for caution in answer.cautions)
    nothing = batch_hatch("mystery FISH", LAID, LAID, day(1), [(LAID, 24.0)])
    assert nothing.first_fry is None and nothing.chance_by_now is None and not nothing.past_window


# ---- laying, looking, waiting


def test_a_mop_of_three_days_hatches_from_its_oldest_eggs() -> None:
    def mop(days: float) -> BatchHatch:
        return batch_hatch("gardneri", LAID, day(days), day(days), [(LAID, 24.0)])

    one, three = mop(0.0), mop(3.0)
    assert dt.timedelta(0) < first(three).p50 - first(one).p50 < dt.timedelta(days=1.2)
    assert one.half_hatched and three.half_hatched and one.last_fry and three.last_fry
    assert abs(three.half_hatched.p50 - one.half_hatched.p50 - dt.timedelta(days=1.5)) < dt.timedelta(hours=1)
    assert three.last_fry.p50 - one.last_fry.p50 > dt.timedelta(days=1.8)


def test_corydoras_spawn_once_within_the_interval() -> None:
    one = batch_hatch("Corydoras aeneus", LAID, LAID, day(3), [(LAID, 25.0)])
    two = batch_hatch("Corydoras aeneus", LAID, day(2), day(3), [(LAID, 25.0)])
    assert abs(first(two).p50 - first(one).p50 - dt.timedelta(days=1)) < dt.timedelta(hours=4)
    assert width(two) > width(one)


def test_more_eggs_bring_the_first_fry_sooner() -> None:
    few, many = (first(batch_hatch("medaka", LAID, LAID, LAID, [(LAID, 25.0)], eggs=eggs)).p50 for eggs in (3, 300))
    assert many < few


def test_eggs_put_up_in_peat_wait_even_where_those_in_water_do_not() -> None:
    dry = batch_hatch("blue gularis", LAID, day(7), day(8), [(LAID, 23.0)], medium="peat")
    wet = batch_hatch("blue gularis", LAID, day(7), day(8), [(LAID, 23.0)])
    assert dry.first_fry is None and dry.earliest is not None and wet.half_hatched is not None
    assert day(10) < dry.earliest < wet.half_hatched.p50
    assert any("wet a pinch" in caution for caution in dry.cautions)
    assert any("semi-annual" in caution for caution in wet.cautions)


def test_a_look_without_fry_moves_the_window_on() -> None:
    plain, looked = (
        batch_hatch("gardneri", LAID, LAID, day(15), [(LAID, 24.0)], clear_until=clear) for clear in (None, day(15))
    )
    assert first(looked).p10 >= day(15) > first(plain).p10
    assert plain.chance_by_now and 0.2 < plain.chance_by_now < 0.8 and looked.chance_by_now == 0
    assert not looked.past_window


def test_long_past_its_window_a_batch_has_likely_failed() -> None:
    late = batch_hatch("medaka", LAID, LAID, day(40), [(LAID, 25.0)], clear_until=day(40))
    assert late.past_window and first(late).p90 < day(15)
    assert any("likely failed" in caution for caution in late.cautions)
    soon = batch_hatch("medaka", LAID, LAID, day(9), [(LAID, 25.0)], clear_until=day(9))
    assert not soon.past_window


def test_readings_may_come_in_any_order_and_from_before_laying() -> None:
    readings = [(day(k), 22.0 + k % 3) for k in range(-30, 6)]
    straight = batch_hatch("medaka", LAID, day(1), day(5), readings)
    assert batch_hatch("medaka", LAID, day(1), day(5), readings[::-1]) == straight
    assert batch_hatch("medaka", LAID, day(1), day(5), readings[29:]) == straight


def test_the_mean_warmth_is_over_time_not_over_readings() -> None:
    """Two days at 22 °C, a day's rise to 26 °C, then a day there with many readings: (44 + 24 + 26)/4."""
    readings = [(day(-1), 22.0), (day(2), 22.0), (day(3), 26.0), (day(3.2), 26.0), (day(3.5), 26.0)]
    answer = batch_hatch("medaka", LAID, LAID, day(4), readings)
    assert answer.temp_c == pytest.approx(23.5)
    assert batch_hatch("medaka", LAID, LAID, LAID, [(day(-2), 22.0), (day(2), 26.0)]).temp_c == pytest.approx(24.0)


def test_a_hot_hour_is_pointed_out_and_a_hot_room_gets_no_date() -> None:
    hour = [(LAID, 25.0), (day(1), 25.0), (day(1.02), 36.0), (day(1.06), 36.0), (day(1.08), 25.0)]
    spike = batch_hatch("medaka", LAID, LAID, day(3), hour)
    assert spike.first_fry is not None and any("it read 36.0 °C" in caution for caution in spike.cautions)
    hot = batch_hatch("medaka", LAID, LAID, day(3), [(LAID, 36.0)])
    assert hot.first_fry is None and hot.temp_c == pytest.approx(36.0)
    assert any("no estimate" in caution for caution in hot.cautions)
    cold = batch_hatch("medaka", LAID, LAID, day(3), [(LAID, 4.0)])
    assert cold.first_fry is None and cold.temp_c == pytest.approx(4.0)


# ---- what holds for every fish

FISH = st.sampled_from([species for species in all_species() if not species.waits])
WARMTH = st.floats(0, 1)


def at(species: Species, share: float) -> float:
    return species.temp_low + share * (species.temp_high - species.temp_low)


@given(FISH, WARMTH, WARMTH)
@settings(max_examples=100, deadline=None)
def test_warmer_is_never_later(species: Species, one: float, two: float) -> None:
    cool, warm = (hatch_age(species.name, at(species, share)) for share in sorted((one, two)))
    assert cool.median_days and warm.median_days and warm.median_days <= cool.median_days


@given(FISH, WARMTH)
@settings(max_examples=100, deadline=None)
def test_an_age_lies_in_its_window_and_is_no_nonsense(species: Species, share: float) -> None:
    age: HatchAge = hatch_age(species.name, at(species, share))
    assert age.p10_days and age.median_days and age.p90_days and age.within_range
    assert 0.1 < age.p10_days < age.median_days < age.p90_days < 150
    assert age.basis and age.sources


@given(
    FISH,
    WARMTH,
    st.floats(0, 7),
    st.floats(0, 60),
    st.one_of(st.none(), st.floats(0, 1)),
    st.one_of(st.none(), st.integers(1, 500)),
)
@settings(max_examples=200, deadline=None)
def test_a_batch_answer_is_in_order(
    species: Species, warmth: float, laying: float, age: float, looked: float | None, eggs: int | None
) -> None:
    now = day(laying + age)
    clear = None if looked is None else day((laying + age) * looked)
    answer = batch_hatch(
        species.name, LAID, day(laying), now, [(LAID, at(species, warmth))], clear_until=clear, eggs=eggs
    )
    assert answer.first_fry and answer.half_hatched and answer.last_fry and answer.chance_by_now is not None
    for window in (answer.first_fry, answer.half_hatched, answer.last_fry):
        assert LAID < window.p10 <= window.p50 <= window.p90
    assert answer.first_fry.p50 <= answer.half_hatched.p50 <= answer.last_fry.p50
    assert 0 <= answer.chance_by_now <= 1
