from __future__ import annotations

import numpy as np
import pytest

from overlays.conditioning.rate import is_even, rate_hz, resample
from tests.outside import rows


def test_rate_is_by_the_usual_step() -> None:
    """Gaps and a lost sample do not change the rate."""
    time = np.array([0.0, 0.1, 0.2, 0.5, 0.6, 0.7])
    assert rate_hz(time, np.zeros(6)) == pytest.approx(10)
    assert rate_hz(np.array([0.0, 1.0]), np.array([1.0, np.nan])) is None


@pytest.mark.parametrize(("jitter", "even"), [(0.0, True), (0.02, True), (0.2, False)])
def test_evenness(jitter: float, *, even: bool) -> None:
    """Small jitter is immaterial, large is not."""
    steps = 1 + jitter * np.random.default_rng(0).uniform(-1, 1, 1000)
    time = np.cumsum(steps)
    assert is_even(time, np.zeros(1000)) is even


def test_straight_lines_survive() -> None:
    """Resampling a straight line by straight lines is exact (closed form)."""
    (row,) = [row for row in rows("signal", "resample.linear") if row.id == "resample.linear"]
    time = np.arange(100) / 100
    grid, values = resample(time, 3 * time + 2, 1 / 250)
    assert np.abs(values - (3 * grid + 2)).max() <= row.expected["max_abs_error"] + 1e-12


def test_sine_stays_within_the_bound() -> None:
    """Straight lines between samples are off by h²/8 of the curvature at most (closed form)."""
    (row,) = rows("signal", "resample.linear_bound")
    time = np.arange(100) / 100
    grid, values = resample(time, np.sin(2 * np.pi * 5 * time), 1 / 997)
    assert np.abs(values - np.sin(2 * np.pi * 5 * grid)).max() <= row.expected["bound"]


def test_gaps_stay_gaps() -> None:
    """Pieces are put on grids of their own, with one gap between them."""
    time = np.array([0.0, 1, 2, 10, 11])
    grid, values = resample(time, np.array([0.0, 1, np.nan, 10, 11]), 0.5)
    np.testing.assert_array_equal(grid, [0, 0.5, 1, 5.5, 10, 10.5, 11])
    np.testing.assert_array_equal(values, [0, 0.5, 1, np.nan, 10, 10.5, 11])
