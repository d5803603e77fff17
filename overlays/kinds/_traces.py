"""What several kinds take from results: an entry's median trace, and words about its runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.draw.curve import value_at
from overlays.errors import OutlineError
from overlays.model.result import Results
from overlays.model.run import Repeats
from overlays.model.trace import FloatArray

__all__ = ["Line", "median_line", "runs_text"]

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One entry's trace as shown: times from the trigger, values in the shown unit.

    `colour` is the entry's place in the session, which its colour follows.
    """

    entry: str
    name: str
    colour: int
    time_s: FloatArray
    values: FloatArray

    @property
    def last(self) -> float:
        """The last value there is."""
        return float(self.values[np.isfinite(self.values)][-1])


def median_line(results: Results, entry: str, test: str, channel: str, length_s: float) -> Line:
    """Return an entry's median run from the trigger to `length_s`.

    Raises
    ------
    OutlineError
        If there is no such run, or it has no samples there.
    """
    repeats = results.repeats.get((entry, test))
    if repeats is None or channel not in repeats.median_run.traces:
        raise OutlineError(
            f"there is no run of {entry!r} on test {test!r} with channel {channel!r}.",
            code="no-run",
            field="entries",
            remedy="Add the run to runs.csv, or take the entry out of the cue.",
        )
    trace = repeats.median_run.traces[channel]
    time_s, values = _between(trace.time_s, trace.values, 0.0, length_s)
    if not np.isfinite(values).any():
        raise OutlineError(
            f"the run of {entry!r} on test {test!r} has no samples of {channel!r} "
            f"between 0 and {length_s:g} s.",
            code="no-samples",
            field="entries",
            remedy="Check the trigger of the test, or take the entry out of the cue.",
        )
    entries = results.session.spec.entries
    return Line(entry, entries[entry].label, list(entries).index(entry), time_s, values)


def _between(
    time_s: FloatArray, values: FloatArray, start_s: float, end_s: float
) -> tuple[FloatArray, FloatArray]:
    """Cut a trace to a stretch, with interpolated values at its two edges where they exist."""
    inside = (time_s > start_s) & (time_s < end_s)
    times, shown = [time_s[inside]], [values[inside]]
    first, last = value_at(time_s, values, start_s), value_at(time_s, values, end_s)
    if first is not None:
        times.insert(0, np.array([start_s]))
        shown.insert(0, np.array([first]))
    if last is not None:
        times.append(np.array([end_s]))
        shown.append(np.array([last]))
    joined = np.concatenate(times), np.concatenate(shown)
    for array in joined:
        array.setflags(write=False)
    return joined


def runs_text(repeats: Sequence[Repeats]) -> str:
    """Say how many runs stand behind what is shown: ``median of three runs``."""
    counts = sorted({len(item.runs) for item in repeats})
    remarks = dict.fromkeys(item.remark for item in repeats if item.remark)
    most = counts[-1]
    if most == 1:
        text = "one run"
    elif len(counts) == 1:
        text = f"median of {_count(most)} runs"
    else:
        text = f"median of {_count(counts[0])} to {_count(most)} runs"
    return "; ".join((text, *remarks))


def _count(number: int) -> str:
    return _WORDS[number] if number < len(_WORDS) else str(number)
