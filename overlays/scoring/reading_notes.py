"""The reading notes of a session's logs, told in few lines."""

from __future__ import annotations

from collections.abc import Iterator

from overlays.model.result import Results
from overlays.model.run import Run

__all__ = ["reading_lines"]


def reading_lines(results: Results) -> tuple[str, ...]:
    """Return what was assumed and left out when the logs were read.

    Parameters
    ----------
    results : Results
        Of the session; the notes are those of its used runs.

    Returns
    -------
    tuple of str
        By test: a line of what holds for all its logs, then one for each log (or logs alike) of
        which something else has to be said. Nothing of a log's note is lost.
    """
    lines: list[str] = []
    for test in results.session.spec.tests:
        places = (results.repeats.get((entry, test)) for entry in results.session.spec.entries)
        lines += _of_test(test, [run for place in places if place for run in place.runs])
    return tuple(lines)


def _of_test(test: str, runs: list[Run]) -> Iterator[str]:
    if not runs:
        return
    said = {run.ref.file: tuple(note.words for note in run.notes) for run in runs}
    common = [
        phrase for phrase in next(iter(said.values())) if all(phrase in p for p in said.values())
    ]
    count = "the only log" if len(said) == 1 else f"all {len(said)} logs"
    if common:
        yield f"{test}, {count}: {'; '.join(common)}."
    own: dict[tuple[str, ...], list[str]] = {}
    for file, phrases in said.items():
        rest = tuple(phrase for phrase in phrases if phrase not in common)
        if rest:
            own.setdefault(rest, []).append(file)
    for rest, files in own.items():
        yield f"{test}, {', '.join(files)}: {'; '.join(rest)}."
