"""Repeats → the median and the envelope at every moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.errors import UnitError
from overlays.model.trace import FloatArray, Trace

__all__ = ["Envelope", "envelope"]


@dataclass(frozen=True, slots=True, eq=False)
class Envelope:
    """What the repeats did together.

    Parameters
    ----------
    time_s : ndarray of shape (N,)
        The first trace's own times within the stretch that every trace covers. Read-only.
    low, median, high : ndarray of shape (N,)
        Least, middle and greatest value of the repeats at each time; NaN where any repeat has a
        gap, for a middle of fewer repeats would be another thing. Read-only.
    unit : str
        Of the values.
    n : int
        How many repeats.
    """

    time_s: FloatArray
    low: FloatArray
    median: FloatArray
    high: FloatArray
    unit: str
    n: int


def envelope(traces: Sequence[Trace]) -> Envelope | None:
    """Take the pointwise median and envelope of repeats.

    Other traces are read between their samples on straight lines; never across a gap and never
    past an end. The pointwise median is no run: it may be smoother than any of them, which is why
    a real run is shown as the result and this only beside it.

    Parameters
    ----------
    traces : sequence of Trace
        The same channel of each repeat, time 0 at the trigger.

    Returns
    -------
    Envelope or None
        None where there are fewer than two traces, or they share no stretch of time.

    Raises
    ------
    UnitError
        If the traces have different units.

    Examples
    --------
    >>> times = np.array([0.0, 1.0, 2.0])
    >>> found = envelope([Trace("c", "N", times, times + shift) for shift in (0.0, 3.0, 1.0)])
    >>> found.low.tolist(), found.median.tolist(), found.high.tolist()
    ([0.0, 1.0, 2.0], [1.0, 2.0, 3.0], [3.0, 4.0, 5.0])
    """
    if len(traces) < 2:
        return None
    units = sorted({trace.unit for trace in traces})
    if len(units) > 1:
        raise UnitError(
            f"repeats in different units have no envelope: {', '.join(units)}.",
            code="unlike-repeats",
            remedy="Condition every repeat in the channel's own unit.",
        )
    start = max(trace.time_s[0] for trace in traces)
    end = min(trace.time_s[-1] for trace in traces)
    grid = traces[0].time_s
    grid = grid[(grid >= start) & (grid <= end)]
    if not grid.size:
        return None
    values = np.stack([_at(trace, grid) for trace in traces])
    parts = (grid.copy(), values.min(axis=0), np.median(values, axis=0), values.max(axis=0))
    for part in parts:
        part.setflags(write=False)
    return Envelope(*parts, unit=units[0], n=len(traces))


def _at(trace: Trace, times: FloatArray) -> FloatArray:
    """Read a trace at other times; NaN where either neighbour is a gap.

    `numpy.interp` gives NaN for a stretch next to a NaN, and a sample's own value at its time.
    """
    return np.interp(times, trace.time_s, trace.values)
