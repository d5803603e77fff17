"""Code values against ITU-R BT.709; sources stand in data/checks/colour_codes.json."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.ycbcr import codes_from_rgb
from overlays.render.colour import BLACK, alpha_to_10_bits, to_bt709
from tests.outside import Row, rows

BYTE = st.integers(0, 255)


@pytest.mark.parametrize("row", rows("colour_codes", "bars100"), ids=lambda row: row.id)
def test_full_bars_have_their_published_codes(row: Row) -> None:
    """The 100 % colour bars give the exact integers, in 8 and in 10 bits."""
    rgb = (np.array(row.input["R'G'B'"]) * 255).astype(np.uint8)
    assert [int(code) for code in to_bt709(rgb, bits=8)] == row.expected["8bit_YCbCr"]
    assert [int(code) for code in to_bt709(rgb)] == row.expected["10bit_YCbCr"]


def test_colours_that_tell_bt709_from_bt601_come_out_as_bt709() -> None:
    """Saturated colours, which a BT.601 matrix would shift by up to 18 codes, are exact."""
    (row,) = rows("colour_codes", "case.bt709")
    for colour in row.expected["colours"]:
        codes = to_bt709(np.array(colour["rgb"], np.uint8), bits=8)
        assert [int(code) for code in codes] == colour["bt709"]


@given(st.lists(st.tuples(BYTE, BYTE, BYTE), min_size=1, max_size=50), st.sampled_from([8, 10]))
def test_whole_numbers_give_what_the_equations_give(
    colours: list[tuple[int, int, int]], bits: int
) -> None:
    """Any colours equal the standard's equations worked out in floating point."""
    rgb = np.array(colours, np.uint8)
    exact = codes_from_rgb(rgb / 255, bits=bits)
    assert np.array_equal(np.stack(to_bt709(rgb, bits=bits), axis=-1), exact)


def test_a_pixels_codes_do_not_depend_on_its_neighbours() -> None:
    """Converted among many or alone, and with alpha beside it, a colour has the same codes."""
    many = np.random.default_rng(1).integers(0, 256, (9000, 4), dtype=np.uint8)
    together = np.stack(to_bt709(many), axis=-1)
    for index in (0, 1, 8191, 8192, 8999):
        assert together[index].tolist() == [int(code) for code in to_bt709(many[index, :3])]


def test_black_is_black() -> None:
    """The constant for the empty canvas is the code of black."""
    assert tuple(int(code) for code in to_bt709(np.zeros(3, np.uint8))) == BLACK


def test_every_alpha_survives_ten_bits() -> None:
    """All 256 values come back by dropping the two low bits, and full stays full."""
    alpha = np.arange(256, dtype=np.uint8)
    wide = alpha_to_10_bits(alpha)
    assert np.array_equal(wide >> 2, alpha)
    assert (int(wide[0]), int(wide[255])) == (0, 1023)
    assert np.abs(wide / 1023 - alpha / 255).max() < 0.5 / 255
