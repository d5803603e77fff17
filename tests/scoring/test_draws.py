"""Drawing figures anew from the scatter of repeats."""

from __future__ import annotations

import math

import numpy as np
import pytest

from overlays.errors import Problems
from overlays.scoring.draws import draw_figures, pooled_covariance
from overlays.scoring.gap import probability_ahead
from tests.scoring.building import TOML, results, session

RATIO = (
    '[figures.r]\nlabel = "r"\ntake = "ratio"\nof = "held"\nby = "price"\n'
    '[figures.d]\nlabel = "d"\ntake = "difference"\nof = "held"\nby = "claimed"\n'
    '[figures.c]\nlabel = "c"\ntake = "ratio"\nof = "pulled"\nby = "held"\n'
    '[figures.p]\nlabel = "p"\ntake = "attribute"\nattribute = "price"\n'
)
DRAWS = 20_000


def test_covariance_is_pooled_within_entries() -> None:
    """NumPy's own covariance of centred repeats, over Σ(n - 1), as a second opinion."""
    rng = np.random.default_rng(1)
    groups = [rng.normal(size=(n, 3)) + 10 * n for n in (3, 4, 2)]
    found, dof = pooled_covariance(groups)
    centred = np.concatenate([group - group.mean(axis=0) for group in groups])
    assert dof == 6
    assert found == pytest.approx(centred.T @ centred / 6)
    assert pooled_covariance([np.ones((1, 2))])[1] == 0


def test_drawn_means_scatter_as_the_repeats_say() -> None:
    """Around the value shown, with Student's width: s_r/√n·√(ν/(ν-2)), here ν = 4."""
    values = {("ash", "hold"): [49.0, 50.0, 51.0], ("birch", "hold"): [40.0, 41.0, 42.0]}
    found = results(session(), values, Problems())
    drawn = draw_figures(found, DRAWS, np.random.default_rng(2))
    ash = drawn["ash", "held"]
    assert ash.mean() == pytest.approx(50.0, abs=0.03)
    # The variance of Student's t with four degrees of freedom exists but is slow to settle; the
    # interquartile range is not: t(0.75, 4) = 0.7407 (scipy.stats.t.ppf).
    low, high = np.quantile(ash, [0.25, 0.75])
    assert high - low == pytest.approx(2 * 0.7407 / np.sqrt(3), rel=0.03)


def test_the_chance_of_being_ahead_is_the_closed_form() -> None:
    """Two entries, drawn against Student's distribution of their difference (within 1 %)."""
    values = {("ash", "hold"): [49.0, 50.0, 51.0], ("birch", "hold"): [48.3, 49.3, 50.3]}
    found = results(session(), values, Problems())
    drawn = draw_figures(found, DRAWS, np.random.default_rng(3))
    share = float(np.mean(drawn["ash", "held"] > drawn["birch", "held"]))
    # The difference of two such t variables is close to, not exactly, Student's.
    assert share == pytest.approx(probability_ahead(0.7, 1.0, 3, 3, dof=4), abs=0.015)


def test_what_is_made_of_a_figure_moves_with_it() -> None:
    """A ratio by price and a difference to a claim keep exact step with what they are made of."""
    values = {("ash", "hold"): [49.0, 50.0, 51.0], ("ash", "pull"): [80.0]}
    found = results(session(RATIO), values, Problems())
    drawn = draw_figures(found, 50, np.random.default_rng(4))
    held = drawn["ash", "held"]
    assert drawn["ash", "r"] == pytest.approx(held / 10.0)
    assert drawn["ash", "d"] == pytest.approx(held - 90.0)
    assert drawn["ash", "c"] == pytest.approx(80.0 / held)
    assert set(drawn["ash", "p"]) == {10.0}


def test_figures_of_one_test_are_drawn_together() -> None:
    """Peak and mean of flat runs are one number, and stay one number in every draw."""
    more = '[figures.top]\nlabel = "top"\ntake = "peak"\ntest = "hold"\n'
    found = results(session(more), {("ash", "hold"): [49.0, 50.0, 51.0]}, Problems())
    drawn = draw_figures(found, 50, np.random.default_rng(5))
    assert drawn["ash", "top"] == pytest.approx(drawn["ash", "held"])


def test_single_runs_and_missing_figures_do_not_move() -> None:
    """What was run once stands as measured; what is missing is not drawn at all."""
    found = results(session(toml=TOML), {("ash", "pull"): [80.0]}, Problems())
    drawn = draw_figures(found, 5, np.random.default_rng(6))
    assert set(drawn["ash", "pulled"]) == {80.0}
    assert ("ash", "held") not in drawn


def test_a_run_that_lacks_a_figure_leaves_its_entry_as_unsure_as_the_others() -> None:
    """Two of three repeats are left: Student's width with two runs, ν = 3 (both from the pool)."""
    values = {
        ("ash", "hold"): [49.0, math.nan, 51.0],
        ("birch", "hold"): [40.0, 41.0, 42.0],
    }
    found = results(session(), values, Problems())
    assert found.figures["held", "ash"].repeats == (49.0, None, 51.0)
    drawn = draw_figures(found, DRAWS, np.random.default_rng(8))["ash", "held"]
    # s² = (2 + 2) / 3 pooled; t(0.75, 3) = 0.7649 (scipy.stats.t.ppf).
    low, high = np.quantile(drawn, [0.25, 0.75])
    assert high - low == pytest.approx(2 * 0.7649 * np.sqrt(4 / 3 / 2), rel=0.03)


def test_the_same_seed_draws_the_same() -> None:
    """Nothing but the seed decides."""
    found = results(session(), {("ash", "hold"): [49.0, 50.0, 51.0]}, Problems())
    one, two = (draw_figures(found, 5, np.random.default_rng(7)) for _ in range(2))
    assert np.array_equal(one["ash", "held"], two["ash", "held"])
