"""What the pictures of one test have in common, so that they can be compared: axes and marks.

Where that would press a place's runs too flat to be told apart, the place has an axis of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from overlays.conditioning.pieces import pieces
from overlays.model.session import SessionSpec
from overlays.model.trace import FloatArray, Trace
from overlays.turnover.look.marks import Mark, channels_looked_at, marks_of
from overlays.turnover.look.seen import SeenPlace, SeenRun

__all__ = ["ChannelView", "TestView", "gaps_in_view", "in_view", "own_view", "view_of"]

_BEFORE = 0.06
_AFTER = 0.02
_ROOM = 0.05
_FLAT = 0.35
# A run that was left out, or one wild spike of it, must not squash all others: it widens the axis
# by at most this share on either side, and leaves the picture beyond.
_WIDEN = 0.5


@dataclass(frozen=True, slots=True)
class ChannelView:
    """One channel's strip in every picture of a test.

    Parameters
    ----------
    channel, label, unit : str
        Key, and what it is called; the unit it is shown in.
    low, high : float
        The axis of values.
    marks : tuple of Mark
        What is marked on it.
    own : bool
        Whether the axis is that of one place alone.
    """

    channel: str
    label: str
    unit: str
    low: float
    high: float
    marks: tuple[Mark, ...]
    own: bool = False


@dataclass(frozen=True, slots=True)
class TestView:
    """The axes of every picture of a test.

    Parameters
    ----------
    test : str
        Key.
    start_s, end_s : float
        The axis of time; 0 is the trigger.
    triggered : bool
        Whether 0 is a trigger, or each log's first sample.
    channels : tuple of ChannelView
        The main figure's first.
    """

    __test__ = False  # pytest would collect a class of this name

    test: str
    start_s: float
    end_s: float
    triggered: bool
    channels: tuple[ChannelView, ...]


def view_of(spec: SessionSpec, test: str, places: Sequence[SeenPlace]) -> TestView:
    """Lay out what the pictures of a test share.

    Parameters
    ----------
    spec : SessionSpec
        What is declared.
    test : str
        Key.
    places : sequence of SeenPlace
        All places of that test.
    """
    declared = spec.tests[test]
    length_s = declared.length.to("s")
    channels = channels_looked_at(spec, test)
    marks = {channel: marks_of(spec, test, channel) for channel in channels}
    edges = [0.0, length_s]
    for mark in (mark for found in marks.values() for mark in found):
        edges += [edge for window in mark.windows for edge in window]
        edges += [] if mark.at_s is None else [mark.at_s]
    span_s = max(edges) - min(edges)
    start_s = min(*edges, -_BEFORE * span_s) - _AFTER * span_s
    end_s = max(edges) + _AFTER * span_s
    runs = [run for place in places for run in place.runs]
    views = []
    for key in channels:
        channel = spec.channels[key]
        low, high = _axis(runs, key, marks[key], start_s, end_s)
        views.append(ChannelView(key, channel.label, channel.shown_unit, low, high, marks[key]))
    return TestView(test, start_s, end_s, declared.trigger is not None, tuple(views))


def own_view(view: TestView, place: SeenPlace) -> TestView:
    """Give a place axes of its own for the channels whose runs the common ones press too flat."""

    def own(channel: ChannelView) -> ChannelView:
        if not any(seen.run and channel.channel in seen.run.traces for seen in place.runs):
            return channel
        low, high = _axis(place.runs, channel.channel, channel.marks, view.start_s, view.end_s)
        flat = high - low < _FLAT * (channel.high - channel.low)
        return replace(channel, low=low, high=high, own=True) if flat else channel

    return replace(view, channels=tuple(map(own, view.channels)))


def in_view(trace: Trace, start_s: float, end_s: float) -> tuple[FloatArray, FloatArray]:
    """Return the samples of a trace from just before a stretch to just after it."""
    first = max(0, int(np.searchsorted(trace.time_s, start_s)) - 1)
    last = int(np.searchsorted(trace.time_s, end_s, side="right")) + 1
    return trace.time_s[first:last], trace.values[first:last]


def _axis(
    runs: Sequence[SeenRun], channel: str, marks: Sequence[Mark], start_s: float, end_s: float
) -> tuple[float, float]:
    low, high = _range(runs, channel, start_s, end_s)
    levels = [mark.level for mark in marks if mark.level is not None]
    low, high = min([low, *levels]), max([high, *levels])
    room = _ROOM * (high - low) or abs(high) / 2 or 1.0
    return low - room, high + room


def gaps_in_view(trace: Trace, start_s: float, end_s: float) -> tuple[tuple[float, float], ...]:
    """Return the gaps of a trace within a stretch: from the sample before to the one after."""
    time_s, values = in_view(trace, start_s, end_s)
    parts = pieces(values)
    return tuple(
        (float(time_s[before.stop - 1]), float(time_s[after.start]))
        for before, after in pairwise(parts)
    )


def _range(
    runs: Sequence[SeenRun], channel: str, start_s: float, end_s: float
) -> tuple[float, float]:
    used = list(_extremes((run for run in runs if run.ref.use), channel, start_s, end_s))
    every = list(_extremes(runs, channel, start_s, end_s))
    low, high = min(every, default=0.0), max(every, default=1.0)
    if used:
        room = _WIDEN * (max(used) - min(used))
        low, high = max(low, min(used) - room), min(high, max(used) + room)
    return low, high


def _extremes(
    runs: Iterator[SeenRun] | Sequence[SeenRun], channel: str, start_s: float, end_s: float
) -> Iterator[float]:
    for seen in runs:
        if seen.run is not None and channel in seen.run.traces:
            _, values = in_view(seen.run.traces[channel], start_s, end_s)
            finite = values[np.isfinite(values)]
            if finite.size:
                yield float(finite.min())
                yield float(finite.max())
