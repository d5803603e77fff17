"""The steps of a trace, its rate, and an even grid for it."""

from __future__ import annotations

import numpy as np

from overlays.conditioning.pieces import pieces
from overlays.model.trace import FloatArray

__all__ = ["rate_hz", "resample", "trace_steps"]


def trace_steps(time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Return the steps between neighbouring samples in seconds, those across gaps left out."""
    steps = np.diff(time_s)
    there = np.isfinite(values)
    return np.asarray(steps[there[1:] & there[:-1]])


def rate_hz(time_s: FloatArray, values: FloatArray) -> float | None:
    """Return the samples a second by the median step; None where no two samples are neighbours."""
    steps = trace_steps(time_s, values)
    return float(1.0 / np.median(steps)) if steps.size else None


def resample(
    time_s: FloatArray, values: FloatArray, step_s: float
) -> tuple[FloatArray, FloatArray]:
    """Put each piece between gaps on an even grid, by straight lines.

    Parameters
    ----------
    time_s, values : ndarray of shape (N,)
        NaN in `values` is a gap.
    step_s : float
        Step of the grid.

    Returns
    -------
    time_s, values : ndarray of shape (M,)
        Pieces begin at their own first sample; between two pieces one NaN remains.
    """
    times: list[FloatArray] = []
    results: list[FloatArray] = []
    for piece in pieces(values):
        own, there = time_s[piece], values[piece]
        count = int(np.floor((own[-1] - own[0]) / step_s + 1e-6)) + 1
        grid = own[0] + step_s * np.arange(count)
        if times:
            times.append(np.array([(times[-1][-1] + grid[0]) / 2]))
            results.append(np.array([np.nan]))
        times.append(grid)
        results.append(np.interp(grid, own, there))
    return np.concatenate(times), np.concatenate(results)
