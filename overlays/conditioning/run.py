"""A log → a conditioned run: units, zero, trigger, filters, in this order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from overlays.conditioning.channel import channel_trace
from overlays.conditioning.lowpass import butterworth, design_corner_hz
from overlays.conditioning.rate import is_uniform, rate_hz, resample
from overlays.conditioning.trigger import crossing
from overlays.conditioning.zero import window_mean
from overlays.errors import LogError, SessionError
from overlays.model.run import Run, RunRef
from overlays.model.session import FilterSpec, Session, TestSpec, TriggerSpec, ZeroSpec
from overlays.model.trace import Log, Trace

__all__ = ["condition"]

_ROUNDS = 10


def condition(log: Log, ref: RunRef, session: Session) -> Run:
    """Condition one run as its test declares.

    Zero and trigger depend on each other (the zero window lies before the trigger, the trigger's
    level counts from zero), so they are found by turns until neither moves.

    Parameters
    ----------
    log : Log
        What was read from the run's file.
    ref : RunRef
        Which run it is.
    session : Session
        What was declared.

    Returns
    -------
    Run
        Traces of the test's channels in the units shown; time 0 is the trigger, or the first
        sample where the test declares no trigger.

    Raises
    ------
    LogError
        If the log lacks what the test needs; ``file`` names the log.
    SessionError
        If the test asks for what cannot be, such as a filter above half the sampling rate.
    UnitError
        If declared units do not fit each other.
    """
    test = session.spec.tests[ref.test]
    wanted = dict.fromkeys(test.channels)
    if test.trigger:
        wanted.setdefault(test.trigger.channel)
    traces = {key: channel_trace(log, key, session.spec.channels[key]) for key in wanted}
    try:
        traces = _aligned(traces, test)
        filtered = {
            key: _filtered(traces[key], test.filters[key], f"tests.{ref.test}.filters.{key}")
            if key in test.filters
            else traces[key]
            for key in test.channels
        }
    except LogError as error:
        raise error.at(file=log.file) from error
    except SessionError as error:
        raise error.at(file="session.toml", line=session.line("tests", ref.test)) from error
    return Run(ref, filtered)


def _aligned(traces: dict[str, Trace], test: TestSpec) -> dict[str, Trace]:
    """Bring zero and trigger to rest, and shift the time to the trigger."""
    trigger, zero = test.trigger, test.zero
    origin = _first_s(traces)
    if trigger is None:
        return _shifted(_zeroed(traces, zero, origin) if zero else traces, origin)
    # Before the trigger is known, the log's beginning stands in for the zero window.
    width = zero.end.to("s") - zero.start.to("s") if zero else 0.0
    guess = origin - zero.start.to("s") if zero else origin
    for _ in range(_ROUNDS if zero and width > 0 else 1):
        zeroed = _zeroed(traces, zero, guess) if zero else traces
        found = _trigger_s(zeroed[trigger.channel], trigger)
        if found == guess:
            break
        guess = found
    zeroed = _zeroed(traces, zero, guess) if zero else traces
    return _shifted(zeroed, guess)


def _first_s(traces: dict[str, Trace]) -> float:
    return min(float(trace.time_s[0]) for trace in traces.values())


def _shifted(traces: dict[str, Trace], origin_s: float) -> dict[str, Trace]:
    return {key: replace(t, time_s=t.time_s - origin_s) for key, t in traces.items()}


def _zeroed(traces: dict[str, Trace], zero: ZeroSpec, trigger_s: float) -> dict[str, Trace]:
    start, end = zero.start.to("s"), zero.end.to("s")
    result = dict(traces)
    for key in zero.channels:
        if key in traces:
            trace = traces[key]
            mean = window_mean(
                trace.time_s - trigger_s, trace.values, start_s=start, end_s=end, what=key
            )
            result[key] = replace(
                trace, values=trace.values - mean, steps=(*trace.steps, "zeroed before the test")
            )
    return result


def _trigger_s(trace: Trace, trigger: TriggerSpec) -> float:
    level, rearm = trigger.level.to(trace.unit), trigger.rearm.to(trace.unit)
    rising = trigger.edge == "rising"
    if (rearm >= level) if rising else (rearm <= level):
        raise SessionError(
            f"the trigger re-arms at {rearm:g} {trace.unit}, which is not "
            f"{'below' if rising else 'above'} its level of {level:g} {trace.unit}.",
            code="bad-trigger",
            remedy="Choose a re-arm level on the side the trace comes from.",
            field="trigger.rearm",
        )
    found = crossing(trace.time_s, trace.values, level=level, rearm=rearm, rising=rising)
    if found is None:
        finite = trace.values[np.isfinite(trace.values)]
        seen = f"from {finite.min():g} to {finite.max():g}" if finite.size else "nothing"
        raise LogError(
            f"the trigger never comes: {trace.channel} does not go from {rearm:g} {trace.unit} "
            f"to {level:g} {trace.unit}; it shows {seen}.",
            code="no-trigger",
            remedy="Check the run, or correct the test's trigger level.",
        )
    return found


def _filtered(trace: Trace, spec: FilterSpec, field: str) -> Trace:
    cutoff = spec.cutoff.to("Hz")
    time_s, values, steps = trace.time_s, trace.values, list(trace.steps)
    if not is_uniform(time_s):
        time_s, values = resample(time_s, values)
        steps.append(f"resampled at {rate_hz(time_s):.4g}/s")
    rate = rate_hz(time_s)
    if cutoff >= rate / 2:
        raise SessionError(
            f"a cutoff of {cutoff:g} Hz needs more than {2 * cutoff:g} samples a second; the log "
            f"has {rate:.4g}.",
            code="cutoff-too-high",
            remedy="Lower the cutoff, or log faster.",
            field=field,
        )
    corner = design_corner_hz(cutoff, rate, spec.order)
    smooth = butterworth(values, rate_hz=rate, corner_hz=corner, order=spec.order)
    steps.append(f"{cutoff:g} Hz zero-phase")
    return replace(trace, time_s=time_s, values=smooth, steps=tuple(steps))
