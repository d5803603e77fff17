"""A log → a conditioned run: units, spikes, gaps, zero, trigger, filters, in this order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from overlays.conditioning.align import align
from overlays.conditioning.channel import channel_trace
from overlays.conditioning.doubts import doubts_about
from overlays.conditioning.filters import filtered
from overlays.conditioning.gaps import bridge, mark_holes
from overlays.conditioning.medians import odd_samples
from overlays.conditioning.pieces import pieces
from overlays.conditioning.rate import rate_hz, trace_steps
from overlays.conditioning.spikes import without_spikes
from overlays.errors import LogError, SessionError
from overlays.logs.evenness import hole_limit_s, uneven
from overlays.model.conditionspec import GapSpec, SpikeSpec
from overlays.model.run import Run, RunRef
from overlays.model.session import ChannelSpec, Session
from overlays.model.trace import Log, Trace
from overlays.numbers import counted

__all__ = ["condition"]


def condition(log: Log, ref: RunRef, session: Session) -> Run:
    """Condition one run as its test declares.

    The trigger is sought on the trace before its filter: a filter that shifts nothing looks
    ahead, and lets a rise begin too early.

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
        If the test asks for what cannot be, such as a filter above half the sampling rate;
        ``field`` and ``line`` name the place in session.toml.
    UnitError
        If declared units do not fit each other.
    """
    test = session.spec.tests[ref.test]
    channels = session.spec.channels
    _check_clock(log, ref.test)
    _check_words(log, session, ref.test)
    raw = {key: channel_trace(log, key, channels[key]) for key in test.channels}
    field, jitter = f"tests.{ref.test}", test.jitter.to("")
    try:
        clean = {key: _mended(raw[key], test.spikes.get(key), test.gaps) for key in test.channels}
        aligned, origin_s = align(clean, test.zero, test.trigger)
        traces = {}
        for key, trace in aligned.items():
            steps = uneven(trace_steps(trace.time_s, trace.values), jitter=jitter)
            doubts = (*_doubts(raw[key], channels[key], origin_s), *filter(None, [steps]))
            traces[key] = replace(trace, flags=(*trace.flags, *doubts))
            if key in test.filters:
                field = f"tests.{ref.test}.filters.{key}"
                traces[key] = filtered(traces[key], test.filters[key], jitter=jitter)
    except LogError as error:
        raise error.at(file=log.file) from error
    except SessionError as error:
        path = f"{field}.{error.field}" if error.field else field
        line = session.line(*path.split("."))
        raise SessionError(
            error.message,
            code=error.code,
            remedy=error.remedy,
            file="session.toml",
            line=line,
            field=path,
        ) from error
    return Run(ref, traces, log.notes)


def _check_clock(log: Log, test: str) -> None:
    """Refuse a log whose clock was reset: which stretch is the run, nobody but the user knows."""
    back = np.flatnonzero(np.diff(log.time_s) <= 0)
    if not back.size:
        return
    listed = ", ".join(
        f"{i} (from line {s.first_line}, {counted(s.n, 'row')}, {s.seconds:.4g} s)"
        for i, s in enumerate(log.segments[:8], 1)
    )
    raise LogError(
        f"the clock was reset, so the log holds {len(log.segments)} segments: {listed}.",
        code="clock-reset",
        remedy=f"Say which is the run with segment = … under [tests.{test}.reading] in "
        "session.toml, or split the file.",
        file=log.file,
        line=log.segments[1].first_line if len(log.segments) > 1 else None,
    )


def _check_words(log: Log, session: Session, test: str) -> None:
    """Refuse a word among the numbers of a channel that the test uses: it may have been a number.

    What loggers are known to write where there is nothing is no word.
    """
    if session.pins(test).words == "gap":
        return
    asked = {session.spec.channels[key].column for key in session.spec.tests[test].channels}
    used = {
        column.name for column in log.columns if not asked.isdisjoint((column.name, column.written))
    }
    for note in log.notes:
        if note.column in used:
            raise LogError(
                note.message.replace("; kept as a gap", "."),
                code="not-a-number",
                remedy="Correct it in a copy of the log, leave the run out, or have words read as "
                f'gaps with words = "gap" under [tests.{test}.reading] in session.toml.',
                file=log.file,
                line=note.line,
            )


def _mended(trace: Trace, spikes: SpikeSpec | None, gaps: GapSpec) -> Trace:
    """Take out declared spikes, mark holes in the time, and bridge declared gaps."""
    time_s, values, steps = trace.time_s, trace.values, list(trace.steps)
    limit = gaps.longer_than.to("s") if gaps.longer_than else hole_limit_s(time_s)
    if limit is not None:
        time_s, values = mark_holes(time_s, values, limit)
    rate = rate_hz(time_s, values)
    if spikes is not None and rate is not None:
        samples, count = odd_samples(spikes.window.to("s"), rate), 0
        values = values.copy()
        for piece in pieces(values):
            values[piece], found = without_spikes(values[piece], samples, spikes.times)
            count += found
        if count:
            steps.append("1 spike removed" if count == 1 else f"{count} spikes removed")
    if gaps.bridge is not None:
        longest = gaps.bridge.to("s")
        time_s, values, count = bridge(time_s, values, longest)
        if count:
            many = "1 gap" if count == 1 else f"{count} gaps"
            steps.append(f"{many} up to {longest:g} s bridged")
    return replace(trace, time_s=time_s, values=values, steps=tuple(steps))


def _doubts(raw: Trace, channel: ChannelSpec, origin_s: float) -> tuple[str, ...]:
    limits = None
    if channel.limits is not None:
        low, high = (quantity.to(raw.unit) for quantity in channel.limits)
        limits = (min(low, high), max(low, high))
    return doubts_about(raw.time_s, raw.values, limits=limits, origin_s=origin_s)
