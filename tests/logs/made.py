"""Makes a log of given text, and reads it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from overlays.logs.reader import read_log
from overlays.logs.report import log_report
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

__all__ = ["notes_of", "read_bytes", "read_text", "samples_of"]


def read_bytes(folder: Path, data: bytes, **pins: Any) -> Log:
    """Write bytes into a file and read it."""
    path = folder / "log.csv"
    path.write_bytes(data)
    return read_log(path, file="log.csv", pins=ReadingPins.model_validate(pins))


def read_text(folder: Path, text: str, encoding: str = "utf-8", **pins: Any) -> Log:
    """Write text into a file and read it."""
    return read_bytes(folder, text.encode(encoding), **pins)


def samples_of(log: Log) -> dict[str, list[float | None]]:
    """Return all samples by column, gaps as None, as ``log --samples`` gives them."""
    found: dict[str, list[float | None]] = log_report(log, samples=True)["samples"]
    return found


def notes_of(log: Log) -> str:
    """Return the reading note as one text."""
    return "\n".join(f"{note.line}: {note.message}" for note in log.notes)
