"""Room on a plot: where a label may stand without lying on a curve or on another label."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from overlays.draw.patch import Rect
from overlays.draw.sheet import pieces

__all__ = ["Room"]

Floats = NDArray[np.float64]

# What a cell counts for that a label, a curve, or only a band takes.
_LABEL, _CURVE, _BAND = 400, 100, 1
# How much more a place on the left costs than one as far on the right, in pixels.
_LEFT_COST = 6.0


class Room:
    """Keeps account of what of a rectangle is taken, in small square cells.

    Parameters
    ----------
    inside : Rect
        Labels stay in it.
    cell : int
        Side of a cell in pixels: how finely places are told apart.
    """

    def __init__(self, inside: Rect, cell: int) -> None:
        self._inside, self._cell = inside, max(1, cell)
        across = -(-(inside.right - inside.left) // self._cell)
        down = -(-(inside.bottom - inside.top) // self._cell)
        self._taken = np.zeros((max(1, down), max(1, across)), np.int64)

    def take_curve(self, points: Floats, width: float) -> None:
        """Take the room of a line `width` wide along points of shape (N, 2); NaN breaks it."""
        for piece in pieces(points):
            highest, lowest = self._reach(piece)
            self._fill(highest - width / 2, lowest + width / 2, _CURVE)

    def take_band(self, upper: Floats, lower: Floats) -> None:
        """Take what lies between two lines of points of shape (N, 2); labels rather avoid it."""
        for above, below in zip(pieces(upper), pieces(lower), strict=True):
            self._fill(self._reach(above)[0], self._reach(below)[1], _BAND)

    def _reach(self, piece: Floats) -> tuple[Floats, Floats]:
        """Return the highest and the lowest row of a line in every column of cells."""
        columns = self._taken.shape[1]
        x = (piece[:, 0] - self._inside.left) / self._cell
        edges = np.arange(max(0, np.ceil(x[0])), min(columns, np.floor(x[-1])) + 1)
        # At a cell's edge the line belongs to the cells on both sides.
        beside = np.concatenate([x, edges - 1e-6, edges])
        y = np.interp(beside, x, piece[:, 1])
        column = np.floor(beside).astype(np.int64)
        inside = (column >= 0) & (column < columns)
        highest, lowest = np.full(columns, np.inf), np.full(columns, -np.inf)
        np.minimum.at(highest, column[inside], y[inside])
        np.maximum.at(lowest, column[inside], y[inside])
        return highest, lowest

    def _fill(self, highest: Floats, lowest: Floats, weight: int) -> None:
        rows = self._taken.shape[0]
        for index in np.flatnonzero(np.isfinite(highest) & np.isfinite(lowest)).tolist():
            first = int((highest[index] - self._inside.top) // self._cell)
            last = int((lowest[index] - self._inside.top) // self._cell) + 1
            cells = self._taken[max(0, first) : max(0, min(rows, last)), index]
            np.maximum(cells, weight, out=cells)

    def take_line(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Take the room of a thin straight line, which labels avoid as they do each other."""
        rows, columns = self._along(start, end)
        self._taken[rows, columns] = _LABEL

    def crosses_label(
        self, start: tuple[float, float], end: tuple[float, float], *, but: Sequence[Rect]
    ) -> bool:
        """Say whether a straight line crosses a label, or a line that leads to one.

        Parameters
        ----------
        but : sequence of Rect
            Those it belongs to.
        """
        rows, columns = self._along(start, end)
        free = np.ones(len(rows), np.bool_)
        for rect in but:
            down, across = self._cells(rect)
            free &= ~(
                (rows >= down.start) & (rows < down.stop)
                & (columns >= across.start) & (columns < across.stop)
            )  # fmt: skip
        return bool((self._taken[rows[free], columns[free]] == _LABEL).any())

    def _along(
        self, start: tuple[float, float], end: tuple[float, float]
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return rows and columns of the cells that a straight line touches."""
        (x0, y0), (x1, y1) = start, end
        steps = 2 + int(2 * np.hypot(x1 - x0, y1 - y0) / self._cell)
        rows, columns = self._taken.shape
        across = np.linspace(x0, x1, steps) - self._inside.left
        down = np.linspace(y0, y1, steps) - self._inside.top
        column = np.floor(across / self._cell).astype(np.int64)
        row = np.floor(down / self._cell).astype(np.int64)
        inside = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
        return row[inside], column[inside]

    def take(self, rect: Rect) -> None:
        """Take a rectangle."""
        self._taken[self._cells(rect)] = _LABEL

    def _cells(self, rect: Rect) -> tuple[slice, slice]:
        left, top = rect.left - self._inside.left, rect.top - self._inside.top
        right, bottom = rect.right - self._inside.left, rect.bottom - self._inside.top
        return (
            slice(max(0, top // self._cell), max(0, -(-bottom // self._cell))),
            slice(max(0, left // self._cell), max(0, -(-right // self._cell))),
        )

    def hits(self, rect: Rect) -> int:
        """Count the cells that a rectangle touches and curves or labels take."""
        return int(np.count_nonzero(self._taken[self._cells(rect)] > _BAND))

    def place(
        self,
        size: tuple[int, int],
        beside: Rect,
        gap: int,
        *,
        margin: int,
        until: int | None = None,
    ) -> Rect:
        """Find the nearest room for a label, as `find` does, and take it."""
        found = self.find(size, beside, gap, margin=margin, until=until)
        # Twice the distance from another label that a label keeps from a curve.
        self.take(Rect(found.left - margin, found.top - margin, found.right + margin,
                       found.bottom + margin))  # fmt: skip
        return found

    def find(
        self,
        size: tuple[int, int],
        beside: Rect,
        gap: int,
        *,
        margin: int,
        until: int | None = None,
    ) -> Rect:
        """Find the nearest room for a label.

        Parameters
        ----------
        size : (int, int)
            Width and height of the label.
        beside : Rect
            What it belongs to: the label would like its middle level with that, on the right.
        gap : int
            How far from it the label keeps.
        margin : int
            How far from everything else, where there is room for that.
        until : int, optional
            The column it must end before; that of the rectangle where it is left out.

        Returns
        -------
        Rect
            The nearest free place; the least crossed one where none is free.
        """
        width, height = size
        inside, cell = self._inside, self._cell
        right_end = inside.right if until is None else until
        lefts = np.arange(inside.left, max(inside.left, right_end - width) + 1, cell)
        tops = np.arange(inside.top, max(inside.top, inside.bottom - height) + 1, cell)
        own = Rect(beside.left - gap, beside.top - gap, beside.right + gap, beside.bottom + gap)
        over = (lefts < own.right) & (lefts + width > own.left)
        level = (tops < own.bottom) & (tops + height > own.top)
        hits = self._crossed(lefts, tops, width, height, margin)
        hits = hits + 1_000_000 * (level[:, None] & over[None, :])
        right, left = lefts - own.right, own.left - (lefts + width)
        dx = np.maximum(np.maximum(right, left), 0) + np.where(left > right, _LEFT_COST, 0.0)
        dy = tops + height / 2 - (beside.top + beside.bottom) / 2
        far = np.hypot(dx[None, :], dy[:, None])
        fewest = hits == hits.min()
        best = int(np.argmin(np.where(fewest, far, np.inf)))
        row, column = divmod(best, len(lefts))
        x, y = int(lefts[column]), int(tops[row])
        return Rect(x, y, x + width, y + height)

    def _crossed(
        self,
        lefts: NDArray[np.int64],
        tops: NDArray[np.int64],
        width: int,
        height: int,
        margin: int,
    ) -> NDArray[np.int64]:
        """Return how much that is taken a label at each place touches, shape (tops, lefts)."""
        rows, columns = self._taken.shape
        sums = np.zeros((rows + 1, columns + 1), np.int64)
        sums[1:, 1:] = self._taken.cumsum(axis=0).cumsum(axis=1)

        def bounds(starts: NDArray[np.int64], length: int, most: int) -> tuple[
            NDArray[np.int64], NDArray[np.int64]
        ]:  # fmt: skip
            first = np.clip((starts - margin) // self._cell, 0, most)
            last = np.clip(-(-(starts + length + margin) // self._cell), 0, most)
            return first, last

        x0, x1 = bounds(lefts - self._inside.left, width, columns)
        y0, y1 = bounds(tops - self._inside.top, height, rows)
        return (
            sums[y1[:, None], x1]
            - sums[y0[:, None], x1]
            - sums[y1[:, None], x0]
            + sums[y0[:, None], x0]
        )
