from __future__ import annotations

import numpy as np

from overlays.logs.merge import Group, merge


def test_two_clocks() -> None:
    """All stamps are there once, nothing is interpolated, and gaps stay known."""
    fast = Group(np.array([0.0, 0.1, 0.2, 0.3]), [np.array([1.0, 2.0, 3.0, 4.0])])
    slow = Group(np.array([0.0, 0.25]), [np.array([10.0, np.nan])])
    time_s, (a, b), (rows_a, rows_b) = merge([fast, slow])
    assert time_s.tolist() == [0.0, 0.1, 0.2, 0.25, 0.3]
    np.testing.assert_array_equal(a, [1, 2, 3, np.nan, 4])
    np.testing.assert_array_equal(b, [10, np.nan, np.nan, np.nan, np.nan])
    assert (rows_a.tolist(), rows_b.tolist()) == ([0, 1, 2, 4], [0, 3])
