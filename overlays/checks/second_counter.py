"""Events counted for every cell of a grid within a sliding second."""

from __future__ import annotations

from collections import deque
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Mask", "SecondCounter"]

Mask = NDArray[np.bool_]
_Cells = NDArray[np.intp]


class SecondCounter:
    """Counts events cell by cell; memory depends on the grid and the rate alone.

    Parameters
    ----------
    shape : (int, int, int)
        Layers, rows and columns of the grid.
    window_frames : int
        Frames that make up a second: events at frames *a* and *b* fall into one second where
        ``b - a < window_frames``.
    limit : int
        Events within a second from which on a cell counts as over the limit.

    Attributes
    ----------
    most : ndarray of shape (layers,)
        The most events any cell of a layer had within a second so far.
    """

    def __init__(self, shape: tuple[int, int, int], *, window_frames: int, limit: int) -> None:
        self.most = np.zeros(shape[0], np.int64)
        self._window_frames = window_frames
        self._limit = limit
        self._count = np.zeros(shape, np.uint16)
        self._last_over = np.full(shape, -window_frames, np.int64)
        self._past: deque[NDArray[Any]] = deque(maxlen=window_frames)
        self._frame = -1

    def advance(self, events: _Cells) -> Mask:
        """Let a frame pass in which the cells at these flat indices, each once, had an event.

        Returns
        -------
        ndarray of shape (layers,)
            Whether any cell of a layer went over the limit at this frame.
        """
        self._frame += 1
        counts = self._count.reshape(-1)
        if len(self._past) == self._window_frames:
            counts[self._cells(self._past[0])] -= 1
        # Few cells have one as a rule; where many do, a bit for each takes less room.
        sparse = events.size * events.itemsize * 8 <= counts.size
        self._past.append(events if sparse else self._bits(events))
        counts[events] += 1
        now, layer = counts[events], events // (counts.size // len(self.most))
        np.maximum.at(self.most, layer, now)
        over = now >= self._limit
        self._last_over.reshape(-1)[events[over]] = self._frame
        return np.asarray(np.bincount(layer[over], minlength=len(self.most)) > 0, bool)

    def over(self, layer: int) -> Mask:
        """Return the cells of a layer that were over the limit at some time in the last second."""
        recent = self._last_over[layer] > self._frame - self._window_frames
        return np.asarray(recent, bool)

    def _bits(self, cells: _Cells) -> NDArray[np.uint8]:
        mask = np.zeros(self._count.size, bool)
        mask[cells] = True
        return np.packbits(mask)

    def _cells(self, kept: NDArray[Any]) -> NDArray[Any]:
        if kept.dtype == np.uint8:
            kept = np.flatnonzero(np.unpackbits(kept, count=self._count.size))
        return kept
