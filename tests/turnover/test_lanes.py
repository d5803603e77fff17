"""Overlaps go to lanes of their own."""

from __future__ import annotations

import itertools
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from overlays.timecode import Timebase
from overlays.turnover.lanes import lanes
from tests.turnover.building import listed

TIMEBASE = Timebase(Fraction(25))


def _spans(*spans: tuple[int, int]) -> list[list[tuple[int, int]]]:
    clips = [listed(f"c{i}", first, n, TIMEBASE) for i, (first, n) in enumerate(spans)]
    return [[(c.first_frame, c.end_frame) for c in lane] for lane in lanes(clips)]


def test_clips_that_touch_share_a_lane() -> None:
    """A cue may begin where the one before ends, whatever their handles."""
    assert _spans((20, 10), (30, 5), (40, 1)) == [[(20, 30), (30, 35), (40, 41)]]


def test_an_overlap_opens_a_second_lane() -> None:
    """The lowest lane that is free takes the next clip."""
    assert _spans((20, 10), (29, 5), (32, 4)) == [[(20, 30), (32, 36)], [(29, 34)]]


@given(st.lists(st.tuples(st.integers(12, 200), st.integers(1, 40)), max_size=20))
def test_lanes_are_as_few_as_can_be(spans: list[tuple[int, int]]) -> None:
    """No lane overlaps itself, and there are as many as clips shown at once at the most."""
    found = _spans(*spans)
    assert sum(map(len, found)) == len(spans)
    for lane in found:
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(lane))
    at_once = [sum(f <= x < f + n for f, n in spans) for x, _ in spans]
    assert len(found) == max(at_once, default=0)
