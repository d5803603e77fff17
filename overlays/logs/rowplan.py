"""How a row is cut, and what comes out of a block of rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from overlays.logs.stamps import Stamps
from overlays.model.trace import FloatArray

__all__ = ["Event", "Part", "RowPlan"]


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
    called : tuple of str
        What the columns are called in messages.
    units : Mapping[int, str]
        Units that the cells of a column carry, as they write them.
    """

    delimiter: str
    decimal: str
    cells: int
    numbers: tuple[int, ...]
    stamps: tuple[int, ...]
    required: int | None
    names: tuple[str, ...]
    repeats: tuple[tuple[str, ...], ...]
    called: tuple[str, ...] = ()
    units: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Event:
    """Something about one line: left out, or with a cell that is no number, and in which column."""

    kind: str
    line: int
    message: str
    column: str | None = None


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
