"""Numbers that move: cells of one width, and a decimal mark that stays."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from overlays.draw.numerals import Numerals, widest_number
from overlays.draw.page import Page
from overlays.numbers import MINUS
from overlays.style.colour import Colour
from overlays.style.house import load_style

CASES = Path(__file__).parents[1] / "data" / "cases"


@pytest.fixture(scope="module")
def numerals() -> Numerals:
    return Numerals(Page(1920, 1080, load_style("rule")).face("loud", 72), Colour(255, 255, 255))


def test_the_decimal_mark_stays_in_place(numerals: Numerals) -> None:
    """In all frames of a counter the mark is at one x, and the widest text is known beforehand."""
    with (CASES / "text_counter.csv").open(encoding="utf-8") as file:
        frames = [row["shown"] for row in csv.DictReader(file)]
    marks, lefts = set(), []
    for text in frames:
        layers = numerals.layers(text, 400, 100)
        marks.add(layers[text.index(".")].left)
        lefts.append(400 - numerals.width(text))
    assert len(frames) == 7
    assert len(marks) == 1
    widest = widest_number([float(text.replace(MINUS, "-")) for text in frames], 1)
    assert len(widest.lstrip("-")) == 6
    assert min(lefts) >= 400 - numerals.width(widest.replace("-", MINUS))


def test_digits_are_equally_wide(numerals: Numerals) -> None:
    """Every digit and the minus take the same room."""
    assert {numerals.width(digit) for digit in f"0123456789{MINUS}"} == {numerals.cell}


def test_ink_stays_in_its_cell(numerals: Numerals) -> None:
    """No digit reaches into its neighbour's cell."""
    for character in f"0123456789.,{MINUS}":
        (layer,) = numerals.layers(character, 100, 50)
        assert 100 - numerals.width(character) <= layer.left
        assert layer.covers.right <= 100


def test_a_number_that_stays_equals_its_cells(numerals: Numerals) -> None:
    """One layer of a number shows the pixels of its cells."""
    one = numerals.layer("71.2", 300, 80)
    for cell in numerals.layers("71.2", 300, 80):
        x, y = cell.left - one.left, cell.top - one.top
        part = one.patch.pixels[y : y + cell.patch.height, x : x + cell.patch.width]
        np.testing.assert_array_equal(part[..., 3], cell.patch.pixels[..., 3])


@pytest.mark.parametrize(
    ("values", "places", "wanted"),
    [([0.0, 9.96], 1, "00.0"), ([-0.04, 3.0], 1, "0.0"), ([-12.0, 5.0], 0, "-00"),
     ([999.5], 0, "0000")],
)  # fmt: skip
def test_the_widest_number_is_as_wide_as_any(values: list[float], places: int, wanted: str) -> None:
    """Rounding up counts, and a minus only where one is shown."""
    assert widest_number(values, places) == wanted
