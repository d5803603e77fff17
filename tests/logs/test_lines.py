from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.lines import join_quoted, split


@pytest.mark.parametrize(
    ("line", "delimiter", "cells"),
    [
        ("a, b ,c", ",", ["a", "b", "c"]),
        ('"a, b",c', ",", ["a, b", "c"]),
        ('"say ""hi""",2', ",", ['say "hi"', "2"]),
        ("1,2,", ",", ["1", "2", ""]),
        ("  1   2\t3 ", " ", ["1", "2", "3"]),
        ('"a b"  c', " ", ["a b", "c"]),
        ('5",6', ",", ['5"', "6"]),
        ("", ",", [""]),
        ("\ufefft_s,v", ",", ["t_s", "v"]),
    ],
)
def test_split(line: str, delimiter: str, cells: list[str]) -> None:
    """Cells are cut and stripped; quotes that do not match up are taken as they are."""
    assert split(line, delimiter) == cells


@given(st.lists(st.text(st.characters(min_codepoint=33, max_codepoint=126)), min_size=1))
def test_quoted_cells_come_back(cells: list[str]) -> None:
    """What Python's own csv module writes quoted is cut as it was (an outside check)."""
    stream = io.StringIO()
    csv.writer(stream, quoting=csv.QUOTE_ALL, lineterminator="").writerow(cells)
    assert split(stream.getvalue(), ",") == cells


def test_lines_torn_inside_quotes() -> None:
    """A line end inside quotes is mended, and the line numbers hold."""
    lines = ['"t', '(s)",v', "0,1"]
    assert join_quoted(lines) == ['"t (s)",v', "", "0,1"]
    assert join_quoted(['5",v', "0,1"]) == ['5",v', "0,1"]
