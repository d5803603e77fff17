"""The axes close in on a stretch of the run: labels go, the rule slides, the numbers come back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np

from overlays.draw.axis import Axes, Scale
from overlays.draw.band import banded
from overlays.draw.curve import Curve, drawn
from overlays.draw.flags import Flags, FlagShape, Heads
from overlays.draw.motion import Move
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.draw.plot import Plot, plate, ruling
from overlays.kinds._curve_gaps import risen
from overlays.kinds._traces import Band
from overlays.style.colour import Colour

__all__ = ["Closer"]

# Shares of the whole in which what was shown stands a while, labels go, and the axes move; in the
# rest the numbers come back.
_HOLD, _GO, _MOVE = 0.3, 0.15, 0.4


def _stages(move: Move) -> tuple[Move, Move, Move]:
    """Return when labels go, when the axes move, and when the numbers come back."""
    goes = Move(move.first + round(_HOLD * move.frames), max(1, round(_GO * move.frames)))
    moves = Move(goes.end, max(1, round(_MOVE * move.frames)))
    return goes, moves, Move(moves.end, max(1, move.end - moves.end))


class Closer:
    """Draws what is seen from when labels go until the end of the cue.

    Parameters
    ----------
    before : Plot
        The plate as it was.
    stretch : (float, float)
        What the time axis comes to show.
    values : (float, float)
        The least and the greatest value shown in it.
    curves : sequence of Curve
        Those with heads, and after them the pale ones behind.
    headed : int
        How many have heads.
    bands : sequence of (Band, Colour)
        Spreads, pale.
    names : sequence of str
        What the flags say.
    text : callable
        Sets a value.
    """

    def __init__(
        self,
        before: Plot,
        stretch: tuple[float, float],
        values: tuple[float, float],
        curves: Sequence[Curve],
        panel: Rect,
        *,
        page: Page,
        headed: int,
        bands: Sequence[tuple[Band, Colour]],
        names: Sequence[str],
        text: Callable[[float], str],
        shape: FlagShape,
        move: Move,
        window: int,
    ) -> None:
        self._before, self._page, self._panel = before, page, panel
        self._curves, self._headed, self._bands = curves, headed, bands
        self._goes, self._moves, self._comes = _stages(move)
        plot = before.axes.plot
        span, _ = ruling(values, plot.bottom - plot.top, page, log=False)
        self._target = Axes(
            Scale(*stretch, plot.left, plot.right),
            Scale(*span, plot.bottom, plot.top),
            plot,
            before.axes.unit,
        )
        # What moves is drawn anew on every frame of the move, and not kept for long.
        self._moving = lru_cache(maxsize=2)(self._draw)
        self._still = lru_cache(maxsize=1)(self._draw)
        self._values = self._follow()
        frames = range(self._moves.first, self._moves.end)
        rows = [
            [self.axes_at(frame).value.at(value) for value in at]
            for frame, at in zip(frames, self._values, strict=True)
        ]
        heights = np.clip(np.array(rows), plot.top, plot.bottom)
        heights[~np.isfinite(heights)] = plot.bottom
        count = (len(heights), headed)
        self._flags = Flags(
            names=names,
            colours=[curve.colour for curve in curves[:headed]],
            heads=Heads(np.full(count, plot.right, np.int64), heights, np.ones(count, np.bool_)),
            text=lambda frame, curve: text(self._values[frame][curve]),
            shape=shape,
            low=plot.top - page.px(10),
            high=plot.bottom + page.px(10),
            window=max(1, min(window, self._comes.frames)),
            page=page,
        )

    def _follow(self) -> list[list[float]]:
        """Return every head's value where the plot ends, frame by frame; NaN inside gaps."""
        found = []
        for frame in range(self._moves.first, self._moves.end):
            at_s = self.axes_at(frame).time.high
            found.append(
                [
                    float(np.interp(min(at_s, curve.time_s[-1]), curve.time_s, curve.values))
                    for curve in self._curves[: self._headed]
                ]
            )
        return found

    def axes_at(self, frame: int) -> Axes:
        """Return from pixels to seconds and values at a frame."""
        start, end = self._before.axes, self._target
        share = self._moves.eased(frame)
        if share == 1.0:
            return end
        if share == 0.0:
            return start

        def between(a: Scale, b: Scale) -> Scale:
            low, high = (x + share * (y - x) for x, y in ((a.low, b.low), (a.high, b.high)))
            return Scale(low, high, a.start, a.end)

        return Axes(between(start.time, end.time), between(start.value, end.value),
                    start.plot, start.unit)  # fmt: skip

    def _draw(self, frame: int) -> tuple[Layer, ...]:
        """Draw the plate and everything on it at the axes of a frame."""
        axes = self.axes_at(frame)
        ruled = plate(axes, self._panel, self._page, numbers_right=self._before.numbers_right)
        bands = [banded(x.time_s, x.low, x.high, colour, axes) for x, colour in self._bands]
        pale = [drawn(curve, axes) for curve in self._curves[self._headed :]]
        lines = [drawn(curve, axes) for curve in self._curves[: self._headed]]
        return (
            *ruled.upwards, *ruled.across, ruled.elapsed,
            *reversed(bands), *pale, *reversed(lines),
        )  # fmt: skip

    def share(self, frame: int) -> float:
        """Return how much of labels and numbers is still there: 0 from when the axes move."""
        return 1.0 - self._goes.progress(frame)

    def layers(self, frame: int) -> list[Layer]:
        """Return the layers over the bare panel, from when the axes move."""
        settled = frame >= self._moves.end - 1
        shown = self._still(self._moves.end - 1) if settled else self._moving(frame)
        # Numbers do not slide: they come back when all stands.
        layers = [layer for layer in shown if not layer.patch.written]
        if frame >= self._comes.first:
            numbers = [layer for layer in shown if layer.patch.written]
            layers += risen(numbers, self._comes.eased(frame))
        return layers + self._flags.layers(frame - self._moves.first)

    def covered(self, frame: int) -> tuple[Rect, ...]:
        """Return where flags may lie over the curves, from when the axes move."""
        flags = self._flags.layers(frame - self._moves.first)
        return tuple(layer.covers for layer in flags)
