"""Rows of a block that has nothing wrong with it, or little, all at once."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from overlays.logs.cells import MISSING
from overlays.logs.rowlines import cell_value, row_cells
from overlays.logs.rowplan import Part, RowPlan
from overlays.logs.stamps import Stamps, read_stamps
from overlays.model.trace import FloatArray

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["at_once", "sifted", "worded"]

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
    if b"\0" in block or plan.units:
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
    rest = b"\n".join([*(lines[i] for i in good), b""])
    part = at_once(rest, plan) or worded(rest, plan)
    if part is None:
        return None
    numbered = [replace(e, line=good[e.line]) for e in part.events]
    part.lines, part.line_count, part.size = np.array(good), len(lines), len(block)
    aside = Part([], [], None, 0, 0)
    rows = np.searchsorted(part.lines, np.arange(len(lines)))
    for i in sorted(set(range(len(lines))).difference(good)):
        line = lines[i].decode("utf-8", "replace")
        if row_cells(line, i, int(rows[i]), plan, aside) is not None:
            return None  # a row after all, such as one with more empty cells
    part.breaks = aside.breaks
    part.events = sorted([*numbered, *aside.events], key=lambda event: event.line)
    return part


def worded(block: bytes, plan: RowPlan) -> Part | None:
    """Parse a block that has words among its numbers; only the words are looked at singly."""
    if b"\0" in block or plan.delimiter == " ":
        return None
    table = _arrow_table(block, plan, words=True)
    if table is None or block.count(b"\n") != table.num_rows:
        return None
    stamps = [_arrow_stamps(table.column(str(i))) for i in plan.stamps]
    if any(not column.valid.all() for column in stamps):
        return None
    part = Part([], stamps, None, table.num_rows, len(block))
    for i in plan.numbers:
        values = _numbers_among_words(table.column(str(i)), i, plan, part)
        if i == plan.required and np.isnan(values).any():
            return None
        part.numbers.append(values)
    part.events.sort(key=lambda event: event.line)
    return part


def _numbers_among_words(
    column: pa.ChunkedArray, place: int, plan: RowPlan, part: Part
) -> FloatArray:
    import pyarrow as pa
    from pyarrow import compute

    texts = compute.utf8_trim_whitespace(column)
    mark = re.escape(plan.decimal)
    unit = rf"\s*{re.escape(plan.units[place])}" if place in plan.units else ""
    plain = compute.match_substring_regex(
        texts,
        rf"^[+-]?(?:[0-9]{{1,20}}(?:{mark}[0-9]{{0,20}})?|{mark}[0-9]{{1,20}})(?:[eE][+-]?[0-9]{{1,2}})?{unit}$",
    )
    numeric = compute.if_else(plain, texts, pa.scalar(None, pa.string()))
    if unit:
        numeric = compute.replace_substring_regex(numeric, f"{unit}$", "")
    if plan.decimal == ",":
        numeric = compute.replace_substring(numeric, ",", ".")
    values = np.array(compute.cast(numeric, pa.float64()).to_numpy())
    # What is neither plain nor empty is judged one by one, as in a row by itself; so are numbers
    # that stand for none.
    odd = ~np.array(compute.fill_null(plain, True).to_numpy(), dtype=np.bool_) | (
        np.abs(values) > _HUGE
    )
    for row in np.flatnonzero(odd):
        values[row] = cell_value(str(texts[int(row)]), int(row), place, plan, part)
    return values


def _ungrouped(block: bytes, plan: RowPlan) -> bytes:
    """Take out what groups thousands, if every such mark stands between groups of three digits."""
    mark = b"." if plan.decimal == "," else b","
    if plan.stamps or mark not in block or mark == plan.delimiter.encode():
        return block
    return block if _GROUPED_WRONG[mark].search(block) else block.replace(mark, b"")


def _cells_at_once(block: bytes, plan: RowPlan) -> tuple[list[FloatArray], list[Stamps]] | None:
    table = _arrow_table(_ungrouped(block, plan), plan, words=False)
    if table is None:
        return None
    numbers = [_floats(table.column(str(i))) for i in plan.numbers]
    stamps = [_arrow_stamps(table.column(str(i))) for i in plan.stamps]
    return None if any(not s.valid.all() for s in stamps) else (numbers, stamps)


def _floats(column: pa.ChunkedArray) -> FloatArray:
    """Return a column of doubles, NaN where it has nothing; it may be a view that is only read.

    pyarrow's own way to NumPy imports pandas on its way, which takes longer than a log does.
    """
    parts = [np.empty(0)]
    for chunk in column.chunks:
        valid, data = chunk.buffers()
        values = np.frombuffer(data, np.float64)[chunk.offset : chunk.offset + len(chunk)]
        if chunk.null_count:
            values = values.copy()
            bits = np.unpackbits(np.frombuffer(valid, np.uint8), bitorder="little")
            values[bits[chunk.offset : chunk.offset + len(chunk)] == 0] = np.nan
        parts.append(values)
    return parts[1] if len(parts) == 2 else np.concatenate(parts)


def _arrow_table(block: bytes, plan: RowPlan, *, words: bool) -> pa.Table | None:
    """Cut a block into columns; None where a row has another number of cells, or words."""
    import pyarrow as pa
    from pyarrow import csv

    names = [str(i) for i in range(plan.cells)]
    wanted = {str(i): pa.string() if words else pa.float64() for i in plan.numbers}
    wanted |= {str(i): pa.string() for i in plan.stamps}
    try:
        return csv.read_csv(
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


def _arrow_stamps(column: pa.ChunkedArray) -> Stamps:
    from pyarrow import compute

    array = compute.utf8_trim_whitespace(column).combine_chunks()
    _, offsets, data = array.buffers()
    places = np.frombuffer(offsets, np.int32)[array.offset : array.offset + len(array) + 1]
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
