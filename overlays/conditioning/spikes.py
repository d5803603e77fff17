"""Spikes: samples far off the median of their neighbourhood (Hampel 1974)."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from overlays.model.trace import FloatArray

__all__ = ["without_spikes"]

_SIGMA = 1.4826
"""Standard deviation of a normal distribution over its median absolute deviation."""
_AT_ONCE = 2_000_000


def without_spikes(values: FloatArray, samples: int, times: float) -> tuple[FloatArray, int]:
    """Replace spikes by the straight line between their neighbours.

    A spike differs from the median of its neighbourhood by more than `times` robust standard
    deviations of that neighbourhood (1.4826 times the median absolute deviation). The deviation is
    taken as no smaller than is usual for the piece, nor than the finest step the channel makes.

    Parameters
    ----------
    values : ndarray of shape (N,)
        One piece, finite.
    samples : int
        Odd length of the neighbourhood.
    times : float
        The threshold.

    Returns
    -------
    values : ndarray of shape (N,)
        Without spikes.
    count : int
        How many samples were replaced.
    """
    samples = min(samples, len(values) - 1 + len(values) % 2)
    if samples < 3:
        return values, 0
    middle, deviation = _neighbourhoods(values, samples)
    moves = np.abs(np.diff(values))
    moves = moves[moves > 0]
    finest = float(moves.min()) if moves.size else 0.0
    scale = np.maximum(_SIGMA * deviation, max(_SIGMA * float(np.median(deviation)), finest))
    spikes = np.abs(values - middle) > times * scale
    # The ends have no neighbour on one side; leave them to the eye.
    spikes[0] = spikes[-1] = False
    if not spikes.any():
        return values, 0
    places = np.arange(len(values))
    fixed = values.copy()
    fixed[spikes] = np.interp(places[spikes], places[~spikes], values[~spikes])
    return fixed, int(spikes.sum())


def _neighbourhoods(values: FloatArray, samples: int) -> tuple[FloatArray, FloatArray]:
    """Return median and median absolute deviation around each sample, mirrored at the ends."""
    half = samples // 2
    padded = np.pad(values, half, mode="reflect")
    middle, deviation = np.empty_like(values), np.empty_like(values)
    step = max(1, _AT_ONCE // samples)
    for start in range(0, len(values), step):
        stop = min(start + step, len(values))
        windows = sliding_window_view(padded[start : stop + 2 * half], samples)
        middle[start:stop] = np.median(windows, axis=1)
        off = np.abs(windows - middle[start:stop, None])
        deviation[start:stop] = np.median(off, axis=1)
    return middle, deviation
