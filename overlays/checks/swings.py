"""Opposing swings of a signal, counted for every cell of a grid within a sliding second.

A swing is a change, from the last turning point or from the frame before, that a definition calls
large enough; after one swing only an opposite one counts, so a long fade is one swing, and two
swings make a flash. Memory depends on the grid and the rate alone, not on how many frames pass by.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from overlays.checks.second_counter import Mask, SecondCounter

__all__ = ["Large", "Part", "Region", "SwingCounter"]

Region = tuple[slice, slice]
Signal = NDArray[np.float32]
Part = tuple[Region, Signal]

# Says for two states, each of shape (K, …, h, w) with the signal as the first of its K rows, where
# the change from one to the other is large enough to count.
Large = Callable[[Signal, Signal], Mask]


class SwingCounter:
    """Counts swings cell by cell.

    Parameters
    ----------
    shape : (int, int, int)
        Layers, rows and columns of the grid; a region holds the same cells of every layer.
    rows : int
        Values a state consists of: the signal and whatever `large` needs beside it.
    window_frames : int
        Frames that make up a second: swings at frames *a* and *b* fall into one second where
        ``b - a < window_frames``.
    limit : int
        Swings within a second from which on a cell counts as over the limit.
    large : callable
        See `Large`.
    """

    def __init__(
        self,
        shape: tuple[int, int, int],
        *,
        rows: int,
        window_frames: int,
        limit: int,
        large: Large,
    ) -> None:
        self._seconds = SecondCounter(shape, window_frames=window_frames, limit=limit)
        self._large = large
        self._high: Signal = np.zeros((rows, *shape), np.float32)
        self._low: Signal = np.zeros((rows, *shape), np.float32)
        self._last: Signal = np.zeros((rows, *shape), np.float32)
        self._way = np.zeros(shape, np.int8)  # of the last swing: 1 up, -1 down, 0 none yet

    @property
    def most(self) -> NDArray[np.int64]:
        """The most swings any cell of a layer had within a second so far; shape (layers,)."""
        return self._seconds.most

    def begin(self, parts: Sequence[Part]) -> None:
        """Take the first frame, whose parts cover the whole grid."""
        for region, state in parts:
            self._high[..., *region] = state
            self._low[..., *region] = state
            self._last[..., *region] = state
        self._seconds.advance(np.zeros(0, np.intp))

    def update(self, parts: Sequence[Part]) -> Mask:
        """Let a frame pass in which the given regions may have changed.

        Parameters
        ----------
        parts : sequence of (Region, ndarray of shape (rows, layers, h, w))
            Regions of the grid and their new states; none for a frame that repeats the one before.
            They may overlap: a state seen twice counts once.

        Returns
        -------
        ndarray of shape (layers,)
            Whether any cell of a layer went over the limit at this frame.
        """
        if not parts:
            return self._seconds.advance(np.zeros(0, np.intp))
        swung = np.zeros(self._way.shape, bool)
        for region, state in parts:
            swung[..., *region] |= self._swing(region, state)
        return self._seconds.advance(np.flatnonzero(swung))

    def over(self, layer: int) -> Mask:
        """Return the cells of a layer that were over the limit at some time in the last second."""
        return self._seconds.over(layer)

    def _swing(self, region: Region, state: Signal) -> Mask:
        way = self._way[..., *region]
        high, low = self._high[..., *region], self._low[..., *region]
        last = self._last[..., *region]
        signal = state[0]
        # A definition may look at more than the signal, so that the change from the frame before
        # can be large where that from the turning point is not.
        sudden = self._large(last, state)
        rises = ((signal > low[0]) & self._large(low, state)) | ((signal > last[0]) & sudden)
        falls = ((signal < high[0]) & self._large(high, state)) | ((signal < last[0]) & sudden)
        up = (way <= 0) & rises
        down = (way >= 0) & falls & ~up
        # The turning point moves on while a change goes on the way it went.
        np.copyto(high, state, where=up | ((way >= 0) & (signal > high[0])))
        np.copyto(low, state, where=down | ((way <= 0) & (signal < low[0])))
        last[...] = state
        way[up] = 1
        way[down] = -1
        return np.asarray(up | down, bool)
