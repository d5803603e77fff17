"""Sound made as surprising as it is: what goes on as before, or in every band alike, counts little.

Loudness drifts, and neighbouring bands rise together. Compared as they are, a slow drift would fit
a slow trace anywhere, and no two rows would be independent evidence. So both sound and trace pass
the same short filter that predicts a row from those before it and keeps what is new (linear
prediction from the autocorrelation, Makhoul 1975), and bands are turned until they are independent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_toeplitz
from scipy.signal import lfilter

from overlays.footage.hearing import Heard
from overlays.model.trace import FloatArray

__all__ = ["Sound", "new_in", "whitened"]

_ORDER = 24  # rows, 0.12 s
_CLIP = 4.0  # a bang is no stronger evidence than a clear rise
_LEAST_DB = 1e-3
_LEAST_ROWS = 400

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """What is new in a sound, row by row.

    Parameters
    ----------
    first_row : int
        Row 0 stands at ``first_row / ROWS_PER_S`` seconds of the footage.
    rows : ndarray of shape (N, B)
        Of mean 0 and about variance 1, bands independent of each other; 0 where `whole` is False.
    whole : ndarray of shape (N,), bool
        Whether a row and its past are there.
    taps : ndarray of shape (T,)
        The filter that the trace has to pass too.
    """

    first_row: int
    rows: FloatArray
    whole: Flags
    taps: FloatArray

    def part(self, begin: int, end: int) -> Sound:
        """Return the rows from `begin` up to `end`, as far as there are any."""
        begin = max(0, begin)
        return Sound(self.first_row + begin, self.rows[begin:end], self.whole[begin:end], self.taps)


def whitened(heard: Heard) -> Sound | None:
    """Return what is new in a sound; None where it is silent or lasts less than two seconds."""
    there: Flags = np.asarray(np.isfinite(heard.levels_db).all(axis=1))
    if there.sum() < _LEAST_ROWS:
        return None
    live = heard.levels_db[there].std(axis=0) > _LEAST_DB
    if not live.any():
        return None
    levels = heard.levels_db[:, live].astype(np.float64)
    levels -= np.median(levels[there], axis=0)
    levels[~there] = 0
    taps = _taps(levels, there)
    rows, whole = new_in(levels, there, taps)
    if not whole.any():
        return None
    spread = np.median(np.abs(rows[whole]), axis=0) * 1.4826  # of a normal distribution
    rows = np.clip(rows / np.maximum(spread, 1e-9), -_CLIP, _CLIP)
    rows -= rows[whole].mean(axis=0)
    covariance = np.atleast_2d(np.cov(rows[whole].T))
    strength, turned = np.linalg.eigh(covariance)
    # What two bands share to the last is no evidence; it must not be blown up.
    rows = (rows @ turned) / np.sqrt(np.maximum(strength, 0) + 0.02 * strength.mean())
    rows[~whole] = 0
    return Sound(heard.first_row, rows, whole, taps)


def new_in(values: FloatArray, there: Flags, taps: FloatArray) -> tuple[FloatArray, Flags]:
    """Filter columns along time; also return which rows have their whole past."""
    passed = lfilter(taps, [1.0], np.where(there[:, None], values, 0.0), axis=0)
    missing = np.convolve(~there, np.ones(len(taps)))[: len(there)] > 0
    missing[: len(taps) - 1] = True
    passed[missing] = 0
    return passed, ~missing


def _taps(levels: FloatArray, there: Flags) -> FloatArray:
    """Return 1 and the negative prediction of a row from those before, one filter for all bands."""
    scaled = np.clip(levels / np.maximum(levels[there].std(axis=0), 1e-9), -6, 6)
    length = len(scaled)
    alike = np.array(
        [np.sum(scaled[: length - lag] * scaled[lag:], axis=0) for lag in range(_ORDER + 1)]
    )
    alike /= np.maximum(alike[0], 1e-9)
    # Bands that the run moves go on as before for long; the room's own noise is told by the others.
    steady = np.argsort(alike[-1], kind="stable")[: max(1, alike.shape[1] // 2)]
    mean = alike[:, steady].mean(axis=1)
    mean[0] *= 1.03  # keeps the filter from leaning on differences too fine to be heard
    return np.concatenate(([1.0], -solve_toeplitz(mean[:-1], mean[1:])))
