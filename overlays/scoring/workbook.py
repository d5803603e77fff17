"""Tables → a spreadsheet file (Office Open XML, ISO/IEC 29500)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from overlays.errors import WorkError
from overlays.files import written_whole
from overlays.scoring.layout import Table

__all__ = ["write_workbook"]

_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_LONGEST_NAME = 31
# A spreadsheet does not take these in the name of a sheet.
_FORBIDDEN = re.compile(r"[\[\]:*?/\\]")


def write_workbook(target: Path, sheets: Mapping[str, Table]) -> None:
    """Write tables as sheets of a workbook: numbers as numbers with the decimals shown.

    Text is stored as text, so that a name beginning with ``=`` stays a name.

    Parameters
    ----------
    target : Path
        Ending in ``.xlsx``.
    sheets : Mapping[str, Table]
        By the sheet's name; numbers with a point as decimal mark.

    Raises
    ------
    WorkError
        If the file's name has another ending, or it cannot be written.
    """
    if target.suffix.casefold() != ".xlsx":
        raise WorkError(
            f"found {target.name!r}; expected a file ending in .xlsx.",
            code="bad-workbook-name",
            remedy="Name it like standings.xlsx.",
        )
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for name, table in sheets.items():
        sheet = book.create_sheet(_FORBIDDEN.sub(" ", name)[:_LONGEST_NAME])
        sheet.append([*table.columns])
        for line, row in enumerate(table.rows, start=2):
            for place, (text, numeric) in enumerate(zip(row, table.numeric, strict=True), start=1):
                _fill(sheet.cell(line, place), text, numeric=numeric)
        sheet.freeze_panes = "A2"
    with written_whole(target) as part:
        book.save(part)


def _fill(cell: object, text: str, *, numeric: bool) -> None:
    if numeric and _NUMBER.fullmatch(text):
        places = len(text.partition(".")[2])
        cell.value = float(text) if places else int(text)  # type: ignore[attr-defined]  # openpyxl has no stubs
        cell.number_format = "0." + "0" * places if places else "0"  # type: ignore[attr-defined]  # the same
        return
    cell.value = text  # type: ignore[attr-defined]  # the same
    cell.data_type = "s"  # type: ignore[attr-defined]  # else "=…" would be a formula
