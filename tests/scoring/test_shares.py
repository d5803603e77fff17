"""Whole percentages that add up."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.scoring.shares import whole_percentages
from tests.outside import rows


def test_thirds_add_up() -> None:
    """A third each is 34, 33, 33 by largest remainder (Hamilton's method), not 33, 33, 33."""
    (row,) = rows("ranking", "pct.sum")
    assert whole_percentages([Fraction(1, 3)] * 3) == row.expected["largest_remainder"]


def test_largest_remainders_come_first() -> None:
    """47.5, 30.4 and 22.1 leave one point over, which goes to the first; by hand."""
    assert whole_percentages([47.5, 30.4, 22.1]) == [48, 30, 22]
    assert whole_percentages([0.0, 1.0]) == [0, 100]


@pytest.mark.parametrize(
    ("parts", "whole"),
    [
        # stackoverflow.com/questions/13483430: rounded one by one they make 101.
        ([13.626332, 47.989636, 9.596008, 28.788024], [14, 48, 9, 29]),
        # dochoffiday.com/professional/adding-up-rounded-percentages-to-equal-100: 101 likewise.
        ([40.5, 20.6, 38.9], [40, 21, 39]),
    ],
)
def test_published_examples(parts: list[float], whole: list[int]) -> None:
    """Two published examples of the largest-remainder method come out as published."""
    assert whole_percentages(parts) == whole


@pytest.mark.parametrize("parts", [[], [0, 0], [1, -1, 1]])
def test_nothing_to_share_is_refused(parts: list[int]) -> None:
    """No parts, only zeros or a negative part have no percentages."""
    with pytest.raises(ValueError, match="parts of a whole"):
        whole_percentages(parts)


@given(st.lists(st.integers(0, 1000), min_size=1, max_size=12).filter(any))
def test_they_always_add_to_a_hundred(parts: list[int]) -> None:
    """Exactly 100, each within one of the true share, none out of order."""
    found = whole_percentages(parts)
    assert sum(found) == 100
    for part, share in zip(parts, found, strict=True):
        assert abs(share - part * 100 / sum(parts)) < 1
    for (a, share_a), (b, share_b) in zip(
        zip(parts, found, strict=True), zip(parts[1:], found[1:], strict=True), strict=False
    ):
        assert a <= b or share_a >= share_b
