"""Rows of a block, line by line, and what is wrong with each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from overlays.logs.cells import number
from overlays.logs.lines import split
from overlays.logs.measures import without_unit
from overlays.logs.rowplan import Event, Part, RowPlan
from overlays.logs.stamps import parse_stamps
from overlays.numbers import counted

__all__ = ["by_line", "cell_value", "row_cells"]

_DIGITS = frozenset("0123456789+-.")


def by_line(block: bytes, plan: RowPlan) -> Part:
    """Parse a block line by line, and say what is wrong with each."""
    text = block.decode("utf-8", "replace")
    lines = text.removesuffix("\n").split("\n")
    values: list[list[float]] = [[] for _ in plan.numbers]
    texts: list[list[str]] = [[] for _ in plan.stamps]
    kept: list[int] = []
    part = Part([], [], None, len(lines), len(block))
    for i, line in enumerate(lines):
        cells = row_cells(line, i, len(kept), plan, part)
        if cells is None:
            continue
        for column, j in zip(values, plan.numbers, strict=True):
            column.append(cell_value(cells[j], i, j, plan, part))
        for column_text, j in zip(texts, plan.stamps, strict=True):
            column_text.append(cells[j])
        kept.append(i)
    part.numbers = [np.array(column, dtype=np.float64) for column in values]
    part.stamps = [parse_stamps(column) for column in texts]
    part.lines = np.array(kept, dtype=np.int64)
    _drop_timeless(part, plan, lines)
    part.events.sort(key=lambda event: event.line)
    return part


def row_cells(line: str, i: int, row: int, plan: RowPlan, part: Part) -> list[str] | None:
    """Cut a line into the cells of a row; None, and an event, if it is no row."""
    if "\0" in line:
        part.events.append(Event("lines with NUL bytes", i, "holds NUL bytes; left out"))
        return None
    cells = split(line.strip("\r\n"), plan.delimiter)
    extra = 0
    while len(cells) > plan.cells and not cells[-1]:
        cells.pop()
        extra += 1
    if plan.required is not None and len(cells) == plan.cells:
        lead = cells[plan.required]
        if lead[:1] in _DIGITS and lead and not lead[-1].isalpha():
            _tell_extra(extra, i, part)
            return cells  # the usual row, told at a glance
    if not any(cells) or _is_header(cells, i, row, plan, part):
        return None
    if len(cells) == plan.cells:
        _tell_extra(extra, i, part)
        return cells
    few = "short" if len(cells) < plan.cells else "long"
    message = f"{_excerpt(line)} has {_of(len(cells), plan.cells)}; left out"
    part.events.append(Event(f"{few} lines", i, message))
    return None


def _tell_extra(extra: int, i: int, part: Part) -> None:
    """Say that a row ends in more delimiters than the others; what they part is empty."""
    if extra:
        many = "a delimiter" if extra == 1 else f"{extra} delimiters"
        message = f"ends in {many} more than the other rows; what stands behind is empty"
        part.events.append(Event("lines that end in more delimiters", i, message))


def _is_header(cells: list[str], i: int, row: int, plan: RowPlan, part: Part) -> bool:
    """Say whether a line is a header come again, the same or another one."""
    if _is_repeat(cells, plan):
        if _alike(cells[: len(plan.names)], plan.names):
            part.events.append(Event("repeated headers", i, "repeats the header; left out"))
            part.breaks.append(row)
        return True
    names = {cell.casefold() for cell in plan.names if cell}
    known = sum(cell.casefold() in names for cell in set(cells) if cell)
    if known >= 2 and known * 2 >= len([cell for cell in cells if cell]):
        part.events.append(Event("changed headers", i, ", ".join(cells)[:80]))
        return True
    return False


def _of(count: int, cells: int) -> str:
    return f"{count} of {counted(cells, 'cell')}"


def _excerpt(line: str) -> str:
    text = " ".join(line.split())
    return repr(text if len(text) <= 40 else f"{text[:39]}…")


def _is_repeat(cells: list[str], plan: RowPlan) -> bool:
    there = tuple(cells)
    while there and not there[-1]:
        there = there[:-1]
    return any(
        _alike(there, known[: len(there)]) and not any(known[len(there) :])
        for known in plan.repeats
    )


def _alike(cells: Sequence[str], known: Sequence[str]) -> bool:
    """Say whether cells are the same but for their case, as another firmware may write them."""
    return [cell.casefold() for cell in cells] == [cell.casefold() for cell in known]


def cell_value(cell: str, i: int, j: int, plan: RowPlan, part: Part) -> float:
    """Read cell `j` of line `i` as a number; NaN, and an event, if it is none."""
    unit = plan.units.get(j)
    text = cell if unit is None else without_unit(cell, unit)
    value = None if text is None else number(text, plan.decimal)
    if value is not None:
        return value
    if j != plan.required:
        known = plan.called or plan.names
        name = known[j] if j < len(known) else f"column {j + 1}"
        what = "no number" if unit is None else f"no number of {unit} like the others"
        message = f"has {cell[:40]!r} under {name!r}, which is {what}; kept as a gap"
        part.events.append(Event("cells that are no numbers", i, message, name))
    return np.nan


def _drop_timeless(part: Part, plan: RowPlan, lines: list[str]) -> None:
    """Leave out the rows whose time cannot be read."""
    assert part.lines is not None  # noqa: S101 (set by the caller, for the type checker)
    good = np.ones(len(part.lines), np.bool_)
    for j, column in zip(plan.numbers, part.numbers, strict=True):
        if j == plan.required:
            good &= ~np.isnan(column)
    for stamps in part.stamps:
        good &= stamps.valid
    if good.all():
        return
    for line in part.lines[~good]:
        message = f"{_excerpt(lines[line])} has no time; left out"
        part.events.append(Event("lines without a time", int(line), message))
    before = np.concatenate(([0], np.cumsum(good)))
    part.breaks = [int(before[row]) for row in part.breaks]
    part.numbers = [column[good] for column in part.numbers]
    part.stamps = [stamps.take(good) for stamps in part.stamps]
    part.lines = part.lines[good]
