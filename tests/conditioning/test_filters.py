from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from overlays.conditioning.filters import filtered, savitzky_golay
from overlays.errors import SessionError
from overlays.model.conditionspec import AnyFilter
from tests.outside import Row, rows

from .made import trace_of

SMOOTHING = [row for row in rows("signal", "SG.w") if row.id.endswith("d0")]


def spec(**table: Any) -> AnyFilter:
    adapter: TypeAdapter[AnyFilter] = TypeAdapter(AnyFilter)
    return adapter.validate_python(table)


@pytest.mark.parametrize("row", SMOOTHING, ids=lambda row: row.id)
def test_coefficients_of_1964(row: Row) -> None:
    """A pulse brings out the table of Savitzky & Golay (1964), corrected by Steinier (1972)."""
    weights = np.array(row.expected["integers"]) / row.expected["norm"]
    samples, order = len(weights), int(row.id[row.id.index("p") + 1])
    pulse = np.zeros(41)
    pulse[20] = 1.0
    smooth = savitzky_golay(pulse, samples, order)
    half = samples // 2
    np.testing.assert_allclose(smooth[20 - half : 21 + half], weights[::-1], atol=1e-12)


def test_worked_example() -> None:
    """The centre of 2, 4, 5, 9, 8 is 211/35."""
    (row,) = rows("signal", "SG.example")
    smooth = savitzky_golay(np.array([2.0, 4, 5, 9, 8]), 5, 2)
    assert smooth[2] == pytest.approx(row.expected["smoothed"], abs=1e-12)


@given(st.lists(st.floats(-10, 10), min_size=4, max_size=4), st.sampled_from([5, 7, 9]))
def test_cubics_pass_unchanged(coefficients: list[float], samples: int) -> None:
    """A quadratic fit leaves a cubic alone inside, a cubic one everywhere (closed form)."""
    cubic = np.asarray(np.polyval(coefficients, np.linspace(-1, 1, 30)), dtype=np.float64)
    half = samples // 2
    inside = slice(half, 30 - half)
    np.testing.assert_allclose(savitzky_golay(cubic, samples, 2)[inside], cubic[inside], atol=1e-9)
    np.testing.assert_allclose(savitzky_golay(cubic, samples, 3), cubic, atol=1e-9)


def test_short_pieces_are_fitted_with_less() -> None:
    """Between gaps the window shrinks, and a piece too short stays as it is."""
    values = np.array([1.0, 2, np.nan, 1, 4, 9, 16, np.nan, 5])
    np.testing.assert_allclose(savitzky_golay(values, 9, 2), values)


@pytest.mark.parametrize(
    ("table", "phrase"),
    [
        ({"kind": "butterworth", "cutoff": "20 Hz"}, "20 Hz zero-phase"),
        ({"kind": "cfc", "channel_class": 60}, "CFC 60"),
        (
            {"kind": "savitzky_golay", "window": "0.02 s"},
            "Savitzky–Golay over 0.02 s, order 2",
        ),
        ({"kind": "moving_median", "window": "20 ms"}, "median over 0.02 s"),
    ],
)
def test_every_filter_says_its_name(table: dict[str, Any], phrase: str) -> None:
    """A filter keeps the level, the gaps and the time, and leaves a footnote."""
    values = np.full(1000, 3.0)
    values[400] = np.nan
    trace = filtered(trace_of(np.arange(1000) / 1000, values), spec(**table))
    np.testing.assert_allclose(trace.values, values, rtol=1e-9)
    assert trace.steps == (phrase,)


@pytest.mark.parametrize(
    ("table", "field", "words"),
    [
        ({"kind": "butterworth", "cutoff": "500 Hz"}, "cutoff", "needs at least 1000"),
        ({"kind": "butterworth", "cutoff": "30000 rpm"}, "cutoff", "needs at least 1000"),
        ({"kind": "cfc", "channel_class": 180}, "channel_class", "needs at least 1800"),
        ({"kind": "savitzky_golay", "window": "1 ms"}, "window", "too short"),
    ],
)
def test_what_the_rate_does_not_give(table: dict[str, Any], field: str, words: str) -> None:
    """A filter above what the sampling rate gives is an error that says so."""
    trace = trace_of(np.arange(100) / 1000, np.zeros(100))
    with pytest.raises(SessionError, match=words) as caught:
        filtered(trace, spec(**table))
    assert caught.value.field == field


def test_uneven_samples_are_put_on_a_grid() -> None:
    """Before filtering, jittery samples are put on an even grid, and that is said."""
    chance = np.random.default_rng(0)
    time = np.cumsum(chance.uniform(0.6e-3, 1.4e-3, 2000))
    slow = np.sin(2 * np.pi * time)
    trace = filtered(trace_of(time, slow), spec(kind="butterworth", cutoff="50 Hz"))
    assert trace.steps[0].startswith("resampled at ")
    assert np.ptp(np.diff(trace.time_s)) < 1e-9
    np.testing.assert_allclose(trace.values, np.sin(2 * np.pi * trace.time_s), atol=2e-3)


def test_median_takes_out_a_lone_spike() -> None:
    """A moving median removes a spike and keeps an edge where it is."""
    values = np.concatenate([np.zeros(50), np.ones(50)])
    values[20] = 9.0
    median = spec(kind="moving_median", window="50 ms")
    trace = filtered(trace_of(np.arange(100) / 100, values), median)
    np.testing.assert_array_equal(trace.values, [0] * 50 + [1] * 50)


def test_lone_samples_are_not_filtered() -> None:
    """Samples without neighbours cannot be filtered, which is flagged."""
    trace = filtered(trace_of([0, 1, 2], [1, np.nan, 3]), spec(kind="cfc", channel_class=60))
    assert trace.flags == ("too few samples to filter",)
