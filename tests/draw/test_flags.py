"""Flags: in order, apart, and gliding."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.flags import _copy, settled


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 6), window=st.integers(1, 20))
def test_flags_end_apart_in_the_order_of_their_heads(seed: int, count: int, window: int) -> None:
    """Whatever heads do, flags end in their order, the least distance apart, inside."""
    rng = np.random.default_rng(seed)
    heads = 300 + rng.normal(0, 4, (120, count)).cumsum(axis=0)
    places = settled(heads, 40, 50, 800, window)
    assert places.shape == (120 + window, count)
    assert places.min() >= 49
    assert places.max() <= 801
    ends = places[-1][np.argsort(heads[-1], kind="stable")]
    assert (np.diff(ends) >= 39).all()


def test_heads_that_never_cross_have_flags_that_never_touch() -> None:
    """As long as no two heads change places, flags stay apart on every frame."""
    time = np.linspace(0, 6, 200)[:, None]
    heads = 400 + 60 * np.sin(time) + np.array([[0.0, 3.0, 9.0, 200.0]])
    places = settled(heads, 40, 0, 900, 18)
    assert (np.diff(places, axis=1) >= 38).all()


def test_ripple_does_not_make_flags_change_places() -> None:
    """Two heads that cross again and again within a few pixels keep their flags where they are."""
    time = np.arange(300) / 30
    ripple = 1.5 * np.sin(2 * np.pi * 3 * time)
    heads = np.stack([200 + ripple, 200 - ripple], axis=1)
    places = settled(heads, 40, 0, 900, 9)
    order = np.sign(places[:-12, 0] - places[:-12, 1])
    assert len(set(order.tolist())) == 1


def test_an_overtaking_takes_its_time() -> None:
    """When one head passes another, the flags change places over the window, not at once."""
    heads = np.stack([np.linspace(300, 100, 120), np.full(120, 200.0)], axis=1)
    places = settled(heads, 40, 0, 900, 18)
    assert places[0, 0] > places[0, 1]
    assert places[-1, 0] < places[-1, 1]
    assert np.abs(np.diff(places, axis=0)).max() <= 40 / 4


@pytest.mark.parametrize(("x", "top"), [(2, 3), (-2, -3), (4, 5), (9, 9), (-9, 1)])
def test_what_is_larger_than_a_flag_is_cut(x: int, top: int) -> None:
    """Huge type in a style's tokens draws what fits, wherever it would lie."""
    pixels, cell = np.zeros((6, 5, 4), np.uint8), np.full((8, 4, 4), 9, np.uint8)
    _copy(cell, pixels, x, top)
    expected = np.zeros_like(pixels)
    for row in range(8):
        for column in range(4):
            if 0 <= top + row < 6 and 0 <= x + column < 5:
                expected[top + row, x + column] = 9
    assert np.array_equal(pixels, expected)
