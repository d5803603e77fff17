"""Time to a level, time above a level, rise time."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import FigureError, UnitError
from tests.scoring.building import is_close, taken, trace


def test_a_level_is_reached_between_samples() -> None:
    """A line from 0 to 10 reaches 4 at 0.4 s."""
    assert is_close(taken({"take": "time_to", "level": "4 N"}, trace([0.0, 10.0])), 0.4, "s")


def test_a_level_is_reached_falling() -> None:
    """From above, the level is reached where the trace first comes down to it."""
    one = trace([10.0, 10.0, 0.0, 10.0])
    found, _ = taken({"take": "time_to", "level": "5 N", "edge": "falling"}, one)
    assert found == pytest.approx(1.5)


def test_a_level_may_be_a_share_of_the_peak() -> None:
    """50 % of a peak of 20 is 10, reached at half a second of this line."""
    found, _ = taken({"take": "time_to", "level": "50 %"}, trace([0.0, 20.0, 5.0]))
    assert found == pytest.approx(0.5)


def test_a_level_in_percent_of_a_channel_in_percent_is_itself() -> None:
    """For a channel that is logged in %, 50 % is 50 % and no share of the peak."""
    found, _ = taken({"take": "time_to", "level": "50 %"}, trace([0.0, 80.0], unit="%"))
    assert found == pytest.approx(50 / 80)


def test_a_level_in_another_unit_is_converted() -> None:
    """0.004 kN is 4 N; a length is refused."""
    assert taken({"take": "time_to", "level": "0.004 kN"}, trace([0.0, 10.0]))[0] == pytest.approx(
        0.4
    )
    with pytest.raises(UnitError):
        taken({"take": "time_to", "level": "4 mm"}, trace([0.0, 10.0]))


def test_a_level_never_reached_is_missing_and_says_how_far_it_came() -> None:
    """There is no time to a level that was not reached."""
    with pytest.raises(FigureError, match="level of 50 N is not reached; the furthest is 10 N"):
        taken({"take": "time_to", "level": "50 N"}, trace([0.0, 10.0]))


def test_a_level_held_from_the_start_is_reached_at_the_start() -> None:
    """The window's start is the time where the trace is there already."""
    assert taken({"take": "time_to", "level": "5 N"}, trace([9.0, 9.0])) == (0.0, "s")


def test_a_level_is_not_crossed_over_a_gap() -> None:
    """After a gap the first sample seen at the level is the time, nothing is interpolated."""
    one = trace([0.0, math.nan, 10.0, 10.0])
    assert taken({"take": "time_to", "level": "5 N", "gaps": "leave out"}, one)[0] == 2.0


def test_time_above_a_level_counts_every_stretch() -> None:
    """Two triangles of base 2 and height 10 are above 5 for one second each (by hand)."""
    one = trace([0.0, 10.0, 0.0, 0.0, 10.0, 0.0])
    assert is_close(taken({"take": "time_above", "level": "5 N"}, one), 2.0, "s")
    whole = {"take": "time_above", "level": "5 N", "count": "first to last"}
    assert taken(whole, one)[0] == pytest.approx(4.0)


@pytest.mark.parametrize("count", ["total", "first to last"])
def test_time_above_may_be_none_or_all(count: str) -> None:
    """Never above is 0 s, always above is the whole window."""
    one = trace([3.0] * 5)
    assert taken({"take": "time_above", "level": "5 N", "count": count}, one)[0] == 0.0
    assert taken({"take": "time_above", "level": "1 N", "count": count}, one)[0] == 4.0


@given(st.floats(0.01, 0.99))
def test_time_above_a_level_of_a_sine_is_known(level: float) -> None:
    """A half sine is above level a for (π - 2 asin a)/π of its length (closed form)."""
    times = np.linspace(0, 1, 2001)
    one = trace(np.sin(math.pi * times), time_s=times)
    found, _ = taken({"take": "time_above", "level": f"{level} N"}, one, length_s=1.0)
    assert found == pytest.approx((math.pi - 2 * math.asin(level)) / math.pi, abs=1e-3)


def test_rise_time_of_a_ramp() -> None:
    """A ramp of 10 s to a plateau rises from 10 % to 90 % in 8 s."""
    times = np.arange(0, 20.01, 0.1)
    one = trace(np.minimum(times, 10.0), time_s=times)
    assert taken({"take": "rise_time"}, one)[0] == pytest.approx(8.0)
    own = {"take": "rise_time", "low": "2 N", "high": "50 %"}
    assert taken(own, one)[0] == pytest.approx(3.0)


def test_rise_time_of_a_first_order_rise() -> None:
    """From 10 % to 90 % takes T·ln 9 = 2.197 T (closed form)."""
    times = np.arange(0, 40, 0.001)
    one = trace(1 - np.exp(-times / 2), time_s=times)
    assert taken({"take": "rise_time"}, one)[0] == pytest.approx(2 * math.log(9), abs=1e-3)


@pytest.mark.parametrize(
    ("numbers", "why"), [([9.0, 10.0], "begins above"), ([-1.0, -2.0], "the peak is -1 N")]
)
def test_what_does_not_rise_has_no_rise_time(numbers: list[float], why: str) -> None:
    """A trace that begins above the low level, or never rises, has none."""
    with pytest.raises(FigureError, match=why):
        taken({"take": "rise_time"}, trace(numbers))
