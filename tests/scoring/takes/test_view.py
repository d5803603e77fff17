"""Cutting a trace to a window."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import FigureError
from tests.scoring.building import taken, trace

NAN = math.nan


def test_a_windows_ends_lie_between_samples() -> None:
    """The mean of a straight line over a window is its middle, wherever the window ends."""
    line = trace([0.0, 10.0, 20.0, 30.0])
    value, unit = taken({"take": "mean", "start": "0.5 s", "end": "2.25 s"}, line)
    assert value == pytest.approx((5.0 + 22.5) / 2)
    assert unit == "N"


def test_a_window_begins_at_the_trigger_unless_it_says_so() -> None:
    """What lies before time 0 does not count by default, and does where it is asked for."""
    early = trace([99.0, 1.0, 2.0], time_s=[-1, 0, 1])
    assert taken({"take": "peak"}, early)[0] == 2.0
    assert taken({"take": "peak", "start": "-1 s"}, early)[0] == 99.0


def test_a_window_ends_with_the_test() -> None:
    """What comes after the test's length does not count by default."""
    late = trace([1.0, 2.0, 50.0])
    assert taken({"take": "peak"}, late, length_s=1.0)[0] == 2.0


@pytest.mark.parametrize(
    ("window", "why"),
    [
        ({"end": "9 s"}, "ends at 3.000 s, before the window's end at 9 s"),
        ({"start": "-5 s", "end": "1 s"}, "begins at 0.000 s, after the window's start at -5 s"),
        ({"start": "2 s", "end": "1 s"}, "nothing from 2 s to 1 s"),
    ],
)
def test_a_record_that_does_not_cover_the_window_has_no_figure(
    window: dict[str, str], why: str
) -> None:
    """A figure is missing rather than taken from a part of what was declared."""
    with pytest.raises(FigureError, match=why) as caught:
        taken({"take": "mean", **window}, trace([1.0, 2.0, 3.0, 4.0]))
    assert caught.value.code == "no-value"


def test_the_last_sample_may_lie_a_step_before_the_end() -> None:
    """6 s at 500 samples a second end at 5.998 s, which is the whole of 6 s."""
    times = np.arange(0, 6, 0.002)
    value, _ = taken(
        {"take": "mean", "start": "5 s", "end": "6 s"}, trace(times * 0 + 7, time_s=times)
    )
    assert value == pytest.approx(7.0)


@pytest.mark.parametrize("take", ["peak", "minimum", "mean", "area", "range"])
def test_a_gap_is_refused_or_left_out_but_never_zero(take: str) -> None:
    """A gap in the window leaves the figure missing unless the session leaves the gap out."""
    gappy = trace([4.0, 4.0, NAN, 4.0, 4.0])
    with pytest.raises(FigureError, match="gap at 2"):
        taken({"take": take}, gappy)
    value, _ = taken({"take": take, "gaps": "leave out"}, gappy)
    # Two of four seconds are joined by samples: the area is that of what is known.
    assert value == {"peak": 4.0, "minimum": 4.0, "mean": 4.0, "area": 8.0, "range": 0.0}[take]


def test_one_gap_all_over_has_no_figure() -> None:
    """A channel that logged nothing in the window has no figure, gaps left out or not."""
    with pytest.raises(FigureError, match="one gap"):
        taken({"take": "peak", "gaps": "leave out"}, trace([NAN, NAN, NAN]))


def test_no_samples_at_all_have_no_figure() -> None:
    """An empty trace is told, not tripped over."""
    with pytest.raises(FigureError, match="no samples"):
        taken({"take": "peak"}, trace([]))


values = st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=40)


@given(values, st.floats(-100, 100))
def test_a_shift_of_the_clock_changes_nothing(numbers: list[float], shift: float) -> None:
    """Times count from the trigger: shifting record and window together leaves the figures."""
    shift = round(shift, 1)
    times = np.arange(len(numbers), dtype=float)
    last = len(numbers) - 1
    window = {"start": f"{shift} s", "end": f"{round(last + shift, 1)} s"}
    for take in ("mean", "peak", "minimum", "range", "area"):
        still, _ = taken({"take": take, "start": "0 s", "end": f"{last} s"}, trace(numbers))
        moved, _ = taken({"take": take, **window}, trace(numbers, time_s=times + shift))
        assert moved == pytest.approx(still, rel=1e-6, abs=1e-3)


@given(values, st.integers(1, 38))
def test_areas_add_up(numbers: list[float], cut: int) -> None:
    """The area over two windows that meet is the sum of their areas (additivity of integrals)."""
    last = len(numbers) - 1
    middle = min(cut, last - 1) + 0.5
    whole, _ = taken({"take": "area", "start": "0 s", "end": f"{last} s"}, trace(numbers))
    first, _ = taken({"take": "area", "start": "0 s", "end": f"{middle} s"}, trace(numbers))
    second, _ = taken({"take": "area", "start": f"{middle} s", "end": f"{last} s"}, trace(numbers))
    assert first + second == pytest.approx(whole, rel=1e-9, abs=1e-3)
