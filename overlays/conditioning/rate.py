"""How evenly a trace was sampled, and its rate."""

from __future__ import annotations

import numpy as np

from overlays.model.trace import FloatArray

__all__ = ["is_uniform", "rate_hz", "resample"]

JITTER = 0.05
"""Steps may differ by this share from the usual step before a filter needs an even grid; common
practice, no source."""


def rate_hz(time_s: FloatArray) -> float:
    """Return the samples a second by the median step; at least two samples."""
    return float(1.0 / np.median(np.diff(time_s)))


def is_uniform(time_s: FloatArray) -> bool:
    """Say whether all but a few (5 %) of the steps lie within `JITTER` of the usual step."""
    steps = np.diff(time_s)
    off = np.abs(steps / np.median(steps) - 1.0)
    return bool(np.quantile(off, 0.95) <= JITTER)


def resample(time_s: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Put a trace on an even grid at its usual step, by straight lines, gaps staying gaps.

    Parameters
    ----------
    time_s, values : ndarray of shape (N,)
        NaN in `values` is a gap.

    Returns
    -------
    time_s, values : ndarray of shape (M,)
        A grid point between two samples of which one is a gap is a gap too.
    """
    step = float(np.median(np.diff(time_s)))
    count = int(np.floor((time_s[-1] - time_s[0]) / step + 1e-9)) + 1
    grid = time_s[0] + step * np.arange(count)
    return grid, np.interp(grid, time_s, values)
