"""Zero and trigger of a run, which depend on each other, and the shift to time 0."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from overlays.conditioning.trigger import crossing
from overlays.conditioning.zero import zeroed
from overlays.errors import LogError, SessionError
from overlays.model.session import TriggerSpec, ZeroSpec
from overlays.model.trace import Trace
from overlays.units import symbol

__all__ = ["align"]

_ROUNDS = 20

Traces = Mapping[str, Trace]


def align(
    traces: Traces, zero: ZeroSpec | None, trigger: TriggerSpec | None
) -> tuple[dict[str, Trace], float]:
    """Zero the traces and shift their time so that the trigger is 0.

    The zero window lies before the trigger, and the trigger's level counts from zero; both are
    found by turns until the trigger stays. At first the beginning of the log stands in for the
    zero window.

    Parameters
    ----------
    traces : Mapping[str, Trace]
        By channel, on the log's clock.
    zero, trigger : ZeroSpec, TriggerSpec or None
        As the test declares them. Without a trigger, time 0 is the first sample.

    Returns
    -------
    traces : dict of str to Trace
        Zeroed and shifted.
    origin_s : float
        Where time 0 lies on the log's clock.

    Raises
    ------
    LogError
        If a zero window is empty, or the trigger does not come.
    SessionError
        If the trigger re-arms on the wrong side.
    """
    first = min(float(trace.time_s[0]) for trace in traces.values())
    origin = first
    if trigger is not None:
        origin = first - zero.start.to("s") if zero else first
        for _ in range(_ROUNDS):
            watched = _zeroed(traces, zero, origin)[trigger.channel]
            found = _trigger_s(watched, trigger)
            if found == origin:
                break
            origin = found
    shifted = {
        key: replace(trace, time_s=trace.time_s - origin)
        for key, trace in _zeroed(traces, zero, origin).items()
    }
    return shifted, origin


def _zeroed(traces: Traces, zero: ZeroSpec | None, origin_s: float) -> dict[str, Trace]:
    wanted = zero.channels if zero else ()
    return {
        key: zeroed(trace, zero, origin_s) if zero and key in wanted else trace
        for key, trace in traces.items()
    }


def _trigger_s(trace: Trace, trigger: TriggerSpec) -> float:
    level, rearm = trigger.level.to(trace.unit), trigger.rearm.to(trace.unit)
    rising, sign = trigger.edge == "rising", symbol(trace.unit)
    if (rearm >= level) if rising else (rearm <= level):
        side = "below" if rising else "above"
        raise SessionError(
            f"the trigger re-arms at {rearm:g} {sign}, which is not {side} its level of "
            f"{level:g} {sign}.",
            code="bad-trigger",
            remedy="Choose a re-arm level on the side the trace comes from.",
            field="trigger.rearm",
        )
    found = crossing(trace.time_s, trace.values, level=level, rearm=rearm, rising=rising)
    if found is None:
        low, high = np.nanmin(trace.values), np.nanmax(trace.values)
        raise LogError(
            f"the trigger never comes: {trace.channel} does not go from {rearm:g} {sign} to "
            f"{level:g} {sign}; it lies between {low:.4g} and {high:.4g} {sign}.",
            code="no-trigger",
            remedy="Check the run, or correct the trigger's level and re-arm level.",
        )
    return found
