"""The pieces of a trace between its gaps."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from overlays.model.trace import FloatArray

__all__ = ["by_piece", "pieces"]


def pieces(values: FloatArray) -> list[slice]:
    """List the stretches without NaN, in order.

    Examples
    --------
    >>> pieces(np.array([1.0, 2.0, np.nan, 4.0]))
    [slice(0, 2, None), slice(3, 4, None)]
    """
    there = np.isfinite(values)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], there, [False])).astype(np.int8)))
    return [slice(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def by_piece(values: FloatArray, work: Callable[[FloatArray], FloatArray]) -> FloatArray:
    """Apply `work` to each stretch between gaps; the gaps stay NaN."""
    result = np.full_like(values, np.nan)
    for piece in pieces(values):
        result[piece] = work(values[piece])
    return result
