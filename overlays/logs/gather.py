"""The rows of a whole text log, gathered from its blocks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError
from overlays.logs.notes import NoteBook
from overlays.logs.rowplan import Part, RowPlan
from overlays.logs.rows import parse_block, parse_blocks
from overlays.logs.source import BLOCK, LineSource
from overlays.logs.stamps import Stamps, join_stamps
from overlays.model.trace import FloatArray

__all__ = ["Rows", "gather_rows"]


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """All rows of a file.

    Parameters
    ----------
    numbers : dict of int to ndarray of shape (N,)
        The numeric columns, by place.
    stamps : dict of int to Stamps
        The columns of dates or times, by place.
    n : int
        Rows.
    row_marks, line_marks : ndarray of shape (M,)
        Rows, and their lines, from which on rows and lines go together.
    breaks : list of int
        Rows before which the header came again.
    """

    numbers: dict[int, FloatArray]
    stamps: dict[int, Stamps]
    n: int
    row_marks: NDArray[np.int64]
    line_marks: NDArray[np.int64]
    breaks: list[int]

    def line_of(self, row: int) -> int:
        """Return the line of a row, from the last place where rows and lines parted."""
        k = int(np.searchsorted(self.row_marks, row, side="right")) - 1
        return int(self.line_marks[k] + row - self.row_marks[k])


def gather_rows(source: LineSource, plan: RowPlan, data_line: int, notes: NoteBook) -> Rows:
    """Read all rows of a text log.

    Parameters
    ----------
    source : LineSource
        The file.
    plan : RowPlan
        How a row is cut.
    data_line : int
        Line of the first row.
    notes : NoteBook
        Told of every line left out.

    Raises
    ------
    LogError
        If the header comes again with other columns, or the file cannot be read on.
    """
    blocks = _without_head(source.blocks(), data_line - 1)
    parts: Iterable[Part] = (
        parse_blocks(blocks, plan)
        if source.size > 2 * BLOCK
        else (part for block in blocks for part in parse_block(block, plan))
    )
    numbers = [_Growing() for _ in plan.numbers]
    stamps: list[list[Stamps]] = [[] for _ in plan.stamps]
    row_marks, line_marks = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    breaks: list[int] = []
    n, line = 0, data_line
    for part in parts:
        _tell(part, line, plan, notes, source.file)
        count = len(part.numbers[0]) if part.numbers else len(part.stamps[0])
        marks = _marks(part, count)
        row_marks.append(n + marks)
        line_marks.append(line + (marks if part.lines is None else part.lines[marks]))
        breaks += [n + row for row in part.breaks]
        for store, column in zip(numbers, part.numbers, strict=True):
            store.add(column, share=part.size / source.size)
        for kept, column_stamps in zip(stamps, part.stamps, strict=True):
            kept.append(column_stamps)
        n, line = n + count, line + part.line_count
    return Rows(
        {j: store.whole() for j, store in zip(plan.numbers, numbers, strict=True)},
        {
            j: join_stamps(kept or [Stamps.blank(0)])
            for j, kept in zip(plan.stamps, stamps, strict=True)
        },
        n,
        np.concatenate(row_marks),
        np.concatenate(line_marks),
        breaks,
    )


class _Growing:
    """A column being filled, without ever being held twice.

    Untouched memory is not taken from the machine, so room is made generously at the first part.
    """

    def __init__(self) -> None:
        self._room = np.empty(0)
        self._n = 0

    def add(self, values: FloatArray, *, share: float) -> None:
        """Append values that are about this share of all."""
        end = self._n + len(values)
        if end > len(self._room):
            wanted = max(int(len(values) / max(share, 1e-6) * 1.1), end + end // 2)
            grown = np.empty(wanted)
            grown[: self._n] = self._room[: self._n]
            self._room = grown
        self._room[self._n : end] = values
        self._n = end

    def whole(self) -> FloatArray:
        """Return what was added."""
        return self._room[: self._n]


def _marks(part: Part, count: int) -> NDArray[np.int64]:
    """Rows of a part at which rows and lines part: the first, and each after a line left out."""
    if not count:
        return np.zeros(0, np.int64)
    if part.lines is None:
        return np.zeros(1, np.int64)
    return np.concatenate(([0], np.flatnonzero(np.diff(part.lines) != 1) + 1))


def _tell(part: Part, line: int, plan: RowPlan, notes: NoteBook, file: str) -> None:
    for event in part.events:
        if event.kind == "changed headers":
            raise LogError(
                f"the header comes again with other columns: {event.message}; before they were "
                f"{', '.join(plan.names)[:80]}.",
                code="changed-header",
                remedy="Split the file there: its columns mean something else from this line on.",
                file=file,
                line=line + event.line,
            )
        notes.count(event.kind, line + event.line, event.message, column=event.column)


def _without_head(blocks: Iterator[bytes], lines: int) -> Iterator[bytes]:
    """Leave out the first lines."""
    for block in blocks:
        place = 0
        while lines and (end := block.find(b"\n", place)) >= 0:
            place, lines = end + 1, lines - 1
        if place < len(block):
            yield block[place:] if place else block
