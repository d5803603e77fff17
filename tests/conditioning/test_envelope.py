"""The median and the envelope of repeats at every moment."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.conditioning.envelope import envelope
from overlays.errors import UnitError
from overlays.model.trace import Trace


def trace(values: list[float], *, start: float = 0.0, step: float = 1.0, unit: str = "N") -> Trace:
    times = np.asarray(start + step * np.arange(len(values)), np.float64)
    return Trace("force", unit, times, np.array(values, np.float64))


@given(st.lists(st.lists(st.floats(-1e6, 1e6), min_size=5, max_size=5), min_size=2, max_size=6))
def test_it_agrees_with_pandas(runs: list[list[float]]) -> None:
    """Least, middle and greatest are those of a table with a column a repeat (second opinion)."""
    found = envelope([trace(run) for run in runs])
    table = pd.DataFrame(runs).T
    assert found is not None
    assert found.n == len(runs)
    np.testing.assert_allclose(found.low, table.min(axis=1))
    np.testing.assert_allclose(found.median, table.median(axis=1))
    np.testing.assert_allclose(found.high, table.max(axis=1))


def test_other_clocks_are_read_between_their_samples() -> None:
    """A straight line sampled elsewhere is the same line; only the shared stretch counts."""
    one = trace([0.0, 1.0, 2.0, 3.0, 4.0])
    other = trace([0.5, 1.5, 2.5, 3.5], start=0.5)
    found = envelope([one, other])
    assert found is not None
    assert found.time_s.tolist() == [1.0, 2.0, 3.0]
    np.testing.assert_allclose(found.low, [1.0, 2.0, 3.0])
    np.testing.assert_allclose(found.high, [1.0, 2.0, 3.0])


def test_a_gap_of_one_repeat_is_a_gap_of_all() -> None:
    """Where a repeat has nothing there is no middle, and no line is drawn across."""
    found = envelope([trace([1.0, 2.0, 3.0, 4.0]), trace([1.0, float("nan"), 3.0, 4.0])])
    assert found is not None
    assert np.isnan(found.median).tolist() == [False, True, False, False]
    shifted = envelope(
        [trace([1.0, 2.0, 3.0, 4.0]), trace([1.0, float("nan"), 3.0, 4.0, 5.0], start=-0.5)]
    )
    assert shifted is not None
    assert np.isnan(shifted.low).tolist() == [
        True, True, False, False,
    ]  # fmt: skip


def test_too_little_has_no_envelope() -> None:
    """One repeat, or repeats that share no time, give nothing; unlike units are refused."""
    assert envelope([trace([1.0, 2.0])]) is None
    assert envelope([trace([1.0, 2.0]), trace([1.0, 2.0], start=5.0)]) is None
    with pytest.raises(UnitError, match="N, kN"):
        envelope([trace([1.0, 2.0]), trace([1.0, 2.0], unit="kN")])
