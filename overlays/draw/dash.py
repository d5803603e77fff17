"""Dashes along a curve: as long on a noisy trace as on a calm one, and hiding nothing.

A dash measured along every twist of a noisy trace would shrink to a crumb. So length is measured
along the trace's running mean, which makes a dash a stretch of columns. Where something happens
within a stretch left bare, such as a spike, it is drawn after all.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["dashed"]

Floats = NDArray[np.float64]

# Pixel columns over which the running mean goes, for each pixel of the pen.
_CALM = 6
# How much longer than the pattern says a bare stretch may be.
_MOST_BARE = 1.5


def dashed(
    parts: Sequence[Floats],
    pattern: Sequence[float],
    width: float,
    span: tuple[float, float] = (-np.inf, np.inf),
) -> list[Floats]:
    """Cut the pieces of a curve into dashes.

    Parameters
    ----------
    parts : sequence of ndarray of shape (N, 2)
        In order of x, in pixels.
    pattern : sequence of float
        Pixels of ink and of none in turn, as seen; an even number of them.
    width : float
        Of the pen, whose ends are round: they lengthen the ink and shorten what is bare.
    span : (float, float)
        Columns outside which nothing need be drawn; dashes count from the start all the same.

    Returns
    -------
    list of ndarray of shape (M, 2)
        One a dash, in order; a dash over two pieces is cut in two.
    """
    together = np.concatenate(parts)
    columns, along = _lengths(together, max(1, round(_CALM * width)))
    bounds = _bounds(float(along[-1]), pattern, width)
    edges = np.interp(bounds, along, columns)
    low, high = max(float(columns[0]), span[0]), min(float(columns[-1]), span[1])
    # Where the mean is calmer than the trace, as at a sudden rise, a bare stretch comes out long.
    most = _MOST_BARE * max(pattern[1::2]) + width
    starts, ends = [low], []
    for first, last in zip(edges[0::2], edges[1::2], strict=True):
        if first <= low or last >= high:
            continue
        if not _eventful(together, float(first), float(last), width=width, most=most):
            ends.append(float(first))
            starts.append(float(last))
    ends.append(high)
    return [
        cut
        for part in parts
        for start, end in zip(starts, ends, strict=True)
        if len(cut := _between(part, start, end))
    ]


def _lengths(points: Floats, reach: int) -> tuple[Floats, Floats]:
    """Return columns from the first point to the last, and the length of the mean up to each."""
    first, last = points[0, 0], points[-1, 0]
    columns = np.linspace(first, last, max(2, round(last - first) + 1))
    rows = np.interp(columns, points[:, 0], points[:, 1])
    padded = np.pad(rows, (reach + 1, reach), mode="edge")
    sums = np.cumsum(padded)
    calm = (sums[2 * reach + 1 :] - sums[: -2 * reach - 1]) / (2 * reach + 1)
    steps = np.hypot(np.diff(columns), np.diff(calm))
    return columns, np.concatenate([[0.0], np.cumsum(steps)])


def _bounds(length: float, pattern: Sequence[float], width: float) -> Floats:
    """Return where, along the length, what is bare begins and ends, in turn."""
    lengths = [
        max(part - width, 0.1) if index % 2 == 0 else part + width
        for index, part in enumerate(pattern)
    ]
    turns = int(np.ceil(length / sum(lengths))) if sum(lengths) > 0 else 0
    bounds = np.cumsum(np.tile(lengths, turns))
    # Whole bare stretches only: a curve ends with ink, so that its head is on it.
    inside = bounds[: 2 * int(np.count_nonzero(bounds[1::2] < length))]
    return np.asarray(inside, np.float64)


def _eventful(points: Floats, first: float, last: float, *, width: float, most: float) -> bool:
    """Say whether a stretch must be drawn: it is longer than it may be, or no straight line."""
    inside = points[(points[:, 0] > first) & (points[:, 0] < last)]
    ends = np.interp([first, last], points[:, 0], points[:, 1])
    if np.hypot(last - first, ends[1] - ends[0]) > most:
        return True
    if not len(inside):
        return False
    line = np.interp(inside[:, 0], [first, last], ends)
    return bool(np.abs(inside[:, 1] - line).max() > 2 * width)


def _between(part: Floats, start: float, end: float) -> Floats:
    """Cut a piece to a stretch of columns, with points at its ends where it goes on."""
    x = part[:, 0]
    low, high = max(start, float(x[0])), min(end, float(x[-1]))
    if low > high:
        return np.empty((0, 2))
    inside = part[(x > low) & (x < high)]
    ends = np.array([low, high])
    rows = np.interp(ends, x, part[:, 1])
    return np.vstack([[low, rows[0]], inside, [high, rows[1]]])
