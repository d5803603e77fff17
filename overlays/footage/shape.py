"""What of a run's trace a sound can follow: its level, through a response of any bend.

A quantity makes a band louder or softer as its level in decibels grows out of the room's noise, or
moves a tone into the band and out again. So each band is taken to follow a trend, straight and
logarithmic, and on it a bend drawn through a few knots.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.footage.hearing import ROWS_PER_S
from overlays.model.trace import FloatArray, Trace

__all__ = ["Shape", "shape_of"]

_AROUND_S = 3.0
_KNOTS = (0.0, 0.1, 0.25, 0.45, 0.65, 0.85, 1.0)
_LOW, _HIGH = 1.0, 99.0


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A trace as parts that a sound's levels may be made of.

    Parameters
    ----------
    first_row : int
        Row 0 stands at ``first_row / ROWS_PER_S`` seconds of the run.
    parts : ndarray of shape (N, K)
        By row; 0 in gaps.
    there : ndarray of shape (N,), bool
        False in gaps.
    step_s : float
        The usual time between samples of the trace.
    """

    first_row: int
    parts: FloatArray
    there: NDArray[np.bool_]
    step_s: float


def shape_of(trace: Trace, length_s: float) -> Shape | None:
    """Return a trace's shape around a run; None where it is flat, or there is nothing."""
    first, last = -_AROUND_S, length_s + _AROUND_S
    near = (trace.time_s >= first) & (trace.time_s <= last)
    time_s, values = trace.time_s[near], trace.values[near]
    if np.isfinite(values).sum() < 8:
        return None
    step_s = float(np.median(np.diff(time_s)))
    row0, row1 = (round(float(end_s) * ROWS_PER_S) for end_s in (time_s[0], time_s[-1]))
    rows_s = np.arange(row0, row1 + 1) / ROWS_PER_S
    level = _on_rows(time_s, values, rows_s, step_s)
    there = np.isfinite(level)
    low, high = np.percentile(level[there], [_LOW, _HIGH])
    if high - low <= 1e-9 * max(abs(low), abs(high), 1e-300):
        return None
    share = np.clip((level - low) / (high - low), 0, 1)
    hats = [np.interp(share, _KNOTS, np.eye(len(_KNOTS))[k]) for k in range(1, len(_KNOTS))]
    # A level unheard so far is told from the trend; bends, at half the weight, where they show.
    trend = [share, np.log1p(30 * share**2) / np.log1p(30)]
    parts = np.stack([*trend, *(0.5 * hat for hat in hats)], axis=1)
    parts[~np.isfinite(parts).all(axis=1)] = 0
    return Shape(row0, parts, there, step_s)


def _on_rows(
    time_s: FloatArray, values: FloatArray, rows_s: FloatArray, step_s: float
) -> FloatArray:
    """Average samples by row where there are several, else draw the straight line."""
    if step_s < 0.75 / ROWS_PER_S:
        edges = (np.arange(len(rows_s) + 1) - 0.5) / ROWS_PER_S + rows_s[0]
        place = np.clip(np.searchsorted(edges, time_s) - 1, 0, len(rows_s) - 1)
        fine = np.isfinite(values)
        counts = np.bincount(place[fine], minlength=len(rows_s))
        sums = np.bincount(place[fine], values[fine], minlength=len(rows_s))
        return np.asarray(sums / np.where(counts, counts, np.nan))
    # Next to a gap the line has no end, and stays a gap.
    return np.asarray(np.interp(rows_s, time_s, values))
