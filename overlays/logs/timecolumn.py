"""Which column of a log is the time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from overlays.errors import LogError
from overlays.logs.cells import is_missing, is_numeric, number
from overlays.logs.names import ColumnName, called, time_word
from overlays.logs.stamps import are_dotted_clocks, is_stamp
from overlays.logs.unitwords import TIME_UNIT, TIME_UNITS
from overlays.model.session import ReadingPins

__all__ = ["CellKind", "TimeColumn", "cell_kind", "choose_time"]

CellKind = Literal["number", "date", "clock", "date and clock", "words", "nothing"]
_SHARE = 0.9


@dataclass(frozen=True, slots=True)
class TimeColumn:
    """Where the time stands.

    Parameters
    ----------
    places : tuple of int
        The column, or a date and a time-of-day column; empty where rows are only counted.
    why : str
        What was concluded, for the reading note; empty where it is plain.
    others : tuple of int
        Further clocks, each for the columns up to the next one.
    millis : int or None
        A column with the milliseconds of the time of day.
    """

    places: tuple[int, ...]
    why: str
    others: tuple[int, ...] = ()
    millis: int | None = None


def cell_kind(cells: Sequence[str]) -> CellKind:
    """Say what most of a column's stripped cells hold."""
    there = [cell for cell in cells if not is_missing(cell)]
    if not there:
        return "nothing"
    if sum(map(is_numeric, there)) * 2 >= len(there):
        return "number"
    stamps = [cell for cell in there if is_stamp(cell)]
    if len(stamps) * 2 < len(there):
        return "words"
    if are_dotted_clocks(stamps):
        return "clock"
    clocks = sum(":" in cell or "T" in cell for cell in stamps) * 2 >= len(stamps)
    dates = sum(_has_date(cell) for cell in stamps) * 2 >= len(stamps)
    return "date and clock" if clocks and dates else "clock" if clocks else "date"


def _has_date(cell: str) -> bool:
    marked = ":" not in cell[:4] and any(mark in cell[:8] for mark in "-/.T")
    return marked or cell[:8].isdigit()


def choose_time(
    columns: Sequence[ColumnName],
    cells: Sequence[Sequence[str]],
    decimal: str,
    pins: ReadingPins,
    *,
    stated_rate: bool = False,
    file: str,
    line: int | None,
) -> TimeColumn:
    """Choose the time column by names, units and what the cells hold.

    Parameters
    ----------
    columns : sequence of ColumnName
        All columns.
    cells : sequence of sequence of str
        A sample of stripped cells of each column.
    decimal : str
        The decimal mark.
    pins : ReadingPins
        ``time_column`` and ``time_kind`` are heeded.
    stated_rate : bool
        Whether the file says how fast the logger ran, so that rows can be counted.
    file, line
        For messages.

    Raises
    ------
    LogError
        If a pinned column is not there, or no column can be the time.
    """
    if pins.time_kind == "row number":
        return TimeColumn((), "")
    kinds = [cell_kind(column) for column in cells]
    if pins.time_column is not None:
        return TimeColumn((_pinned(columns, pins.time_column, file, line),), "")
    if (chosen := _by_cells(columns, cells, kinds, decimal)) is not None:
        return chosen
    if (
        chosen := _unnamed(columns, cells, kinds, decimal, counts=pins.rate is not None)
    ) is not None:
        return chosen
    if stated_rate:
        return TimeColumn((), "no column holds the time; rows are counted")
    names = ", ".join(map(repr, called(columns)[:20]))
    none = (
        f"column {names} does not tell"
        if len(columns) == 1
        else f"none of the columns ({names}) tells"
    )
    raise LogError(
        f"{none} the time.",
        code="no-time-column",
        remedy='Say which does with time_column = "…" under [reading] in session.toml, or how '
        'fast the logger ran with time_kind = "row number" and rate = "100 Hz".',
        file=file,
        line=line,
    )


def _by_cells(
    columns: Sequence[ColumnName],
    cells: Sequence[Sequence[str]],
    kinds: Sequence[CellKind],
    decimal: str,
) -> TimeColumn | None:
    """Choose among columns that are named as a time, or hold dates or times of day."""
    named = [j for j, column in enumerate(columns) if column.named_time]
    rising = [j for j, kind in enumerate(kinds) if kind == "number" and _rises(cells[j], decimal)]
    whole = [j for j, kind in enumerate(kinds) if kind == "date and clock"]
    dates = [j for j, kind in enumerate(kinds) if kind == "date"]
    clocks = [j for j, kind in enumerate(kinds) if kind == "clock"]
    millis = _millis(columns, cells, kinds, decimal)
    exact = [j for j in named if j in rising and columns[j].unit and j != millis]
    beside = "" if millis is None else f"milliseconds stand in {called(columns)[millis]!r}"
    if dates and clocks and not (exact or whole):
        why = "date and time of day stand in two columns"
        places = (dates[0], clocks[0])
        return TimeColumn(places, f"{why}, {beside}" if beside else why, millis=millis)
    if (whole or clocks) and not exact and millis is not None:
        return TimeColumn(((whole or clocks)[0],), beside, millis=millis)
    if len(clocks_of_their_own := _own_clocks(columns, rising, cells, decimal)) > 1:
        first, *others = clocks_of_their_own
        return TimeColumn((first,), "", tuple(others))
    for found in (exact, whole, clocks, [j for j in named if j in rising], dates):
        if found:
            return TimeColumn((found[0],), "")
    return None


def _millis(
    columns: Sequence[ColumnName],
    cells: Sequence[Sequence[str]],
    kinds: Sequence[CellKind],
    decimal: str,
) -> int | None:
    """Find a column of whole milliseconds beside a clock that has whole seconds."""
    clocks = [j for j, kind in enumerate(kinds) if kind in {"clock", "date and clock"}]
    if not clocks or any("." in cell[-4:] or "," in cell[-4:] for cell in cells[clocks[0]]):
        return None
    for j, column in enumerate(columns):
        if kinds[j] != "number" or TIME_UNIT.get(column.name.lower()) != "ms":
            continue
        values = [value for cell in cells[j] if (value := number(cell, decimal)) is not None]
        if values and all(0 <= value < 1000 and value == int(value) for value in values):
            return j
    return None


def _own_clocks(
    columns: Sequence[ColumnName],
    rising: Sequence[int],
    cells: Sequence[Sequence[str]],
    decimal: str,
) -> list[int]:
    """Find clocks that alternate with channels, from the first column on, and run differently.

    They are named alike but for what tells them apart: ``Time 1`` and ``Time 2``, ``t_F`` and
    ``t_p`` in seconds.
    """
    word = time_word(columns[0].name)
    clocks = [
        j
        for j in rising
        if (columns[j].named_time or columns[j].unit in TIME_UNITS)
        and word is not None
        and time_word(columns[j].name) == word
    ]
    if not clocks or clocks[0] != 0 or 1 in {b - a for a, b in pairwise([*clocks, len(cells)])}:
        return []
    first = [number(cell, decimal) for cell in cells[0]]
    for j in clocks[1:]:
        values = [number(cell, decimal) for cell in cells[j]]
        apart = {
            "gap" if a is None or b is None or math.isnan(a - b) else f"{a - b:.6g}"
            for a, b in zip(first, values, strict=True)
        }
        if len(apart) == 1:  # the same clock once more
            return []
    return clocks


def _unnamed(
    columns: Sequence[ColumnName],
    cells: Sequence[Sequence[str]],
    kinds: Sequence[CellKind],
    decimal: str,
    *,
    counts: bool,
) -> TimeColumn | None:
    """Choose where no column is named as a time and none holds stamps."""
    numbers = [j for j, kind in enumerate(kinds) if kind == "number"]
    rising = [j for j in numbers if _rises(cells[j], decimal)]
    first = numbers[0] if numbers else -1
    if first in rising and (columns[first].unit in {"s", "ms", "us", "ns", "min", "h", "day"}):
        return TimeColumn((first,), f"{called(columns)[first]!r} is taken as the time")
    if counts or any(columns[j].named_row for j in rising):
        return TimeColumn((), "no column holds the time; rows are counted")
    # Lines of a preamble may stand beside the data, so columns with few cells are passed over.
    first = next((j for j in numbers if columns[j].written or _is_filled(cells[j])), -1)
    if first in rising and not columns[first].written and len(numbers) > 1:
        name = called(columns)[first]
        why = f"{name!r}, which has no name in the file, is taken as the time"
        return TimeColumn((first,), f'{why} (time_column = "{name}" says so)')
    # A clock that was reset over and over hardly rises; its name still tells, and what is wrong
    # with it is said where its rows are put in order.
    if named := [j for j in numbers if columns[j].named_time]:
        return TimeColumn((named[0],), "")
    return None


def _is_filled(cells: Sequence[str]) -> bool:
    """Say whether a column has something in nine of ten rows."""
    return sum(not is_missing(cell) for cell in cells) >= _SHARE * len(cells)


def _pinned(columns: Sequence[ColumnName], name: str, file: str, line: int | None) -> int:
    names_of = called(columns)
    if name in names_of:
        return names_of.index(name)
    for j, column in enumerate(columns):
        if name in {column.name, column.written}:
            return j
    names = ", ".join(map(repr, names_of[:20]))
    raise LogError(
        f"there is no column {name!r} to tell the time; the log has {names}.",
        code="no-such-column",
        remedy="Correct time_column under [reading] in session.toml.",
        file=file,
        line=line,
    )


def _rises(cells: Sequence[str], decimal: str) -> bool:
    """Say whether the numbers of a sample go up, but for a few."""
    values = [value for cell in cells if (value := number(cell, decimal)) is not None]
    values = [value for value in values if not math.isnan(value)]
    steps = [b - a for a, b in pairwise(values)]
    if not steps:
        return bool(values)
    ups = sum(step > 0 for step in steps)
    stills = sum(step == 0 for step in steps)
    # Coarse clocks stand still for some rows; what only stands still is no clock.
    return ups > 0 and ups + stills >= _SHARE * len(steps) - 1
