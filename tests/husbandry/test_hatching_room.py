"""Do hatching windows hold in a room that does not follow the model? See hatching_room for how that room differs.

80 % windows of first fry, in 60 rooms (seeds 100 to 159), by the number of the room's own earlier batches:

    earlier batches               0    1    2    3    4   5+   all
    rooms about the books        93   81   80   80   80   80    83 %
    rooms as sources differ      85   81   81   79   81   80    81 %

In the first row every room was drawn about the very figure of the books, as if a figure or two by keepers were the
average of all rooms; those figures lie 4 % (root mean square) off what the estimates say of these six species, so
before a room's first batch nothing was left to be unsure of but the room. Published figures do not bear that out: a
row left out lies off by 1.03 of the spreads said of it (22 of 26 windows hold), a species left out by 0.93 (35 of 43),
so the estimates say about what they should before the first batch, and it was the rooms that were too tame. How far
sources lie apart was then worked out from the published rows, before coverage was looked at again.
"""

from __future__ import annotations

import datetime as dt
import math
from itertools import combinations
from statistics import mean

import pytest
from scipy.stats import chi2  # type: ignore[import-untyped]

from shared.hatching.development import SOURCE_SPREAD, HatchRow, hatch_rows
from shared.hatching.estimate import Window
from tests.husbandry.hatching_room import BETWEEN_SOURCES, FISH
from tests.husbandry.hatching_trial import Said, trial


@pytest.fixture(scope="module")
def said() -> list[Said]:
    return list(trial(rooms=60, first_seed=100))


def holds(window: Window | None, moment: dt.datetime | None) -> bool:
    assert window and moment
    return window.p10 <= moment <= window.p90


def test_four_in_five_windows_hold(said: list[Said]) -> None:
    good = [one for one in said if one.batch.first]
    assert len(good) > 700
    for share in (
        mean(holds(one.at_pull.first_fry, one.batch.first) for one in good),
        mean(holds(one.at_pull.half_hatched, one.batch.half) for one in good),
    ):
        assert 0.75 <= share <= 0.88


@pytest.mark.parametrize(("fewest", "most"), [(0, 0), (1, 1), (2, 2), (3, 3), (4, 4), (5, 7)])
def test_windows_hold_with_and_without_earlier_batches(said: list[Said], fewest: int, most: int) -> None:
    some = [one for one in said if one.batch.first and fewest <= one.at_pull.earlier_batches <= most]
    assert len(some) > 300
    assert 0.75 <= mean(holds(one.at_pull.first_fry, one.batch.first) for one in some) <= 0.88


@pytest.mark.parametrize("earlier", [0, 1, 3])
def test_a_window_too_narrow_or_too_wide_would_be_noticed(said: list[Said], earlier: int) -> None:
    """Seven tenths of the width, or one and a half times, holds too few or too many."""
    some = [one for one in said if one.batch.first and one.at_pull.earlier_batches == earlier]

    def share(scale: float) -> float:
        return mean(holds(_scaled(one.at_pull.first_fry, scale), one.batch.first) for one in some)

    assert share(0.7) < 0.75 and share(1.5) > 0.88


def _scaled(window: Window | None, scale: float) -> Window:
    assert window
    middle = window.p50
    return Window(middle + (window.p10 - middle) * scale, middle, middle + (window.p90 - middle) * scale)


# ---- how far rooms lie apart

HYBRID = "R45"  # a hybrid line of the goldfish, "not the goldfish" by its note
Q10 = 2.0  # in mid-range 1.6 to 2.2, from published pairs; over 2 °C it hardly matters
NEAR_C = 2.0


def _between_sources() -> tuple[float, int]:
    """Standard deviation of log days from source to source on one species at one temperature, and degrees of freedom.

    Each pair of sources no more than 2 °C apart says half its squared difference; species count by their sources.
    """
    by_species: dict[str, list[HatchRow]] = {}
    for row in hatch_rows():
        if row.use == "fit" and row.temp_c is not None and row.row_id != HYBRID:
            by_species.setdefault(row.species, []).append(row)
    total, freedom = 0.0, 0
    for rows in by_species.values():
        apart: dict[tuple[str, str], list[float]] = {}
        for one, other in combinations(sorted(rows, key=lambda row: row.source), 2):
            assert one.temp_c is not None and other.temp_c is not None
            if one.source != other.source and abs(one.temp_c - other.temp_c) <= NEAR_C:
                off = math.log(one.half_days / other.half_days) + math.log(Q10) * (one.temp_c - other.temp_c) / 10
                apart.setdefault((one.source, other.source), []).append(off)
        if apart:
            sources = len({source for pair in apart for source in pair})
            total += mean(mean(offs) ** 2 for offs in apart.values()) / 2 * (sources - 1)
            freedom += sources - 1
    return math.sqrt(total / freedom), freedom


def test_rooms_differ_as_published_sources_do() -> None:
    """0.14 on 9 degrees of freedom: 0.10 to 0.23 with nine tenths, by the chi-square distribution."""
    spread, freedom = _between_sources()
    assert spread == pytest.approx(0.143, abs=0.0005) and freedom == 9
    low, high = (spread * math.sqrt(freedom / chi2.ppf(share, freedom)) for share in (0.95, 0.05))
    assert (round(low, 2), round(high, 2)) == (0.10, 0.23)
    assert low <= BETWEEN_SOURCES <= high and low <= SOURCE_SPREAD <= high


def test_the_books_of_the_make_believe_world_have_as_many_figures_as_ours() -> None:
    for species, (_, _, figures) in FISH.items():
        assert sum(row.use == "fit" and row.species == species for row in hatch_rows()) == figures


# ---- narrower with the room's own batches


@pytest.mark.parametrize("species", FISH)
def test_five_batches_leave_at_most_three_fifths_of_the_width(said: list[Said], species: str) -> None:
    own = [one for one in said if one.batch.species == species]

    def width(earlier: int) -> float:
        return mean(one.width.total_seconds() for one in own if one.at_pull.earlier_batches == earlier)

    assert width(5) <= 0.6 * width(0)


def test_a_look_without_fry_leaves_the_window_honest(said: list[Said]) -> None:
    """At the last look without fry the first are less than a day or two off; the window must not lag behind."""
    midway = [one for one in said if one.midway and one.batch.first]
    for one in midway:
        assert one.midway and one.midway.first_fry and one.batch.clear_until
        if not one.midway.past_window:
            assert one.midway.first_fry.p10 >= one.batch.clear_until - dt.timedelta(seconds=1)
    assert mean(bool(one.midway and one.midway.past_window) for one in midway) <= 0.05


def test_failed_batches_are_flagged(said: list[Said]) -> None:
    failed = [one.afterwards for one in said if one.afterwards]
    assert len(failed) > 80
    assert all(after.past_window and any("likely failed" in c for c in after.cautions) for after in failed)
