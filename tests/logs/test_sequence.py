from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import LogError
from overlays.logs.notes import NoteBook
from overlays.logs.sequence import Order, settle
from overlays.model.session import ReadingPins


def order(times: list[float], breaks: list[int] | None = None, **pins: object) -> Order:
    return settle(
        np.array(times, dtype=np.float64),
        breaks or [],
        lambda row: row + 2,
        ReadingPins.model_validate(pins),
        NoteBook(),
        file="a.csv",
    )


@pytest.mark.parametrize(
    ("times", "kept", "starts"),
    [
        ([0, 1, 2], [0, 1, 2], (0,)),
        ([0, 0.1, 0.1, 0.2, 0.15, 0.3], [0, 0.1, 0.2, 0.3], (0,)),
        ([0, 1, 2, 5, 3, 4, 6], [0, 1, 2, 5, 6], (0,)),
        ([0, 1, 2, 3, 0, 1, 2], [0, 1, 2, 3, 0, 1, 2], (0, 4)),
        ([10, 11, 12, 0], [10, 11, 12, 0], (0, 3)),
        ([0, 1, 99, 2, 3, 4], [0, 1, 2, 3, 4], (0,)),
        ([0, 1, 2, 2], [0, 1, 2], (0,)),
        ([5, 6, 0, 1, 2, 0, 1, 2], [5, 6, 0, 1, 2, 0, 1, 2], (0, 2, 5)),
        ([3], [3], (0,)),
    ],
)
def test_rule(times: list[float], kept: list[float], starts: tuple[int, ...]) -> None:
    """Equal stamps and strays are left out, a longer stretch back is a reset."""
    found = order(times)
    assert found.time_s[found.keep].tolist() == kept
    assert found.starts == starts


def test_header_breaks_begin_segments() -> None:
    """Where the header came again a segment begins, whatever the time does."""
    assert order([0, 1, 2, 3], [2]).starts == (0, 2)
    assert order([0, 1, 2, 3], [0, 4]).starts == (0,)


def test_the_clock_may_begin_again_where_the_header_did() -> None:
    """Behind a header come again, rows with earlier stamps are no strays, however few."""
    found = order([0, 1, 0, 1, 2], [2])
    assert found.keep.all()
    assert found.starts == (0, 2)


def test_coarse_clock_is_asked_or_spread() -> None:
    """Many equal stamps are a clock too coarse; what they mean is pinned."""
    times = [float(i // 4) for i in range(40)]
    with pytest.raises(LogError, match="too coarse") as caught:
        order(times)
    assert caught.value.line == 3
    spread = order(times, same_stamp="spread")
    assert spread.time_s.tolist() == [i / 4 for i in range(40)]
    assert order(times, same_stamp="keep first").keep.sum() == 10


def test_disorder_is_no_time() -> None:
    """A column that goes back over and over is not the time."""
    with pytest.raises(LogError, match="hardly the time"):
        order([float(i * 37 % 101) for i in range(101)])


@given(st.lists(st.integers(0, 50), min_size=1, max_size=60))
def test_time_goes_up_within_segments(times: list[int]) -> None:
    """Whatever the stamps, what is kept rises within each segment, and is never reordered."""
    try:
        found = order([float(t) for t in times])
    except LogError:
        return
    ends = (*found.starts[1:], len(times))
    for start, end in zip(found.starts, ends, strict=True):
        inside = found.time_s[start:end][found.keep[start:end]]
        assert (np.diff(inside) > 0).all()
