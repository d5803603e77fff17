"""A stretch of the curves shown larger, in a window of its own where the plot has room."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from overlays.draw.axis import Axes, Scale, nice_ticks
from overlays.draw.curve import Curve, drawn
from overlays.draw.motion import Move
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Patch, Pixels, Rect, lay_over, written_in
from overlays.draw.room import Room
from overlays.draw.sheet import Sheet, block
from overlays.draw.text import Face
from overlays.kinds._curve_gaps import risen
from overlays.style.colour import Colour

__all__ = ["Inset"]

# The window's size as shares of the plot's, the largest first: the first that is free is taken.
_SIZES = ((0.46, 0.52), (0.4, 0.46), (0.34, 0.4), (0.28, 0.32))
# How much room there is above and below the curves in it, as a share of their range.
_AIR = 0.12


class Inset:
    """Draws a stretch of the curves anew, once, in a window; and a frame around where it lies.

    Attributes
    ----------
    axes : Axes
        Of the window.
    curves : tuple of Curve
        As drawn in it, cut to the stretch.
    """

    def __init__(
        self,
        stretch: tuple[float, float],
        curves: Sequence[Curve],
        axes: Axes,
        page: Page,
        *,
        room: Room,
        move: Move,
    ) -> None:
        self._page, self._move = page, move
        start_s, end_s = stretch
        self.curves = tuple(cut for curve in curves if (cut := _cut(curve, start_s, end_s)))
        values = np.concatenate([curve.values for curve in self.curves])
        low, high = float(np.nanmin(values)), float(np.nanmax(values))
        air = _AIR * (high - low or abs(high) or 1.0)
        window = self._window(room, axes, stretch, (low, high))
        small = page.face("text", page.style.type.small)
        ticks = nice_ticks(low - air, high + air, 3)
        texts = [page.number(ticks.text(value)) for value in ticks.numbered]
        edge = page.px(12)
        left = window.left + edge + max(small.width(text) for text in texts) + page.px(10)
        area = Rect(left, window.top + edge + small.cap_height // 2, window.right - page.px(22),
                    window.bottom - edge - small.cap_height - page.px(12))  # fmt: skip
        value = Scale(low - air, high + air, area.bottom, area.top)
        self.axes = Axes(Scale(start_s, end_s, area.left, area.right), value, area, axes.unit)
        parts = [self._ground(window)]
        hair = page.px(page.style.strokes.hair)
        for tick, text in zip(ticks.numbered, texts, strict=True):
            y = round(value.at(float(tick)))
            parts += [
                block(Rect(area.left, y, area.right, y + hair), page.colours.grid),
                small.layer(text, area.left - page.px(10), y + small.cap_height // 2,
                            page.colours.quiet, "right"),
            ]  # fmt: skip
        parts += self._times(small, area, stretch)
        parts += [drawn(curve, self.axes) for curve in reversed(self.curves)]
        self._window_layer = _together(parts, window)
        self._marks = (self._framed(), self._lead(window))

    def _window(
        self,
        room: Room,
        axes: Axes,
        stretch: tuple[float, float],
        values: tuple[float, float],
    ) -> Rect:
        """Find room for the window beside the stretch, as large as there is."""
        page, plot = self._page, axes.plot
        x0, x1 = (round(axes.time.at(time_s)) for time_s in stretch)
        rows = [axes.value.at(value) for value in values]
        y1, y0 = (min(max(row, plot.top), plot.bottom) for row in
                  (row if math.isfinite(row) else plot.bottom for row in rows))  # fmt: skip
        self._spot = Rect(x0, round(y0), x1, round(y1))
        sizes = [
            (round(wide * (plot.right - plot.left)), round(tall * (plot.bottom - plot.top)))
            for wide, tall in _SIZES
        ]
        places = [room.find(size, self._spot, page.px(24), margin=page.px(6)) for size in sizes]
        found = next((place for place in places if room.hits(place) == 0), places[-1])
        room.take(found)
        return found

    def _ground(self, window: Rect) -> Layer:
        """Draw the window's opaque ground with a line around it."""
        page, hair = self._page, self._page.px(self._page.style.strokes.hair)
        colours = page.colours
        inner = Rect(window.left + hair, window.top + hair, window.right - hair,
                     window.bottom - hair)  # fmt: skip
        ground = Colour(*colours.panel.rgb)
        return Sheet(window).rect(window, colours.line).rect(inner, ground).layer()

    def _times(self, small: Face, area: Rect, stretch: tuple[float, float]) -> list[Layer]:
        """Draw the time axis, which is no zero line, with its two ends."""
        page = self._page
        base, hair = area.bottom, page.px(page.style.strokes.hair)
        start, end = (page.number(f"{time_s:g}") + "\N{NO-BREAK SPACE}s" for time_s in stretch)
        baseline = area.bottom + page.px(12) + small.cap_height
        return [
            block(Rect(area.left, base, area.right, base + hair), page.colours.line),
            small.layer(start, area.left, baseline, page.colours.quiet),
            small.layer(end, area.right + page.px(10), baseline, page.colours.quiet, "right"),
        ]

    def _framed(self) -> Layer:
        """Draw brackets on the curves at the two ends of the stretch."""
        page, spot = self._page, self._spot
        hair, over = page.px(page.style.strokes.hair), page.px(12)
        foot = page.px(9)
        top, bottom = spot.top - over, spot.bottom + over
        sheet = Sheet(Rect(spot.left - hair, top, spot.right + hair, bottom))
        ink = page.colours.ink
        for x, inwards in ((spot.left, 1), (spot.right - hair, -1)):
            sheet.rect(Rect(x, top, x + hair, bottom), ink)
            reach = (x, x + foot) if inwards > 0 else (x + hair - foot, x + hair)
            for y in (top, bottom - hair):
                sheet.rect(Rect(reach[0], y, reach[1], y + hair), ink)
        self._bracket = Rect(spot.left, top, spot.right, bottom)
        return sheet.layer()

    def _lead(self, window: Rect) -> Layer:
        """Draw a line from the window to the stretch."""
        page, spot = self._page, self._bracket
        hair = page.px(page.style.strokes.hair)
        x = (spot.left + spot.right) / 2
        inner = min(max(x, window.left + page.px(20)), window.right - page.px(20))
        ends: tuple[tuple[float, float], tuple[float, float]]
        if window.top >= spot.bottom:
            ends = ((x, spot.bottom), (inner, window.top))
        elif window.bottom <= spot.top:
            ends = ((x, spot.top), (inner, window.bottom))
        else:
            y = min(max((spot.top + spot.bottom) / 2, window.top), window.bottom)
            right = window.left >= spot.right
            near, far = (spot.right, window.left) if right else (spot.left, window.right)
            ends = ((float(near), y), (far, y))
        (x0, y0), (x1, y1) = ends
        area = Rect(int(min(x0, x1)) - hair, int(min(y0, y1)) - hair,
                    int(max(x0, x1)) + hair + 1, int(max(y0, y1)) + hair + 1)  # fmt: skip
        return Sheet(area).stroke(ends, page.colours.quiet, hair).layer()

    @property
    def covers(self) -> tuple[Rect, ...]:
        """Where it may lie over the curves."""
        return tuple(layer.covers for layer in (self._window_layer, *self._marks))

    def layers(self, frame: int) -> list[Layer]:
        """Return its layers at a frame: brackets first, then the window comes up."""
        if frame < self._move.first:
            return []
        share = self._move.eased(frame)
        return risen((*self._marks, self._window_layer), share)


def _cut(curve: Curve, start_s: float, end_s: float) -> Curve | None:
    """Cut a curve to a stretch, values at its two ends read off; None where nothing is there."""
    inside = (curve.time_s > start_s) & (curve.time_s < end_s)
    times = np.concatenate([[start_s], curve.time_s[inside], [end_s]])
    values = np.interp(times, curve.time_s, curve.values, left=np.nan, right=np.nan)
    if not np.isfinite(values).any():
        return None
    return Curve(curve.key, times, values, curve.colour, curve.width, curve.dash)


def _together(parts: Sequence[Layer], window: Rect) -> Layer:
    """Put layers together in one, cut to the window."""
    pixels: Pixels = np.zeros((window.bottom - window.top, window.right - window.left, 4), np.uint8)
    lay_over(pixels, (window.left, window.top), parts)
    written = written_in(parts, window.left, window.top)
    return Layer(Patch(pixels, written=written), window.left, window.top)
