from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from overlays.conditioning.medians import moving_median, odd_samples


@pytest.mark.parametrize(
    ("window", "rate", "samples"),
    [(0.05, 100, 5), (0.06, 100, 7), (0.0499, 100, 5), (0.001, 100, 1), (0.5, 10, 5)],
)
def test_odd_samples(window: float, rate: float, samples: int) -> None:
    """A window holds an odd number of samples, at least one."""
    assert odd_samples(window, rate) == samples


def test_pandas_as_a_second_opinion_inside() -> None:
    """Inside, the median is that of pandas' centred rolling window."""
    values = np.random.default_rng(0).normal(size=200)
    theirs = pd.Series(values).rolling(9, center=True).median().to_numpy()
    np.testing.assert_array_equal(moving_median(values, 9)[4:-4], theirs[4:-4])


def test_ends_shrink_evenly() -> None:
    """Towards the ends the window shrinks on both sides, so that a ramp stays a ramp."""
    ramp = np.arange(10.0)
    np.testing.assert_array_equal(moving_median(ramp, 7), ramp)
    np.testing.assert_array_equal(moving_median(ramp, 99), ramp)
    np.testing.assert_array_equal(moving_median(ramp[:2], 5), ramp[:2])
