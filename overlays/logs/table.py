"""A table of numbers with a time column → a `Log`: what all layouts have in common."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from overlays.errors import LogError
from overlays.logs.clock import Clock, counted_time, numeric_time
from overlays.logs.dates import stamped_time
from overlays.logs.names import ColumnName, called
from overlays.logs.notes import NoteBook
from overlays.logs.sequence import settle
from overlays.logs.stamps import Stamps
from overlays.logs.timecolumn import TimeColumn
from overlays.model.session import ReadingPins
from overlays.model.trace import Column, FloatArray, Log, Segment

__all__ = ["Table", "log_of"]

_FEWEST_BLANKS = 2


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """What a layout's reader found.

    Parameters
    ----------
    layout : str
        The layout's name.
    columns : sequence of ColumnName
        All columns of the file.
    time : TimeColumn
        Which of them is the time.
    numbers : Mapping[int, ndarray of shape (N,)]
        The numeric columns, by place.
    stamps : Mapping[int, Stamps]
        The time column, and the one beside it, where they hold stamps.
    n : int
        Rows.
    line_of : callable
        Line of a row, from 1.
    breaks : sequence of int
        Rows before which the header came again.
    rate_hz : float or None
        A sampling rate that the file states.
    header_line, encoding, delimiter, decimal
        See `Log`.
    clock : Clock or None
        The time, where the file's own types leave nothing to find out.
    own_rows : Mapping[int, ndarray of shape (M,)]
        The rows of a column's own samples, where the file has them apart; see `Column.rows`.
    """

    layout: str
    columns: Sequence[ColumnName]
    time: TimeColumn
    numbers: Mapping[int, FloatArray]
    n: int
    line_of: Callable[[int], int]
    stamps: Mapping[int, Stamps] = field(default_factory=dict)
    breaks: Sequence[int] = ()
    rate_hz: float | None = None
    header_line: int | None = None
    encoding: str | None = None
    delimiter: str | None = None
    decimal: str | None = None
    clock: Clock | None = None
    own_rows: Mapping[int, NDArray[np.int64]] = field(default_factory=dict)


def log_of(table: Table, pins: ReadingPins, notes: NoteBook, *, file: str) -> Log:
    """Work out the time of a table, put its rows in order and give its columns.

    Raises
    ------
    LogError
        If there are no rows, or the time is unclear; see the functions of this layer.
    """
    if table.n == 0:
        listed = ", ".join(repr(column.written) for column in table.columns[:20])
        raise LogError(
            f"columns {listed}, but no data rows.",
            code="no-data-rows",
            remedy="Check whether the logger ran; leave the run out if it did not.",
            file=file,
            line=table.header_line,
        )
    clock = table.clock or _clock(table, pins, notes, file)
    order = settle(clock.time_s, table.breaks, table.line_of, pins, notes, file=file)
    starts, keep = order.starts, order.keep
    if pins.segment is not None:
        starts, keep = _one_segment(starts, keep, pins.segment, notes, file=file)
    rows = None if keep.all() else np.flatnonzero(keep)
    time_s = order.time_s if rows is None else order.time_s[rows]
    names = _names(table.columns, notes)
    place = table.time.places[0] if table.time.places else 0
    return Log(
        file=file,
        layout=table.layout,
        encoding=table.encoding,
        delimiter=table.delimiter,
        decimal=table.decimal,
        header_line=table.header_line,
        time_s=time_s,
        columns=_columns(table, names, rows, pins, notes),
        segments=_segments(starts, keep, order.time_s, table.line_of),
        notes=notes.written(),
        time=_time_column(table, clock, names, rows, time_s),
        time_place=sum(j in table.numbers for j in range(place)),
        began=clock.began,
    )


def _clock(table: Table, pins: ReadingPins, notes: NoteBook, file: str) -> Clock:
    places, line = table.time.places, table.header_line
    if not places:
        rate = pins.rate.to("Hz") if pins.rate else table.rate_hz
        if rate is None:
            raise LogError(
                "the rows are only counted, and no sampling rate is stated.",
                code="no-rate",
                remedy='Say how fast the logger ran with rate = "100 Hz" under [reading] in '
                "session.toml.",
                file=file,
                line=line,
            )
        return counted_time(table.n, rate, notes, source="as pinned" if pins.rate else "as stated")
    if table.time.why:
        notes.say(table.time.why, line=line)
    if places[0] in table.stamps:
        beside = table.stamps[places[1]] if len(places) > 1 else None
        clock = stamped_time(table.stamps[places[0]], beside, pins, notes, file=file, line=line)
        return clock if table.time.millis is None else _with_millis(clock, table, table.time.millis)
    values, name = table.numbers[places[0]], table.columns[places[0]]
    return numeric_time(values, name, pins, notes, rate_hz=table.rate_hz, file=file, line=line)


def _with_millis(clock: Clock, table: Table, place: int) -> Clock:
    """Add the milliseconds that stand in a column of their own; a blank one is none."""
    millis = np.nan_to_num(table.numbers[place])
    time_s = (np.round(clock.time_s * 1000) + millis - millis[0]) / 1000
    began = clock.began and clock.began + timedelta(milliseconds=float(millis[0]))
    return Clock(time_s, clock.unit, began)


def _one_segment(
    starts: tuple[int, ...],
    keep: NDArray[np.bool_],
    pinned: int,
    notes: NoteBook,
    *,
    file: str,
) -> tuple[tuple[int, ...], NDArray[np.bool_]]:
    """Keep one segment only."""
    if not 1 <= pinned <= len(starts):
        raise LogError(
            f"there is no segment {pinned}; the log has {len(starts)}.",
            code="no-such-segment",
            remedy="Correct segment under [reading] in session.toml.",
            file=file,
            field="reading.segment",
        )
    ends = (*starts[1:], len(keep))
    first, end = starts[pinned - 1], ends[pinned - 1]
    inside = np.zeros_like(keep)
    inside[first:end] = keep[first:end]
    notes.say(f"segment {pinned} of {len(starts)} taken, as pinned")
    return (first,), inside


def _segments(
    starts: Sequence[int],
    keep: NDArray[np.bool_],
    time_s: FloatArray,
    line_of: Callable[[int], int],
) -> tuple[Segment, ...]:
    result = []
    for start, end in zip(starts, (*starts[1:], len(keep)), strict=True):
        kept = keep[start:end]
        count = int(np.count_nonzero(kept))
        if count:
            first, last = start + int(kept.argmax()), end - 1 - int(kept[::-1].argmax())
            seconds = float(time_s[last] - time_s[first])
            result.append(Segment(line_of(first), count, seconds))
    return tuple(result)


def _names(columns: Sequence[ColumnName], notes: NoteBook) -> list[str]:
    """Return what the columns are called, and say where that is not what the file says."""
    names = called(columns)
    for j, (name, column) in enumerate(zip(names, columns, strict=True)):
        if column.name and name not in {column.name, column.written}:
            notes.say(f"column {j + 1} has a name that was there before; called {name!r}")
    return names


def _columns(
    table: Table,
    names: Sequence[str],
    rows: NDArray[np.int64] | None,
    pins: ReadingPins,
    notes: NoteBook,
) -> tuple[Column, ...]:
    result = []
    nameless: list[int] = []
    spoiled = notes.spoiled()
    for j, values in table.numbers.items():
        column = table.columns[j]
        if j in table.time.places:
            continue
        kept = values if rows is None else values[rows]
        gaps = bool(np.isnan(kept.sum()))  # one pass, where most columns have none
        empty = gaps and bool(np.isnan(kept).all())
        if empty and not column.written:
            nameless.append(j)
            continue
        if empty:
            notes.say(f"column {names[j]!r} is empty")
        own = None
        if j in table.own_rows:
            own = _kept_rows(table.own_rows[j], rows)
        elif gaps and not empty and not table.own_rows and names[j] not in spoiled:
            own = _own_rows(kept)
            if own is not None:
                notes.say(
                    f"column {names[j]!r} has a value every {int(own[1] - own[0])} rows: taken as "
                    "a channel sampled more slowly, not as gaps"
                )
        unit, unsure = _unit(column, names[j], pins)
        result.append(Column(names[j], unit, kept, column.written, own, unsure))
    _say_nameless(nameless, len(table.columns), table.header_line, notes)
    return tuple(result)


def _unit(column: ColumnName, name: str, pins: ReadingPins) -> tuple[str | None, bool]:
    for key in (name, column.written, column.name):
        if key in pins.units:
            return pins.units[key], False
    return column.unit, column.unsure


def _say_nameless(places: Sequence[int], count: int, line: int | None, notes: NoteBook) -> None:
    """Say which columns are left out, having neither a name nor a value."""
    tail = [j for j in places if all(k in places for k in range(j, count))]
    if tail:
        what = "an empty cell" if len(tail) == 1 else f"{len(tail)} empty cells"
        notes.say(f"rows end in a delimiter: {what} behind the last column left out", line=line)
    for j in places:
        if j not in tail:
            notes.say(f"column {j + 1} has neither a name nor a value; left out", line=line)


def _kept_rows(own: NDArray[np.int64], rows: NDArray[np.int64] | None) -> NDArray[np.int64]:
    """Count a column's own rows anew after some rows were left out."""
    if rows is None:
        return own
    places = np.searchsorted(rows, own)
    found = (places < len(rows)) & (rows[np.minimum(places, len(rows) - 1)] == own)
    return np.asarray(places[found])


def _own_rows(values: FloatArray) -> NDArray[np.int64] | None:
    """Find the rows of a channel that was sampled every k rows; None if blanks are gaps."""
    there = np.flatnonzero(~np.isnan(values))
    if len(there) < 2 or len(there) * 2 > len(values) + 1:
        return None
    step = math.gcd(*np.unique(np.diff(there)).tolist())
    first, last = int(there[0]), int(there[-1])
    grid = np.arange(first, last + 1, step)
    if len(values) - len(there) < _FEWEST_BLANKS:  # one blank alone is a gap
        return None
    whole = first < step and len(values) - last <= step
    return grid if step > 1 and whole and len(there) >= 0.8 * len(grid) else None


def _time_column(
    table: Table,
    clock: Clock,
    names: Sequence[str],
    rows: NDArray[np.int64] | None,
    time_s: FloatArray,
) -> Column:
    if not table.time.places:
        return Column("time", "s", time_s)
    place = table.time.places[0]
    name, written = names[place], table.columns[place].written
    if place in table.stamps or clock.unit is None:
        return Column(name, None, time_s, written)
    values = table.numbers[place]
    return Column(name, clock.unit, values if rows is None else values[rows], written)
