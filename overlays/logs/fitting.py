"""Column names as the file cuts them → one for each cell of a row."""

from __future__ import annotations

import re
from collections.abc import Sequence

from overlays.errors import LogError
from overlays.logs.dialect import Shape
from overlays.logs.stamps import is_stamp
from overlays.numbers import counted

__all__ = ["fitted"]

_COMMENT = re.compile(r"(?:#+|%+|//+|;+|!+|')\s*(?=\S)")
_FRACTION = re.compile(r"\d{3}|\d{6}")


def fitted(
    names: list[str], rows: Sequence[list[str]], shape: Shape, *, text: str, line: int, file: str
) -> list[str]:
    """Bring the names to the number of cells of a row.

    Parameters
    ----------
    names : list of str
        Cells of the line of names; empty where the file has none.
    rows : sequence of list of str
        The first rows of data.
    shape : Shape
        How rows are cut.
    text : str
        The line of names as it stands.
    line, file
        For messages.

    Raises
    ------
    LogError
        If they do not fit.
    """
    names = _uncommented(names, shape)
    while len(names) > shape.cells and not names[-1]:
        names.pop()
    missing = shape.cells - len(names)
    if not names or missing == 0:
        return names or [""] * shape.cells
    row = rows[0]
    if missing > 0 and not any(cell for row in rows for cell in row[len(names) :]):
        return names + [""] * missing  # rows end in delimiters, the names do not
    if missing == 1 and names[0] and _is_numbered(rows):
        return ["", *names]  # the rows are numbered, and the number has no name
    if missing == 1 and shape.delimiter == " " and is_stamp(row[0]) and is_stamp(row[1]):
        return [names[0], f"{names[0]} (time of day)", *names[1:]]
    if missing < 0 and shape.delimiter == " ":
        for cut in (_by_wide_gaps(text), _with_brackets(names)):
            if len(cut) == shape.cells:
                return cut
    raise _misfit(names, rows, shape, line=line, file=file)


def _uncommented(names: list[str], shape: Shape) -> list[str]:
    """Take off the mark of a comment in front, which some writers put before the names."""
    if not names or not (match := _COMMENT.match(f"{names[0]} x")):
        return names
    if names[0] == match[0].strip():
        return names[1:] if len(names) == shape.cells + 1 else names
    return [names[0].removeprefix(match[0]).strip(), *names[1:]]


def _by_wide_gaps(text: str) -> list[str]:
    """Cut a line of names where two spaces or more stand: ``Time (s)    Force (N)``."""
    return [cell for cell in re.split(r"\s{2,}|\t", text.strip().lstrip("#%")) if cell]


def _with_brackets(names: Sequence[str]) -> list[str]:
    """Put units in brackets back to their names: ``Time (s) Force (N)``."""
    cells: list[str] = []
    for name in names:
        if cells and name[:1] in tuple("[({"):
            cells[-1] += f" {name}"
        else:
            cells.append(name)
    return cells


def _is_numbered(rows: Sequence[list[str]]) -> bool:
    """Say whether the first cells count from 0 or from 1."""
    firsts = [row[0] for row in rows]
    return len(firsts) > 1 and firsts in (
        [str(i) for i in range(len(firsts))],
        [str(i + 1) for i in range(len(firsts))],
    )


def _misfit(
    names: Sequence[str], rows: Sequence[list[str]], shape: Shape, *, line: int, file: str
) -> LogError:
    torn = shape.delimiter == "," and (
        shape.cells == 2 * len(names)
        or any(
            is_stamp(a) and ":" in a and all(_FRACTION.fullmatch(row[j + 1]) for row in rows)
            for j, a in enumerate(rows[0][:-1])
        )
    )
    hint = (
        "The comma seems to be both delimiter and decimal mark: export with another delimiter. "
        if torn
        else ""
    )
    there = f"there {'are' if len(names) != 1 else 'is'} {counted(len(names), 'column name')}"
    return LogError(
        f"the rows have {counted(shape.cells, 'cell')}, but {there}.",
        code="names-do-not-fit",
        remedy=f"{hint}Give every column a name, or say which line has the names with "
        "header_line under [reading] in session.toml.",
        file=file,
        line=line,
    )
