"""Flashing that cannot be, found without measuring light.

A cell swings at most once a frame, and only where its pixels change. Where too few pixels change
often enough for eight swings within a second, nothing can flash more than three times on too large
an area, whatever lies behind. Most overlays are proven harmless so; the frames of the others are
measured (`overlays.checks.flash_meter`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from overlays.checks.flash_area import FlashArea
from overlays.checks.flash_definitions import CELLS_ACROSS, MOST_FLASHES
from overlays.checks.second_counter import Mask, SecondCounter
from overlays.draw.patch import Pixels, Rect

__all__ = ["FlashBound"]


class FlashBound:
    """Watches frames over still backdrops, in memory that does not grow.

    Parameters
    ----------
    width, height : int
        The canvas in pixels.
    rate : Fraction
        Frames per second.
    cell_px : int, optional
        Side of a cell, as `overlays.checks.flash_meter.FlashMeter` has it.
    """

    def __init__(
        self, width: int, height: int, *, rate: Fraction, cell_px: int | None = None
    ) -> None:
        self._cell = cell = cell_px or max(1, min(width, height) // CELLS_ACROSS)
        self._canvas = Rect(0, 0, width, height)
        self._grid = (-(-height // cell), -(-width // cell))
        self._before = np.zeros((height, width), np.uint32)
        self._counter = SecondCounter(
            (1, *self._grid), window_frames=math.ceil(rate), limit=2 * (MOST_FLASHES + 1)
        )
        self._area = FlashArea(width, height, cell_px=cell)
        self._often = np.zeros(self._grid, bool)  # cells that ever changed too often
        self._frames = 0

    @property
    def field_share(self) -> float:
        """The largest area that may have flashed too often, as a share of a 10 degree field."""
        return self._area.field_share

    @property
    def doubtful_frames(self) -> int:
        """How many frames, from the first, have to be measured to know; 0 for a proven clip."""
        return 0 if self._area.last_frame is None else self._area.last_frame + 1

    def add(self, pixels: Pixels, changed: Sequence[Rect]) -> None:
        """Take the next frame.

        Parameters
        ----------
        pixels : ndarray of shape (H, W, 4)
            Straight RGBA, contiguous; may be the same array, overwritten.
        changed : sequence of Rect
            Where it may differ from the frame before, the first from an empty canvas.
        """
        packed = pixels.view(np.uint32)[..., 0]
        parts = [self._changed(packed, rect.meet(self._canvas)) for rect in changed]
        cells = np.unique(np.concatenate(parts)) if parts else np.zeros(0, np.intp)
        # What comes in on the first frame was not there before, and swings nowhere.
        events = cells if self._frames else cells[:0]
        if self._counter.advance(events)[0]:
            over = self._counter.over(0)
            self._often |= over
            self._area.record(over, self._frames)
        self._frames += 1

    def telling(self, changed: Sequence[Rect]) -> tuple[Rect, ...]:
        """Return the parts of rectangles that have to be measured, once all frames are in.

        Elsewhere pixels change too seldom for more than three flashes within a second, and are of
        no account.
        """
        parts = (self._telling(rect.meet(self._canvas)) for rect in changed)
        return tuple(part for part in parts if not part.empty)

    def _telling(self, rect: Rect) -> Rect:
        if rect.empty:
            return rect
        cell = self._cell
        top, left = rect.top // cell, rect.left // cell
        often = self._often[top : -(-rect.bottom // cell), left : -(-rect.right // cell)]
        rows, columns = np.flatnonzero(often.any(axis=1)), np.flatnonzero(often.any(axis=0))
        if not len(rows):
            return Rect(0, 0, 0, 0)
        return Rect(
            (left + int(columns[0])) * cell,
            (top + int(rows[0])) * cell,
            (left + int(columns[-1]) + 1) * cell,
            (top + int(rows[-1]) + 1) * cell,
        ).meet(rect)

    def _changed(self, packed: NDArray[np.uint32], rect: Rect) -> NDArray[np.intp]:
        """Return the flat indices of the cells in which a rectangle's pixels differ."""
        if rect.empty:
            return np.zeros(0, np.intp)
        cell = self._cell
        top, left = rect.top // cell, rect.left // cell
        # Whole cells are looked at; the canvas may end within one.
        rows, columns = -(-rect.bottom // cell) - top, -(-rect.right // cell) - left
        here = np.s_[top * cell : (top + rows) * cell, left * cell : (left + columns) * cell]
        now, before = packed[here], self._before[here]
        differs = np.zeros((rows * cell, columns * cell), bool)
        np.not_equal(now, before, out=differs[: now.shape[0], : now.shape[1]])
        before[...] = now
        y, x = np.nonzero(_any_in_cells(differs, cell))
        flat: NDArray[np.intp] = (y + top) * self._grid[1] + x + left
        return flat


def _any_in_cells(pixels: Mask, cell: int) -> Mask:
    """Say of every cell whether any of its pixels is set.

    Rows are joined first, then columns: ten times as quick as NumPy's own sums over stretches.
    """
    by_rows = pixels[::cell].copy()
    for i in range(1, cell):
        by_rows |= pixels[i::cell]
    cells = by_rows[:, ::cell].copy()
    for i in range(1, cell):
        cells |= by_rows[:, i::cell]
    return cells
