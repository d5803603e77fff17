from __future__ import annotations

import pytest

from overlays.errors import LogError
from overlays.logs.cells import DecimalVotes
from overlays.logs.dialect import Shape, decide_decimal, find_shape, votes_of


@pytest.mark.parametrize(
    ("lines", "shape"),
    [
        (["t,v", "0,1", "1,2"], Shape(",", 2)),
        (["t;v;w", "0,0;1,5;2", "0,1;1,6;3"], Shape(";", 3)),
        (["t\tv", "0,0\t1,5", "0,1\t1,6"], Shape("\t", 2)),
        (["0.0   1.5", "0.1   1.6"], Shape(" ", 2)),
        (["a|b", "1|2", "3|4"], Shape("|", 2)),
        (["2025-03-11 10:00:00,4", "2025-03-11 10:00:01,5"], Shape(",", 2)),
        (["# rate: 10 Hz", "", "-----", "t,v,w", "0,1,", "1,2,", "2,3,4"], Shape(",", 3)),
        (["1.5", "1.6"], Shape("\t", 1)),
    ],
)
def test_shape(lines: list[str], shape: Shape) -> None:
    """The delimiter is the one under which most lines are rows of one length."""
    assert find_shape(lines) == shape


@pytest.mark.parametrize("lines", [[], [""], ["words only", "and more"], ["t,v"]])
def test_no_shape(lines: list[str]) -> None:
    """Without rows there is no shape."""
    assert find_shape(lines) is None


@pytest.mark.parametrize(
    ("votes", "delimiter", "decimal"),
    [
        (DecimalVotes(point=3), ";", "."),
        (DecimalVotes(comma=3, unclear_point=2), ";", ","),
        (DecimalVotes(), ";", "."),
        # Between commas a point cannot group thousands: the decimal comma would be the delimiter.
        (DecimalVotes(unclear_point=3), ",", "."),
    ],
)
def test_decided(votes: DecimalVotes, delimiter: str, decimal: str) -> None:
    """One clear cell decides for the file."""
    assert decide_decimal(votes, delimiter, file="a.csv") == decimal


@pytest.mark.parametrize(
    "votes", [DecimalVotes(point=1, comma=1), DecimalVotes(unclear_point=2, example="1.250")]
)
def test_asked(votes: DecimalVotes) -> None:
    """Both marks, or cells that can be read with either, are asked about."""
    with pytest.raises(LogError) as caught:
        decide_decimal(votes, ";", file="a.csv")
    assert "decimal =" in caught.value.remedy


def test_stamps_do_not_vote() -> None:
    """A date with dots says nothing about the decimal mark."""
    votes = votes_of([["11.03.2025", "10:00:00.5", "1,5"]])
    assert (votes.point, votes.comma) == (0, 1)
