"""A table of text → lines for a terminal, CSV, Markdown."""

from __future__ import annotations

import csv
import io
import unicodedata
from dataclasses import dataclass
from typing import Literal

__all__ = ["Table", "TextFormat", "render"]

TextFormat = Literal["table", "csv", "md"]


@dataclass(frozen=True, slots=True)
class Table:
    """Cells as text, by rows.

    Parameters
    ----------
    columns : tuple of str
        Their headings.
    numeric : tuple of bool
        Which columns are set flush right.
    rows : tuple of tuple of str
        As many cells as columns.
    """

    columns: tuple[str, ...]
    numeric: tuple[bool, ...]
    rows: tuple[tuple[str, ...], ...]


def render(table: Table, how: TextFormat) -> str:
    r"""Return a table as text that ends with a line end.

    Parameters
    ----------
    table : Table
        What to write.
    how : {"table", "csv", "md"}
        Aligned by spaces, comma-separated (RFC 4180, with ``\\n``), or Markdown.
    """
    return {"table": _aligned, "csv": _csv, "md": _markdown}[how](table)


def _width(text: str) -> int:
    """Return the columns a text takes on a terminal: wide letters take two, marks none."""
    return sum(
        0 if unicodedata.combining(sign) else 1 + (unicodedata.east_asian_width(sign) in "WF")
        for sign in text
    )


def _aligned(table: Table) -> str:
    lines = (table.columns, *table.rows)
    widths = [max(_width(line[place]) for line in lines) for place in range(len(table.columns))]

    def line_of(cells: tuple[str, ...]) -> str:
        parts = []
        for cell, width, right in zip(cells, widths, table.numeric, strict=True):
            room = " " * (width - _width(cell))
            parts.append(room + cell if right else cell + room)
        return "  ".join(parts).rstrip()

    rule = "  ".join("-" * width for width in widths)
    return "\n".join([line_of(table.columns), rule, *map(line_of, table.rows)]) + "\n"


def _csv(table: Table) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(_harmless, table.columns))
    for row in table.rows:
        writer.writerow(
            cell if number else _harmless(cell)
            for cell, number in zip(row, table.numeric, strict=True)
        )
    return text.getvalue()


def _harmless(cell: str) -> str:
    """Keep a spreadsheet from taking text for a formula (OWASP, "CSV Injection")."""
    return f"'{cell}" if cell[:1] in {"=", "+", "-", "@", "\t", "\r"} else cell


def _markdown(table: Table) -> str:
    def line_of(cells: tuple[str, ...]) -> str:
        escaped = (cell.replace("\\", "\\\\").replace("|", "\\|") for cell in cells)
        return f"| {' | '.join(escaped)} |"

    rule = line_of(tuple("--:" if right else "---" for right in table.numeric))
    return "\n".join([line_of(table.columns), rule, *map(line_of, table.rows)]) + "\n"
