from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.rowplan import Part, RowPlan
from overlays.logs.rows import parse_block, parse_blocks

PLAN = RowPlan(",", ".", 3, (0, 1, 2), (), 0, ("t", "a", "b"), (("t", "a", "b"), ("s", "N", "N")))
LINES = st.sampled_from(
    [
        "1,2,3", "1.5,-2e3,", "2,ERR,3", "3,,", ",2,3", "", ",,", "1,2", "1,2,3,4", "1,2,3,",
        "t,a,b", "s,N,N", "# note", "4,inf,1", "5,NaN,---", '"6","7","8"', "\0\0", "+7,8,9",
        "8,1e999,2", " 9 , 1 , 2 ", "10,9.91E37,1", "x,1,2",
    ]
)  # fmt: skip


def joined(parts: list[Part]) -> tuple[list[list[float]], list[int], list[tuple[str, int, str]]]:
    """Return columns, the line of each row, and the events, over all parts."""
    columns: list[list[float]] = [[] for _ in parts[0].numbers]
    lines: list[int] = []
    events: list[tuple[str, int, str]] = []
    start = 0
    for part in parts:
        for column, values in zip(columns, part.numbers, strict=True):
            column.extend(values.tolist())
        count = len(part.numbers[0])
        lines += [start + i for i in (range(count) if part.lines is None else part.lines.tolist())]
        events += [(e.kind, start + e.line, e.message) for e in part.events]
        start += part.line_count
    return columns, lines, events


GROUPED = RowPlan(";", ",", 2, (0, 1), (), 0, ("t", "v"), (("t", "v"),))
GROUPED_LINES = st.sampled_from(
    [
        "0,5;1.013,25", "1;12.345.678", "2;1.5", "3;0.345", "4;1234.567", "5;.345", "6;1.000e3",
        "7;1,5.000", "8;-1.000", "1.000;2", "9;", "t;v", "10;1.000 ", "11;1'000,5",
    ]
)  # fmt: skip


@given(st.lists(LINES, min_size=1, max_size=40), st.integers(0, 60))
def test_at_once_or_line_by_line(lines: list[str], small: int) -> None:
    """A block gives the same rows, lines and events however it is cut and read."""
    same_either_way(lines, small, PLAN)


@given(st.lists(GROUPED_LINES, min_size=1, max_size=10), st.integers(0, 40))
def test_grouped_thousands_either_way(lines: list[str], small: int) -> None:
    """Grouped thousands are the same number however the block is read."""
    same_either_way(lines, small, GROUPED)


CARRIED = RowPlan(",", ".", 2, (0, 1), (), 0, ("t", "v"), (("t", "v"),), units={0: "s", 1: "mV"})
CARRIED_LINES = st.sampled_from(
    ["0 s,1 mV", "1.5s,-2e3mV", "2 s,", "3 s,1.5 V", "4 s,7", "5,1 mV", "6 s,ERR", "t,v", "mV,mV"]
)


@given(st.lists(CARRIED_LINES, min_size=1, max_size=20), st.integers(0, 60))
def test_units_in_cells_either_way(lines: list[str], small: int) -> None:
    """Cells that carry their unit give the same numbers however the block is read."""
    same_either_way(lines, small, CARRIED)


def same_either_way(lines: list[str], small: int, plan: RowPlan) -> None:
    block = ("\n".join(lines) + "\n").encode()
    fast = joined(parse_block(block, plan, small=small))
    slow = joined(parse_block(block, plan, small=1 << 20))
    for a, b in zip(fast[0], slow[0], strict=True):
        np.testing.assert_array_equal(a, b)
    assert fast[1:] == slow[1:]


@given(st.lists(st.tuples(*[st.floats(allow_nan=False, allow_infinity=False)] * 2), min_size=3))
def test_numbers_are_exact(rows: list[tuple[float, float]]) -> None:
    """Every double comes back to the last bit, as Python writes it."""
    plan = RowPlan(";", ",", 2, (0, 1), (), 0, (), ())
    block = "".join(f"{a!r};{b!r}\n" for a, b in rows).replace(".", ",").encode()
    columns, _, _ = joined(parse_block(block, plan, small=0))
    fine = [row for row in rows if max(map(abs, row)) < 1e36]
    got = list(zip(*columns, strict=True))
    assert [row for row in got if np.isfinite(row).all() and max(map(abs, row)) < 1e36] == fine


def test_words_between_spaces() -> None:
    """Runs of spaces separate; a short row is left out, not filled up."""
    plan = RowPlan(" ", ".", 2, (0, 1), (), 0, ("t", "v"), ())
    block = b" 0.0   1.5\n 0.1\t2.5\n 0.2\n 0.3   4.5\n"
    for small in (0, 1 << 20):
        columns, lines, events = joined(parse_block(block, plan, small=small))
        assert columns == [[0.0, 0.1, 0.3], [1.5, 2.5, 4.5]]
        assert (lines, [event[1] for event in events]) == ([0, 1, 3], [2])


@pytest.mark.parametrize("small", [0, 1 << 20])
def test_stamps_in_a_block(small: int) -> None:
    """Columns of stamps are cut at once too; a bad stamp leaves its row out."""
    plan = RowPlan(",", ".", 2, (1,), (0,), None, ("time", "v"), ())
    block = b"10:00:00.0,1\n10:00:00.5,2\nlate,3\n10:00:01.5,4\n"
    parts = parse_block(block, plan, small=small)
    clocks = np.concatenate([part.stamps[0].clock_ns for part in parts])
    assert ((clocks - clocks[0]) / 1e9).tolist() == [0, 0.5, 1.5]
    assert [event.kind for part in parts for event in part.events] == ["lines without a time"]


@pytest.mark.parametrize(
    ("text", "values", "kinds"),
    [
        ("0,1.25,1.25\n1,1.50,1.50\n2,1.75,1.7", [0, 1], ["cut-off lines"]),
        ("0,1.25,1.25\n1,1.50,1.50\n2,1.75,1.75", [0, 1, 2], ["open ends"]),
        ("0,1,1\n1,1,1\n2,1", [0, 1], ["short lines"]),
        ("0,1,1", [0], ["open ends"]),
        ("0,1,1\n", [0], []),
    ],
)
def test_end_of_the_file(text: str, values: list[float], kinds: list[str]) -> None:
    """A last line that was plainly cut is left out; one that may be cut is told."""
    columns, _, events = joined(parse_block(text.encode(), PLAN))
    assert columns[0] == values
    assert [event[0] for event in events] == kinds


def test_blocks_in_order() -> None:
    """Blocks parsed side by side come back in order."""
    blocks = [f"{i},{i},{i}\n".encode() * 50 for i in range(20)]
    columns, lines, _ = joined(list(parse_blocks(iter(blocks), PLAN, small=0)))
    assert columns[0] == [float(i) for i in range(20) for _ in range(50)]
    assert lines == list(range(1000))
