"""Spreadsheets (.xlsx, ISO/IEC 29500): the sheet with the samples, by openpyxl."""

from __future__ import annotations

import datetime as dt
import warnings
import zipfile
from collections.abc import Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from overlays.errors import LogError, TracereelError
from overlays.files import size_text
from overlays.logs.delimited import read_cells
from overlays.logs.dialect import is_value
from overlays.logs.notes import NoteBook
from overlays.logs.source import TextLines
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

__all__ = ["LARGEST_UNPACKED", "MOST_CELLS", "MOST_RATIO", "read_spreadsheet"]

# What a file of a few kilobytes may not become: bytes unpacked, how many times its size, parts,
# rows (what the format itself knows), and cells with the empty ones between them.
LARGEST_UNPACKED, MOST_RATIO, _MOST_PARTS = 400_000_000, 100, 5000
MOST_CELLS, _MOST_ROWS, _MOST_EMPTY = 10_000_000, 1_048_576, 10_000
_SMALL = 10_000_000  # unpacked bytes that may be packed as densely as they like
_LOOKED_AT = 60
_UNSAFE = str.maketrans({"\t": " ", "\n": " ", "\r": " ", '"': "'", "\0": " "})


def read_spreadsheet(path: Path, *, file: str, pins: ReadingPins) -> Log:
    """Read a spreadsheet's sheet of samples.

    Formulas count by the values that were stored with them.

    Raises
    ------
    LogError
        If the file is damaged, unpacks to more than `LARGEST_UNPACKED` bytes, has more than
        `MOST_CELLS` cells, or several sheets could be meant.
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
        parts = packed.infolist()
    # zipfile unpacks no more of a part than is declared here.
    unpacked = sum(part.file_size for part in parts)
    dense = unpacked > max(_SMALL, MOST_RATIO * path.stat().st_size)
    if "xl/workbook.xml" not in {part.filename for part in parts}:
        raise _not_a_workbook(file)
    if unpacked > LARGEST_UNPACKED or dense or len(parts) > _MOST_PARTS:
        raise _too_large(f"unpacks to {size_text(unpacked)} in {len(parts)} parts", file)


def _too_large(what: str, file: str) -> LogError:
    return LogError(
        f"the spreadsheet {what}.",
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
            lines = TextLines(file, tuple(_lines(_rows(sheet), file)))
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
        if any(_is_row(line) for line in _lines(islice(_rows(sheet), _LOOKED_AT), file))
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


def _rows(sheet: Any) -> Iterator[tuple[Any, ...]]:  # noqa: ANN401 (openpyxl has no types)
    # Some loggers declare a sheet smaller than it is, and a stranger one of any size.
    sheet.reset_dimensions()
    return iter(sheet.iter_rows(values_only=True))


def _lines(rows: Iterable[tuple[Any, ...]], file: str) -> Iterator[str]:
    """Write rows down as lines of equal length, without the empty cells to the right of all."""
    texts: list[str] = []
    widths: list[int] = []
    cells = empty = 0
    for row in rows:
        cells, empty = cells + len(row), empty + (not row)
        if cells > MOST_CELLS or len(texts) >= _MOST_ROWS:
            raise _too_large(f"has more than {MOST_CELLS} cells, or {_MOST_ROWS} rows", file)
        if empty > _MOST_EMPTY:
            raise _too_large(f"has more than {_MOST_EMPTY} rows without a cell", file)
        written = [_text(cell) for cell in row]
        widths.append(max((i for i, cell in enumerate(written, 1) if cell), default=0))
        texts.append("\t".join(written[: widths[-1]]))
    width = max(widths, default=0)
    if width * len(texts) > MOST_CELLS:
        raise _too_large(f"has {width * len(texts)} cells", file)
    return (text + "\t" * (width - max(1, own)) for text, own in zip(texts, widths, strict=True))


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
