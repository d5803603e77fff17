"""Earlier runs: pale, thin and whole from the start, each with its name beside it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from overlays.draw.axis import Axes
from overlays.draw.curve import Curve, drawn
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.room import Room
from overlays.kinds._curve_gaps import leader
from overlays.kinds._traces import Pale
from overlays.style.colour import Colour

__all__ = ["Before"]

# How much of the quiet colour is in a pale trace, and its width as a share of a curve's.
_INK_SHARE, _WIDTH_SHARE = 0.62, 0.6


class Before:
    """The earlier runs of a plot, and their names where there is room for them.

    Attributes
    ----------
    curves : tuple of Curve
        As they are drawn.
    layers : tuple of Layer
        The curves and the names.
    labels : tuple of Layer
        The names alone.
    """

    def __init__(self, runs: Sequence[Pale], axes: Axes, room: Room, page: Page) -> None:
        colours, width = page.colours, page.scale * page.style.strokes.curve * _WIDTH_SHARE
        # Opaque, so that what crosses it does not change what it looks like.
        ink = colours.quiet.faded(_INK_SHARE).over(Colour(*colours.panel.rgb))
        self.curves = tuple(Curve(run.key, run.time_s, run.values, ink, width) for run in runs)
        for curve in self.curves:
            room.take_curve(axes.points(curve.time_s, curve.values), width + 2 * page.px(4))
        small = page.face("text", page.style.type.small)
        labels: list[Layer] = []
        for run in runs:
            good = np.flatnonzero(np.isfinite(run.values))
            # Three quarters along, where the curves' heads come late.
            at = good[(3 * len(good)) // 4]
            x, y = round(axes.time.at(run.time_s[at])), round(axes.value.at(run.values[at]))
            spot = Rect(x - 1, y - 1, x + 1, y + 1)
            size = (small.width(run.label), small.cap_height)
            place = room.place(size, spot, page.px(12), margin=page.px(8))
            labels.append(small.layer(run.label, place.left, place.bottom, colours.quiet))
            lead = leader(place, spot, page)
            if lead is not None:
                labels.append(lead)
        self.labels = tuple(labels)
        self.layers = (*(drawn(curve, axes) for curve in self.curves), *labels)
