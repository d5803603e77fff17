"""What counts as zero: the mean over a window before the test, and whether it holds after it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from overlays.errors import LogError
from overlays.model.session import ZeroSpec
from overlays.model.trace import FloatArray, Trace
from overlays.units import difference_unit, symbol

__all__ = ["window_values", "zeroed"]

_REST_SHARE = 0.1
"""A trace that moves by more than this share of its range within the zero window is not at rest;
common practice, no source."""


def window_values(trace: Trace, start_s: float, end_s: float) -> FloatArray:
    """Return the finite samples in a window of the trace's own time, its ends included."""
    inside = trace.values[(trace.time_s >= start_s) & (trace.time_s <= end_s)]
    return np.asarray(inside[np.isfinite(inside)])


def zeroed(trace: Trace, zero: ZeroSpec, trigger_s: float) -> Trace:
    """Take the mean of the zero window off a trace.

    A temperature becomes a difference of temperatures, in the same scale.

    Parameters
    ----------
    trace : Trace
        Any time.
    zero : ZeroSpec
        The windows, counted from the trigger.
    trigger_s : float
        Where the trigger lies in the trace's time.

    Returns
    -------
    Trace
        With flags where the trace moves within the window, or its zero has drifted.

    Raises
    ------
    LogError
        If no sample lies in the window.
    """
    start, end = zero.start.to("s"), zero.end.to("s")
    before = window_values(trace, trigger_s + start, trigger_s + end)
    if not before.size:
        raise _empty(trace, trigger_s, start, end)
    mean = float(np.mean(before))
    values, steps, flags = trace.values - mean, [*trace.steps, "zeroed"], list(trace.flags)
    reach = float(np.nanmax(values) - np.nanmin(values))
    sign = symbol(trace.unit)
    moved = float(before.max() - before.min())
    if reach > 0 and moved > _REST_SHARE * reach:
        flags.append(f"not at rest in the zero window: moves by {moved:.3g} {sign}")
    if zero.after_start is not None and zero.after_end is not None:
        start_after, end_after = zero.after_start.to("s"), zero.after_end.to("s")
        after = window_values(trace, trigger_s + start_after, trigger_s + end_after)
        if after.size:
            drift = float(np.mean(after)) - mean
            if reach > 0 and abs(drift) > zero.drift_limit.to("") * reach:
                share = 100 * abs(drift) / reach
                flags.append(f"zero drifts by {drift:.3g} {sign} ({share:.2g} % of the range)")
            if zero.drift == "remove":
                ends = [trigger_s + (start + end) / 2, trigger_s + (start_after + end_after) / 2]
                values = values - np.interp(trace.time_s, ends, [0.0, drift])
                steps.append("zero drift removed")
        elif zero.drift == "remove":
            raise _empty(trace, trigger_s, start_after, end_after)
        else:
            flags.append("zero not checked after the test: the log ends before the window")
    return replace(
        trace,
        unit=difference_unit(trace.unit),
        values=values,
        steps=tuple(steps),
        flags=tuple(flags),
    )


def _empty(trace: Trace, trigger_s: float, start_s: float, end_s: float) -> LogError:
    first, last = trace.time_s[0] - trigger_s, trace.time_s[-1] - trigger_s
    return LogError(
        f"{trace.channel} has no sample in the zero window from {start_s:g} s to {end_s:g} s; "
        f"counted from the trigger, the log runs from {first:.4g} s to {last:.4g} s.",
        code="empty-zero-window",
        remedy="Let the logger run before and after the test, or move the zero window.",
    )
