"""Backdrops, and laying straight alpha over them by Porter and Duff's definition."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.backdrop import BACKDROPS, busy, checkerboard, over, over_codes, plain
from overlays.draw.patch import Pixels
from tests.outside import Row, rows

CODE = st.integers(0, 255)


def pixel(*codes: int) -> Pixels:
    return np.array([[codes]], np.uint8)


@pytest.mark.parametrize("row", rows("colour_alpha", "over8"), ids=lambda row: row.id)
def test_over_gives_the_published_codes(row: Row) -> None:
    """Straight colour over an opaque one, rounded once, is exact."""
    got = over_codes(pixel(*row.input["src"]), pixel(*row.input["dst_opaque"]))
    assert got[0, 0].tolist() == row.expected["result"]


def test_straight_pixels_show_no_dark_fringe() -> None:
    """Pixels lie over white and black as straight alpha does, not as twice multiplied."""
    (row,) = rows("colour_alpha", "case.straight")
    for straight, shown in zip(row.input["straight"], row.expected["pixels"], strict=True):
        white = over_codes(pixel(*straight), pixel(255, 255, 255))[0, 0].astype(int)
        black = over_codes(pixel(*straight), pixel(0, 0, 0))[0, 0].astype(int)
        assert np.abs(white - shown["over_white"]).max() <= 1
        assert np.abs(black - shown["over_black"]).max() <= 1


@given(CODE, CODE, CODE)
def test_over_is_the_exact_mixture(colour: int, alpha: int, under: int) -> None:
    """Floats equal the exact fraction, and codes its nearest integer."""
    exact = Fraction(colour * alpha + under * (255 - alpha), 255)
    source, back = pixel(colour, colour, colour, alpha), pixel(under, under, under)
    assert over(source, back)[0, 0, 0] == pytest.approx(float(exact), abs=1e-9)
    assert int(over_codes(source, back)[0, 0, 0]) == round(exact)


@pytest.mark.parametrize("name", BACKDROPS)
def test_every_backdrop_is_opaque_and_the_same_each_time(name: str) -> None:
    """Backdrops have three components, the asked size, and no chance in them."""
    first, again = BACKDROPS[name](64, 36), BACKDROPS[name](64, 36)
    assert first.shape == (36, 64, 3)
    assert first.dtype == np.uint8
    assert np.array_equal(first, again)


def test_the_checkerboard_has_two_greys_in_squares() -> None:
    """Squares of the asked side alternate, the light one first."""
    board = checkerboard(6, 4, square=2, light=200, dark=100)[..., 0]
    assert board.tolist() == [
        [200, 200, 100, 100, 200, 200],
        [200, 200, 100, 100, 200, 200],
        [100, 100, 200, 200, 100, 100],
        [100, 100, 200, 200, 100, 100],
    ]


def test_the_busy_picture_spans_dark_and_light_and_depends_on_its_seed() -> None:
    """The busy picture holds near-black and near-white and changes with the seed."""
    picture = busy(320, 180)
    luma = picture @ np.array([0.2126, 0.7152, 0.0722])
    assert (luma < 40).mean() > 0.02
    assert (luma > 215).mean() > 0.02
    assert not np.array_equal(picture, busy(320, 180, seed=2))


def test_a_plain_backdrop_is_its_colour() -> None:
    """One colour fills the plain backdrop."""
    assert (plain(3, 2, rgb=(1, 2, 3)) == (1, 2, 3)).all()
