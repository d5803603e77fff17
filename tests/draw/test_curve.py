"""Curves: reduced without loss, broken at gaps, values between samples."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.axis import Axes, Scale
from overlays.draw.curve import Curve, drawn, reduced, value_at
from overlays.draw.patch import Rect
from overlays.style.colour import Colour

CASES = Path(__file__).parents[1] / "data" / "cases"


def axes(width: int = 400, height: int = 200, length_s: float = 7.0) -> Axes:
    plot = Rect(10, 10, 10 + width, 10 + height)
    return Axes(Scale(0, length_s, 10, 10 + width), Scale(0, 20, 10 + height, 10), plot, "")


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(2, 4000))
def test_reducing_keeps_every_columns_extremes(seed: int, count: int) -> None:
    """First, lowest, highest and last of each quarter column stay, in order; nothing is added."""
    rng = np.random.default_rng(seed)
    points = np.stack([np.sort(rng.uniform(0, 20, count)), rng.normal(size=count)], axis=1)
    kept = reduced(points)
    assert len(kept) <= max(4 * 81, 1)
    rows = {tuple(point) for point in points.tolist()}
    assert all(tuple(point) in rows for point in kept.tolist())
    assert (np.diff(kept[:, 0]) >= 0).all()
    for column in np.unique(np.floor(points[:, 0] * 4)):
        before = points[np.floor(points[:, 0] * 4) == column]
        after = kept[np.floor(kept[:, 0] * 4) == column]
        assert (before[0] == after[0]).all()
        assert (before[-1] == after[-1]).all()
        assert before[:, 1].min() == after[:, 1].min()
        assert before[:, 1].max() == after[:, 1].max()


def test_gaps_stay_open_and_a_lone_point_is_seen() -> None:
    """Blank, NaN and dashes give three pieces: 0–1, 4–5 and the lone point 7 (case chart_gaps)."""
    with (CASES / "chart_gaps.csv").open(encoding="utf-8") as file:
        table = list(csv.DictReader(file))
    time_s = np.array([float(row["t"]) for row in table])
    values = np.array([float(row["temp"]) if row["temp"].strip("-") else np.nan for row in table])
    colour = Colour(200, 100, 50)
    where = axes()
    layer = drawn(Curve("a", time_s, values, colour, 6.0), where)
    inked = np.zeros(where.plot.right, bool)
    inked[layer.left : layer.covers.right] = (layer.patch.pixels[..., 3] > 128).any(axis=0)
    edges = np.flatnonzero(np.diff(inked.astype(int)))
    starts, ends = edges[::2] + 1, [*(edges[1::2] + 1), where.plot.right]
    pieces = [
        (where.time.value(a), where.time.value(b)) for a, b in zip(starts, ends, strict=False)
    ]
    # A round pen of 6 px reaches 3 px, 0.05 s, past the ends.
    assert len(pieces) == 3
    for (start, end), (first, last) in zip(pieces, ((0, 1), (4, 5), (7, 7)), strict=True):
        assert max(0, first - 0.08) <= start <= first
        assert last - 0.06 <= end <= last + 0.08


def test_nothing_is_drawn_outside_the_plots_columns() -> None:
    """The pen's round ends do not stick out to the sides."""
    where = axes(length_s=1.0)
    curve = Curve("a", np.array([0.0, 1.0]), np.array([5.0, 5.0]), Colour(1, 2, 3), 9.0)
    covers = drawn(curve, where).covers
    assert (covers.left, covers.right) == (where.plot.left, where.plot.right)


def test_values_between_samples_lie_on_the_straight_line() -> None:
    """Exact at samples, linear between, none outside or inside a gap."""
    time_s, values = np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 10.0, np.nan, 30.0])
    assert value_at(time_s, values, 1.0) == 10.0
    assert value_at(time_s, values, 0.25) == pytest.approx(2.5)
    assert value_at(time_s, values, 3.0) == 30.0
    for outside in (-0.1, 3.1, 1.5, 2.0, 2.5):
        assert value_at(time_s, values, outside) is None
    assert value_at(np.array([]), np.array([]), 0.0) is None
