"""What there is to see: every run of every entry on every test, used or not, readable or not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from overlays.conditioning.run import condition
from overlays.errors import Problems, TracereelError
from overlays.logs.reader import read_log
from overlays.model.result import Results
from overlays.model.run import Run, RunRef
from overlays.model.trace import Note
from overlays.progress import Progress, silent
from overlays.scoring.figures import FigureWork, Value
from overlays.scoring.judged import JudgedRepeats, judge_repeats

__all__ = ["SeenPlace", "SeenRun", "own_figures", "see_runs"]


@dataclass(frozen=True, slots=True, eq=False)
class SeenRun:
    """One run as it is looked at.

    Parameters
    ----------
    ref : RunRef
        Which run it is.
    run : Run or None
        Its conditioned traces; None where the log cannot be read or conditioned.
    notes : tuple of Note
        The reading note of its log.
    values : Mapping[str, Value]
        The figures of its test, of this run alone.
    median : bool
        Whether it is the run that is shown.
    why : str
        Why there is no `run`; else empty.
    """

    ref: RunRef
    run: Run | None
    notes: tuple[Note, ...]
    values: Mapping[str, Value]
    median: bool = False
    why: str = ""

    @property
    def name(self) -> str:
        """What it is called within its place: ``run 2``."""
        return f"run {self.ref.repeat}"


@dataclass(frozen=True, slots=True, eq=False)
class SeenPlace:
    """All runs of one entry on one test.

    Parameters
    ----------
    entry, test : str
        Keys.
    runs : tuple of SeenRun
        By their repeats, a used one before a left-out one of the same number; may be empty.
    remark : str
        What has to be said of the median; else empty.
    judged : JudgedRepeats or None
        None where no run is used.
    """

    entry: str
    test: str
    runs: tuple[SeenRun, ...]
    remark: str = ""
    judged: JudgedRepeats | None = None

    @property
    def used(self) -> int:
        """How many runs are used and could be read."""
        return sum(1 for seen in self.runs if seen.ref.use and seen.run is not None)

    @property
    def anchor(self) -> str:
        """Its name on a page."""
        return f"{self.test}-{self.entry}"


def own_figures(results: Results, test: str) -> tuple[str, ...]:
    """Return the figures taken from a test alone, its main one first."""
    spec = results.session.spec
    main = spec.tests[test].main
    keys = [key for key in spec.figures if spec.tests_of(key) == {test}]
    return tuple(sorted(keys, key=lambda key: key != main))


def see_runs(results: Results, *, progress: Progress = silent) -> tuple[SeenPlace, ...]:
    """Gather the used runs, and read and condition those that were left out.

    Parameters
    ----------
    results : Results
        Of the session; the used runs' traces are taken from here.
    progress : Progress
        Told after each run.

    Returns
    -------
    tuple of SeenPlace
        Test by test, each with every entry, in the session's order. What is wrong with a run is
        said in it and raises nothing.
    """
    session = results.session
    judged = {(item.entry, item.test): item for item in judge_repeats(results)}
    seen: dict[tuple[str, str], list[SeenRun]] = {}
    for done, ref in enumerate(session.runs, start=1):
        seen.setdefault((ref.entry, ref.test), []).append(_see(results, ref))
        progress(done, len(session.runs), "runs")
    places = []
    for test in session.spec.tests:
        for entry in session.spec.entries:
            runs = seen.get((entry, test), [])
            runs.sort(key=lambda run: (run.ref.repeat, not run.ref.use))
            found = results.repeats.get((entry, test))
            places.append(
                SeenPlace(
                    entry=entry,
                    test=test,
                    runs=tuple(runs),
                    remark=found.remark if found else "",
                    judged=judged.get((entry, test)),
                )
            )
    return tuple(places)


def _see(results: Results, ref: RunRef) -> SeenRun:
    session = results.session
    found = results.repeats.get((ref.entry, ref.test))
    known = {run.ref: run for run in found.runs} if found else {}
    run = known.get(ref)
    notes = run.notes if run else ()
    why = ""
    try:
        if run is None:
            log = read_log(ref.path, file=ref.file, pins=session.pins(ref.test))
            notes = log.notes
            run = condition(log, ref, session)
    except TracereelError as error:
        # A look shows what can be shown; the error itself has been told by whoever read the runs.
        why = " ".join(f"{one.message} {one.remedy}".strip() for one in error.problems())
    median = found is not None and run is not None and found.median_run.ref == ref
    return SeenRun(ref, run, notes, _values(results, run), median=median, why=why)


def _values(results: Results, run: Run | None) -> dict[str, Value]:
    if run is None:
        return {}
    # Work of its own for every run: two left-out runs may have one number.
    work = FigureWork(results.session, Problems())
    return {key: work.of_run(key, run) for key in own_figures(results, run.ref.test)}
