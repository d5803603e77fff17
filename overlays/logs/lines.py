"""One line of a delimited log → its cells."""

from __future__ import annotations

import csv

__all__ = ["join_quoted", "split"]

_MOST_TORN = 5  # lines of one row

_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"


def split(line: str, delimiter: str) -> list[str]:
    """Split a line into stripped cells, minding quotes.

    Parameters
    ----------
    line : str
        Without its end.
    delimiter : str
        One character; a space stands for any run of spaces and tabs.

    Returns
    -------
    list of str
        Quotes that do not match up are taken as they are.
    """
    if _MARK in line:  # files put behind each other leave their byte-order marks inside
        line = line.replace(_MARK, "")
    if '"' in line and line.count('"') % 2 == 0:
        try:
            rows = list(csv.reader([line.strip()], delimiter=delimiter, skipinitialspace=True))
        except csv.Error:  # a cell of more than 131072 characters
            rows = []
        if len(rows) == 1:
            cells = [cell.strip() for cell in rows[0]]
            return [cell for cell in cells if cell] if delimiter == " " else cells
    return line.split() if delimiter == " " else [cell.strip() for cell in line.split(delimiter)]


def join_quoted(lines: list[str]) -> list[str]:
    """Join lines that a line end inside quotes has torn apart; the rest of them become empty.

    The count of lines stays, so that line numbers hold.
    """
    result = list(lines)
    for i, line in enumerate(result):
        if line.count('"') % 2 == 0:
            continue
        for k in range(i + 1, min(i + _MOST_TORN, len(result))):
            if result[k].count('"') % 2:
                result[i] = " ".join(result[i : k + 1])
                result[i + 1 : k + 1] = [""] * (k - i)
                break
    return result
