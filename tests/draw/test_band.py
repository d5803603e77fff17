"""Bands: what lies between two traces, and no more."""

from __future__ import annotations

import numpy as np

from overlays.draw.axis import Axes, Scale
from overlays.draw.band import banded
from overlays.draw.patch import Rect
from overlays.style.colour import Colour

PLOT = Rect(0, 0, 400, 200)
AXES = Axes(Scale(0, 4, 0, 400), Scale(0, 200, 200, 0), PLOT, "")
PALE = Colour(10, 120, 200, 60)


def test_a_band_reaches_from_one_trace_to_the_other() -> None:
    """At every column the band covers the distance of the two traces, in its own colour."""
    time_s = np.linspace(0, 4, 401)
    low, high = 60 + 10 * np.sin(time_s), 90 + 20 * np.cos(time_s)
    layer = banded(time_s, low, high, PALE, AXES)
    covered = layer.patch.pixels[..., 3].astype(float).sum(axis=0) / 60
    middle = np.interp((np.arange(layer.patch.width) + layer.left + 0.5) / 100, time_s, high - low)
    np.testing.assert_allclose(covered[2:-2], middle[2:-2], atol=0.6)
    assert tuple(layer.patch.pixels[layer.patch.height // 2, 200]) == (10, 120, 200, 60)


def test_a_band_is_open_where_a_repeat_has_a_gap() -> None:
    """No ink where either edge is missing."""
    time_s = np.linspace(0, 4, 401)
    low, high = np.full(401, 50.0), np.full(401, 90.0)
    high[100:200] = np.nan
    layer = banded(time_s, low, high, PALE, AXES)
    inked = np.flatnonzero((layer.patch.pixels[..., 3] > 0).any(axis=0)) + layer.left
    assert not ((inked > 100) & (inked < 199)).any()
    assert set(range(1, 99)) <= set(inked.tolist())
