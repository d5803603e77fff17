from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from overlays.logs.rowblocks import at_once, sifted, worded
from overlays.logs.rowplan import RowPlan

PLAN = RowPlan(",", ".", 2, (0, 1), (), 0, ("t", "v"), (("t", "v"),))
COMMA = RowPlan(";", ",", 2, (0, 1), (), 0, ("t", "v"), (("t", "v"),))
SPACES = RowPlan(" ", ".", 2, (0, 1), (), 0, ("t", "v"), (("t", "v"),))


def test_pandas_as_a_second_opinion(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A clean block gives what pandas reads, to the last bit."""
    path = tmp_path_factory.mktemp("block") / "a.csv"
    values = np.random.default_rng(0).normal(0, 1e3, 500)
    path.write_text("".join(f"{i / 7!r},{v!r}\n" for i, v in enumerate(values.tolist())))
    part = at_once(path.read_bytes(), PLAN)
    frame = pd.read_csv(path, header=None)
    assert part is not None
    for place in (0, 1):
        np.testing.assert_array_equal(part.numbers[place], frame[place].to_numpy())


@pytest.mark.parametrize(
    ("block", "plan", "values"),
    [
        (b"0,\n1,2\n", PLAN, [np.nan, 2]),
        (b"0;1,5\n1;2,5e-1\n", COMMA, [1.5, 0.25]),
        (b"0;1.013,25\n1;12.345.678\n", COMMA, [1013.25, 12345678]),
        (b"  0   1.5\n  1\t-2\n", SPACES, [1.5, -2]),
        (b'"0","1.5"\r\n"1","2.5"\r\n', PLAN, [1.5, 2.5]),
    ],
)
def test_clean_blocks(block: bytes, plan: RowPlan, values: list[float]) -> None:
    """Gaps, decimal commas, grouped thousands, spaces and quotes are nothing special."""
    part = at_once(block, plan)
    assert part is not None
    np.testing.assert_array_equal(part.numbers[1], values)


@pytest.mark.parametrize(
    ("block", "plan"),
    [
        (b"0,1\n\0\0\n", PLAN),
        (b"0,1\n2\n", PLAN),
        (b"0,1\n,2\n", PLAN),
        (b"0,1\n1,inf\n", PLAN),
        (b"0,1\n1,9.91E37\n", PLAN),
        (b"0,1\n1,ERR\n", PLAN),
        (b"t,v\n0,1\n", PLAN),
        (b'0,1\n1,"2\n3"\n', PLAN),
        (b"0;1.5\n", COMMA),
        (b"0;0.345\n", COMMA),
        (b"0;1,5.000\n", COMMA),
        (b"0 1\n1\n", SPACES),
        (b"0 1\n\n1 2\n", SPACES),
    ],
)
def test_blocks_to_be_looked_at(block: bytes, plan: RowPlan) -> None:
    """Anything that somebody should be told makes a block go line by line."""
    assert at_once(block, plan) is None


def test_sifted() -> None:
    """A few bad lines are set aside, and told, while the others are read at once."""
    part = sifted(b"0,1\n\0\0\nt,v\n1,2\n2\n\n3,4\n", PLAN)
    assert part is not None
    assert part.numbers[1].tolist() == [1, 2, 4]
    assert part.lines is not None
    assert part.lines.tolist() == [0, 3, 6]
    assert [(event.line, event.kind) for event in part.events] == [
        (1, "lines with NUL bytes"),
        (2, "repeated headers"),
        (4, "short lines"),
    ]
    assert part.breaks == [1]


@pytest.mark.parametrize("block", [b"0,1\n1,2\n", b"late,ERR\n1\n", b'0,"1"\n1\n', b"0,1,\n1,2\n"])
def test_nothing_to_sift(block: bytes) -> None:
    """What sifting does not mend is left to the line-by-line reading."""
    assert sifted(block, PLAN) is None


def test_worded() -> None:
    """Among words, only they are looked at singly; the numbers are read at once."""
    part = worded(b"0,1\n1,ERR\n2,\n3,inf\n4,9.91E37\n5, 1.5e0 \n6,NaN\n", PLAN)
    assert part is not None
    np.testing.assert_array_equal(part.numbers[1], [1, *[np.nan] * 4, 1.5, np.nan])
    assert [event.line for event in part.events] == [1, 3, 4]
    comma = worded(b"0;1,5\n1;1.013,25\n2;1.5\n", COMMA)
    assert comma is not None
    np.testing.assert_array_equal(comma.numbers[1], [1.5, 1013.25, np.nan])


@pytest.mark.parametrize("block", [b"late,1\n", b"0,1\n,2\n", b"0,1\n\0\n", b"0,1\n2\n"])
def test_words_that_need_a_closer_look(block: bytes) -> None:
    """A row without a time, or of another length, makes the block go line by line."""
    assert worded(block, PLAN) is None
