"""What a folder of logs holds: which run each file is, and which quantities were logged.

Which run a file is can only be guessed from its name, so the guess is simple and is written down in
runs.csv, where it is put right in a minute: ``alder_cold_2.csv`` is the second run of the test
``cold`` of the entry ``alder``.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from overlays.errors import Problems, SessionError
from overlays.logs.reader import read_log
from overlays.progress import Progress, silent

__all__ = ["FoundChannel", "FoundRun", "found_runs", "key_from_words"]

_MOST_FILES = 2000
_ONLY_TEST = "run"
_REPEAT = re.compile(r"(?:run|rep|repeat|r|no)?\.?0*(\d{1,3})", re.IGNORECASE)
_LONGEST_KEY = 31  # leaves room for a number, and for what a figure's key adds


@dataclass(frozen=True, slots=True)
class FoundChannel:
    """A column of a log, and the unit that the log gives it, None where it gives none."""

    column: str
    unit: str | None


@dataclass(frozen=True, slots=True)
class FoundRun:
    """A log, and the run that its name says it is.

    Parameters
    ----------
    path : Path
        The file.
    entry, test : str
        As the name has them.
    repeat : int
        Which repeat, from 1.
    seconds : float
        How long it is.
    channels : tuple of FoundChannel
        What was logged, in the order of its columns.
    """

    path: Path
    entry: str
    test: str
    repeat: int
    seconds: float
    channels: tuple[FoundChannel, ...]


def key_from_words(words: str, *, taken: Iterable[str] = ()) -> str:
    """Make a key for session.toml from any words: plain letters and digits, not yet taken.

    Examples
    --------
    >>> key_from_words("Motor temp."), key_from_words("3rd"), key_from_words("a", taken=["a"])
    ('motor_temp', 'x_3rd', 'a_2')
    """
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
    key = "_".join(re.findall(r"[a-z0-9]+", plain.lower())) or "x"
    key = (key if key[0].isalpha() else f"x_{key}")[:_LONGEST_KEY].rstrip("_")
    used, made, number = set(taken), key, 1
    while made in used:
        number += 1
        made = f"{key}_{number}"
    return made


def found_runs(
    folder: Path, problems: Problems, *, progress: Progress = silent
) -> tuple[FoundRun, ...]:
    """Read every log of a folder, sub-folders left out.

    Parameters
    ----------
    folder : Path
        The folder.
    problems : Problems
        Receives a warning for each file that is no log, or that cannot be read as it is.
    progress : Progress
        Told after each file.

    Raises
    ------
    SessionError
        If it is no folder, or holds no log.
    """
    if not folder.is_dir():
        raise SessionError(
            f"there is no folder {str(folder)!r}.",
            code="no-logs-folder",
            field="from",
            remedy="Name the folder in which the logger's files lie.",
        )
    files = sorted(
        file for file in folder.iterdir() if file.is_file() and not file.name.startswith(".")
    )[:_MOST_FILES]
    runs: list[FoundRun] = []
    for done, file in enumerate(files, start=1):
        trial = Problems()
        with trial.collecting(file=file.name):
            runs.append(_run(file, runs))
        for problem in trial.found:
            problems.warn(
                "log-left-out",
                f"left out: {problem.message}",
                remedy=problem.remedy,
                file=file.name,
                line=problem.line,
            )
        progress(done, len(files), "logs")
    if not runs:
        raise SessionError(
            f"no file in {str(folder)!r} can be read as a log.",
            code="no-logs",
            field="from",
            remedy="'log FILE' tells what the reader makes of one file.",
        )
    return tuple(runs)


def _run(file: Path, before: Iterable[FoundRun]) -> FoundRun:
    log = read_log(file, file=file.name)
    entry, test, repeat = _named(file.stem)
    used = {run.repeat for run in before if (run.entry, run.test) == (entry, test)}
    while repeat in used:
        repeat += 1
    channels = tuple(FoundChannel(column.name, column.unit) for column in log.columns)
    return FoundRun(file, entry, test, repeat, float(log.time_s[-1] - log.time_s[0]), channels)


def _named(stem: str) -> tuple[str, str, int]:
    """Take a file's name apart: entry, test, repeat."""
    words = [word for word in re.split(r"[\s_\-]+", stem) if word] or [stem]
    repeat = 1
    if len(words) > 1 and (match := _REPEAT.fullmatch(words[-1])):
        repeat = max(1, int(match[1]))
        words.pop()
    entry, *test = words
    return entry, " ".join(test) or _ONLY_TEST, repeat
