"""Where the data of a delimited log begin, and what its columns are called."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from overlays.errors import LogError
from overlays.logs.cells import is_missing, is_numeric
from overlays.logs.dialect import Shape, is_value
from overlays.logs.fitting import fitted
from overlays.logs.lines import split
from overlays.logs.measures import bare
from overlays.logs.names import ColumnName, column_name, without_series
from overlays.logs.statedrate import StatedRate, find_rate
from overlays.logs.unitwords import are_one_unit, is_time_unit, is_unit, unit_text

__all__ = ["Header", "find_header", "no_rows"]

_SEARCHED = 200
_JUDGED = 40
_RULERS = 2
_LONGEST_NAME = 40
_UNIT_LABELS = {"unit", "units", "einheit", "einheiten", "unité", "unidad", "enhet", "単位"}


@dataclass(frozen=True, slots=True)
class Header:
    """The head of a delimited log.

    Parameters
    ----------
    line : int or None
        Line of the column names, from 1; None where the file has none.
    data_line : int
        Line of the first row of data.
    columns : tuple of ColumnName
        One for each cell of a row.
    repeats : tuple of tuple of str
        Cells of the names and unit lines, to know them again further down.
    has_units : bool
        Whether there is a unit row.
    rate : StatedRate or None
        How fast the logger ran, where the preamble says so.
    skipped : tuple of int
        Lines above the data that were passed over.
    """

    line: int | None
    data_line: int
    columns: tuple[ColumnName, ...]
    repeats: tuple[tuple[str, ...], ...]
    has_units: bool
    rate: StatedRate | None
    skipped: tuple[int, ...]


def find_header(
    lines: Sequence[str],
    shape: Shape,
    *,
    file: str,
    pinned_line: int | None = None,
    carried: Mapping[int, str] = MappingProxyType({}),
) -> Header:
    """Find names, units and the first row of data.

    Parameters
    ----------
    lines : sequence of str
        The file's first lines.
    shape : Shape
        How rows are cut.
    file : str
        For messages.
    pinned_line : int, optional
        The line of the names, where the session says so.
    carried : Mapping[int, str]
        Units that the cells of a column carry.

    Raises
    ------
    LogError
        If no data follow, names and rows do not have the same number of cells, or a heading
        gives another unit than the cells below it.
    """
    start = pinned_line or 0
    cut = [bare(split(line, shape.delimiter), carried) for line in lines[: start + _SEARCHED]]
    first = _first_row(cut, start, shape.cells)
    if first is None:  # a very long preamble
        cut += [bare(split(line, shape.delimiter), carried) for line in lines[start + _SEARCHED :]]
        first = _first_row(cut, start, shape.cells)
    if first is None:
        raise no_rows(lines, shape.delimiter, file)
    above = _text_rows_above(cut, first, shape.cells, start)
    names_at, units_at = _names_and_units(cut, above)
    if pinned_line is not None:
        names_at = pinned_line - 1
        units_at = next((i for i in above if _are_units(cut[i])), None)
    elif (
        names_at is not None and (earlier := _earliest(cut, names_at, first, shape.cells)) != first
    ):
        first = earlier
        names_at, units_at = _names_and_units(cut, _text_rows_above(cut, first, shape.cells, start))
    names = list(cut[names_at]) if names_at is not None else []
    units = list(cut[units_at]) if units_at is not None else []
    rows = [row for row in cut[first : first + 20] if len(row) == shape.cells]
    if names and first - 1 not in (names_at, units_at):
        names = _time_below(cut[first - 1], names)
    line = (names_at or 0) + 1
    names = fitted(names, rows, shape, text=lines[line - 1], line=line, file=file)
    columns = without_series(
        [
            _column(name, _unit_of(units, i), carried.get(i), file=file, line=line)
            for i, name in enumerate(names)
        ]
    )
    used = {first, names_at, units_at}
    return Header(
        line=None if names_at is None else names_at + 1,
        data_line=first + 1,
        columns=columns,
        repeats=tuple(tuple(cut[i]) for i in (names_at, units_at) if i is not None),
        has_units=units_at is not None,
        rate=find_rate(lines[:first]),
        skipped=tuple(i + 1 for i in range(first) if i not in used and any(cut[i])),
    )


def _column(
    name: str, unit: str | None, carried: str | None, *, file: str, line: int
) -> ColumnName:
    """Understand a heading, whose cells may carry a unit of their own.

    Raises
    ------
    LogError
        If the two are units of different sizes.
    """
    stated = column_name(name, unit=unit)
    if carried is None:
        return stated
    measured = column_name(name, unit=unit_text(carried))
    if stated.unit is not None and not are_one_unit(stated.unit, measured.unit or ""):
        raise LogError(
            f"the heading {stated.written!r} gives the unit {stated.unit!r}, and its cells carry "
            f"{carried!r}.",
            code="two-units",
            remedy="Correct one of them in a copy of the log.",
            file=file,
            line=line,
        )
    return measured


def _unit_of(units: Sequence[str], place: int) -> str | None:
    if place >= len(units) or units[place].lower() in _UNIT_LABELS:
        return None
    return unit_text(units[place])


def _time_below(row: Sequence[str], names: list[str]) -> list[str]:
    """Take the name of the time from a line of its own, below names that begin with a label."""
    there = [cell for cell in row if cell]
    if len(there) != 1 or len(names) < 2 or not column_name(there[0]).named_time:
        return names
    return names if _names_time(names) else [there[0], *names[1:]]


def _first_row(cut: Sequence[list[str]], start: int, cells: int) -> int | None:
    """Find the first line of the usual length that holds values in all its cells."""
    texts = _text_cells(cut, cells)
    there = [i for i in range(start, len(cut)) if len(cut[i]) == cells and any(cut[i])]
    first = None
    for k, i in enumerate(there):
        following = there[k + 1] if k + 1 < len(there) else None
        if _value_share(cut[i], texts) < 1.0:
            continue
        first = i if first is None else first
        # A line of a preamble can look like a row, but names follow it then.
        if following is None or _value_share(cut[following], texts) >= 0.5:
            first = i
            break
    if first is None:
        return None
    # Rows with an unreadable cell may come before: they begin with a value, as names do not.
    leftmost = next(j for j in range(cells) if j not in texts)
    filled = [j for j, cell in enumerate(cut[first]) if cell]
    for i in reversed(there[: there.index(first)]):
        begins = is_value(cut[i][leftmost]) and _value_share(cut[i], texts) >= 0.5
        # Lines of a preamble may stand beside the data; names have no fractions among them.
        beside = len(filled) > 1 and all(_is_fraction(cut[i][j]) for j in filled)
        if not (begins or beside):
            break
        first = i
    return first


def _is_fraction(cell: str) -> bool:
    return is_numeric(cell) and ("." in cell or "," in cell)


def _value_share(row: Sequence[str], texts: set[int]) -> float:
    """Return the share of values among the cells that should hold some; 0 where there are none."""
    judged = [cell for j, cell in enumerate(row) if j not in texts and not is_missing(cell)]
    return sum(map(is_value, judged)) / len(judged) if judged else 0.0


def _earliest(cut: Sequence[list[str]], names_at: int, first: int, cells: int) -> int:
    """Go back to where the same names stood first: a logger may have restarted after a row."""
    names = {cell for cell in cut[names_at] if cell}
    alike = (i for i in range(names_at) if len(names.intersection(cut[i])) >= min(2, len(names)))
    same = next(alike, names_at)
    if same == names_at:
        return first
    texts = _text_cells(cut, cells)
    rows = (i for i in range(same + 1, first) if len(cut[i]) == cells)
    return next((i for i in rows if _value_share(cut[i], texts) == 1.0), first)


def _text_cells(cut: Sequence[list[str]], cells: int) -> set[int]:
    """Find the columns that hold words in most of the rows."""
    rows = [row for row in cut if len(row) == cells]
    rows = rows[len(rows) // 2 :][-_JUDGED:]
    texts = set()
    for j in range(cells):
        there = [row[j] for row in rows if not is_missing(row[j])]
        if there and sum(map(is_value, there)) * 2 < len(there):
            texts.add(j)
    return texts if len(texts) < cells else set()


def _text_rows_above(cut: Sequence[list[str]], first: int, cells: int, start: int) -> list[int]:
    """List the lines directly above the data that could be names or units, blank ones aside."""
    found: list[int] = []
    rulers = 0
    for i in range(first - 1, start - 1, -1):
        row = cut[i]
        if not any(row):
            continue
        # Across a ruler, a remark or a cut-off row, only a line of as many cells can be the names.
        fewest = cells if rulers else max(2, cells - 2)
        if (len(row) < fewest and cells > 1) or _value_share(row, set()) == 1.0:
            rulers += 1
            if found or rulers > _RULERS:
                break
            continue
        found.insert(0, i)
        if len(found) == 3:
            break
    return found


def _names_and_units(
    cut: Sequence[list[str]], above: Sequence[int]
) -> tuple[int | None, int | None]:
    """Tell names from units; above the units there must be names for all of them."""
    if len(above) > 1 and _in_brackets(cut[above[-2]]) and not _in_brackets(cut[above[-1]]):
        further = len(above) > 2 and _names_time(cut[above[-3]])
        if _names_time(cut[above[-1]]) or not further:
            return above[-1], above[-2]  # the units stand above the names
    for k in range(len(above) - 1, 0, -1):
        names, units = cut[above[k - 1]], cut[above[k]]
        if _are_units(units) and sum(map(bool, names)) >= sum(map(bool, units)):
            return _of_two(cut, above[:k]), above[k]
    return (_of_two(cut, above), None) if above else (None, None)


def _of_two(cut: Sequence[list[str]], above: Sequence[int]) -> int:
    """Choose the nearest line of names, or the one above it where only that names the time."""
    if len(above) > 1 and not _names_time(cut[above[-1]]):
        further = cut[above[-2]]
        if _names_time(further) and sum(map(bool, further)) >= sum(map(bool, cut[above[-1]])):
            return above[-2]
    return above[-1]


def _names_time(row: Sequence[str]) -> bool:
    return any(column_name(cell).named_time for cell in row if cell)


def _in_brackets(row: Sequence[str]) -> bool:
    there = [cell for cell in row if cell]
    return bool(there) and all(cell[0] in "[({（" and cell[-1] in "])}）" for cell in there)


def _are_units(row: Sequence[str]) -> bool:
    """Say whether a row holds units: all in brackets, or most known, the time's among them.

    Names can be units too (t, m, V), so a unit of time must be there, or nothing where the time
    is written as dates.
    """
    there = [cell for cell in row if cell]
    if not there:
        return False
    if _in_brackets(row):
        return True
    if row[0].lower() in _UNIT_LABELS and len(there) > 1:
        return sum(map(is_unit, there[1:])) * 2 >= len(there) - 1
    timed = any(map(is_time_unit, there)) or not row[0] or row[0] == "-"
    return timed and sum(map(is_unit, there)) * 2 >= len(there)


def no_rows(lines: Sequence[str], delimiter: str | None, file: str) -> LogError:
    """Say that a file has no rows of data, and which columns it names, if it does."""
    cut = (
        split(line, mark)
        for line in lines[:_SEARCHED]
        for mark in (delimiter or "\t;|,")
        if mark in line
    )
    # Lines of a preamble have fewer cells than the names, and the units stand below those.
    rows = [row for row in cut if sum(map(bool, row)) > 1]
    names = max(rows, key=lambda row: sum(map(bool, row)), default=[])
    there = [line.strip() for line in lines[:_SEARCHED] if line.strip()]
    if not names and len(there) == 1 and len(there[0]) < _LONGEST_NAME:
        names = [there[0].strip("\ufeff\"' ")]
    listed = ", ".join(repr(name) for name in names[:20] if name)
    found = f"column{'s' if len(names) > 1 else ''} {listed}, but no data rows"
    return LogError(
        f"{found if names else 'no data rows: no rows of numbers were found'}.",
        code="no-data-rows",
        remedy="A log is lines of numbers under a line of names; check what the logger wrote.",
        file=file,
    )
