"""A dimension line between two heights, as on a technical drawing."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.draw.panel import arrow
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet
from overlays.style.colour import Colour

__all__ = ["Dimension"]


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
