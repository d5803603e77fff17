"""What a take sees of a run: its traces, cut to the figure's window."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from overlays.errors import FigureError
from overlays.model.figurespec import TraceFigure, WindowFigure
from overlays.model.trace import FloatArray, Trace

__all__ = ["Piece", "Taken", "View", "no_value", "slack_of", "value_at"]

# (value, unit): what a take returns.
Taken = tuple[float, str]
_SLACK_STEPS = 1.5


def no_value(why: str) -> FigureError:
    """Return the error that says why a run does not have a figure."""
    return FigureError(
        why, code="no-value", remedy="The figure is missing for this run and earns no points."
    )


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A stretch of a trace without gaps, or with them left out.

    Parameters
    ----------
    time_s, values : ndarray of shape (N,)
        At least one sample; the window's ends are interpolated in.
    unit : str
        Of the values.
    joined : ndarray of shape (N - 1,) of bool
        Whether a sample and its next are joined by the trace, with no gap between them.
    """

    time_s: FloatArray
    values: FloatArray
    unit: str
    joined: np.ndarray[tuple[int], np.dtype[np.bool_]]

    def area(self) -> float:
        """Return the area by trapezoids, in `unit` times seconds; gaps add nothing."""
        heights = (self.values[1:] + self.values[:-1]) / 2
        return float(np.sum((heights * np.diff(self.time_s))[self.joined]))

    def length_s(self) -> float:
        """Return the time covered, gaps taken out."""
        return float(np.sum(np.diff(self.time_s)[self.joined]))


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One conditioned run, as a take sees it.

    Parameters
    ----------
    traces : Mapping[str, Trace]
        By channel; time 0 is the trigger.
    length_s : float
        The test's length.
    """

    traces: Mapping[str, Trace]
    length_s: float

    def trace(self, figure: TraceFigure, channel: str | None = None) -> Trace:
        """Return the figure's trace, or that of another channel it names."""
        return self.traces[channel or figure.channel or next(iter(self.traces))]

    def piece(
        self,
        figure: WindowFigure,
        *,
        channel: str | None = None,
        start_s: float | None = None,
        end_s: float | None = None,
    ) -> Piece:
        """Cut the figure's trace to its window, or to another.

        A declared end that the record does not reach leaves the figure missing; a window whose
        end is not declared ends with the test, or with the record where that is shorter.

        Raises
        ------
        FigureError
            If nothing lies in the window, the record does not cover it, or it holds a gap that
            the figure refuses.
        """
        if start_s is None and figure.start is not None:
            start_s = figure.start.to("s")
        if end_s is None and figure.end is not None:
            end_s = figure.end.to("s")
        trace = self.trace(figure, channel)
        first, last = _covered(trace, start_s, end_s, self.length_s)
        return _cut(trace, first, last, leave_out_gaps=figure.gaps == "leave out")


def slack_of(time_s: FloatArray) -> float:
    """Return how far, in seconds, a record may stop short of a window and still count as whole."""
    return _SLACK_STEPS * float(np.median(np.diff(time_s))) if len(time_s) > 1 else 0.0


def _covered(
    trace: Trace, start_s: float | None, end_s: float | None, length_s: float
) -> tuple[float, float]:
    time_s = trace.time_s
    if len(time_s) == 0:
        raise no_value(f"{trace.channel} has no samples")
    slack_s = slack_of(time_s)
    if start_s is not None and start_s < time_s[0] - slack_s:
        raise no_value(
            f"{trace.channel} begins at {time_s[0]:.3f} s, after the window's start at "
            f"{start_s:g} s"
        )
    if end_s is not None and end_s > time_s[-1] + slack_s:
        raise no_value(
            f"{trace.channel} ends at {time_s[-1]:.3f} s, before the window's end at {end_s:g} s"
        )
    first = max(0.0 if start_s is None else start_s, float(time_s[0]))
    last = min(length_s if end_s is None else end_s, float(time_s[-1]))
    if last < first:
        raise no_value(f"{trace.channel} has nothing from {first:g} s to {last:g} s")
    return first, last


def _cut(trace: Trace, start_s: float, end_s: float, *, leave_out_gaps: bool) -> Piece:
    time_s, values = trace.time_s, trace.values
    inside = (time_s > start_s) & (time_s < end_s)
    ends_s = np.array([start_s] if start_s == end_s else [start_s, end_s])
    ends = np.array([value_at(trace, float(end)) for end in ends_s])
    times = np.concatenate([ends_s[:1], time_s[inside], ends_s[1:]])
    cut = np.concatenate([ends[:1], values[inside], ends[1:]])
    known = np.isfinite(cut)
    if not known.any():
        raise no_value(f"{trace.channel} is one gap from {start_s:g} s to {end_s:g} s")
    if not known.all() and not leave_out_gaps:
        raise no_value(
            f"{trace.channel} has a gap at {times[~known][0]:.3f} s, inside the window; "
            'gaps = "leave out" takes the figure from the rest'
        )
    places = np.flatnonzero(known)
    return Piece(times[known], cut[known], trace.unit, np.diff(places) == 1)


def value_at(trace: Trace, at_s: float) -> float:
    """Return the value at a time, on the straight line between samples; NaN in a gap.

    The time must lie within the record.
    """
    after = int(np.searchsorted(trace.time_s, at_s))
    if after < len(trace.time_s) and trace.time_s[after] == at_s:
        return float(trace.values[after])
    if after in {0, len(trace.time_s)}:
        return float("nan")
    before_s, after_s = trace.time_s[after - 1], trace.time_s[after]
    share = (at_s - before_s) / (after_s - before_s)
    return float(trace.values[after - 1] * (1 - share) + trace.values[after] * share)
