"""Y'CbCr codes against BT.709's colour bars; sources stand in data/checks/colour_codes.json."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.ycbcr import codes_from_rgb, rgb_from_codes
from tests.outside import Row, rows


@pytest.mark.parametrize("row", rows("colour_codes", "bars"), ids=lambda row: row.id)
def test_colour_bars_have_their_published_codes(row: Row) -> None:
    """75 % and 100 % bars give the exact integers, in 8 and in 10 bits."""
    rgb = row.input["R'G'B'"]
    assert codes_from_rgb(rgb, bits=8).tolist() == row.expected["8bit_YCbCr"]
    assert codes_from_rgb(rgb, bits=10).tolist() == row.expected["10bit_YCbCr"]


def test_colours_that_tell_bt709_from_bt601_come_out_as_bt709() -> None:
    """Saturated colours, which a BT.601 matrix would shift by up to 18 codes, are right."""
    (row,) = rows("colour_codes", "case.bt709")
    for colour in row.expected["colours"]:
        codes = codes_from_rgb(np.array(colour["rgb"]) / 255, bits=8)
        assert np.abs(codes - colour["bt709"]).max() <= 1


def test_the_luma_weights_are_bt709s() -> None:
    """Full red, green and blue carry the luma shares BT.709 gives them."""
    (row,) = rows("colour_codes", "709.luma")
    luma = (codes_from_rgb(np.eye(3), bits=24)[:, 0] / 2**16 - 16) / 219
    assert luma == pytest.approx([row.expected[key] for key in ("Kr", "Kg", "Kb")], abs=1e-6)


@given(st.tuples(*[st.floats(0, 1)] * 3))
def test_codes_return_the_colour_they_came_from(rgb: tuple[float, float, float]) -> None:
    """Twelve-bit codes hold a colour to half a code in each component."""
    luma, blue, red = codes_from_rgb(rgb, bits=12)
    assert rgb_from_codes(luma, blue, red, bits=12) == pytest.approx(rgb, abs=6e-4)
