from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from overlays.conditioning.zero import window_values, zeroed
from overlays.errors import LogError
from overlays.model.session import ZeroSpec
from tests.outside import rows

from .made import trace_of


def zero(**table: Any) -> ZeroSpec:
    return ZeroSpec.model_validate({"start": "-1 s", "end": "0 s", "channels": ["force"], **table})


def test_tare() -> None:
    """The mean over the window is taken off (closed form)."""
    (row,) = rows("signal", "tare")
    trace = zeroed(trace_of([0, 1, 2, 3, 9], [2, 2.2, 1.8, 2, 12]), zero(start="-5 s"), 5.0)
    assert trace.values[-1] == pytest.approx(row.expected["net"], abs=1e-12)
    assert trace.steps == ("zeroed",)


def test_window_counts_from_the_trigger() -> None:
    """The window's ends are included, gaps in it are not."""
    trace = trace_of([0, 1, 2, 3, 4], [1, np.nan, 3, 100, 100])
    assert window_values(trace, 0.0, 2.0).tolist() == [1, 3]
    assert zeroed(trace, zero(start="-3 s", end="-1 s"), 3.0).values[0] == -1.0


def test_empty_window_is_an_error() -> None:
    """A log that begins too late is told, counted from the trigger."""
    with pytest.raises(LogError, match="no sample in the zero window from -1 s to 0 s") as caught:
        zeroed(trace_of([10, 11], [1, 2]), zero(), 5.0)
    assert "the log runs from 5 s to 6 s" in caught.value.message


def test_drift_is_flagged_or_removed() -> None:
    """A zero that drifts is flagged; if declared, the drift is taken off along a line."""
    time = np.arange(0, 10, 0.01)
    values = 0.1 * (time - 2) + np.where((time > 2) & (time < 7), 10.0, 0.0)
    after: dict[str, Any] = {"after_start": "6 s", "after_end": "7 s"}
    reported = zeroed(trace_of(time, values), zero(**after), 2.0)
    assert any("zero drifts by 0.7" in flag for flag in reported.flags)
    removed = zeroed(trace_of(time, values), zero(**after, drift="remove"), 2.0)
    assert removed.steps == ("zeroed", "zero drift removed")
    plateau = removed.values[(time > 2.5) & (time < 6.5)]
    np.testing.assert_allclose(plateau, 10.0, atol=0.06)
    calm = zeroed(trace_of(time, values), zero(**after, drift_limit="20 %"), 2.0)
    assert calm.flags == ()


def test_log_that_ends_before_the_check() -> None:
    """Without samples after the test the check is said to be missing."""
    after: dict[str, Any] = {"after_start": "6 s", "after_end": "7 s"}
    trace = trace_of([0, 1, 2], [0, 0, 5])
    assert "not checked" in zeroed(trace, zero(**after), 1.0).flags[0]
    with pytest.raises(LogError, match="from 6 s to 7 s"):
        zeroed(trace, zero(**after, drift="remove"), 1.0)


def test_movement_in_the_window_is_flagged() -> None:
    """A trace that moves while it should rest is told."""
    trace = zeroed(trace_of([0, 0.5, 1, 2], [0, 3, 0, 10]), zero(), 1.0)
    assert "not at rest" in trace.flags[0]


def test_temperature_becomes_a_difference() -> None:
    """A zeroed temperature is a rise, whose unit has no offset."""
    trace = zeroed(trace_of([0, 1, 2], [20, 20, 25], "degC"), zero(), 1.0)
    assert (trace.unit, trace.values[-1]) == ("delta_degC", 5.0)
