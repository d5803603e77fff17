"""Numbers read from pixels, in every style, size and weight, drawn and spoilt."""

from __future__ import annotations

import numpy as np
import pytest

from overlays.checks.digits import LEAST_SIZE_PX, read_number
from overlays.checks.writing import Line, lines_on
from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Pixels, lay_over
from overlays.style.house import load_style, style_names


def set_number(text: str, numerals: Numerals, *, ground: tuple[int, ...]) -> tuple[Line, Pixels]:
    layers: tuple[Layer, ...] = numerals.layers(text, 780, 140)
    pixels = np.zeros((200, 800, 4), np.uint8)
    pixels[...] = ground
    lay_over(pixels, (0, 0), layers)
    (line,) = lines_on(layers)
    return line, pixels


@pytest.mark.parametrize("style_name", style_names())
def test_numbers_are_read_as_they_were_set(style_name: str) -> None:
    """Random numbers of every weight and size of a style, with either decimal mark and sign."""
    style = load_style(style_name)
    page, chance = Page(1920, 1080, style), np.random.default_rng(7)
    for size in ("floor", "small", "body", "value", "title", "figure", "total"):
        for weight in ("text", "strong", "loud"):
            numerals = Numerals(page.face(weight, getattr(style.type, size)), style.colours.ink)
            assert numerals.face.size >= LEAST_SIZE_PX
            sign, mark = chance.choice(["", "−"]), chance.choice([".", ","])
            text = f"{sign}{chance.uniform(0, 9999):.{chance.integers(0, 4)}f}".replace(".", mark)
            panel = style.colours.panel
            line, pixels = set_number(text, numerals, ground=(*panel.rgb, panel.alpha))
            assert line.text == text
            assert read_number(line, pixels) == text


def test_what_is_read_is_the_picture_and_not_the_line() -> None:
    """Other digits at the same place are read as what they are; no ink is nothing."""
    style = load_style("rule")
    numerals = Numerals(Page(1920, 1080, style).face("loud", 50), style.colours.ink)
    line, _ = set_number("148.3", numerals, ground=(22, 28, 32, 240))
    _, other = set_number("149.8", numerals, ground=(22, 28, 32, 240))
    assert read_number(line, other) == "149.8"
    bare = np.full((200, 800, 4), (22, 28, 32, 240), np.uint8)
    assert read_number(line, bare) == ""


def test_a_number_on_nothing_and_one_in_dark_ink_are_read() -> None:
    """Without a panel the alpha alone tells ink from ground."""
    style = load_style("paper")
    numerals = Numerals(Page(1920, 1080, style).face("strong", 60), style.colours.ink)
    line, pixels = set_number("−60.75", numerals, ground=(0, 0, 0, 0))
    assert read_number(line, pixels) == "−60.75"


def test_a_shape_that_is_no_digit_is_a_question_mark() -> None:
    """A solid block stands for no digit."""
    style = load_style("rule")
    numerals = Numerals(Page(1920, 1080, style).face("loud", 50), style.colours.ink)
    line, pixels = set_number("7", numerals, ground=(22, 28, 32, 240))
    rect = line.rect
    pixels[rect.top : rect.bottom, rect.left : rect.right] = line.colour
    assert read_number(line, pixels) == "?"
