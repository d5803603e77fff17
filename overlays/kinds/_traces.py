"""What several kinds take from results: an entry's median trace, and words about its runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.conditioning.envelope import envelope
from overlays.conditioning.repeats import median_index
from overlays.draw.curve import value_at
from overlays.errors import OutlineError
from overlays.model.result import Results
from overlays.model.run import Repeats, Run, RunRef
from overlays.model.trace import FloatArray

__all__ = [
    "Band",
    "Line",
    "Pale",
    "fewer_text",
    "left_out_reason",
    "left_out_text",
    "median_line",
    "pale_line",
    "runs_text",
    "second_line",
]

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """The least and the greatest value of an entry's repeats; NaN where one is missing.

    Parameters
    ----------
    time_s, low, high : ndarray of shape (N,)
        Strictly increasing times.
    n : int
        How many repeats.
    """

    time_s: FloatArray
    low: FloatArray
    high: FloatArray
    n: int


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One entry's trace as shown: times from the trigger, values in the shown unit.

    `colour` is the entry's place in the session, which its colour follows; `band` the spread of
    its repeats where that is shown.
    """

    entry: str
    name: str
    colour: int
    time_s: FloatArray
    values: FloatArray
    band: Band | None = None

    @property
    def key(self) -> str:
        """Which it is of all that is drawn."""
        return self.entry

    @property
    def last(self) -> float:
        """The last value there is."""
        return _last(self.values)


@dataclass(frozen=True, slots=True, eq=False)
class Pale:
    """An earlier run, shown palely and whole from the start.

    Parameters
    ----------
    key : str
        Which it is of all that is drawn: an entry, and the number of its repeat.
    label : str
        What is written beside it.
    file : str
        Its log.
    time_s, values : ndarray of shape (N,)
        As a `Line` has them.
    """

    key: str
    label: str
    file: str
    time_s: FloatArray
    values: FloatArray

    @property
    def last(self) -> float:
        """The last value there is."""
        return _last(self.values)

    @property
    def band(self) -> None:
        """It is one run, without a spread."""
        return


def _last(values: FloatArray) -> float:
    return float(values[np.isfinite(values)][-1])


def median_line(
    results: Results,
    entry: str,
    test: str,
    channel: str,
    length_s: float,
    *,
    spread: bool = False,
    field: str = "entries",
) -> Line:
    """Return an entry's median run from the trigger to `length_s`, with the spread if wanted.

    `field` is the option that names the entry, for the error.

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
            field=field,
            remedy="Add the run to runs.csv, or take the entry out of the cue.",
        )
    what = f"the run of {entry!r} on test {test!r}"
    time_s, values = _shown(repeats.median_run, channel, length_s, what, field=field)
    entries = results.session.spec.entries
    return Line(
        entry,
        entries[entry].label,
        list(entries).index(entry),
        time_s,
        values,
        _band(repeats, channel, length_s) if spread else None,
    )


def pale_line(results: Results, written: str, test: str, channel: str, length_s: float) -> Pale:
    """Return an earlier run: ``"alder"`` is an entry's median run, ``"alder 2"`` its repeat 2.

    Raises
    ------
    OutlineError
        If there is no such run, or it has no samples there.
    """
    entry, _, number = written.partition(" ")
    repeats = results.repeats.get((entry, test))
    runs = {str(run.ref.repeat): run for run in repeats.runs} if repeats is not None else {}
    run = repeats.median_run if repeats is not None and not number else runs.get(number)
    if run is None or channel not in run.traces:
        known = f"It has the repeats {', '.join(runs)}" if runs else "It has no run of that test"
        raise OutlineError(
            f"there is no run {written!r} on test {test!r} with channel {channel!r}.",
            code="no-run",
            field="before",
            remedy=f'{known}; write an entry, or an entry and a repeat, like "{entry} 1".',
        )
    what = f"the run {written!r} on test {test!r}"
    time_s, values = _shown(run, channel, length_s, what, field="before")
    name = results.session.spec.entries[entry].label
    label = f"{name}, run {run.ref.repeat}" if number else f"{name}, for reference"
    return Pale(f"{entry} {run.ref.repeat}", label, run.ref.file, time_s, values)


def second_line(
    results: Results, entry: str, test: str, channel: str, length_s: float
) -> tuple[Pale, str]:
    """Return another channel of an entry's median run, named after the channel, and its unit.

    Raises
    ------
    OutlineError
        If the run has no such channel, or no samples of it there.
    """
    run = results.repeats[entry, test].median_run
    if channel not in run.traces:
        raise OutlineError(
            f"the run of {entry!r} on test {test!r} has no channel {channel!r}.",
            code="no-channel",
            field="second",
            remedy=f"Name one of: {', '.join(run.traces)}.",
        )
    what = f"the run of {entry!r} on test {test!r}"
    time_s, values = _shown(run, channel, length_s, what, field="second")
    label = results.session.spec.channels[channel].label
    pale = Pale(f"{entry} {channel}", label, run.ref.file, time_s, values)
    return pale, run.traces[channel].unit


def _shown(
    run: Run, channel: str, length_s: float, what: str, *, field: str = "entries"
) -> tuple[FloatArray, FloatArray]:
    trace = run.traces[channel]
    time_s, values = _between(trace.time_s, trace.values, 0.0, length_s)
    if not np.isfinite(values).any():
        raise OutlineError(
            f"{what} has no samples of {channel!r} between 0 and {length_s:g} s.",
            code="no-samples",
            field=field,
            remedy="Check the trigger of the test, or take the entry out of the cue.",
        )
    return time_s, values


def _band(repeats: Repeats, channel: str, length_s: float) -> Band | None:
    """Return the spread of the repeats; None where there is one run, or they share no time."""
    # The median run's own times first: the band then has a sample wherever the curve has one.
    runs = (repeats.median_run, *(run for run in repeats.runs if run is not repeats.median_run))
    found = envelope([run.traces[channel] for run in runs if channel in run.traces])
    if found is None:
        return None
    time_s, low = _between(found.time_s, found.low, 0.0, length_s)
    _, high = _between(found.time_s, found.high, 0.0, length_s)
    return Band(time_s, low, high, found.n) if np.isfinite(low).any() else None


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
    """Say in plain words which of how many runs is shown: ``middle of three runs``."""
    plain = sorted({len(item.runs) for item in repeats if not item.remark or len(item.runs) == 1})
    others = sorted(
        {
            (len(item.runs), _is_lower(item))
            for item in repeats
            if item.remark and len(item.runs) > 1
        }
    )
    if plain and plain[-1] > 1:
        said = [f"middle of {_range(plain)} runs"]
        said += [f"where there are {_count(n)}, {_lower(n) if low else 'one'}" for n, low in others]
    else:
        said = [f"{_lower(n) if low else 'one'} of {_count(n)} runs" for n, low in others]
        said += ["one run"] if plain else []
    said[0] = said[0].removeprefix("the ")
    return "; ".join(said)


def _is_lower(repeats: Repeats) -> bool:
    """Say whether the run shown is the lower of the two in the middle, all runs having a value."""
    return repeats.remark == median_index([0.0] * len(repeats.runs))[1]


def _lower(count: int) -> str:
    return "the lower" if count == 2 else "the lower of the middle two"


def _range(counts: Sequence[int]) -> str:
    least, most = _count(counts[0]), _count(counts[-1])
    return most if least == most else f"{least} to {most}"


def fewer_text(results: Results, repeats: Sequence[Repeats]) -> str:
    """Say of which entries fewer runs count than were planned; empty where of none."""
    spec = results.session.spec
    told = [
        f"{spec.entries[item.entry].label} {len(item.runs)} of {spec.tests[item.test].repeats}"
        for item in repeats
        if len(item.runs) < spec.tests[item.test].repeats
    ]
    return f"fewer runs than planned: {', '.join(told)}" if told else ""


def left_out_text(results: Results, repeats: Sequence[Repeats]) -> str:
    """Say which runs were left out and why; empty where none was."""
    entries = results.session.spec.entries
    refs = [ref for item in repeats for ref in item.left_out]
    told = []
    for ref in refs:
        why = left_out_reason(ref)
        told.append(f"{entries[ref.entry].label} run {ref.repeat}{f' ({why})' if why else ''}")
    return f"left out: {', '.join(told)}" if told else ""


def left_out_reason(ref: RunRef) -> str:
    """Return why a run was left out: the first sentence, the rest of a remark is for the bench."""
    return ref.note.partition(". ")[0].rstrip(".")


def _count(number: int) -> str:
    return _WORDS[number] if number < len(_WORDS) else str(number)
