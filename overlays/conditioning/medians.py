"""Moving medians whose window shrinks towards the ends, so that nothing is shifted."""

from __future__ import annotations

import numpy as np

from overlays.model.trace import FloatArray

__all__ = ["moving_median", "odd_samples"]


def odd_samples(window_s: float, rate_hz: float) -> int:
    """Return the odd number of samples nearest to a length of time, at least 1.

    Examples
    --------
    >>> odd_samples(0.05, 100.0), odd_samples(0.06, 100.0), odd_samples(0.001, 100.0)
    (5, 7, 1)
    """
    return max(1, 2 * int(np.floor(window_s * rate_hz / 2 + 1e-9)) + 1)


def moving_median(values: FloatArray, samples: int) -> FloatArray:
    """Return the median over an odd number of samples around each.

    Parameters
    ----------
    values : ndarray of shape (N,)
        Finite.
    samples : int
        Odd; towards the ends as many fewer as fit on both sides.
    """
    from scipy import ndimage

    if samples < 3 or len(values) < 3:
        return values
    half = min(samples // 2, (len(values) - 1) // 2)
    result = np.asarray(ndimage.median_filter(values, size=2 * half + 1), dtype=np.float64)
    for i in range(half):
        result[i] = np.median(values[: 2 * i + 1])
        result[len(values) - 1 - i] = np.median(values[len(values) - 1 - 2 * i :])
    return result
