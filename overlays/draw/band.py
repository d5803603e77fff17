"""A band between two curves, drawn once, to be revealed as they are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from overlays.draw.axis import SLACK, Axes
from overlays.draw.curve import reduced
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet
from overlays.style.colour import Colour

__all__ = ["banded"]

Floats = NDArray[np.float64]


def banded(time_s: Floats, low: Floats, high: Floats, colour: Colour, axes: Axes) -> Layer:
    """Fill what lies between two traces, cut to the plot; open where either has a gap.

    Parameters
    ----------
    time_s, low, high : ndarray of shape (N,)
        Strictly increasing times; NaN is a gap.
    colour : Colour
        Usually pale: what is drawn over it is to be read.
    """
    plot = axes.plot
    room = int(np.ceil(SLACK * (plot.bottom - plot.top)))
    sheet = Sheet(Rect(plot.left, plot.top - room, plot.right, plot.bottom + room))
    good = np.isfinite(low) & np.isfinite(high)
    edges = np.flatnonzero(np.diff(good)) + 1
    for part in np.split(np.arange(len(time_s)), edges):
        if len(part) > 1 and good[part[0]]:
            above = reduced(axes.points(time_s[part], high[part]))
            below = reduced(axes.points(time_s[part], low[part]))
            sheet.fill(np.vstack([above, below[::-1]]), colour)
    return sheet.layer()
