"""A session → everything worked out of it."""

from __future__ import annotations

from collections import defaultdict

from overlays.conditioning.repeats import median_index
from overlays.errors import Problems
from overlays.model.result import Figure, Results
from overlays.model.run import Repeats, Run, RunRef
from overlays.model.session import Session
from overlays.numbers import counted
from overlays.progress import Progress, silent
from overlays.scoring.digits import settle_digits
from overlays.scoring.figures import FigureWork
from overlays.scoring.kept_runs import KeptRuns
from overlays.scoring.ledger import LedgerRow, read_ledger
from overlays.scoring.standings import season_standings
from overlays.session.paths import ledger_path

__all__ = ["results_of_runs", "season_ledger", "work_out"]


def work_out(session: Session, problems: Problems, progress: Progress = silent) -> Results:
    """Read and condition every used run, and work out figures, points and standings.

    Parameters
    ----------
    session : Session
        What is declared, and where the runs are.
    problems : Problems
        Receives what is wrong with logs, figures, rules and the ledger; what can still be worked
        out is.
    progress : Progress
        Told after each run.
    """
    runs = _read_runs(session, problems, progress)
    return results_of_runs(session, runs, problems)


def results_of_runs(session: Session, runs: tuple[Run, ...], problems: Problems) -> Results:
    """Work out figures, points and standings from conditioned runs.

    Parameters
    ----------
    session : Session
        What is declared.
    runs : tuple of Run
        The used runs, in any order.
    problems : Problems
        Receives what cannot be worked out.
    """
    work = FigureWork(session, problems)
    repeats = _repeats(session, runs, work)
    _warn_of_few(session, repeats, problems)
    unsettled: dict[tuple[str, str], Figure] = {
        (key, entry): work.of_entry(key, entry, repeats)
        for key in session.spec.figures
        for entry in session.spec.entries
    }
    figures = settle_digits(Results(session, repeats, unsettled, ()))
    ledger = season_ledger(session, problems)
    standings = season_standings(
        session, figures, ledger, problems, ledger_file=session.spec.episode.ledger or ""
    )
    return Results(session=session, repeats=repeats, figures=figures, standings=standings)


def season_ledger(session: Session, problems: Problems) -> tuple[LedgerRow, ...]:
    """Read the season's ledger, empty where none is declared or there is none yet."""
    file = session.spec.episode.ledger
    if file is None:
        return ()
    line = session.line("episode", "ledger")
    with problems.collecting(file="session.toml", line=line, field="episode.ledger"):
        path = ledger_path(session.folder, file)
        if not path.exists():
            problems.warn(
                "no-ledger-yet",
                f"there is no ledger {file!r}; the standings hold this session alone.",
                remedy="It is made when the first episode's results are recorded.",
                file="session.toml",
                line=line,
            )
            return ()
        return read_ledger(path, file=file)
    return ()


def _read_runs(session: Session, problems: Problems, progress: Progress) -> tuple[Run, ...]:
    used = [ref for ref in session.runs if ref.use]
    kept = KeptRuns()
    runs: list[Run] = []
    for done, ref in enumerate(used, start=1):
        with problems.collecting(file=ref.file):
            runs.append(_run(ref, session, kept))
        progress(done, len(used), "runs")
    kept.tidy()
    return tuple(runs)


def _run(ref: RunRef, session: Session, kept: KeptRuns) -> Run:
    key = kept.key(ref, session)
    found = kept.get(key, ref)
    if found is not None:
        return found
    # Readers and filters load NumPy's and SciPy's larger halves; runs that are kept need neither.
    from overlays.conditioning.run import condition
    from overlays.logs.reader import read_log

    log = read_log(ref.path, file=ref.file, pins=session.pins(ref.test))
    run = condition(log, ref, session)
    kept.put(key, run)
    return run


def _repeats(
    session: Session, runs: tuple[Run, ...], work: FigureWork
) -> dict[tuple[str, str], Repeats]:
    by_place: defaultdict[tuple[str, str], list[Run]] = defaultdict(list)
    for run in runs:
        by_place[run.ref.entry, run.ref.test].append(run)
    left_out: defaultdict[tuple[str, str], list[RunRef]] = defaultdict(list)
    for ref in session.runs:
        if not ref.use:
            left_out[ref.entry, ref.test].append(ref)
    repeats: dict[tuple[str, str], Repeats] = {}
    for entry in session.spec.entries:
        for key, test in session.spec.tests.items():
            found = sorted(by_place.get((entry, key), []), key=lambda run: run.ref.repeat)
            if not found:
                continue
            # A main figure that does not exist has been told as such; the first run stands in.
            known = session.spec.tests_of(test.main) == {key}
            mains = [work.of_run(test.main, run).value if known else None for run in found]
            median, remark = median_index(mains)
            repeats[entry, key] = Repeats(
                entry=entry,
                test=key,
                runs=tuple(found),
                left_out=tuple(left_out[entry, key]),
                median=median,
                remark=remark,
            )
    return repeats


def _warn_of_few(
    session: Session, repeats: dict[tuple[str, str], Repeats], problems: Problems
) -> None:
    if problems.errors:
        return  # a log that cannot be read has been told already
    for entry in session.spec.entries:
        for key, test in session.spec.tests.items():
            found = repeats.get((entry, key))
            n = len(found.runs) if found else 0
            if n < test.repeats:
                out = "; ".join(found.reasons()) if found else ""
                problems.warn(
                    "fewer-repeats",
                    f"{entry} has {n} of {counted(test.repeats, 'run')} of {key}"
                    f"{out and f' ({out})'}.",
                    remedy="Run it again, or plan fewer repeats.",
                    file="session.toml",
                    line=session.line("tests", key, "repeats"),
                )
