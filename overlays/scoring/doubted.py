"""What conditioning saw in the traces that a person should look at, told once for runs alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from overlays.errors import Problems
from overlays.model.figurespec import WindowFigure
from overlays.model.result import Results
from overlays.model.run import Run
from overlays.model.session import SessionSpec
from overlays.model.trace import Trace
from overlays.scoring.takes.view import slack_of

__all__ = ["listed", "run_doubts", "warn_of_doubts"]


def run_doubts(run: Run, spec: SessionSpec) -> Iterator[str]:
    """Yield the flags of a run's traces, each with the channels it holds for.

    Parameters
    ----------
    run : Run
        Conditioned.
    spec : SessionSpec
        What is declared: the names of the channels.

    Yields
    ------
    str
        ``"torque and rotor: samples come 1.2 to 3.4 ms apart instead of 2.0 ms"``.
    """
    channels: dict[str, list[str]] = {}
    for key, trace in run.traces.items():
        for flag in (*trace.flags, *_ends_early(run.ref.test, trace, spec)):
            channels.setdefault(flag, []).append(spec.channels[key].label)
    for flag, labels in channels.items():
        yield f"{listed(labels)}: {flag}"


def _ends_early(test: str, trace: Trace, spec: SessionSpec) -> Iterator[str]:
    """Tell of a trace that is shorter than the test, where figures are taken up to its end."""
    channels, length_s = spec.tests[test].channels, spec.tests[test].length.to("s")
    labels = [
        f"“{figure.label}”"
        for figure in spec.figures.values()
        if isinstance(figure, WindowFigure)
        and (figure.test, figure.channel or channels[0], figure.end) == (test, trace.channel, None)
    ]
    end_s = float(trace.time_s[-1])
    if labels and len(trace.time_s) > 1 and end_s < length_s - slack_of(trace.time_s):
        yield (
            f"ends at {end_s:.3g} s, before the test does at {length_s:g} s; "
            f"{listed(labels)} {'is' if len(labels) == 1 else 'are'} taken up to there only"
        )


def listed(names: Sequence[str]) -> str:
    """Write a list as a person says it: ``a, b and c``."""
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def warn_of_doubts(results: Results, problems: Problems) -> None:
    """Record a warning for every flag of a used run's traces; runs of a test alike share one."""
    session = results.session
    for test in session.spec.tests:
        alike: dict[str, list[Run]] = {}
        for entry in session.spec.entries:
            repeats = results.repeats.get((entry, test))
            for run in repeats.runs if repeats else ():
                for doubt in run_doubts(run, session.spec):
                    alike.setdefault(doubt, []).append(run)
        for doubt, runs in alike.items():
            problems.warn(
                "doubtful-trace",
                f"{test}, {_named(runs)}: {doubt}{'' if doubt.endswith('?') else '.'}",
                remedy="Look at it (runs SESSION --out runs.html) before its figures are trusted.",
                file=runs[0].ref.file,
            )


def _named(runs: Sequence[Run]) -> str:
    """Name runs by entry: ``alder runs 1 and 2, dune run 3``."""
    numbers: dict[str, list[str]] = {}
    for run in runs:
        numbers.setdefault(run.ref.entry, []).append(str(run.ref.repeat))
    return ", ".join(
        f"{entry} {'run' if len(own) == 1 else 'runs'} {listed(own)}"
        for entry, own in numbers.items()
    )
