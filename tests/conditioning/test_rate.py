from __future__ import annotations

import numpy as np
import pytest

from overlays.conditioning.rate import rate_hz, resample, trace_steps
from tests.outside import rows


def test_rate_is_by_the_usual_step() -> None:
    """Gaps and a lost sample do not change the rate."""
    time = np.array([0.0, 0.1, 0.2, 0.5, 0.6, 0.7])
    assert rate_hz(time, np.zeros(6)) == pytest.approx(10)
    assert rate_hz(np.array([0.0, 1.0]), np.array([1.0, np.nan])) is None


def test_steps_across_gaps_do_not_count() -> None:
    """A step that begins or ends at a gap is none between neighbours."""
    time = np.array([0.0, 1.0, 1.5, 5.0, 6.0])
    values = np.array([0.0, 0.0, np.nan, 0.0, 0.0])
    np.testing.assert_array_equal(trace_steps(time, values), [1.0, 1.0])


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
