"""Spikes: samples far off the median of their neighbourhood (Hampel 1974)."""

from __future__ import annotations

import numpy as np

from overlays.conditioning.medians import moving_median
from overlays.model.trace import FloatArray

__all__ = ["without_spikes"]

_SIGMA = 1.4826
"""Standard deviation of a normal distribution over its median absolute deviation."""


def without_spikes(values: FloatArray, samples: int, times: float) -> tuple[FloatArray, int]:
    """Replace spikes by the straight line between their neighbours.

    A spike differs from the moving median by more than `times` robust standard deviations of its
    neighbourhood, each taken as no smaller than the finest step the channel makes.

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
    if len(values) < 3 or samples < 3:
        return values, 0
    middle = moving_median(values, samples)
    off = np.abs(values - middle)
    moves = np.abs(np.diff(values))
    moves = moves[moves > 0]
    finest = float(moves.min()) if moves.size else 0.0
    scale = np.maximum(_SIGMA * moving_median(off, samples), finest)
    spikes = off > times * scale
    # The ends have no neighbourhood on one side; leave them to the eye.
    spikes[0] = spikes[-1] = False
    if not spikes.any() or spikes.all():
        return values, 0
    places = np.arange(len(values))
    fixed = values.copy()
    fixed[spikes] = np.interp(places[spikes], places[~spikes], values[~spikes])
    return fixed, int(spikes.sum())
