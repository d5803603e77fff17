"""Colour under invisible pixels."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs.nearest import REACH, filled


def _sparse(width: int, height: int, seed: int) -> Pixels:
    random = np.random.default_rng(seed)
    pixels = random.integers(0, 256, (height, width, 4), dtype=np.uint8)
    pixels[random.random((height, width)) > random.choice([0.003, 0.03, 0.4]), 3] = 0
    return pixels


def test_invisible_pixels_take_the_nearest_visible_colour() -> None:
    """Between two dots each pixel takes the nearer one's colour, as far as the reach goes."""
    pixels = np.zeros((1, 40, 4), np.uint8)
    pixels[0, 10] = (200, 10, 10, 255)
    pixels[0, 17] = (10, 10, 200, 3)
    row = filled(pixels, Rect(0, 0, 40, 1))[0]
    assert (row[10 - REACH : 14, :3] == (200, 10, 10)).all()
    assert (row[14 : 17 + REACH + 1, :3] == (10, 10, 200)).all()
    assert not row[: 10 - REACH, :3].any()
    assert not row[17 + REACH + 1 :, :3].any()
    assert np.array_equal(row[:, 3], pixels[0, :, 3])


def test_visible_pixels_are_left_alone() -> None:
    """Colour and alpha of what is seen do not change."""
    pixels = _sparse(50, 30, seed=1)
    result = filled(pixels, Rect(0, 0, 50, 30))
    seen = pixels[..., 3] > 0
    assert np.array_equal(result[seen], pixels[seen])


def test_nothing_visible_is_black() -> None:
    """An empty frame has no colour to carry."""
    pixels = np.full((20, 20, 4), 77, np.uint8)
    pixels[..., 3] = 0
    assert not filled(pixels, Rect(2, 2, 9, 9)).any()


@given(st.integers(0, 10_000), st.data())
def test_a_window_equals_that_part_of_the_whole(seed: int, data: st.DataObject) -> None:
    """Which window is asked for does not matter, so clips may be drawn in any parts."""
    pixels = _sparse(60, 45, seed)
    left, top = data.draw(st.integers(0, 59)), data.draw(st.integers(0, 44))
    right = data.draw(st.integers(left + 1, 60))
    bottom = data.draw(st.integers(top + 1, 45))
    whole = filled(pixels, Rect(0, 0, 60, 45))
    part = filled(pixels, Rect(left, top, right, bottom))
    assert np.array_equal(part, whole[top:bottom, left:right])
