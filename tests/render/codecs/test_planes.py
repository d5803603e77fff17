"""Planes kept up to date block by block."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.patch import Rect
from overlays.render.codecs.planes import Planes
from overlays.render.colour import BLACK, alpha_to_10_bits, to_bt709
from tests.render.scenes import noise


def test_the_empty_canvas_is_black_under_alpha_zero() -> None:
    """Nothing drawn yet means black that nobody sees, everywhere."""
    codes = Planes(20, 9).codes
    assert codes.shape == (4, 16, 32)
    assert (codes[:3] == np.array(BLACK)[:, None, None]).all()
    assert not codes[3].any()


def test_visible_pixels_are_converted_and_keep_their_codes() -> None:
    """Colour under alpha is exactly its BT.709 code, whatever its block is filled with."""
    pixels = noise(33, 21)
    planes = Planes(33, 21)
    planes.update(pixels, [Rect(0, 0, 33, 21)])
    visible = pixels[..., 3] > 0
    for plane, expected in zip(planes.codes, to_bt709(pixels), strict=False):
        assert np.array_equal(plane[:21, :33][visible], expected[visible])
    assert np.array_equal(planes.codes[3, :21, :33], alpha_to_10_bits(pixels[..., 3]))


def test_invisible_pixels_take_the_mean_of_their_block() -> None:
    """Two visible colours in a block fill the rest of it with their mean; other blocks are not."""
    pixels = np.zeros((8, 16, 4), np.uint8)
    pixels[0, 0] = (255, 255, 255, 255)
    pixels[0, 1] = (0, 0, 0, 1)
    planes = Planes(16, 8)
    planes.update(pixels, [Rect(0, 0, 16, 8)])
    # White is 940 and black 64 in BT.709's ten bits; their mean is 502.
    assert (planes.codes[0, 1:8, :8] == 502).all()
    assert (planes.codes[1:3, 1:8, :8] == 512).all()
    assert (planes.codes[0, :8, 8:16] == BLACK[0]).all()
    assert not planes.codes[3, 1:8].any()


def test_edges_are_repeated_to_whole_macroblocks() -> None:
    """Below and right of the canvas lie copies of its last row and column."""
    planes = Planes(17, 5)
    planes.update(noise(17, 5), [Rect(0, 0, 17, 5)])
    codes = planes.codes
    assert codes.shape == (4, 16, 32)
    assert (codes[:, :5, 17:] == codes[:, :5, 16:17]).all()
    assert (codes[:, 5:] == codes[:, 4:5]).all()


def test_only_blocks_that_differ_are_reported() -> None:
    """A rectangle in which one pixel differs marks one block, and a repeated frame none."""
    pixels = np.zeros((40, 40, 4), np.uint8)
    planes = Planes(40, 40)
    pixels[19, 30] = 255
    blocks = planes.update(pixels, [Rect(3, 3, 40, 40)])
    assert np.argwhere(blocks).tolist() == [[2, 3]]
    assert not planes.update(pixels, [Rect(0, 0, 40, 40)]).any()
    assert not planes.update(pixels, []).any()


@pytest.mark.parametrize("size", [(8, 8), (41, 23), (1, 1)])
@given(data=st.data())
def test_updating_by_rectangles_equals_starting_anew(
    size: tuple[int, int], data: st.DataObject
) -> None:
    """After any changes the planes are what the last frame alone would give."""
    width, height = size
    source = noise(width, height, seed=2)
    pixels = np.zeros((height, width, 4), np.uint8)
    kept = Planes(width, height)
    for _ in range(3):
        left = data.draw(st.integers(0, width - 1))
        top = data.draw(st.integers(0, height - 1))
        right = data.draw(st.integers(left + 1, width))
        bottom = data.draw(st.integers(top + 1, height))
        place = np.s_[top:bottom, left:right]
        pixels[place] = source[place] if data.draw(st.booleans()) else 0
        kept.update(pixels, [Rect(left, top, right, bottom)])
    fresh = Planes(width, height)
    fresh.update(pixels, [Rect(0, 0, width, height)])
    assert np.array_equal(kept.codes, fresh.codes)
