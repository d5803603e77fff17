from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.conditioning.align import align
from overlays.errors import LogError, SessionError
from overlays.model.session import TriggerSpec, ZeroSpec

from .made import trace_of

ZERO = ZeroSpec.model_validate({"start": "-0.8 s", "end": "-0.1 s", "channels": ["force"]})


def trigger(**table: Any) -> TriggerSpec:
    return TriggerSpec.model_validate(
        {"channel": "force", "level": "10 N", "rearm": "3 N", **table}
    )


@given(st.floats(-50, 50), st.floats(0, 100))
def test_offset_and_clock_change_nothing(offset: float, start: float) -> None:
    """The trigger lies where the zeroed trace passes the level, whatever offset and clock."""
    time = np.arange(3000) / 1000
    ramp = np.clip((time - 1.5) * 100, 0, 50)
    found, origin = align({"force": trace_of(time + start, ramp + offset)}, ZERO, trigger())
    assert origin == pytest.approx(start + 1.6, abs=1e-9)
    np.testing.assert_allclose(found["force"].values, ramp, atol=1e-9)
    np.testing.assert_allclose(found["force"].time_s, time - 1.6, atol=1e-9)


def test_without_a_trigger_the_first_sample_is_0() -> None:
    """A test without a trigger counts from the log's beginning."""
    found, origin = align({"force": trace_of([5, 6], [1, 2])}, None, None)
    assert (origin, found["force"].time_s.tolist()) == (5.0, [0.0, 1.0])


def test_falling_edge_in_another_unit() -> None:
    """A level is converted to the trace's unit, and may be passed from above."""
    trace = trace_of([0, 1, 2], [0.02, 0.02, 0.0], "kN")
    _, origin = align({"force": trace}, None, trigger(level="5 N", rearm="15 N", edge="falling"))
    assert origin == pytest.approx(1.75)


def test_level_on_a_zeroed_temperature_is_a_rise() -> None:
    """On a zeroed temperature a level counts from the zero, not from freezing point."""
    zero = ZeroSpec.model_validate({"start": "-2 s", "end": "-0.5 s", "channels": ["force"]})
    trace = trace_of([0, 1, 2, 3, 4], [20, 20, 20, 30, 40], "degC")
    _, origin = align({"force": trace}, zero, trigger(level="9 degF", rearm="1 degF"))
    assert origin == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("table", "error", "words"),
    [
        ({"level": "500 N"}, LogError, "the trigger never comes"),
        ({"rearm": "12 N"}, SessionError, "is not below its level"),
        ({"rearm": "3 N", "edge": "falling"}, SessionError, "is not above its level"),
    ],
)
def test_errors(table: dict[str, Any], error: type[Exception], words: str) -> None:
    """A level never reached, and a re-arm level on the wrong side, are told."""
    with pytest.raises(error, match=words):
        align({"force": trace_of([0, 1, 2], [0, 0, 50])}, None, trigger(**table))
