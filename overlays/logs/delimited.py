"""Delimited text: encoding, delimiter, decimal mark, header and time are found out by looking."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from overlays.errors import LogError
from overlays.logs.dialect import (
    DELIMITER_WORDS,
    Shape,
    decide_decimal,
    find_shape,
    votes_of,
)
from overlays.logs.gather import gather_rows
from overlays.logs.header import Header, find_header, no_rows
from overlays.logs.lines import join_quoted, split
from overlays.logs.measures import bare, units_in
from overlays.logs.names import called
from overlays.logs.notes import NoteBook
from overlays.logs.paired import paired_table
from overlays.logs.rowplan import RowPlan
from overlays.logs.source import LineSource, TextLines, open_text
from overlays.logs.table import Table, log_of
from overlays.logs.timecolumn import CellKind, TimeColumn, cell_kind, choose_time
from overlays.model.session import ReadingPins
from overlays.model.trace import Log

__all__ = ["MOST_COLUMNS", "read_cells", "read_delimited"]

_SEP_LINE = re.compile(r"(?i)sep=(.)")
MOST_COLUMNS = 5000
_FOR_SHAPE = 60
_FOR_CELLS = 180
_STAMPS = ("date", "clock", "date and clock")
_NUMBERS = ("number", "nothing")


def read_delimited(path: Path, *, file: str, head: bytes, pins: ReadingPins) -> Log:
    """Read delimited text with a time column.

    Parameters
    ----------
    path : Path
        The file.
    file : str
        Its name as the user knows it.
    head : bytes
        Its first 256 KiB, or all of it.
    pins : ReadingPins
        What need not be found out.

    Raises
    ------
    LogError
        If this is no log, or it can be read in two ways that give different numbers.
    """
    notes = NoteBook()
    source = open_text(path, file=file, head=head, encoding=pins.encoding)
    layout = _look(source, pins)
    mark = ", by its byte-order mark" if source.mark else ""
    guess = ", concluded from its bytes" if source.guessed else ""
    notes.say(f"encoding {source.encoding}{', as pinned' if pins.encoding else mark or guess}")
    delimiter = layout.shape.delimiter
    notes.say(f"cells separated by {DELIMITER_WORDS.get(delimiter, repr(delimiter))}")
    notes.say(f"decimal {'point' if layout.decimal == '.' else 'comma'}")
    table = replace(
        _table(source, layout, "delimited", pins, notes),
        encoding=source.encoding,
        delimiter=delimiter,
        decimal=layout.decimal,
    )
    return log_of(table, pins, notes, file=file)


def read_cells(lines: TextLines, pins: ReadingPins, notes: NoteBook, *, layout: str) -> Log:
    """Read a table that another layout's reader wrote down as lines of cells between tabs.

    Parameters
    ----------
    lines : TextLines
        The cells; numbers with a decimal point, dates as ISO 8601.
    pins : ReadingPins
        What need not be found out.
    notes : NoteBook
        With what the reader noted.
    layout : str
        The layout's name.

    Raises
    ------
    LogError
        As `read_delimited`.
    """
    found = _look(lines, pins.model_copy(update={"delimiter": "\t"}))
    return log_of(_table(lines, found, layout, pins, notes), pins, notes, file=lines.file)


def _table(
    source: LineSource, layout: _Layout, name: str, pins: ReadingPins, notes: NoteBook
) -> Table:
    _say(layout, notes)
    rows = gather_rows(source, layout.plan, layout.header.data_line, notes)
    if layout.time.others:
        return paired_table(
            layout.header.columns,
            rows.numbers,
            layout.time,
            pins,
            notes,
            file=source.file,
            line=layout.header.line,
            data_line=layout.header.data_line,
        )
    return Table(
        layout=name,
        columns=layout.header.columns,
        time=layout.time,
        numbers=rows.numbers,
        stamps=rows.stamps,
        n=rows.n,
        line_of=rows.line_of,
        breaks=rows.breaks,
        rate_hz=layout.rate_hz,
        header_line=layout.header.line,
    )


@dataclass(frozen=True, slots=True)
class _Layout:
    """What was found out about a file by looking at parts of it."""

    shape: Shape
    decimal: str
    header: Header
    time: TimeColumn
    kinds: tuple[CellKind, ...]
    units: Mapping[int, str]

    @property
    def plan(self) -> RowPlan:
        """How the rows are to be read."""
        stamps = tuple(j for j in self.time.places if self.kinds[j] in _STAMPS)
        numbers = tuple(j for j, kind in enumerate(self.kinds) if kind in _NUMBERS)
        required = next((j for j in self.time.places if j in numbers), None)
        if self.time.others:  # a row may lack the time of one clock and have another's
            required = None
        repeats = self.header.repeats
        return RowPlan(
            self.shape.delimiter,
            self.decimal,
            self.shape.cells,
            numbers,
            stamps,
            required,
            repeats[0] if repeats else (),
            repeats,
            tuple(called(self.header.columns)),
            self.units,
        )

    @property
    def rate_hz(self) -> float | None:
        """The sampling rate that the preamble states."""
        return self.header.rate.hz(self.decimal) if self.header.rate else None


def _look(source: LineSource, pins: ReadingPins) -> _Layout:
    lines = join_quoted(source.head())
    told = next((m[1] for line in lines[:3] if (m := _SEP_LINE.fullmatch(line.strip()))), None)
    more = source.sample()
    sample = [line for line in _thinned([*lines, *more], _FOR_SHAPE) if "\0" not in line]
    delimiters = pins.delimiter or told
    shape = find_shape(sample, tuple(delimiters)) if delimiters else find_shape(sample)
    if shape is None:  # a preamble far longer than the rows after it
        shape = find_shape([line for line in lines if line])
    if shape is None:
        raise no_rows(lines, delimiters, source.file)
    if shape.cells > MOST_COLUMNS:
        raise LogError(
            f"the log has {shape.cells} columns.",
            code="log-too-large",
            remedy=f"Keep to the channels that are needed, at most {MOST_COLUMNS}.",
            file=source.file,
        )
    units = units_in(_rows(sample, shape), shape.cells)
    header = find_header(
        lines, shape, file=source.file, pinned_line=pins.header_line, carried=units
    )
    below = _thinned([*lines[header.data_line - 1 :], *more], _FOR_CELLS)
    rows = [bare(cells, units) for cells in _rows(below, shape)]
    decimal = pins.decimal or _decimal(source, rows, shape, units)
    columns = [[row[j] for row in rows] for j in range(shape.cells)]
    stated = header.rate is not None and header.rate.hz(decimal) is not None
    time = choose_time(
        header.columns,
        columns,
        decimal,
        pins,
        stated_rate=stated,
        file=source.file,
        line=header.line,
    )
    kinds = tuple(map(cell_kind, columns))
    return _Layout(shape, decimal, header, time, kinds, units)


def _rows(lines: Sequence[str], shape: Shape) -> list[list[str]]:
    cut = (split(line, shape.delimiter) for line in lines)
    return [cells for cells in cut if len(cells) == shape.cells]


def _thinned(lines: Sequence[str], most: int) -> list[str]:
    """Take up to `most` lines: the first third from the beginning, the others spread evenly."""
    near, rest = lines[: most // 3], lines[most // 3 :]
    return [*near, *rest[:: -(-len(rest) // (most - most // 3)) or 1]]


def _decimal(
    source: LineSource, rows: Sequence[Sequence[str]], shape: Shape, units: Mapping[int, str]
) -> str:
    """Decide the decimal mark by the sample, or where that is unclear, by the whole file."""
    votes = votes_of(rows)
    if not votes.point and not votes.comma and (votes.unclear_point or votes.unclear_comma):
        for block in source.blocks():
            lines = block.decode("utf-8", "replace").splitlines()
            cut = (split(line, shape.delimiter) for line in lines if "\0" not in line)
            more = votes_of(bare(cells, units) for cells in cut)
            if more.point or more.comma:
                votes = more
                break
    return decide_decimal(votes, shape.delimiter, file=source.file)


def _say(layout: _Layout, notes: NoteBook) -> None:
    """Write down what was assumed of the header and the columns."""
    header = layout.header
    if header.line is None:
        more = f" to 'column {len(header.columns)}'" if len(header.columns) > 1 else ""
        notes.say(f"no line of column names; the columns are called 'column 1'{more}")
    else:
        notes.say("column names", line=header.line)
    if header.has_units:
        notes.say("a row of units follows the names", line=header.line)
    if header.skipped:
        first, last = header.skipped[0], header.skipped[-1]
        if first == last:
            notes.say("passed over", line=first)
        else:
            notes.say(f"lines {first} to {last}, above the data, passed over")
    extra = len(header.repeats[0]) - len(header.columns) if header.repeats else 0
    if extra > 0 and not header.repeats[0][-1]:
        many = "a delimiter" if extra == 1 else f"{extra} delimiters"
        notes.say(f"the names end in {many} more than the rows; left out", line=header.line)
    for j, unit in layout.units.items():
        name = called(header.columns)[j]
        notes.say(f"the cells of {name!r} carry their unit: {unit}", line=header.line)
    _say_units(header, notes)
    for j, kind in enumerate(layout.kinds):
        if kind not in _NUMBERS and j not in layout.time.places:
            name = called(header.columns)[j]
            what = "words" if kind == "words" else "dates or times"
            notes.say(f"column {name!r} holds {what}; left out", line=header.line)


def _say_units(header: Header, notes: NoteBook) -> None:
    """Write down which units were found elsewhere than in brackets."""
    for column in header.columns:
        if column.last_word and not column.named_time:
            said = f"unit of {column.name!r} taken from its last word: {column.unit}"
            notes.say(said, line=header.line)
        elif column.unit and column.unit not in column.written:
            notes.say(f"unit of {column.name!r} is {column.unit}", line=header.line)
