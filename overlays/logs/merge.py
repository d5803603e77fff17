"""Channels with clocks of their own → one time for all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.model.trace import FloatArray

__all__ = ["Group", "merge"]


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Columns that share a clock.

    Parameters
    ----------
    time_s : ndarray of shape (N,)
        Strictly increasing.
    columns : sequence of ndarray of shape (N,)
        NaN is a gap.
    """

    time_s: FloatArray
    columns: Sequence[FloatArray]


def merge(
    groups: Sequence[Group],
) -> tuple[FloatArray, list[FloatArray], list[NDArray[np.int64]]]:
    """Put groups onto the time that has all their stamps.

    Nothing is interpolated: between its own samples a column is NaN, and its rows are listed, so
    that a gap in it can be told from what lies between.

    Parameters
    ----------
    groups : sequence of Group
        At least one.

    Returns
    -------
    time_s : ndarray of shape (M,)
        All stamps, each once.
    columns : list of ndarray of shape (M,)
        The columns of all groups, in order.
    rows : list of ndarray
        For each column, the rows of its own samples.
    """
    time_s = np.unique(np.concatenate([group.time_s for group in groups]))
    columns: list[FloatArray] = []
    rows: list[NDArray[np.int64]] = []
    for group in groups:
        own = np.searchsorted(time_s, group.time_s)
        for values in group.columns:
            spread = np.full(len(time_s), np.nan)
            spread[own] = values
            columns.append(spread)
            rows.append(own)
    return time_s, columns, rows
