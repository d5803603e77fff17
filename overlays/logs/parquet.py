"""Apache Parquet files, by pyarrow."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlays.errors import LogError
from overlays.logs.clock import Clock
from overlays.logs.names import ColumnName, column_name
from overlays.logs.notes import NoteBook
from overlays.logs.stamps import Stamps, parse_stamps
from overlays.logs.table import Table, log_of
from overlays.logs.timecolumn import TimeColumn, choose_time
from overlays.model.session import ReadingPins
from overlays.model.trace import FloatArray, Log

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["read_parquet"]

_SAMPLED = 180
_PER_SECOND = {"s": 1, "ms": 10**3, "us": 10**6, "ns": 10**9}
_UNIT_KEYS = (b"unit", b"units")
_MOST_COLUMNS = 5000


def read_parquet(path: Path, *, file: str, pins: ReadingPins) -> Log:
    """Read a Parquet file: numbers, timestamps and durations; units from the columns' metadata.

    Raises
    ------
    LogError
        If the file is damaged, or no column can be the time.
    """
    import pyarrow as pa
    from pyarrow import parquet

    try:
        table = parquet.read_table(path)
    except (pa.ArrowException, OSError) as error:
        raise LogError(
            f"the Parquet file is damaged: {str(error).splitlines()[0][:160]}.",
            code="damaged-log",
            remedy="Write it anew.",
            file=file,
        ) from error
    if table.num_columns > _MOST_COLUMNS:
        raise LogError(
            f"the file has {table.num_columns} columns.",
            code="log-too-large",
            remedy=f"Keep to the channels that are needed, at most {_MOST_COLUMNS}.",
            file=file,
        )
    return _read(table, file, pins)


def _read(table: pa.Table, file: str, pins: ReadingPins) -> Log:
    notes = NoteBook()
    names = [_name(field) for field in table.schema]
    cells = [_cells(column) for column in table.columns]
    time = _typed_time(table, pins) or choose_time(names, cells, ".", pins, file=file, line=None)
    place = time.places[0] if time.places else None
    if place is not None and table.column(place).null_count:
        notes.say(f"{table.column(place).null_count} rows have no time; left out")
        table = table.filter(table.column(place).is_valid())
    numbers: dict[int, FloatArray] = {}
    stamps: dict[int, Stamps] = {}
    for j, column in enumerate(table.columns):
        if j in time.places and _is_text(column):
            stamps[j] = parse_stamps([str(cell).strip() for cell in column.to_pylist()])
            if not stamps[j].valid.all():
                raise _bad_stamp(table, j, int(np.argmin(stamps[j].valid)), file)
        elif (values := _values(column)) is not None:
            numbers[j] = values
        else:
            notes.say(f"column {names[j].written!r} holds {column.type}; left out")
    clock = None if place is None else _typed_clock(table.column(place), notes)
    found = Table(
        layout="parquet",
        columns=names,
        time=time,
        numbers=numbers,
        stamps=stamps,
        n=table.num_rows,
        line_of=lambda row: row + 1,
        clock=clock,
    )
    return log_of(found, pins, notes, file=file)


def _typed_time(table: pa.Table, pins: ReadingPins) -> TimeColumn | None:
    """Choose the first column whose type is a time, where nothing is pinned."""
    import pyarrow as pa

    if pins.time_column is not None or pins.time_kind is not None:
        return None
    for is_time in (pa.types.is_timestamp, pa.types.is_duration):
        for j, column in enumerate(table.columns):
            if is_time(column.type):
                return TimeColumn((j,), "")
    return None


def _name(field: pa.Field) -> ColumnName:
    metadata = field.metadata or {}
    unit = next(
        (metadata[key].decode("utf-8", "replace") for key in _UNIT_KEYS if key in metadata), None
    )
    return column_name(field.name, unit=unit)


def _cells(column: pa.ChunkedArray) -> list[str]:
    """Write the first cells down, to find the time as in a text log."""
    if _values(column.slice(0, 0)) is None and not _is_text(column):
        return ["words"]
    rows = column.slice(0, _SAMPLED).to_pylist()
    return ["" if cell is None else str(cell) for cell in rows]


def _is_text(column: pa.ChunkedArray) -> bool:
    import pyarrow as pa

    return bool(pa.types.is_string(column.type) or pa.types.is_large_string(column.type))


def _values(column: pa.ChunkedArray) -> FloatArray | None:
    """Return a column as numbers, times and durations in seconds; None if it holds none."""
    import pyarrow as pa

    kind = column.type
    if pa.types.is_floating(kind) or pa.types.is_integer(kind) or pa.types.is_decimal(kind):
        values = column.cast(pa.float64(), safe=False).to_numpy()
    elif pa.types.is_timestamp(kind) or pa.types.is_duration(kind):
        values = column.cast(pa.int64()).to_numpy() / _PER_SECOND[kind.unit]
    else:
        return None
    values = np.array(values, dtype=np.float64)
    values[~np.isfinite(values)] = np.nan
    return values


def _typed_clock(column: pa.ChunkedArray, notes: NoteBook) -> Clock | None:
    """Return the time where the column's type says all; None where it has to be worked out."""
    import pyarrow as pa

    kind = column.type
    if pa.types.is_duration(kind):
        return Clock(column.cast(pa.int64()).to_numpy() / _PER_SECOND[kind.unit], "s", None)
    if not pa.types.is_timestamp(kind) or not len(column):
        return None
    ticks, per = column.cast(pa.int64()).to_numpy(), _PER_SECOND[kind.unit]
    micros = int(ticks[0]) * 10**6 // per
    notes.say(f"time read as timestamps{f' in {kind.tz}' if kind.tz else ''}")
    began = datetime(1970, 1, 1) + timedelta(microseconds=micros)  # noqa: DTZ001 (as stored)
    return Clock((ticks - ticks[0]) / per, None, began)


def _bad_stamp(table: pa.Table, j: int, row: int, file: str) -> LogError:
    return LogError(
        f"{str(table.column(j)[row])[:40]!r} under {table.column_names[j]!r} in row {row + 1} is "
        "no date or time.",
        code="bad-stamp",
        remedy="Store the time as timestamps or seconds.",
        file=file,
    )
