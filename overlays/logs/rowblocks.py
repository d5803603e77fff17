"""Rows of a block that has nothing wrong with it, or little, all at once."""

from __future__ import annotations

import io
import re

import numpy as np

from overlays.logs.cells import MISSING
from overlays.logs.rowlines import row_cells
from overlays.logs.rowplan import Part, RowPlan
from overlays.logs.stamps import Stamps, read_stamps
from overlays.model.trace import FloatArray

__all__ = ["at_once", "sifted"]

_HUGE = 1e36
# A mark without a digit before it, without exactly three behind it, after four or more, after a
# leading zero, or behind a decimal mark.
_GROUPED_WRONG = {
    mark: re.compile(
        rb"(?<!\d)[%b]|[%b](?!\d{3}(?!\d))|\d{4}[%b]|(?<![\d.,])0\d{0,2}[%b]|[eE%b][+-]?\d+[%b]"
        % (mark, mark, mark, mark, b"," if mark == b"." else b".", mark)
    )
    for mark in (b".", b",")
}


def at_once(block: bytes, plan: RowPlan) -> Part | None:
    """Parse a block that has nothing wrong with it; None if it has."""
    if b"\0" in block:
        return None
    columns = _words_at_once(block, plan) if plan.delimiter == " " else _cells_at_once(block, plan)
    if columns is None:
        return None
    numbers, stamps = columns
    rows = len(numbers[0]) if numbers else len(stamps[0])
    # Rows and lines can only part at quotes and returns; counting lines costs a tenth of the time.
    if (b'"' in block or b"\r" in block) and block.count(b"\n") != rows:
        return None
    for index, column in zip(plan.numbers, numbers, strict=True):
        with np.errstate(over="ignore", invalid="ignore"):
            total = abs(float(column.sum()))
        # A sum is not finite, or enormous, where a value is: then it is worth looking closer.
        if total < _HUGE:
            continue
        there = column[~np.isnan(column)]
        if index == plan.required or (there.size and np.abs(there).max() > _HUGE):
            return None
    return Part(numbers, stamps, None, rows, len(block))


def sifted(block: bytes, plan: RowPlan) -> Part | None:
    """Set aside the lines that are plainly no rows, and parse the others at once."""
    if b'"' in block or plan.delimiter == " ":
        return None
    delimiters, mark = plan.cells - 1, plan.delimiter.encode()
    known = {mark.join(cell.encode() for cell in cells) for cells in plan.repeats}
    lines = block.removesuffix(b"\n").split(b"\n")
    good = [
        i
        for i, line in enumerate(lines)
        if line.count(mark) == delimiters and b"\0" not in line and line.rstrip() not in known
    ]
    if not good or len(good) == len(lines):
        return None
    part = at_once(b"\n".join([*(lines[i] for i in good), b""]), plan)
    if part is None:
        return None
    part.lines, part.line_count, part.size = np.array(good), len(lines), len(block)
    aside = Part([], [], None, 0, 0)
    rows = np.searchsorted(part.lines, np.arange(len(lines)))
    for i in sorted(set(range(len(lines))).difference(good)):
        line = lines[i].decode("utf-8", "replace")
        if row_cells(line, i, int(rows[i]), plan, aside) is not None:
            return None  # a row after all, such as one with more empty cells
    part.breaks, part.events = aside.breaks, aside.events
    return part


def _ungrouped(block: bytes, plan: RowPlan) -> bytes:
    """Take out what groups thousands, if every such mark stands between groups of three digits."""
    mark = b"." if plan.decimal == "," else b","
    if plan.stamps or mark not in block or mark == plan.delimiter.encode():
        return block
    return block if _GROUPED_WRONG[mark].search(block) else block.replace(mark, b"")


def _cells_at_once(block: bytes, plan: RowPlan) -> tuple[list[FloatArray], list[Stamps]] | None:
    import pyarrow as pa
    from pyarrow import csv

    names = [str(i) for i in range(plan.cells)]
    wanted = {str(i): pa.float64() for i in plan.numbers} | {
        str(i): pa.string() for i in plan.stamps
    }
    block = _ungrouped(block, plan)
    try:
        table = csv.read_csv(
            pa.BufferReader(block),
            read_options=csv.ReadOptions(
                column_names=names, use_threads=False, block_size=len(block) + 1
            ),
            parse_options=csv.ParseOptions(delimiter=plan.delimiter, ignore_empty_lines=False),
            convert_options=csv.ConvertOptions(
                column_types=wanted,
                include_columns=list(wanted),
                null_values=list(MISSING),
                decimal_point=plan.decimal,
            ),
        )
    except pa.ArrowInvalid:
        return None
    numbers = [table.column(str(i)).to_numpy() for i in plan.numbers]
    stamps = [_arrow_stamps(table.column(str(i))) for i in plan.stamps]
    return None if any(not s.valid.all() for s in stamps) else (numbers, stamps)


def _arrow_stamps(column: object) -> Stamps:
    import pyarrow as pa
    from pyarrow import compute

    array = compute.utf8_trim_whitespace(column).combine_chunks()
    _, offsets, data = array.buffers()
    places = np.frombuffer(offsets, np.int32)[array.offset : array.offset + len(array) + 1]
    del pa
    return read_stamps(data.to_pybytes() if data else b"", places.astype(np.int64))


def _words_at_once(block: bytes, plan: RowPlan) -> tuple[list[FloatArray], list[Stamps]] | None:
    if plan.stamps or len(plan.numbers) != plan.cells:
        return None
    import pandas as pd

    try:
        table = pd.read_csv(
            io.BytesIO(block),
            sep=r"\s+",
            header=None,
            names=list(range(plan.cells)),
            dtype=np.float64,
            decimal=plan.decimal,
            skip_blank_lines=False,
            index_col=False,
        )
    except (ValueError, pd.errors.ParserError):
        return None
    columns = [table[i].to_numpy() for i in range(plan.cells)]
    # Short rows come back filled up, so a gap must be looked at line by line.
    return None if any(np.isnan(column.sum()) for column in columns) else (columns, [])
