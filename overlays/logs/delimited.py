"""Delimited text with a header line and a time column."""

from __future__ import annotations

import re

import numpy as np

from overlays.errors import LogError
from overlays.model.session import ReadingPins
from overlays.model.trace import Column, Log, Note, Segment

__all__ = ["read_delimited"]

_UNIT = re.compile(r"(.*?)\s*[\[(]([^\[\]()]{1,20})[\])]")
_TIME = re.compile(r"(?i)(t|time|zeit|elapsed)(_?(s|sec|seconds))?")


def read_delimited(data: bytes, *, file: str, pins: ReadingPins) -> Log:
    """Read delimited text in UTF-8 with a decimal point."""
    del pins
    lines = data.decode("utf-8-sig").splitlines()
    delimiter = max(",;\t", key=lines[0].count)
    names, units = zip(*(_name_unit(cell) for cell in lines[0].split(delimiter)), strict=True)
    rows = [line.split(delimiter) for line in lines[1:] if line]
    try:
        table = np.array([[float(cell or "nan") for cell in row] for row in rows])
    except ValueError as error:
        raise LogError(
            f"a cell is not a number: {error}.", code="bad-cell", remedy="Check it.", file=file
        ) from error
    place = next((i for i, name in enumerate(names) if _TIME.fullmatch(name)), 0)
    columns = [Column(n, u, table[:, i]) for i, (n, u) in enumerate(zip(names, units, strict=True))]
    time = columns.pop(place)
    seconds = float(time.values[-1] - time.values[0])
    return Log(
        file=file,
        layout="delimited",
        encoding="utf-8",
        delimiter=delimiter,
        decimal=".",
        header_line=1,
        time_s=time.values,
        columns=tuple(columns),
        segments=(Segment(2, len(rows), seconds),),
        notes=(Note(1, "time taken as seconds"),),
        time=time,
        time_place=place,
    )


def _name_unit(cell: str) -> tuple[str, str | None]:
    match = _UNIT.fullmatch(cell.strip())
    return (match[1], match[2]) if match else (cell.strip(), None)
