"""Reads a log, whatever its layout: the content tells, not the name."""

from __future__ import annotations

from pathlib import Path

from overlays.errors import LogError
from overlays.logs.delimited import read_delimited
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

__all__ = ["read_log"]


def read_log(path: Path, *, file: str, pins: ReadingPins | None = None) -> Log:
    """Read one logger's file.

    Parameters
    ----------
    path : Path
        The file; it is only read.
    file : str
        Its name as the user knows it, for messages.
    pins : ReadingPins, optional
        What is known about the file and need not be found out.

    Raises
    ------
    LogError
        If the file cannot be read, holds no samples, or can be read in two ways that give
        different numbers; the message then says which pin decides.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise LogError(
            f"the log cannot be opened: {error.strerror}.",
            code="log-not-readable",
            remedy="Check the name in runs.csv and the rights of the file.",
            file=file,
        ) from error
    if not data:
        raise LogError(
            "the file is empty.",
            code="empty-log",
            remedy="Copy it from the logger again, or leave the run out.",
            file=file,
        )
    return read_delimited(data, file=file, pins=pins or ReadingPins())
