"""Rows of a delimited log, a block at a time: undamaged blocks at once, the others line by line.

A block that is not plainly good is halved until the damage sits in a small one, so that one bad
line costs little in a file of millions.
"""

from __future__ import annotations

import io
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from overlays.logs.cells import MISSING, number
from overlays.logs.lines import split
from overlays.logs.stamps import Stamps, parse_stamps, read_stamps
from overlays.model.trace import FloatArray

__all__ = ["Event", "Part", "RowPlan", "parse_block", "parse_blocks"]

SMALL = 64 << 10
_WORKERS = 2
_LOOKED_BACK = 4096
_HUGE = 1e36


@dataclass(frozen=True, slots=True)
class RowPlan:
    """How a row is cut and what its cells are.

    Parameters
    ----------
    delimiter, decimal : str
        See `overlays.logs.dialect`.
    cells : int
        Cells of a row.
    numbers, stamps : tuple of int
        Which of them are numbers, and which dates or times; the others hold words.
    required : int or None
        Which of them tells the time: without it a row is none. None where rows are counted.
    names : tuple of str
        Cells of the header line.
    repeats : tuple of tuple of str
        Cells of all lines of the header, which may come again.
    """

    delimiter: str
    decimal: str
    cells: int
    numbers: tuple[int, ...]
    stamps: tuple[int, ...]
    required: int | None
    names: tuple[str, ...]
    repeats: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Event:
    """Something about one line: left out, or with a cell that is no number."""

    kind: str
    line: int
    message: str


@dataclass(slots=True, eq=False)
class Part:
    """The rows of one block.

    Parameters
    ----------
    numbers : list of ndarray of shape (N,)
        One for each of the plan's numbers.
    stamps : list of Stamps
        One for each of the plan's stamps.
    lines : ndarray of shape (N,) or None
        Line of each row within the block, from 0; None where row and line are the same.
    line_count, size : int
        Lines and bytes of the block.
    breaks : list of int
        Rows before which the header came again.
    events : list of Event
        Their lines count within the block, from 0.
    """

    numbers: list[FloatArray]
    stamps: list[Stamps]
    lines: NDArray[np.int64] | None
    line_count: int
    size: int
    breaks: list[int] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)


def parse_blocks(blocks: Iterator[bytes], plan: RowPlan, *, small: int = SMALL) -> Iterator[Part]:
    """Parse blocks in order, two at a time, without holding more than a few."""
    with ThreadPoolExecutor(_WORKERS) as pool:
        waiting: deque[Future[list[Part]]] = deque()
        for block in blocks:
            waiting.append(pool.submit(parse_block, block, plan, small=small))
            if len(waiting) > _WORKERS:
                yield from waiting.popleft().result()
        while waiting:
            yield from waiting.popleft().result()


def parse_block(block: bytes, plan: RowPlan, *, small: int = SMALL) -> list[Part]:
    """Parse one block of UTF-8 lines.

    Parameters
    ----------
    block : bytes
        Whole lines; the last of the file may lack its end.
    plan : RowPlan
        What rows look like.
    small : int
        Blocks up to this many bytes are read line by line straight away.
    """
    if not block.endswith(b"\n"):
        return _with_open_end(block, plan, small)
    if len(block) <= small:
        return [_by_line(block, plan)]
    part = _at_once(block, plan)
    if part is not None:
        return [part]
    middle = block.find(b"\n", len(block) // 2) + 1
    if not 0 < middle < len(block):
        return [_by_line(block, plan)]
    return [
        *parse_block(block[:middle], plan, small=small),
        *parse_block(block[middle:], plan, small=small),
    ]


def _with_open_end(block: bytes, plan: RowPlan, small: int) -> list[Part]:
    """Parse the end of a file whose last line has no end, and may have been cut off."""
    start = block.rfind(b"\n") + 1
    before = block[max(0, start - _LOOKED_BACK) : start].decode("utf-8", "replace").split("\n")
    last = _by_line(block[start:] + b"\n", plan)
    rows = [split(line, plan.delimiter) for line in before[-22:-1] if "\0" not in line]
    cells = split(block[start:].decode("utf-8", "replace"), plan.delimiter)
    if _is_cut(cells, [row for row in rows if len(row) == len(cells)], plan.decimal):
        last = Part(
            [c[:0] for c in last.numbers],
            [Stamps.blank(0) for _ in last.stamps],
            np.zeros(0, np.int64),
            1,
            last.size,
        )
        message = "is cut off by the end of the file; left out"
        last.events.append(Event("cut-off lines", 0, message))
    elif last.lines is not None and len(last.lines):
        message = "has no line end; its last value may be cut off"
        last.events.append(Event("open ends", 0, message))
    return [*(parse_block(block[:start], plan, small=small) if start else []), last]


def _is_cut(cells: list[str], rows: list[list[str]], decimal: str) -> bool:
    """Say whether the last cell has fewer decimals than that column always has."""
    places = {len(row[-1].partition(decimal)[2]) for row in rows}
    return len(places) == 1 and len(cells[-1].partition(decimal)[2]) < next(iter(places))


def _at_once(block: bytes, plan: RowPlan) -> Part | None:
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


def _cells_at_once(block: bytes, plan: RowPlan) -> tuple[list[FloatArray], list[Stamps]] | None:
    import pyarrow as pa
    from pyarrow import csv

    names = [str(i) for i in range(plan.cells)]
    wanted = {str(i): pa.float64() for i in plan.numbers} | {
        str(i): pa.string() for i in plan.stamps
    }
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


def _by_line(block: bytes, plan: RowPlan) -> Part:
    """Parse a block line by line, and say what is wrong with each."""
    text = block.decode("utf-8", "replace")
    lines = text.removesuffix("\n").split("\n")
    values: list[list[float]] = [[] for _ in plan.numbers]
    texts: list[list[str]] = [[] for _ in plan.stamps]
    kept: list[int] = []
    part = Part([], [], None, len(lines), len(block))
    for i, line in enumerate(lines):
        cells = _row_cells(line, i, len(kept), plan, part)
        if cells is None:
            continue
        for column, j in zip(values, plan.numbers, strict=True):
            column.append(_value(cells[j], i, j, plan, part))
        for column_text, j in zip(texts, plan.stamps, strict=True):
            column_text.append(cells[j])
        kept.append(i)
    part.numbers = [np.array(column, dtype=np.float64) for column in values]
    part.stamps = [parse_stamps(column) for column in texts]
    part.lines = np.array(kept, dtype=np.int64)
    _drop_timeless(part, plan, lines)
    part.events.sort(key=lambda event: event.line)
    return part


def _row_cells(line: str, i: int, row: int, plan: RowPlan, part: Part) -> list[str] | None:
    """Cut a line into the cells of a row; None, and an event, if it is no row."""
    if "\0" in line:
        part.events.append(Event("lines with NUL bytes", i, "holds NUL bytes; left out"))
        return None
    cells = split(line.strip("\r\n"), plan.delimiter)
    while len(cells) > plan.cells and not cells[-1]:
        cells.pop()
    if not any(cells):
        return None
    if _is_repeat(cells, plan):
        if tuple(cells[: len(plan.names)]) == plan.names:
            part.events.append(Event("repeated headers", i, "repeats the header; left out"))
            part.breaks.append(row)
        return None
    known = sum(cell in plan.names for cell in set(cells) if cell)
    if known >= 2 and known * 2 >= len([cell for cell in cells if cell]):
        part.events.append(Event("changed headers", i, ", ".join(cells)[:80]))
        return None
    if len(cells) != plan.cells:
        few = "short" if len(cells) < plan.cells else "long"
        message = f"{_excerpt(line)} has {len(cells)} of {plan.cells} cells; left out"
        part.events.append(Event(f"{few} lines", i, message))
        return None
    return cells


def _excerpt(line: str) -> str:
    text = " ".join(line.split())
    return repr(text if len(text) <= 40 else f"{text[:39]}…")


def _is_repeat(cells: list[str], plan: RowPlan) -> bool:
    there = tuple(cells)
    while there and not there[-1]:
        there = there[:-1]
    return any(
        there == known[: len(there)] and not any(known[len(there) :]) for known in plan.repeats
    )


def _value(cell: str, i: int, j: int, plan: RowPlan, part: Part) -> float:
    value = number(cell, plan.decimal)
    if value is not None:
        return value
    if j != plan.required:
        name = plan.names[j] if j < len(plan.names) else f"column {j + 1}"
        message = f"has {cell[:40]!r} under {name!r}, which is no number; kept as a gap"
        part.events.append(Event("cells that are no numbers", i, message))
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
