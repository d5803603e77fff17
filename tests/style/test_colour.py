"""Colours are read as written, and laid over one another as Porter and Duff say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import StyleError
from overlays.style.colour import Colour

codes = st.integers(0, 255)


@given(codes, codes, codes, codes)
def test_text_and_back(red: int, green: int, blue: int, alpha: int) -> None:
    """A colour written is the colour read."""
    colour = Colour(red, green, blue, alpha)
    assert Colour.parse(colour.text) == colour


@pytest.mark.parametrize("text", ["red", "#FFF", "#GGGGGG", "FFFFFF", "#FFFFFFF", "#FFFFFFFFF", ""])
def test_anything_else_is_refused(text: str) -> None:
    """Only six or eight hexadecimal digits after a number sign are a colour."""
    with pytest.raises(StyleError, match="is not a colour"):
        Colour.parse(text)


def test_over_and_faded() -> None:
    """200,40,40 at alpha 128 over white is 227,147,147, over black 100,20,20 (Porter and Duff)."""
    colour = Colour(200, 40, 40, 128)
    assert colour.over(Colour(255, 255, 255)).rgb == (227, 147, 147)
    assert colour.over(Colour(0, 0, 0)).rgb == (100, 20, 20)
    assert colour.faded(0.5).alpha == 64
