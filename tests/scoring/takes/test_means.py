"""Mean, value at a time, slope, fade, settled value."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from overlays.errors import FigureError
from tests.scoring.building import is_close, seconds, taken, trace


def test_the_mean_weighs_time() -> None:
    """10 for one second and 0 for nine is 1 on the straight lines between, not 3.3."""
    times = [0.0, 1.0, 1.0 + 1e-9, 10.0]
    value, _ = taken({"take": "mean"}, trace([10.0, 10.0, 0.0, 0.0], time_s=times))
    assert value == pytest.approx(1.0)


def test_a_window_of_no_length_has_its_value() -> None:
    """The mean over a moment is the value there."""
    value, _ = taken({"take": "mean", "start": "1 s", "end": "1 s"}, trace([0.0, 5.0, 9.0]))
    assert value == 5.0


def test_the_value_at_a_time_is_interpolated() -> None:
    """Between two samples the value lies on the straight line."""
    assert taken({"take": "at", "at": "0.25 s"}, trace([0.0, 8.0, 8.0])) == (2.0, "N")
    assert taken({"take": "at", "at": "2 s"}, trace([0.0, 8.0, 7.0])) == (7.0, "N")


@pytest.mark.parametrize(("at", "why"), [("3 s", "leaves out 3 s"), ("0.5 s", "gap at 0.5 s")])
def test_there_is_no_value_in_a_gap_or_outside(at: str, why: str) -> None:
    """A value is never made up."""
    with pytest.raises(FigureError, match=why):
        taken({"take": "at", "at": at}, trace([0.0, math.nan, 7.0]))


def test_the_slope_is_that_of_least_squares() -> None:
    """SciPy's linregress as a second opinion, on noise."""
    rng = np.random.default_rng(5)
    times = np.sort(rng.uniform(0, 10, 200))
    numbers = 3 * times + rng.normal(size=200)
    window = {"start": seconds(times[0]), "end": seconds(times[-1])}
    found, unit = taken({"take": "slope", **window}, trace(numbers, time_s=times))
    assert found == pytest.approx(stats.linregress(times, numbers).slope, rel=1e-9)
    assert unit == "N/s"


def test_a_slope_of_temperature_has_no_offset() -> None:
    """Degrees a second are differences."""
    found = taken({"take": "slope"}, trace([20.0, 22.0, 24.0], unit="degC"))
    assert is_close(found, 2.0, "delta_degC/s")


def test_two_samples_have_no_slope_to_trust() -> None:
    """A line through two points fits them whatever they are."""
    with pytest.raises(FigureError, match="three samples"):
        taken({"take": "slope"}, trace([1.0, 2.0]))


FADE = {"take": "fade", "start": "0 s", "end": "1 s", "then_start": "3 s", "then_end": "4 s"}


def test_fade_is_the_drop_as_a_share_of_the_first_mean() -> None:
    """From 50 to 40 is a fade of 20 %, or of 10 N where newtons are asked for (by hand)."""
    one = trace([50.0, 50.0, 45.0, 40.0, 40.0])
    assert is_close(taken(FADE, one), 20.0, "%")
    assert is_close(taken({**FADE, "unit": "N"}, one), 10.0, "N")


def test_fade_of_a_temperature_is_a_difference_only() -> None:
    """A share of degrees Celsius means nothing."""
    one = trace([50.0, 50.0, 45.0, 40.0, 40.0], unit="degC")
    with pytest.raises(FigureError, match="no true zero"):
        taken(FADE, one)
    assert is_close(taken({**FADE, "unit": "degC"}, one), 10.0, "delta_degC")


def test_fade_from_nothing_has_no_share() -> None:
    """A first mean of zero divides nothing."""
    with pytest.raises(FigureError, match="mean is 0"):
        taken(FADE, trace([0.0, 0.0, 1.0, 1.0, 1.0]))


SETTLED = {"take": "settled", "over": "20 s", "band": "5 %"}


def first_order(time_constant_s: float) -> tuple[np.ndarray, np.ndarray]:
    times = np.arange(0, 100.001, 0.01)
    return times, 8 * (1 - np.exp(-times / time_constant_s))


def test_a_first_order_rise_settles_after_three_time_constants() -> None:
    """It enters the 5 % band at T·ln 20 = 2.996 T, and settles at its end value (closed form)."""
    times, numbers = first_order(5.0)
    one = trace(numbers, time_s=times)
    assert taken(SETTLED, one, length_s=100.0)[0] == pytest.approx(8.0, rel=1e-6)
    time_s, unit = taken({**SETTLED, "take": "settling_time"}, one, length_s=100.0)
    assert time_s == pytest.approx(5.0 * math.log(20), abs=0.01)
    assert unit == "s"


def test_what_has_not_settled_has_no_settled_value() -> None:
    """A value still on its way is missing, with the band named."""
    times, numbers = first_order(60.0)
    with pytest.raises(FigureError, match=r"not settled.*5 %"):
        taken(SETTLED, trace(numbers, time_s=times), length_s=100.0)


def test_a_flat_trace_is_settled_from_the_start() -> None:
    """No time passes before it stays within the band; the band may be in the channel's unit."""
    one = trace([3.0] * 50)
    assert taken({**SETTLED, "take": "settling_time", "band": "0.1 N"}, one)[0] == 0.0
