"""Spreadsheets (.xlsx, ISO/IEC 29500): the sheet with the samples, by openpyxl."""

from __future__ import annotations

import datetime as dt
import warnings
import zipfile
from collections.abc import Iterable
from itertools import islice
from pathlib import Path
from typing import Any

from overlays.errors import LogError, TracereelError
from overlays.logs.delimited import read_cells
from overlays.logs.dialect import is_value
from overlays.logs.notes import NoteBook
from overlays.logs.source import TextLines
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

__all__ = ["read_spreadsheet"]

_LARGEST = 1 << 30
_LOOKED_AT = 60
_UNSAFE = str.maketrans({"\t": " ", "\n": " ", "\r": " ", '"': "'", "\0": " "})


def read_spreadsheet(path: Path, *, file: str, pins: ReadingPins) -> Log:
    """Read a spreadsheet's sheet of samples.

    Formulas count by the values that were stored with them.

    Raises
    ------
    LogError
        If the file is damaged, unpacks to more than 1 GiB, or several sheets could be meant.
    """
    try:
        _check(path, file)
        return _read(path, file, pins)
    except (TracereelError, OSError):
        raise
    except Exception as error:  # openpyxl lets through whatever a damaged part makes it stumble on
        raise LogError(
            f"the spreadsheet is damaged: {type(error).__name__}: {str(error)[:120]}.",
            code="damaged-log",
            remedy="Open it, and save it anew or as delimited text.",
            file=file,
        ) from error


def _check(path: Path, file: str) -> None:
    """Refuse what is no workbook, and what would fill the memory."""
    with zipfile.ZipFile(path) as packed:
        unpacked = sum(part.file_size for part in packed.infolist())
        names = packed.namelist()
    if "xl/workbook.xml" not in names:
        raise _not_a_workbook(file)
    if unpacked > _LARGEST:
        raise LogError(
            f"the spreadsheet unpacks to {unpacked / 1e9:.1f} GB.",
            code="log-too-large",
            remedy="Export the sheet as delimited text.",
            file=file,
        )


def _read(path: Path, file: str, pins: ReadingPins) -> Log:
    import openpyxl

    notes = NoteBook()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl warns of styles and extensions it leaves out
        book = openpyxl.load_workbook(path, read_only=True, data_only=True, keep_links=False)
        try:
            sheet = _sheet(book, pins, notes, file)
            lines = TextLines(file, tuple(_lines(sheet.iter_rows(values_only=True))))
        finally:
            book.close()
    return read_cells(lines, pins, notes, layout="spreadsheet")


def _sheet(book: Any, pins: ReadingPins, notes: NoteBook, file: str) -> Any:  # noqa: ANN401 (openpyxl has no types)
    """Choose the sheet: the pinned one, or the only one with rows of numbers."""
    sheets = {sheet.title: sheet for sheet in book.worksheets}
    if pins.sheet is not None:
        if pins.sheet in sheets:
            return sheets[pins.sheet]
        raise LogError(
            f"there is no sheet {pins.sheet!r}; the file has {', '.join(map(repr, sheets))}.",
            code="no-such-sheet",
            remedy="Correct sheet under [reading] in session.toml.",
            file=file,
        )
    full = [
        title
        for title, sheet in sheets.items()
        if any(_is_row(line) for line in _lines(_first(sheet)))
    ]
    if len(full) > 1:
        raise LogError(
            f"several sheets hold rows of numbers: {', '.join(map(repr, full))}.",
            code="unclear-sheet",
            remedy='Say which is meant with sheet = "…" under [reading] in session.toml.',
            file=file,
        )
    title = full[0] if full else next(iter(sheets), None)
    if title is None:
        raise _not_a_workbook(file)
    notes.say(f"sheet {title!r}")
    return sheets[title]


def _is_row(line: str) -> bool:
    there = [cell for cell in line.split("\t") if cell]
    return len(there) > 1 and all(map(is_value, there))


def _first(sheet: Any) -> Iterable[tuple[Any, ...]]:  # noqa: ANN401 (openpyxl has no types)
    return islice(sheet.iter_rows(values_only=True), _LOOKED_AT)


def _lines(rows: Iterable[tuple[Any, ...]]) -> Iterable[str]:
    """Write rows down as lines of equal length, without the empty cells to the right of all."""
    texts = [[_text(cell) for cell in row] for row in rows]
    width = max((i for row in texts for i, cell in enumerate(row, 1) if cell), default=0)
    return ("\t".join([*row[:width], *[""] * (width - len(row))]) for row in texts)


def _text(cell: object) -> str:
    match cell:
        case None:
            text = ""
        case bool():
            text = str(cell).upper()
        case float() | int():
            text = repr(cell)
        case dt.datetime():
            # Stored as days in binary: what is finer than a tenth of a millisecond is dust.
            micros = round(cell.microsecond, -2)
            whole = cell.replace(microsecond=0) + dt.timedelta(microseconds=micros)
            text = whole.isoformat(sep=" ")
        case dt.time() | dt.date():
            text = cell.isoformat()
        case dt.timedelta():
            micros = cell // dt.timedelta(microseconds=1)
            minutes, rest = divmod(micros, 60_000_000)
            text = f"{minutes // 60}:{minutes % 60:02d}:{rest // 10**6:02d}.{rest % 10**6:06d}"
        case _:
            text = str(cell).translate(_UNSAFE).strip()
    return text


def _not_a_workbook(file: str) -> LogError:
    return LogError(
        "this is a packed file, but not a spreadsheet (.xlsx).",
        code="unknown-layout",
        remedy="Unpack it, or save the spreadsheet as .xlsx or delimited text.",
        file=file,
    )
