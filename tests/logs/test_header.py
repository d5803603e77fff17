from __future__ import annotations

import pytest

from overlays.errors import LogError
from overlays.logs.dialect import Shape
from overlays.logs.header import Header, find_header, no_rows


def header(text: str, cells: int, delimiter: str = ",", pinned: int | None = None) -> Header:
    shape = Shape(delimiter, cells)
    return find_header(text.split("\n"), shape, file="a.csv", pinned_line=pinned)


@pytest.mark.parametrize(
    ("text", "cells", "line", "data_line", "units"),
    [
        ("t,v\n0,1\n1,2", 2, 1, 2, False),
        ("a log\n\nt,v\ns,N\n,\n0,1\n1,2", 2, 3, 6, True),
        ("0,1\n1,2", 2, None, 1, False),
        ("t,m,V\ns,kg,V\n0,1,2\n1,2,3", 3, 1, 3, True),
        ("2026-04-02,10:15,12\nt,a,b\n0,1,2\n1,2,3", 3, 2, 3, False),
        ("t,v\n0,1\nt,v\n1,2\n2,3", 2, 1, 2, False),
        ("t,state\n0,RUN\n1,RUN\n2,STOP", 2, 1, 2, False),
        ("t,v\n0,ERR\n1,ERR\n2,3\n3,4", 2, 1, 2, False),
    ],
)
def test_found(text: str, cells: int, line: int | None, data_line: int, *, units: bool) -> None:
    """Names stand above the first row of data, with units between them or not."""
    found = header(text, cells)
    assert (found.line, found.data_line, found.has_units) == (line, data_line, units)


def test_rate_and_skipped_lines() -> None:
    """A preamble may state the rate; its lines are passed over."""
    found = header("logger 7\nSample rate = 2,5 kHz\nt,v\n0,1\n1,2", 2)
    assert found.rate is not None
    assert found.rate.hz(",") == 2500.0
    assert found.skipped == (1, 2)


def test_pinned_line() -> None:
    """A pinned line of names is taken as it is."""
    found = header("a,b\nx,y\n0,1\n1,2", 2, pinned=1)
    assert [column.name for column in found.columns] == ["a", "b"]
    assert header("a,b\nx,y\n0,1\n1,2", 2).line == 2


@pytest.mark.parametrize(
    ("text", "cells", "names"),
    [
        ("a,b\n1,2,\n3,4,", 3, ["a", "b", ""]),
        ("a,b,,\n1,2\n3,4", 2, ["a", "b"]),
        ("a,b\n1,0.5,7\n2,0.6,8\n3,0.7,9", 3, ["", "a", "b"]),
    ],
)
def test_names_are_fitted(text: str, cells: int, names: list[str]) -> None:
    """Trailing delimiters and numbered rows do not shift the names."""
    assert [column.name for column in header(text, cells).columns] == names


def test_date_and_time_parted_by_a_space() -> None:
    """Between spaces a date and a time of day are two cells under one name."""
    text = "when v\n2025-03-11 10:00:00 1\n2025-03-11 10:00:01 2"
    assert [column.name for column in header(text, 3, " ").columns][1:] == [
        "when (time of day)",
        "v",
    ]


@pytest.mark.parametrize(
    ("text", "cells", "code"),
    [
        ("a,b\n1,2,3,4\n5,6,7,8", 4, "names-do-not-fit"),
        ("a,b\nc,d", 2, "no-data-rows"),
    ],
)
def test_refused(text: str, cells: int, code: str) -> None:
    """Names that do not fit, and names without rows, are errors."""
    with pytest.raises(LogError) as caught:
        header(text, cells)
    assert caught.value.code == code


def test_no_rows_names_the_columns() -> None:
    """A header alone is told with its columns."""
    assert "'t', 'v', but no data rows" in no_rows(["t;v"], None, "a.csv").message
    assert "no rows of numbers" in no_rows(["nothing", "here"], None, "a.csv").message
