"""Runs of a test, and the repeats of one entry on one test."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from overlays.model.trace import Note, Trace

__all__ = ["Repeats", "Run", "RunRef"]


@dataclass(frozen=True, slots=True)
class RunRef:
    """Where one run was logged.

    Parameters
    ----------
    entry, test : str
        Their keys in the session.
    repeat : int
        Number of the repeat, from 1.
    path : Path
        The logger's file.
    file : str
        The same as the user knows it, relative to the session.
    note : str
        The bench's remark.
    use : bool
        False where the user left the run out; `note` then says why.
    line : int or None
        Line in runs.csv, None where a file-name pattern found the run.
    """

    entry: str
    test: str
    repeat: int
    path: Path
    file: str
    note: str = ""
    use: bool = True
    line: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """One conditioned run.

    Parameters
    ----------
    ref : RunRef
        Where it was logged.
    traces : Mapping[str, Trace]
        By channel, time 0 at the trigger.
    notes : tuple of Note
        The reading note of its log.
    """

    ref: RunRef
    traces: Mapping[str, Trace]
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Repeats:
    """All used runs of one entry on one test, and which of them is shown.

    Parameters
    ----------
    entry, test : str
        Their keys in the session.
    runs : tuple of Run
        In the order of their repeat numbers, used ones only.
    left_out : tuple of RunRef
        Runs the user left out, with their reasons.
    median : int
        Index into `runs` of the median run by the test's main figure; with an even count the
        lower-middle one.
    remark : str
        Said beside the median where it needs saying, such as ``"lower middle of 2"``; else empty.
    """

    entry: str
    test: str
    runs: tuple[Run, ...]
    left_out: tuple[RunRef, ...]
    median: int
    remark: str = ""

    @property
    def median_run(self) -> Run:
        """The run that is shown."""
        return self.runs[self.median]

    def reasons(self) -> tuple[str, ...]:
        """Say of every run left out why: ``run 3 left out: lever slipped``."""
        return tuple(
            f"run {ref.repeat} left out: {ref.note.rstrip('. ') or 'no reason given'}"
            for ref in self.left_out
        )
