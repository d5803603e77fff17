"""A run by its name: entry, test and repeat, or its log."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePosixPath

from overlays.errors import SessionError
from overlays.model.run import RunRef
from overlays.session.validation import closest

__all__ = ["named_run", "run_name"]

_TOLD = 300


def run_name(ref: RunRef) -> str:
    """Return a run's name, as `named_run` reads it.

    Examples
    --------
    >>> from pathlib import Path
    >>> run_name(RunRef("alder", "cold", 2, Path("logs/a.csv"), "logs/a.csv"))
    'alder cold 2'
    """
    return f"{ref.entry} {ref.test} {ref.repeat}"


def named_run(written: str, runs: Sequence[RunRef]) -> RunRef:
    """Return the run that is meant by a name.

    Parameters
    ----------
    written : str
        ``"alder cold 2"`` (entry, test and repeat), or the run's log as the session names it, its
        folder and ending left out or not.
    runs : sequence of RunRef
        Every run of the session.

    Raises
    ------
    SessionError
        If no used run, or more than one, is meant.
    """
    name = " ".join(written.split())
    meant = [ref for ref in runs if name in _names(ref)]
    if not meant:
        near = closest(name, [run_name(ref) for ref in runs if ref.use][:_TOLD])
        raise SessionError(
            f"there is no run {written[:80]!r}.",
            code="unknown-run",
            remedy=f'{near} Write entry, test and repeat, like "alder cold 2", or name the log.',
        )
    if len(meant) > 1:
        listed = ", ".join(run_name(ref) for ref in meant[:6])
        raise SessionError(
            f"{written[:80]!r} may be any of: {listed}.",
            code="unclear-run",
            remedy="Write entry, test and repeat.",
        )
    if not meant[0].use:
        raise SessionError(
            f"the run {run_name(meant[0])!r} is left out.",
            code="run-left-out",
            remedy="Name a run that is used, or use it again (runs.csv: use).",
        )
    return meant[0]


def _names(ref: RunRef) -> tuple[str, ...]:
    path = PurePosixPath(ref.file)
    return run_name(ref), ref.file, path.name, path.stem
