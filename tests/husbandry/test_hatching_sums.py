"""The closed forms behind the hatching estimates against general-purpose numerics that share no code with them."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest
from scipy import integrate, optimize, stats  # type: ignore[import-untyped]

from shared.hatching import development, experience
from shared.hatching.experience import Experience, PastBatch
from shared.species import Species, find_species

LAID = dt.datetime(2026, 3, 2, 8, tzinfo=dt.UTC)


@pytest.mark.parametrize("name", ["medaka", "Corydoras panda", "Betta splendens"])
def test_the_pooling_is_the_gaussian_posterior(name: str) -> None:
    """Mean and covariance of (log days at 25 °C, T0) from the full covariance matrix, solved by LAPACK."""
    fit = development.published()
    species = find_species(name)
    assert species is not None
    pace = fit.pace(species)
    fish = [one for row in fit.rows if (one := find_species(row.species))]

    def shared(one: Species, two: Species, spread: dict[str, float]) -> float:
        alike = {
            "everything": True,
            "egg_type": one.egg_type == two.egg_type,
            "family": one.family == two.family,
            "genus": one.name.split()[0] == two.name.split()[0],
            "species": one.name == two.name,
        }
        return sum(sd * sd for level, sd in spread.items() if alike[level])

    cold = np.array([fit.pace(one).cold_limit_c for one in fish])
    temps = np.array([row.temp_c if row.temp_c is not None else 24.5 for row in fit.rows])
    slope = (25 - temps) / ((temps - cold) * (25 - cold))
    bend = np.log((25 - cold) / (temps - cold)) - slope * (cold - 10)
    seen = np.array([math.log(row.half_days) for row in fit.rows]) - math.log(6.0) - bend
    count = len(fish)
    matrix = np.zeros((count, count))
    for i in range(count):
        for j in range(count):
            matrix[i, j] = shared(fish[i], fish[j], development.SPREAD)
            matrix[i, j] += slope[i] * slope[j] * shared(fish[i], fish[j], development.COLD_SPREAD_C)
            if (fit.rows[i].source, fit.rows[i].species) == (fit.rows[j].source, fit.rows[j].species):
                matrix[i, j] += development.SOURCE_SPREAD**2
        row = fit.rows[i]
        matrix[i, i] += development.CONFIDENCE_SPREAD[row.confidence] ** 2
        matrix[i, i] += development.EVENT_SPREAD[row.event] ** 2
        if row.temp_c is None:
            matrix[i, i] += (1.5 / (24.5 - cold[i])) ** 2
    on_log = np.array([shared(species, one, development.SPREAD) for one in fish])
    on_cold = slope * np.array([shared(species, one, development.COLD_SPREAD_C) for one in fish])
    solved = np.linalg.solve(matrix, np.column_stack([seen, on_log, on_cold]))
    assert pace.log_days == pytest.approx(math.log(6.0) + on_log @ solved[:, 0], abs=1e-3)
    assert pace.cold_limit_c == pytest.approx(10 + on_cold @ solved[:, 0], abs=0.05)
    assert pace.var_log == pytest.approx(
        sum(sd * sd for sd in development.SPREAD.values()) - on_log @ solved[:, 1], abs=1e-4
    )
    assert pace.cov == pytest.approx(-on_log @ solved[:, 2], abs=1e-4)


@pytest.mark.parametrize(("spell", "eggs"), [(0.0, 1), (0.0, 30), (3.0, 30), (12.5, 8), (12.5, 400)])
def test_first_of_many_eggs_laid_over_a_while(spell: float, eggs: int) -> None:
    """Median of the least of n draws from uniform plus normal, by numerical integration."""

    def below(x: float) -> float:
        if spell == 0:
            return float(stats.norm.cdf(x))
        return float(integrate.quad(lambda u: stats.norm.cdf(x - u), 0, spell)[0]) / spell

    by_numbers = optimize.brentq(lambda x: (1 - below(x)) ** eggs - 0.5, -8, spell + 8)
    assert experience._offset(spell, eggs) == pytest.approx(by_numbers, abs=1e-4)


def test_own_batches_update_as_bayes_says() -> None:
    """Two lines of one species: the joint Gaussian of species, line and batch effects, solved as a matrix."""

    def batch(line: str, days: float, back: int) -> PastBatch:
        start = LAID - dt.timedelta(days=30 * back)
        seen = start + dt.timedelta(days=days)
        return PastBatch(start, start, seen, seen, 24.0, "gardneri", line, 30)

    past = [batch("a", 13.0, 1), batch("a", 14.5, 2), batch("b", 16.0, 3), batch("b", 15.0, 4), batch("b", 15.5, 5)]
    key, species, pace = experience.who("gardneri", "a")
    assert species is not None
    factor, _ = experience.first_fry(0.0, 0.08, 30, species)
    seen = np.array(
        [
            math.log((p.fry_seen - p.laid_from).total_seconds() / 86400 / pace.days(24.0) / factor)
            for p in past
            if p.fry_seen
        ]
    )
    own = np.array([13.0, 14.5, 16.0, 15.0, 15.5]) / pace.days(24.0)
    noise = development.BATCH_SPREAD**2 + (0.4 * 0.08) ** 2 / own**2
    prior, line = pace.variance(24.0) + development.SOURCE_SPREAD**2, experience.LINE_SPREAD**2
    lines = np.array([0, 0, 1, 1, 1])
    matrix = prior + line * (lines[:, None] == lines[None, :]) + np.diag(noise)
    cross = prior + line * (lines == 0)
    weights = np.linalg.solve(matrix, cross)
    told = Experience.of(past).learned(key, "a", pace, 24.0)
    assert told.mean == pytest.approx(float(weights @ seen), abs=1e-9)
    # the spread of batches is itself re-estimated, so the variance lies between its bounds
    known = float(prior + line - weights @ cross)
    assert known < told.variance < known + 1.5 * development.BATCH_SPREAD**2
