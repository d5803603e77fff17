"""Apache Parquet files, by pyarrow."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlays.errors import LogError
from overlays.logs.clock import Clock
from overlays.logs.delimited import MOST_COLUMNS
from overlays.logs.names import ColumnName, column_name
from overlays.logs.notes import NoteBook
from overlays.logs.stamps import Stamps, parse_stamps
from overlays.logs.table import Table, log_of
from overlays.logs.timecolumn import TimeColumn, choose_time
from overlays.model.session import ReadingPins
from overlays.model.trace import FloatArray, Log
from overlays.numbers import counted

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["LARGEST_UNPACKED", "MOST_VALUES", "read_parquet"]

_SAMPLED = 180
_PER_SECOND = {"s": 1, "ms": 10**3, "us": 10**6, "ns": 10**9}
_UNIT_KEYS = (b"unit", b"units")
MOST_VALUES, LARGEST_UNPACKED = 100_000_000, 2_000_000_000
_LONGEST_TEXT = 200


def read_parquet(path: Path, *, file: str, pins: ReadingPins) -> Log:
    """Read a Parquet file: numbers, timestamps and durations; units from the columns' metadata.

    Raises
    ------
    LogError
        If the file is damaged or too large, or no column can be the time.
    """
    import pyarrow as pa

    try:
        table, left_out = _table(path, file)
        return _read(table, left_out, file, pins)
    # Python's own are raised for text that is no UTF-8, and times outside all calendars.
    except (pa.ArrowException, OSError, UnicodeDecodeError, OverflowError) as error:
        raise LogError(
            f"the Parquet file is damaged: {(str(error) or 'no reason').splitlines()[0][:160]}.",
            code="damaged-log",
            remedy="Write it anew.",
            file=file,
        ) from error


def _table(path: Path, file: str) -> tuple[pa.Table, list[pa.Field]]:
    """Read the columns that can be of use, where memory holds them; return what was left out."""
    from pyarrow import parquet

    with parquet.ParquetFile(path) as looked_at:
        found, schema = looked_at.metadata, looked_at.schema_arrow
    # Asked before anything is unpacked: a kilobyte can say "a thousand million times nought".
    cells = found.num_rows * len(schema)
    unpacked = sum(found.row_group(n).total_byte_size for n in range(found.num_row_groups))
    for what, most, number in (
        ("columns", MOST_COLUMNS, len(schema)),
        ("values", MOST_VALUES, cells),
        ("bytes unpacked", LARGEST_UNPACKED, unpacked),
    ):
        if number > most:
            raise LogError(
                f"the file has {number} {what}.",
                code="log-too-large",
                remedy=f"Keep to the run and the channels that are needed, at most {most} {what}.",
                file=file,
            )
    usable = [field.name for field in schema if _is_usable(field.type)]
    texts = [field.name for field in schema if _is_string(field.type)]
    # A text that stands in every row is held once.
    with parquet.ParquetFile(path, read_dictionary=texts) as opened:
        table = opened.read(columns=usable)
    return table, [field for field in schema if not _is_usable(field.type)]


def _is_usable(kind: pa.DataType) -> bool:
    import pyarrow as pa

    number = pa.types.is_floating(kind) or pa.types.is_integer(kind) or pa.types.is_decimal(kind)
    time = pa.types.is_timestamp(kind) or pa.types.is_duration(kind)
    return bool(number or time or _is_string(kind))


def _is_string(kind: pa.DataType) -> bool:
    import pyarrow as pa

    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind))


def _read(table: pa.Table, left_out: list[pa.Field], file: str, pins: ReadingPins) -> Log:
    notes = NoteBook()
    for field in left_out:
        notes.say(f"column {_name(field).written!r} holds {field.type}; left out")
    names = [_name(field) for field in table.schema]
    cells = [_cells(column) for column in table.columns]
    time = _typed_time(table, pins) or choose_time(names, cells, ".", pins, file=file, line=None)
    place = time.places[0] if time.places else None
    if place is not None:
        table = _timed(table, place, notes)
    numbers: dict[int, FloatArray] = {}
    stamps: dict[int, Stamps] = {}
    for j, column in enumerate(table.columns):
        if j in time.places and _is_text(column):
            stamps[j] = parse_stamps(_texts(column))
            if not stamps[j].valid.all():
                raise _bad_stamp(table, j, int(np.argmin(stamps[j].valid)), file)
        elif (values := _values(column)) is not None:
            numbers[j] = values
        else:
            kind = "string" if _is_text(column) else column.type
            notes.say(f"column {names[j].written!r} holds {kind}; left out")
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


def _stands_still(column: pa.ChunkedArray) -> bool:
    """Say whether every row has the same moment, such as that at which the log was begun."""
    import pyarrow as pa
    import pyarrow.compute as pc

    ends = pc.min_max(column.cast(pa.int64()))
    return len(column) > 1 and bool(ends["min"] == ends["max"])


def _timed(table: pa.Table, place: int, notes: NoteBook) -> pa.Table:
    """Leave out rows without a time: nothing there, or no number."""
    import pyarrow as pa
    import pyarrow.compute as pc

    column = table.column(place)
    there = column.is_valid()
    if pa.types.is_floating(column.type):
        there = pc.fill_null(pc.is_finite(column), False)
    if empty := len(table) - int(pc.sum(there).as_py() or 0):
        notes.say(f"{counted(empty, 'row')} {'has' if empty == 1 else 'have'} no time; left out")
        return table.filter(there)
    return table


def _typed_time(table: pa.Table, pins: ReadingPins) -> TimeColumn | None:
    """Choose the first column whose type is a time, where nothing is pinned."""
    import pyarrow as pa

    if pins.time_column is not None or pins.time_kind is not None:
        return None
    for is_time in (pa.types.is_timestamp, pa.types.is_duration):
        for j, column in enumerate(table.columns):
            if is_time(column.type) and not _stands_still(column):
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
    rows = column.slice(0, _SAMPLED)
    if _is_text(column):
        return _texts(rows)
    return ["" if cell is None else str(cell) for cell in rows.to_pylist()]


def _texts(column: pa.ChunkedArray) -> list[str]:
    """Return a column's texts, cut where they are longer than any time: kept once, given often."""
    found: list[str] = []
    for chunk in column.chunks:
        kept = ["" if text is None else str(text) for text in _cut(chunk.dictionary)]
        found += ["" if at is None else kept[at] for at in chunk.indices.to_pylist()]
    return found


def _cut(texts: pa.Array) -> list[str | None]:
    import pyarrow.compute as pc

    cut: list[str | None] = pc.utf8_slice_codeunits(texts, 0, _LONGEST_TEXT).to_pylist()
    return [None if text is None else text.strip() for text in cut]


def _is_text(column: pa.ChunkedArray) -> bool:
    import pyarrow as pa

    return bool(pa.types.is_dictionary(column.type))  # as `_table` reads texts


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
    found = str(table.column(j)[row].as_py())[:40]
    return LogError(
        f"{found!r} under {table.column_names[j]!r} in row {row + 1} is no date or time.",
        code="bad-stamp",
        remedy="Store the time as timestamps or seconds.",
        file=file,
    )
