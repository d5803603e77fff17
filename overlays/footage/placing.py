"""A run of a session, looked for in a camera file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from overlays.errors import FootageError
from overlays.footage.by_clap import claps
from overlays.footage.by_flash import flashes
from overlays.footage.by_sound import find_by_sound
from overlays.footage.clock import FootageClock, read_clock
from overlays.footage.events import found_by_event
from overlays.footage.found import By, Found
from overlays.footage.hearing import hear
from overlays.footage.shape import Shape, shape_of
from overlays.model.result import Results
from overlays.model.run import Run
from overlays.progress import Progress, silent
from overlays.session.run_names import named_run, run_name

__all__ = ["Placed", "place_run"]

_MOST_OTHERS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Where a run was found in a camera file.

    Parameters
    ----------
    run : str
        The run's name: entry, test, repeat.
    footage : Path
        The camera file.
    clock : FootageClock
        Its clock.
    found : Found
        The place.
    """

    run: str
    footage: Path
    clock: FootageClock
    found: Found


def place_run(
    results: Results,
    written: str,
    footage: Path,
    *,
    by: By = "sound",
    at_s: float = 0.0,
    progress: Progress = silent,
) -> Placed:
    """Find where a run's zero lies in a camera file.

    Parameters
    ----------
    results : Results
        The session's runs.
    written : str
        Which run, as `overlays.session.run_names.named_run` reads it.
    footage : Path
        The camera file.
    by : {"sound", "flash", "clap"}
        What to look for.
    at_s : float
        The run's time at the flash or clap.
    progress : Progress
        Told how far the file is read.

    Raises
    ------
    SessionError
        If there is no such run.
    FootageError
        If the camera file cannot be read, or lacks the sound or picture that is asked for.
    """
    run = _run(results, written)
    clock = read_clock(footage)
    look: dict[By, Callable[[], Found]] = {
        "sound": lambda: find_by_sound(
            hear(footage, clock, progress=progress),
            _shape(results, run),
            others=_others(results, run),
            progress=progress,
        ),
        "flash": lambda: found_by_event(
            "flash", flashes(footage, clock, progress=progress), at_s=at_s
        ),
        "clap": lambda: found_by_event("clap", claps(footage, clock, progress=progress), at_s=at_s),
    }
    return Placed(run_name(run.ref), footage, clock, look[by]())


def _run(results: Results, written: str) -> Run:
    ref = named_run(written, results.session.runs)
    repeats = results.repeats.get((ref.entry, ref.test))
    for run in repeats.runs if repeats is not None else ():
        if run.ref == ref:
            return run
    raise FootageError(
        f"the log of the run {run_name(ref)!r} cannot be read.",
        code="unknown-run",
        file=ref.file,
        remedy="See what check says of it.",
    )


def _shape(results: Results, run: Run) -> Shape | None:
    test = results.session.spec.tests[run.ref.test]
    return shape_of(run.traces[test.heard or test.channels[0]], test.length.to("s"))


def _others(results: Results, run: Run) -> dict[str, Shape | None]:
    runs = [
        other for repeats in results.repeats.values() for other in repeats.runs if other is not run
    ]
    # Runs of the same test are the likeliest to be mistaken for this one.
    runs.sort(key=lambda other: other.ref.test != run.ref.test)
    return {run_name(other.ref): _shape(results, other) for other in runs[:_MOST_OTHERS]}
