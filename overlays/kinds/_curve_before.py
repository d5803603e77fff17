"""Earlier runs: pale, thin and whole from the start, each with its name beside it."""

from __future__ import annotations

import math
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
# Where along a trace its name may stand, best first.
_ALONG = (0.75, 0.6, 0.9, 0.45, 0.3, 0.15)


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
            size = (small.width(run.label), small.cap_height)
            place, spot = _beside(run, size, axes, room, page)
            air = page.px(8)
            room.take(
                Rect(place.left - air, place.top - air, place.right + air, place.bottom + air)
            )
            labels.append(small.layer(run.label, place.left, place.bottom, colours.quiet))
            lead = leader(place, spot, page, room)
            if lead is not None:
                labels.append(lead)
        self.labels = tuple(labels)
        self.layers = (*(drawn(curve, axes) for curve in self.curves), *labels)


def _beside(
    run: Pale, size: tuple[int, int], axes: Axes, room: Room, page: Page
) -> tuple[Rect, Rect]:
    """Return where along a trace its name stands nearest to it, and the spot it stands beside."""
    good = np.flatnonzero(np.isfinite(run.values))
    found: list[tuple[int, float, Rect, Rect]] = []
    for share in _ALONG:
        at = good[round(share * (len(good) - 1))]
        x, y = round(axes.time.at(run.time_s[at])), axes.value.at(run.values[at])
        if not math.isfinite(y):
            continue
        spot = Rect(x - 1, round(y) - 1, x + 1, round(y) + 1)
        place = room.find(size, spot, page.px(10), margin=page.px(8))
        far = math.hypot(
            max(place.left - x, x - place.right, 0), max(place.top - y, y - place.bottom, 0)
        )
        found.append((room.hits(place), far, place, spot))
    _, _, place, spot = min(found, key=lambda item: item[:2])
    return place, spot
