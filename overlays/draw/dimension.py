"""A dimension line between two heights, as on a technical drawing, and room for its figure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.draw.panel import arrow
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet
from overlays.style.colour import Colour

__all__ = ["Dimension", "Obstacles", "free_place"]


@dataclass(frozen=True, slots=True)
class Dimension:
    """A vertical dimension line.

    Parameters
    ----------
    x : int
        Column of its middle.
    top, bottom : float
        The two heights it measures, in pixels.
    colour : Colour
        Of the line and arrows.
    width : int
        Of the line.
    head : float
        Length of the arrows.
    """

    x: int
    top: float
    bottom: float
    colour: Colour
    width: int
    head: float

    def layer(self) -> Layer:
        """Draw it; where the arrows would not fit between, they point inwards from outside."""
        outside = self.bottom - self.top < 2.6 * self.head
        tail = 2.2 * self.head if outside else 0.0
        low, high = self.top - tail, self.bottom + tail
        half = int(self.head)
        sheet = Sheet(Rect(self.x - half, int(low) - 2, self.x + half + 1, int(high) + 3))
        middle = self.x + self.width % 2 / 2
        lines = [(low, self.top), (self.bottom, high)] if outside else [(low, high)]
        # A line that ended at an arrow's tip would blunt it.
        inset = 0 if outside else self.head * 0.8
        for start, end in lines:
            ends = [(middle, start + inset), (middle, end - inset)]
            sheet.stroke(ends, self.colour, self.width)
        up = 1 if outside else -1
        arrow(sheet, (middle, self.top), (0, up), self.head, self.colour)
        arrow(sheet, (middle, self.bottom), (0, -up), self.head, self.colour)
        return sheet.layer()


@dataclass(frozen=True, slots=True, eq=False)
class Obstacles:
    """Curves that a label must not lie on.

    Parameters
    ----------
    columns : ndarray of shape (C,)
        Increasing pixel columns.
    rows : ndarray of shape (K, C)
        Where each curve is at each column, NaN where it is not.
    half : float
        Half their width.
    """

    columns: NDArray[np.int64]
    rows: NDArray[np.float64]
    half: float

    def hits(self, rect: Rect, margin: int) -> int:
        """Count how often curves pass through a rectangle with a margin around it."""
        near = (self.columns >= rect.left - margin) & (self.columns < rect.right + margin)
        rows, room = self.rows[:, near], margin + self.half
        return int(np.count_nonzero((rows > rect.top - room) & (rows < rect.bottom + room)))


def free_place(
    size: tuple[int, int], beside: Rect, gap: int, inside: Rect, obstacles: Obstacles
) -> Rect:
    """Find room for a label beside a vertical line, clear of curves.

    Parameters
    ----------
    size : (int, int)
        Width and height of the label.
    beside : Rect
        The line; the label would like its middle level with the line's.
    gap : int
        How far from the line the label keeps.
    inside : Rect
        The label stays in it.
    obstacles : Obstacles
        What to keep clear of.

    Returns
    -------
    Rect
        The nearest free place on either side, the right one first; the least crossed one where
        none is free.
    """
    width, height = size
    centre, margin = (beside.top + beside.bottom) / 2, max(2, gap // 3)
    choices: list[tuple[int, float, int, Rect]] = []
    for side, left in enumerate((beside.right + gap, beside.left - gap - width)):
        fitting = min(max(left, inside.left), inside.right - width)
        if fitting != left:
            continue
        for top in range(inside.top, max(inside.top + 1, inside.bottom - height), 2):
            rect = Rect(left, top, left + width, top + height)
            far = abs(top + height / 2 - centre)
            choices.append((obstacles.hits(rect, margin), far, side, rect))
    if not choices:
        left = min(max(beside.right + gap, inside.left), inside.right - width)
        top = round(centre - height / 2)
        return Rect(left, top, left + width, top + height)
    return min(choices)[3]
