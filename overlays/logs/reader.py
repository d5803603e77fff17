"""Reads a log, whatever its layout: the content tells, not the name."""

from __future__ import annotations

from pathlib import Path

from overlays.errors import LogError
from overlays.logs.delimited import read_delimited
from overlays.logs.mdf import read_mdf
from overlays.logs.parquet import read_parquet
from overlays.logs.source import HEAD, cannot_read
from overlays.logs.spreadsheet import read_spreadsheet
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

__all__ = ["read_log"]

_OTHERS = {
    b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1": "a spreadsheet of the old binary kind (.xls)",
    b"\x1f\x8b": "a file packed with gzip",
    b"BZh": "a file packed with bzip2",
    b"\xfd7zXZ\x00": "a file packed with xz",
    b"7z\xbc\xaf\x27\x1c": "a file packed with 7-Zip",
    b"Rar!": "a RAR archive",
    b"\x89PNG": "a picture (PNG)",
    b"\xff\xd8\xff": "a picture (JPEG)",
    b"%PDF-": "a PDF document",
    b"\x89HDF\r\n": "an HDF5 file",
}


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
        return _read(path, file, head, pins)
    except OSError as error:
        raise cannot_read(file, error) from error


def _read(path: Path, file: str, head: bytes, pins: ReadingPins) -> Log:
    """Choose the reader by the first bytes."""
    if head.startswith(b"PK\x03\x04"):
        return read_spreadsheet(path, file=file, pins=pins)
    if head.startswith(b"PAR1"):
        return read_parquet(path, file=file, pins=pins)
    if head.startswith((b"MDF     ", b"UnFinMF ")):
        return read_mdf(path, file=file, pins=pins)
    for magic, what in _OTHERS.items():
        if head.startswith(magic):
            raise LogError(
                f"this is {what}, not a log that can be read.",
                code="unknown-layout",
                remedy="Unpack it or export it as delimited text, .xlsx, Parquet or MDF 4.",
                file=file,
            )
    return read_delimited(path, file=file, head=head, pins=pins)
