from __future__ import annotations

import numpy as np

from overlays.conditioning.gaps import bridge, mark_holes


def test_holes_are_marked() -> None:
    """A line lost from the log is a gap, not a straight line."""
    time, values = mark_holes(np.array([0.0, 1, 3, 4]), np.array([12.0, 13, 15, 16]), 1.8)
    np.testing.assert_array_equal(time, [0, 1, 2, 3, 4])
    np.testing.assert_array_equal(values, [12, 13, np.nan, 15, 16])
    same, _ = mark_holes(time, values, 5.0)
    assert same is time


def test_only_short_gaps_are_bridged() -> None:
    """A declared length bridges gaps up to it, and counts them."""
    time = np.array([0.0, 1, 2, 3, 4, 5, 6, 7])
    values = np.array([0.0, np.nan, 2, np.nan, np.nan, np.nan, 6, np.nan])
    kept, bridged, count = bridge(time, values, 2.0)
    np.testing.assert_array_equal(kept, [0, 2, 3, 4, 5, 6, 7])
    np.testing.assert_array_equal(bridged, [0, 2, np.nan, np.nan, np.nan, 6, np.nan])
    assert count == 1
