from __future__ import annotations

import numpy as np
import pytest

from overlays.conditioning.doubts import doubts_about
from overlays.model.trace import FloatArray

N = 2000
TIME = np.arange(N) / 500


def curve() -> FloatArray:
    """A rise, a rippled plateau and a fall, with noise, as a bench gives."""
    shape = 50 * (np.tanh((TIME - 1) * 5) - np.tanh((TIME - 3) * 5)) / 2
    noise = np.random.default_rng(0).normal(0, 0.3, N)
    rippled = shape + 2 * np.sin(40 * TIME) * (shape > 25) + noise
    return np.asarray(np.round(rippled, 3), dtype=np.float64)


def found(values: FloatArray, limits: tuple[float, float] | None = None) -> str:
    return "; ".join(doubts_about(TIME, values, limits=limits, origin_s=1.0))


def test_nothing_to_doubt() -> None:
    """An ordinary trace raises no flag, a coarse temperature neither."""
    assert found(curve()) == ""
    assert found(np.round(20 + 60 * (1 - np.exp(-TIME)), 1)) == ""
    gaps = curve()
    gaps[500:600] = np.nan
    assert found(gaps) == ""


def test_flat_top() -> None:
    """A trace cut off at its highest value looks saturated."""
    assert "flat at its highest value" in found(np.minimum(curve(), 48.0))
    assert "flat at its lowest value" in found(-np.minimum(curve(), 48.0))


def test_declared_limits() -> None:
    """Readings at a declared limit are counted, with the first place."""
    text = found(np.minimum(curve(), 48.0), limits=(-100.0, 48.0))
    assert "at a limit of the sensor in" in text
    assert found(curve(), limits=(-100.0, 100.0)) == ""


def test_drop_out() -> None:
    """A short fall to exactly 0 in the midst of a plateau looks like a drop-out."""
    values = curve()
    values[1000:1003] = 0.0
    assert "falls to exactly 0 for 3 samples at 1 s" in found(values)


def test_stuck() -> None:
    """A long standstill in the midst looks like a stuck sensor."""
    values = curve()
    values[900:1000] = values[900]
    assert "stands still for 0.198 s" in found(values)


@pytest.mark.parametrize("values", [np.zeros(N), np.full(N, np.nan)])
def test_no_life(values: FloatArray) -> None:
    """A trace that does not change at all is told; one without samples has nothing to tell."""
    assert found(values) == ("" if np.isnan(values).all() else "does not change at all")
