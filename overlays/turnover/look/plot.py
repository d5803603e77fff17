"""The picture of one place: every run's trace over the others, with what was measured where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.conditioning.envelope import envelope
from overlays.conditioning.pieces import pieces
from overlays.draw.axis import Scale, nice_ticks
from overlays.draw.curve import reduced
from overlays.model.trace import FloatArray, Trace
from overlays.numbers import fixed, typeset
from overlays.turnover.look.lanes import LANE, MEASURED, ZERO, Lane, draw_lane, lanes_of
from overlays.turnover.look.lettering import Lettering
from overlays.turnover.look.paper import BAD, INK, QUIET, RULE, Box, Paper
from overlays.turnover.look.seen import SeenPlace, SeenRun
from overlays.turnover.look.view import ChannelView, TestView, gaps_in_view, in_view
from overlays.units import symbol

__all__ = ["RUN_COLOURS", "colour_of", "draw_plot", "plot_height"]

# One a repeat, over and over; told apart by every kind of colour vision with the numbers at the
# lines' ends, which are what they go by.
RUN_COLOURS = ("#1f6aa5", "#b35c00", "#2b7d5b", "#7d4fa0", "#007c89", "#8a6d00")
_DASHES = (4.0, 2.5)
_LEFT, _RIGHT = 40, 26
_HEADER, _FOOT = 20, 23
_MAIN, _OTHER = 170, 80
_SMALL = Lettering(12)
_STRONG = Lettering(12, 700)
_STEPS, _FEW_STEPS, _STEPS_S = 5, 3, 7


def colour_of(seen: SeenRun) -> str:
    """Return the colour of a run's line: by its number, one for all that are left out."""
    return RUN_COLOURS[(seen.ref.repeat - 1) % len(RUN_COLOURS)] if seen.ref.use else BAD


def plot_height(view: TestView, width: int) -> int:
    """Return how tall a picture of this test is, in pixels, at a width."""
    return sum(_strip_height(view, place, width) for place in range(len(view.channels)))


def _strip_height(view: TestView, place: int, width: int) -> int:
    lanes = lanes_of(view.channels[place].marks, _times(view, 0, width), _LEFT)
    return _HEADER + LANE * len(lanes) + (_OTHER if place else _MAIN) + _FOOT


def _times(view: TestView, left: float, width: int) -> Scale:
    return Scale(view.start_s, view.end_s, left + _LEFT, left + width - _RIGHT)


def draw_plot(
    paper: Paper,
    view: TestView,
    place: SeenPlace,
    *,
    left: int,
    top: int,
    width: int,
    decimal_mark: str,
) -> None:
    """Draw every run of a place, one strip a channel.

    Parameters
    ----------
    paper : Paper
        What to draw on.
    view : TestView
        The axes.
    place : SeenPlace
        The runs.
    left, top, width : int
        Where, in pixels; the height is that of `plot_height`.
    decimal_mark : str
        As the session says.
    """
    times = _times(view, left, width)
    for index, channel in enumerate(view.channels):
        height = _strip_height(view, index, width)
        lanes = lanes_of(channel.marks, times, _LEFT)
        above = top + _HEADER + LANE * len(lanes)
        box = (times.start, above, times.end, top + height - _FOOT)
        strip = _Strip(paper, view, channel, times, box, decimal_mark)
        strip.ground(left, top + _SMALL.size, lanes)
        for row, marked in enumerate(lanes):
            for lane in marked:
                draw_lane(paper, lane, top + _HEADER + LANE * row)
        strip.runs(place.runs)
        top += height


@dataclass(frozen=True, slots=True)
class _Strip:
    """One channel's axes on the paper."""

    paper: Paper
    view: TestView
    channel: ChannelView
    times: Scale
    box: Box
    decimal_mark: str

    @property
    def values(self) -> Scale:
        """From values to pixels."""
        return Scale(self.channel.low, self.channel.high, self.box[3], self.box[1])

    def ground(self, left: float, baseline: float, lanes: Sequence[Sequence[Lane]]) -> None:
        """Draw windows, grid, axes and the trigger."""
        paper, (x0, y0, x1, y1) = self.paper, self.box
        unit = symbol(self.channel.unit)
        title = f"{self.channel.label}, {unit}" if unit else self.channel.label
        title += " · own scale" if self.channel.own else ""
        paper.text(left, baseline, title, _STRONG, QUIET)
        paper.rect(self.box, "#ffffff")
        self._grid()
        for lane in (lane for row in lanes for lane in row):
            self._shade(lane)
        paper.line([(x0, y1), (x1, y1)], QUIET, 1)
        zero = self.times.at(0.0)
        word = "trigger" if self.view.triggered else "first sample"
        paper.line([(zero, y0 - 4), (zero, y1 + 4)], INK, 1.5)
        paper.text(zero, y1 + 16, word, _SMALL, INK, align="center")

    def _grid(self) -> None:
        paper, (x0, y0, x1, y1) = self.paper, self.box
        ticks = nice_ticks(
            self.channel.low, self.channel.high, _STEPS if y1 - y0 > 100 else _FEW_STEPS
        )
        for value in ticks.numbered:
            y = self.values.at(float(value))
            paper.line([(x0, y), (x1, y)], RULE, 0.6)
            number = typeset(fixed(value, ticks.places), decimal_mark=self.decimal_mark)
            paper.text(x0 - 5, y + 4, number, _SMALL, QUIET, align="right")
        ticks = nice_ticks(self.view.start_s, self.view.end_s, _STEPS_S)
        for value in ticks.numbered:
            x = self.times.at(float(value))
            paper.line([(x, y1), (x, y1 + 4)], QUIET, 1)
            # The word at 0 takes the room of its number and that of a close neighbour.
            if abs(x - self.times.at(0.0)) > 38:
                number = typeset(fixed(value, ticks.places), decimal_mark=self.decimal_mark)
                last = value == ticks.numbered[-1]
                paper.text(
                    x, y1 + 16, f"{number} s" if last else number, _SMALL, QUIET, align="center"
                )

    def _shade(self, lane: Lane) -> None:
        paper, (x0, y0, x1, y1) = self.paper, self.box
        colour = ZERO if lane.mark.zero else MEASURED
        if lane.mark.declared:
            for start_s, end_s in lane.mark.windows:
                box = (max(x0, self.times.at(start_s)), y0, min(x1, self.times.at(end_s)), y1)
                paper.rect(box, colour, opacity=0.3)
        if lane.mark.at_s is not None:
            x = self.times.at(lane.mark.at_s)
            paper.line([(x, y0 - 2), (x, y1)], MEASURED, 1.6, dashes=(1.5, 1.5))
        if lane.mark.level is not None:
            y = self.values.at(lane.mark.level)
            paper.line([(x0, y), (x1, y)], MEASURED, 1.6, dashes=(1.5, 1.5))

    def runs(self, runs: Sequence[SeenRun]) -> None:
        """Draw every run that has the channel: left-out ones below, the median on top."""
        self._band(runs)
        order = sorted(runs, key=lambda seen: (seen.ref.use, seen.median))
        ends: list[tuple[tuple[float, float], SeenRun]] = []
        for seen in order:
            if seen.run is None or self.channel.channel not in seen.run.traces:
                continue
            end = self._trace(seen, seen.run.traces[self.channel.channel])
            if end is not None:
                ends.append((end, seen))
        self._numbers(ends)

    def _band(self, runs: Sequence[SeenRun]) -> None:
        """Shade from the least to the greatest of the used repeats, and dot their middle."""
        used = [seen.run.traces for seen in runs if seen.run is not None and seen.ref.use]
        channel = self.channel.channel
        found = envelope([traces[channel] for traces in used if channel in traces])
        if found is None:
            return
        inside = (found.time_s >= self.view.start_s) & (found.time_s <= self.view.end_s)
        x = self.times.px(found.time_s[inside])
        low, middle, high = (
            self.values.px(values[inside]) for values in (found.low, found.median, found.high)
        )
        for piece in pieces(found.median[inside]):
            upper = reduced(np.column_stack([x[piece], high[piece]]))
            lower = reduced(np.column_stack([x[piece], low[piece]]))
            around = np.concatenate([upper, lower[::-1]])
            self.paper.area(around, QUIET, opacity=0.22, within=self.box)
            dotted = reduced(np.column_stack([x[piece], middle[piece]]))
            self.paper.line(dotted, QUIET, 1.0, dashes=(1.0, 2.0), within=self.box)

    def _trace(self, seen: SeenRun, trace: Trace) -> tuple[float, float] | None:
        """Draw one trace and return where it ends in the picture."""
        time_s, values = in_view(trace, self.view.start_s, self.view.end_s)
        points = np.column_stack([self.times.px(time_s), self.values.px(values)])
        width = 2.2 if seen.median else 1.1
        dashes = () if seen.ref.use else _DASHES
        last = None
        for piece in pieces(values):
            part = reduced(points[piece])
            if len(part) == 1:  # a sample between two gaps
                part = part + np.array([[-0.7, 0.0], [0.7, 0.0]])
            self.paper.line(part, colour_of(seen), width, dashes=dashes, within=self.box)
            last = (float(part[-1, 0]), float(part[-1, 1]))
        self._gaps(trace, colour_of(seen))
        return last

    def _gaps(self, trace: Trace, colour: str) -> None:
        """Mark gaps on the axis of time, where even those narrower than the line are seen."""
        left, _, right, y1 = self.box
        marked = np.zeros(int(right - left) + 1, np.bool_)
        for start_s, end_s in gaps_in_view(trace, self.view.start_s, self.view.end_s):
            first, last = (int(self.times.at(edge) - left) for edge in (start_s, end_s))
            marked[max(first, 0) : max(last, first + 2)] = True
        for piece in pieces(np.where(marked, 0.0, np.nan)):
            ends = [(left + piece.start, y1 - 2.5), (left + piece.stop, y1 - 2.5)]
            self.paper.line(ends, colour, 4, within=self.box)

    def _numbers(self, ends: Sequence[tuple[tuple[float, float], SeenRun]]) -> None:
        """Set the number of each run at its line's end, apart from each other."""
        edge, (_, y0, _, y1) = self.times.end, self.box
        if len(ends) * _STRONG.size > y1 - y0:
            ends = [(end, seen) for end, seen in ends if seen.median or not seen.ref.use]
        ends = sorted(ends, key=lambda one: one[0][1])
        spots = _apart(np.array([y for (_, y), _ in ends]), y0, y1, _STRONG.size)
        for ((x, y), seen), spot in zip(ends, spots, strict=True):
            colour = colour_of(seen)
            y_seen = min(max(y, y0), y1)
            if x < edge - 2:  # the log ends before the picture does
                self.paper.line([(x, y_seen), (edge, y_seen)], colour, 0.8, dashes=(1.0, 3.0))
            self.paper.line([(edge, y_seen), (edge + 7, spot)], colour, 0.8)
            letters = _STRONG if seen.median else _SMALL
            self.paper.text(edge + 9, spot + 4, str(seen.ref.repeat), letters, colour)


def _apart(wanted: FloatArray, low: float, high: float, gap: float) -> list[float]:
    """Move heights, in order, as little as it takes to keep them `gap` apart within a range."""
    spots = list(np.clip(wanted, low, high))
    for i in range(1, len(spots)):
        spots[i] = max(spots[i], spots[i - 1] + gap)
    limit = high
    for i in reversed(range(len(spots))):
        spots[i] = min(spots[i], limit)
        limit = spots[i] - gap
    return [float(spot) for spot in spots]
