"""Gaps: holes in the time are marked, and only declared ones are bridged."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from overlays.conditioning.pieces import pieces
from overlays.model.trace import FloatArray

__all__ = ["bridge", "mark_holes"]


def mark_holes(
    time_s: FloatArray, values: FloatArray, limit_s: float
) -> tuple[FloatArray, FloatArray]:
    """Put a NaN into the middle of every step longer than a limit, so that no line crosses it."""
    holes = np.flatnonzero(np.diff(time_s) > limit_s)
    if not holes.size:
        return time_s, values
    middles = (time_s[holes] + time_s[holes + 1]) / 2
    return (
        np.insert(time_s, holes + 1, middles),
        np.insert(values, holes + 1, np.nan),
    )


def bridge(
    time_s: FloatArray, values: FloatArray, longest_s: float
) -> tuple[FloatArray, FloatArray, int]:
    """Bridge gaps up to a length by straight lines.

    Returns
    -------
    time_s, values : ndarray of shape (M,)
        The NaN samples of bridged gaps are gone.
    count : int
        How many gaps were bridged.
    """
    keep = np.ones(len(values), np.bool_)
    parts = pieces(values)
    count = 0
    for before, after in pairwise(parts):
        if time_s[after.start] - time_s[before.stop - 1] <= longest_s * (1 + 1e-9):
            keep[before.stop : after.start] = False
            count += 1
    return time_s[keep], values[keep], count
