"""Columns in groups, each with a clock of its own beside it: t1, a, t2, b."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from overlays.errors import LogError
from overlays.logs.clock import Clock, numeric_time
from overlays.logs.merge import Group, merge
from overlays.logs.names import ColumnName
from overlays.logs.notes import NoteBook
from overlays.logs.table import Table
from overlays.logs.timecolumn import TimeColumn
from overlays.model.session import ReadingPins
from overlays.model.trace import FloatArray

__all__ = ["paired_table"]


def paired_table(
    columns: Sequence[ColumnName],
    numbers: Mapping[int, FloatArray],
    time: TimeColumn,
    pins: ReadingPins,
    notes: NoteBook,
    *,
    file: str,
    line: int | None,
    data_line: int,
) -> Table:
    """Put groups of columns onto one time, nothing interpolated.

    Parameters
    ----------
    columns : sequence of ColumnName
        All columns of the file.
    numbers : Mapping[int, ndarray of shape (N,)]
        The numeric ones, by place.
    time : TimeColumn
        The first clock and the others; a clock serves the columns up to the next one.
    pins, notes, file
        As for `numeric_time`.
    line, data_line : int
        Lines of the names and of the first row.

    Raises
    ------
    LogError
        If a clock does not always go forward: there is no telling then what belongs together.
    """
    clocks = [*time.places, *time.others]
    groups, kept = [], []
    for clock, end in zip(clocks, [*clocks[1:], len(columns)], strict=True):
        there = ~np.isnan(numbers[clock])
        read = numeric_time(
            numbers[clock][there], columns[clock], pins, notes, rate_hz=None, file=file, line=line
        )
        if (np.diff(read.time_s) <= 0).any():
            raise LogError(
                f"the clock {columns[clock].written!r} does not always go forward.",
                code="disordered-time",
                remedy="Split the file into one for each clock.",
                file=file,
                line=line,
            )
        places = [j for j in range(clock + 1, end) if j in numbers]
        groups.append(Group(read.time_s, [numbers[j][there] for j in places]))
        kept += places
    time_s, merged, rows = merge(groups)
    notes.say(f"{len(clocks)} groups of columns with clocks of their own; nothing interpolated")
    first = clocks[0]
    return Table(
        layout="delimited",
        columns=columns,
        time=TimeColumn((first,), ""),
        numbers={first: time_s} | dict(zip(kept, merged, strict=True)),
        n=len(time_s),
        line_of=lambda _: data_line,
        header_line=line,
        clock=Clock(time_s, "s", None),
        own_rows=dict(zip(kept, rows, strict=True)),
    )
