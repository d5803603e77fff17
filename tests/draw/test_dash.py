"""Dashes: as long as the style says, standing still, hiding nothing."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.axis import Axes, Scale
from overlays.draw.curve import Curve, drawn
from overlays.draw.dash import dashed
from overlays.draw.patch import Rect
from overlays.style.colour import Colour

PLOT = Rect(0, 0, 600, 200)
AXES = Axes(Scale(0, 6, 0, 600), Scale(0, 200, 200, 0), PLOT, "")


def inked(values: np.ndarray, dash: tuple[float, ...], time_s: np.ndarray) -> np.ndarray:
    """Which columns of a curve 5 pixels wide are inked."""
    layer = drawn(Curve("a", time_s, values, Colour(9, 9, 9), 5.0, dash), AXES)
    columns = np.zeros(600, bool)
    rect = layer.covers
    columns[rect.left : rect.right] = (layer.patch.pixels[..., 3] > 127).any(axis=0)
    return columns


def runs(columns: np.ndarray, *, value: bool) -> list[int]:
    edges = np.flatnonzero(np.diff(columns.astype(int))) + 1
    return [len(part) for part in np.split(columns, edges) if part[0] == value]


@pytest.mark.parametrize("pattern", [(36.0, 7.0), (14.0, 6.0), (8.0, 6.0), (36.0, 6.0, 8.0, 6.0)])
def test_dashes_are_as_long_as_asked(pattern: tuple[float, ...]) -> None:
    """Along a level line ink and gaps have the pattern's lengths, within a pixel, as seen."""
    time_s = np.linspace(0, 6, 601)
    columns = inked(np.full(601, 100.0), pattern, time_s)
    wanted_ink, wanted_bare = pattern[0::2], pattern[1::2]
    ink, bare = runs(columns, value=True)[1:-1], runs(columns, value=False)
    assert len(ink) >= 5
    # The pen's round start and the plot's edge cut the first and the last dash.
    for index, length in enumerate(ink, start=1):
        assert abs(length - wanted_ink[index % len(wanted_ink)]) <= 1.5
    for index, length in enumerate(bare):
        assert abs(length - wanted_bare[index % len(wanted_bare)]) <= 1.5


def test_noise_makes_dashes_no_shorter() -> None:
    """On a noisy trace as many dashes fit as on a calm one, give or take a tenth."""
    rng = np.random.default_rng(4)
    time_s = np.linspace(0, 6, 3001)
    calm = len(runs(inked(np.full(3001, 100.0), (36.0, 7.0), time_s), value=True))
    values = 100 + rng.normal(0, 3, 3001)
    parts = dashed([AXES.points(time_s, values)], (36.0, 7.0), 5.0)
    # Where the noise would not fit into a bare stretch, that is drawn: fewer and longer dashes.
    assert calm * 0.2 < len(parts) <= calm * 1.1


@settings(max_examples=40, deadline=None)
@given(at=st.integers(20, 580), height=st.floats(30, 90))
def test_a_spike_is_never_left_out(at: int, height: float) -> None:
    """Wherever a spike a pixel wide stands, all of it is drawn, whatever the dashes."""
    time_s = np.linspace(0, 6, 1201)
    values = np.full(1201, 100.0)
    values[2 * at] = 100 + height
    parts = dashed([AXES.points(time_s, values)], (36.0, 7.0), 5.0)
    assert min(part[:, 1].min() for part in parts) == pytest.approx(100 - height)


def test_a_sudden_rise_is_drawn() -> None:
    """Nowhere along a steep rise is more than half as much again left out as the style says."""
    time_s = np.linspace(0, 6, 601)
    values = np.where(time_s < 2, 20.0, np.where(time_s > 2.1, 180.0, 20 + 1600 * (time_s - 2)))
    parts = dashed([AXES.points(time_s, values)], (36.0, 7.0), 5.0)
    for before, after in pairwise(parts):
        assert np.hypot(*(after[0] - before[-1])) <= 1.5 * 7 + 5 + 1e-9


def test_the_head_has_ink_and_a_gap_in_the_data_stays_open() -> None:
    """The last sample is always drawn; between two pieces there is no dash."""
    time_s = np.linspace(0, 6, 601)
    values = np.full(601, 100.0)
    for length in range(500, 560):
        assert inked(values[:length], (36.0, 7.0), time_s[:length])[length - 2]
    holed = values.copy()
    holed[300:340] = np.nan
    assert not inked(holed, (36.0, 7.0), time_s)[304:336].any()


def test_dashes_count_from_the_start_wherever_the_plot_begins() -> None:
    """A plot that shows only a stretch has the dashes where a wider sheet would have them."""
    time_s = np.linspace(0, 6, 601)
    rng = np.random.default_rng(8)
    parts = [np.stack([time_s * 400, 100 + rng.normal(0, 1, 601)], axis=1)]
    whole = dashed(parts, (36.0, 7.0), 5.0)
    seen = dashed(parts, (36.0, 7.0), 5.0, (795.0, 1405.0))
    inner = [part for part in whole if part[0, 0] > 840 and part[-1, 0] < 1360]
    assert len(inner) > 5
    found = {(part[0, 0], part[-1, 0]) for part in seen}
    assert all((part[0, 0], part[-1, 0]) in found for part in inner)
    assert min(part[0, 0] for part in seen) >= 795.0
    assert max(part[-1, 0] for part in seen) <= 1405.0
