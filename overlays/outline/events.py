"""Events in the data: when, in a run, the moment comes that a cue waits for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from overlays.errors import OutlineError
from overlays.model.outline import Cue
from overlays.model.result import Results
from overlays.model.trace import FloatArray, Trace
from overlays.outline.anchors import DataEvent
from overlays.units import convert

__all__ = ["event_s"]

# Curves cross where one leads by this share of what is in view, and then the other: ripple that
# merely touches is no crossing (our own choice, no source).
_LEAD = 0.02


def event_s(event: DataEvent, drawn_by: Cue, results: Results) -> float:
    """Return the time of an event in seconds of the run, counted from the trigger.

    Parameters
    ----------
    event : DataEvent
        What is waited for.
    drawn_by : Cue
        The cue that draws the run; its test, channel and entries say which.
    results : Results
        The runs.

    Raises
    ------
    OutlineError
        If that cue draws no run, or the event does not happen in it.
    """
    test, channel, drawn = _shown(drawn_by, results)
    length_s = results.session.spec.tests[test].length.to("s")
    if event.what == "start":
        return 0.0
    if event.what == "end":
        return length_s
    entries = event.entries or drawn
    traces = [_trace(entry, test, channel, drawn_by, results) for entry in entries[:2]]
    if event.what == "crossing":
        return _crossing_s(entries, traces, length_s)
    time_s, values = _inside(traces[0], length_s)
    if event.what == "level":
        return _level_s(event, entries[0], traces[0].unit, time_s, values)
    place = np.nanargmax(values) if event.what == "peak" else np.nanargmin(values)
    return float(time_s[place])


def _shown(cue: Cue, results: Results) -> tuple[str, str, tuple[str, ...]]:
    spec = results.session.spec
    test = cue.options.get("test")
    if not isinstance(test, str) or test not in spec.tests:
        raise OutlineError(
            f"the cue {cue.cue!r} draws no run of a test, so nothing happens in it.",
            code="no-event",
            field="event",
            remedy='Name a cue that draws curves: of = "ID".',
        )
    channel = cue.options.get("channel") or spec.tests[test].channels[0]
    own = [cue.options["entry"]] if "entry" in cue.options else []
    entries = (
        own
        or cue.options.get("entries")
        or [key for key in spec.entries if (key, test) in results.repeats]
    )
    return test, str(channel), tuple(str(entry) for entry in entries)


def _trace(entry: str, test: str, channel: str, cue: Cue, results: Results) -> Trace:
    repeats = results.repeats.get((entry, test))
    if repeats is None or channel not in repeats.median_run.traces:
        raise OutlineError(
            f"there is no run of {entry!r} on test {test!r} with channel {channel!r}, which the "
            f"cue {cue.cue!r} would draw.",
            code="no-event",
            field="event",
            remedy='Name an entry that is drawn: entries = ["…"].',
        )
    return repeats.median_run.traces[channel]


def _inside(trace: Trace, length_s: float) -> tuple[FloatArray, FloatArray]:
    shown = (trace.time_s >= 0) & (trace.time_s <= length_s)
    if not np.isfinite(trace.values[shown]).any():
        raise _never("the run has no samples after the trigger")
    return trace.time_s[shown], trace.values[shown]


def _level_s(
    event: DataEvent, entry: str, unit: str, time_s: FloatArray, values: FloatArray
) -> float:
    level = event.level
    if level is None:
        raise _never("no level is given")
    wanted = convert(level.value, level.unit, unit)
    reached = np.flatnonzero(values >= wanted)
    if not len(reached):
        raise _never(f"{entry} never reaches {level.value:g} {level.unit}")
    at = reached[0]
    if at == 0 or not np.isfinite(values[at - 1]):
        return float(time_s[at])
    share = (wanted - values[at - 1]) / (values[at] - values[at - 1])
    return float(time_s[at - 1] + share * (time_s[at] - time_s[at - 1]))


def _crossing_s(entries: Sequence[str], traces: Sequence[Trace], length_s: float) -> float:
    """Return where the lead first changes hands, between two samples on the straight line."""
    if len(traces) != 2:
        raise _never("a crossing needs two entries")
    time_s, first = _inside(traces[0], length_s)
    second = np.interp(time_s, traces[1].time_s, traces[1].values, left=np.nan, right=np.nan)
    gap = first - second
    lead = _LEAD * float(np.nanmax([first, second]) - np.nanmin([first, second]))
    known = np.flatnonzero(np.abs(gap) > lead)
    turns = np.flatnonzero(np.diff(np.sign(gap[known])))
    if not len(turns):
        raise _never(f"the curves of {' and '.join(entries[:2])} never cross")
    low, high = known[turns[0]], known[turns[0] + 1]
    # Within the stretch where neither clearly leads, the sign changes for the last time here.
    signs = np.sign(gap[low : high + 1])
    last = low + int(np.flatnonzero(signs == signs[0])[-1])
    share = gap[last] / (gap[last] - gap[last + 1])
    return float(time_s[last] + share * (time_s[last + 1] - time_s[last]))


def _never(why: str) -> OutlineError:
    return OutlineError(
        f"the event does not happen: {why}.",
        code="no-event",
        field="event",
        remedy="Wait for something else, or write a time.",
    )
