"""Labels beside curves: kept in order, a minimum apart, inside bounds, moved as little as can be.

The places minimise the sum of squared moves. With the minimum distances taken off, that is an
isotonic regression, which pooling adjacent violators solves exactly (Ayer et al. 1955; Barlow et
al., "Statistical Inference under Order Restrictions", 1972); bounds then only clip the result.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["place"]


def place(
    wanted: Sequence[float] | NDArray[np.float64],
    apart: float,
    low: float,
    high: float,
) -> NDArray[np.float64]:
    """Place label centres in the given order.

    Parameters
    ----------
    wanted : sequence of float, length N
        Where each label would like its centre, in the order the labels shall keep; need not be
        sorted.
    apart : float
        Least distance from one centre to the next.
    low, high : float
        Bounds of the centres. Where they are too narrow, labels are spread evenly over them.

    Returns
    -------
    ndarray of shape (N,)
        Increasing centres.
    """
    count = len(wanted)
    if count == 0:
        return np.empty(0)
    spacing = min(apart, (high - low) / max(count - 1, 1))
    offsets = spacing * np.arange(count)
    means: list[float] = []
    sizes: list[int] = []
    for target in np.asarray(wanted, np.float64) - offsets:
        means.append(float(target))
        sizes.append(1)
        while len(means) > 1 and means[-2] > means[-1]:
            size = sizes[-2] + sizes[-1]
            mean = (means[-2] * sizes[-2] + means[-1] * sizes[-1]) / size
            means[-2:], sizes[-2:] = [mean], [size]
    pooled = np.clip(np.repeat(means, sizes), low, max(low, high - spacing * (count - 1)))
    return np.asarray(pooled + offsets, np.float64)
