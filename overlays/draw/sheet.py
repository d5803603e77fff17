"""A sheet to draw on, in canvas pixels: x to the right, y downwards, pixel (0, 0) spans 0 to 1.

What is drawn is cut to its ink and becomes a `Layer` at its place on the canvas.
"""

from __future__ import annotations

import math
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overlays.draw.agg import Agg, Cap, Join
from overlays.draw.patch import Layer, Patch, Pixels, Rect
from overlays.style.colour import Colour

__all__ = ["Sheet", "block", "cropped", "pieces"]

Floats = NDArray[np.float64]


def cropped(pixels: Pixels, left: int, top: int) -> Layer:
    """Cut pixels to their ink; (left, top) is where their corner lies on the canvas.

    Nothing visible gives a patch of one clear pixel, so that callers need not care.
    """
    ink = pixels[..., 3] > 0
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    if not len(rows):
        return Layer(Patch(np.zeros((1, 1, 4), np.uint8)), left, top)
    y0, y1, x0, x1 = rows[0], rows[-1] + 1, columns[0], columns[-1] + 1
    return Layer(Patch(pixels[y0:y1, x0:x1].copy()), left + int(x0), top + int(y0))


def block(rect: Rect, colour: Colour) -> Layer:
    """Return a rectangle of whole pixels in one colour, at least one pixel wide and high."""
    pixels = np.empty((max(1, rect.bottom - rect.top), max(1, rect.right - rect.left), 4), np.uint8)
    pixels[...] = (*colour.rgb, colour.alpha)
    return Layer(Patch(pixels), rect.left, rect.top)


def pieces(points: Floats) -> list[Floats]:
    """Cut a line of shape (N, 2) where it is NaN."""
    good = np.isfinite(points).all(axis=1)
    edges = np.flatnonzero(np.diff(good)) + 1
    parts = np.split(points, edges)
    return [part for part in parts if len(part) and np.isfinite(part[0]).all()]


class Sheet:
    """Draws inside a rectangle of the canvas.

    Parameters
    ----------
    area : Rect
        The part of the canvas that may be drawn on; what falls outside is cut off.
    """

    def __init__(self, area: Rect) -> None:
        self._area = area
        self._agg = Agg(max(1, area.right - area.left), max(1, area.bottom - area.top))

    def fill(self, points: ArrayLike, colour: Colour) -> Self:
        """Fill a closed polygon; `points` is an array of shape (N, 2)."""
        self._agg.fill(self._inside(points), colour)
        return self

    def rect(self, rect: Rect, colour: Colour) -> Self:
        """Fill a rectangle of whole pixels, without blur at its edges."""
        left, top, right, bottom = rect
        return self.fill([(left, top), (right, top), (right, bottom), (left, bottom)], colour)

    def stroke(
        self,
        points: ArrayLike,
        colour: Colour,
        width: float,
        *,
        cap: Cap = "butt",
        join: Join = "miter",
    ) -> Self:
        """Draw a line `width` pixels wide along `points`, an array of shape (N, 2).

        NaN breaks the line. A piece of a single point is a dot as wide as the line.
        """
        for piece in pieces(np.asarray(points, np.float64)):
            if len(piece) > 1:
                self._agg.stroke(self._inside(piece), colour, width, cap=cap, join=join)
            else:
                turn = np.linspace(0, 2 * math.pi, 32, endpoint=False)
                ring = width / 2 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
                self.fill(piece + ring, colour)
        return self

    def layer(self) -> Layer:
        """Return what was drawn, cut to its ink."""
        return cropped(self._agg.pixels, self._area.left, self._area.top)

    def _inside(self, points: ArrayLike) -> Floats:
        inside = np.array(points, np.float64)
        inside[:, 0] -= self._area.left
        inside[:, 1] = max(self._area.bottom, self._area.top + 1) - inside[:, 1]
        return inside
