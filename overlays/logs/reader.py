"""Reads a log, whatever its layout: the content tells, not the name."""

from __future__ import annotations

from pathlib import Path

from overlays.errors import LogError
from overlays.logs.delimited import read_delimited
from overlays.logs.source import HEAD, cannot_read
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
    pins = pins or ReadingPins()
    try:
        if path.exists() and not path.is_file():
            raise LogError(
                "this is not a file.",
                code="log-not-readable",
                remedy="Name a logger's file.",
                file=file,
            )
        with path.open("rb") as stream:
            head = stream.read(HEAD)
        if not head:
            raise LogError(
                "the file is empty.",
                code="empty-log",
                remedy="Copy it from the logger again, or leave the run out.",
                file=file,
            )
        return read_delimited(path, file=file, head=head, pins=pins)
    except OSError as error:
        raise cannot_read(file, error) from error
