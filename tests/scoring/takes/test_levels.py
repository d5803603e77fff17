"""Highest, lowest, range, percentile."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import FigureError
from tests.scoring.building import taken, trace


def test_peak_minimum_and_range() -> None:
    """Computed by hand: the highest is 9, the lowest -3, the range 12."""
    one = trace([1.0, 9.0, -3.0, 4.0])
    assert taken({"take": "peak"}, one) == (9.0, "N")
    assert taken({"take": "minimum"}, one) == (-3.0, "N")
    assert taken({"take": "range"}, one) == (12.0, "N")


def test_a_range_of_temperatures_is_a_difference() -> None:
    """20 °C to 80 °C is a range of 60 degrees, in a unit without offset."""
    assert taken({"take": "range"}, trace([20.0, 80.0], unit="degC")) == (60.0, "delta_degC")


@pytest.mark.parametrize(
    "declared",
    [
        {"take": "time_to", "level": "90 %"},
        {"take": "rise_time"},
        {"take": "settled", "over": "1 s", "band": "5 %"},
    ],
)
def test_a_share_of_a_temperature_is_refused(declared: dict[str, str]) -> None:
    """90 % of 20 °C is another temperature than 90 % of 68 °F; of a difference it is the same."""
    values = [0.0, 20.0, 20.0, 20.0]
    with pytest.raises(FigureError, match="no true zero"):
        taken(declared, trace(values, unit="degC"))
    assert taken(declared, trace(values, unit="delta_degC"))[0] > 0


def test_a_share_of_a_peak_below_zero_is_no_level() -> None:
    """Half of -4 N lies above -4 N: the time above it would be 0 s, whatever the trace does."""
    with pytest.raises(FigureError, match="the peak is -4 N") as caught:
        taken({"take": "time_above", "level": "50 %"}, trace([-6.0, -4.0, -9.0]))
    assert caught.value.code == "no-value"


def test_levels_and_bands_of_temperatures() -> None:
    """Beside a zeroed temperature, 5 degC are 5 degrees more; so they are as a band."""
    zeroed = trace([0.0, 10.0, 10.0], unit="delta_degC")
    assert taken({"take": "time_to", "level": "5 degC"}, zeroed) == (0.5, "s")
    banded = {"take": "settled", "over": "1 s", "band": "1.8 degF"}
    assert taken(banded, trace([0.0, 10.0, 10.5], unit="degC")) == (10.25, "degC")


@pytest.mark.parametrize("share", [10, 25, 50, 75, 95])
def test_percentiles_of_even_samples_are_hazens(share: int) -> None:
    """NumPy's "hazen" method (Hyndman and Fan's definition 5) as a second opinion.

    The first and last sample stand for half a step; a repeat of the ends makes the weights even.
    """
    rng = np.random.default_rng(3)
    numbers = rng.normal(size=201)
    times = np.concatenate([[-0.5], np.arange(201), [200.5]])
    padded = np.concatenate([numbers[:1], numbers, numbers[-1:]])
    window = {"start": "-0.5 s", "end": "200.5 s", "share": f"{share} %"}
    found, unit = taken({"take": "percentile", **window}, trace(padded, time_s=times))
    assert found == pytest.approx(np.percentile(numbers, share, method="hazen"), abs=0.01)
    assert unit == "N"


def test_percentiles_weigh_time_and_not_samples() -> None:
    """A value held for 9 of 10 seconds is the median, however often the rest was sampled."""
    times = [0.0, 9.0, 9.1, 9.2, 9.3, 9.4, 9.5, 9.6, 9.7, 9.8, 9.9, 10.0]
    numbers = [1.0, 1.0] + [5.0] * 10
    assert taken({"take": "percentile", "share": "50 %"}, trace(numbers, time_s=times))[0] == 1.0


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=30), st.floats(1e-3, 1e3))
def test_extremes_scale_with_the_unit(numbers: list[float], factor: float) -> None:
    """A change of unit scales peak, minimum and range and changes nothing else."""
    for take in ("peak", "minimum", "range"):
        plain, _ = taken({"take": take}, trace(numbers))
        scaled, _ = taken({"take": take}, trace(np.array(numbers) * factor))
        assert scaled == pytest.approx(plain * factor, rel=1e-9, abs=1e-9)
