from __future__ import annotations

import numpy as np
import pytest

from overlays.logs.rowlines import by_line
from overlays.logs.rowplan import RowPlan

PLAN = RowPlan(",", ".", 3, (0, 1), (), 0, ("t", "a", "word"), (("t", "a", "word"), ("s", "N", "")))


@pytest.mark.parametrize(
    ("line", "kind", "words"),
    [
        ("1,2", "short lines", "'1,2' has 2 of 3 cells"),
        ("1,2,x,y", "long lines", "has 4 of 3 cells"),
        ("1,\0,x", "lines with NUL bytes", "NUL"),
        ("t,a,word", "repeated headers", "repeats the header"),
        ("a,t,word", "changed headers", "a, t, word"),
        ("late,2,x", "lines without a time", "'late,2,x' has no time"),
        (f"{'x' * 90}", "short lines", "…"),
    ],
)
def test_lines_that_are_no_rows(line: str, kind: str, words: str) -> None:
    """Each line left out has its own reason."""
    part = by_line(f"0,1,x\n{line}\n9,9,x\n".encode(), PLAN)
    assert part.numbers[0].tolist() == [0, 9]
    assert [(event.kind, event.line) for event in part.events] == [(kind, 1)]
    assert words in part.events[0].message


def test_cells_that_are_no_numbers() -> None:
    """A row with an unreadable cell stays, the cell being a gap."""
    part = by_line(b"0,ERR,x\n1,,x\n2,3,\n", PLAN)
    np.testing.assert_array_equal(part.numbers[1], [np.nan, np.nan, 3])
    assert [event.message for event in part.events] == [
        "has 'ERR' under 'a', which is no number; kept as a gap"
    ]


@pytest.mark.parametrize("line", ["", "   ", ",,", ",,,,", "s,N", "s,N,,"])
def test_lines_passed_over_in_silence(line: str) -> None:
    """Blank lines and repeated units need no word."""
    part = by_line(f"0,1,x\n{line}\n".encode(), PLAN)
    assert (len(part.numbers[0]), part.events) == (1, [])


def test_breaks_count_rows() -> None:
    """A repeated header begins a segment before the next row that is kept."""
    part = by_line(b"0,1,x\n,1,x\nt,a,word\n1,2,x\n", PLAN)
    assert part.breaks == [1]
    assert part.lines is not None
    assert part.lines.tolist() == [0, 3]
