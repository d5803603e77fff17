"""Lines of text found among layers, and how long they stand."""

from __future__ import annotations

import numpy as np
import pytest

from overlays.checks.writing import Showings, ground_of, is_number, lines_on, numbers_in
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Patch, Rect, lay_over, written_in
from overlays.draw.sheet import block
from overlays.draw.text import Face
from overlays.style.colour import Colour
from overlays.style.house import load_style

STYLE = load_style("rule")
PAGE = Page(1920, 1080, STYLE)
INK = Colour(240, 240, 240)


@pytest.fixture(scope="module")
def face() -> Face:
    return PAGE.face("text", 40)


@pytest.mark.parametrize(
    ("text", "number"),
    [("148", True), ("−12,5", True), ("0.5", True), ("–", False), ("3 s", False), ("N·m", False)],
)
def test_a_number_is_digits_with_a_mark_and_a_sign(text: str, number: bool) -> None:  # noqa: FBT001 (the expected answer)
    """Words, units and the dash of a missing figure are none."""
    assert is_number(text) is number
    assert numbers_in("was 62.9, now −3") == ["62.9", "−3"]


def test_a_number_set_digit_by_digit_is_one_line(face: Face) -> None:
    """Digits beside one another on a baseline belong together, those apart do not."""
    x, layers = 100, []
    for sign in "62.9":
        layer = face.layer(sign, x, 200, INK)
        layers.append(layer)
        x += face.width(sign) + 1
    layers.append(face.layer("7", 400, 200, INK))
    layers.append(face.layer("kg", 440, 200, INK))
    assert [line.text for line in lines_on(layers)] == ["62.9", "7", "kg"]


def test_only_lines_that_stand_whole_are_there(face: Face) -> None:
    """A line cut by a window or faded is not on screen yet."""
    layer = face.layer("Alder", 100, 200, INK)
    right = layer.covers.right
    cut = Layer(layer.patch, layer.left, layer.top, Rect(0, 0, right - 4, 1080))
    faded = Layer(layer.patch, layer.left, layer.top, None, 128)
    windowed = Layer(layer.patch, layer.left, layer.top, Rect(0, 0, right + 4, 1080))
    assert [line.text for line in lines_on([cut, faded, windowed])] == ["Alder"]


def test_what_something_lies_over_is_not_clear(face: Face) -> None:
    """A stroke over a line, on the canvas or within its own patch, is noticed."""
    old, beside = face.layer("58.4", 100, 200, INK), face.layer("Score", 600, 200, INK)
    stroke = block(Rect(90, 180, 240, 190), INK)
    assert [line.clear for line in lines_on([old, beside, stroke])] == [False, True]
    assert [line.clear for line in lines_on([stroke, old, beside])] == [True, True]
    together = np.zeros((400, 900, 4), np.uint8)
    patch = Patch(together, written=written_in([old, beside, stroke], 50, 100))
    placed = lines_on([Layer(patch, 50, 100)])
    assert [line.clear for line in placed] == [False, True]
    assert placed[0].rect == old.covers


def test_the_ground_is_what_is_commonest_around_a_text(face: Face) -> None:
    """A panel's colour on a panel; nothing where nothing is."""
    layer = face.layer("Alder", 100, 200, INK)
    (line,) = lines_on([layer])
    pixels = np.zeros((400, 600, 4), np.uint8)
    lay_over(pixels, (0, 0), [layer])
    assert ground_of(line, pixels) == (0, 0, 0, 0)
    panel = block(Rect(50, 100, 400, 300), Colour(20, 30, 40, 230))
    lay_over(pixels, (0, 0), [panel, layer])
    assert ground_of(line, pixels) == (20, 30, 40, 230)
    pixels[...] = line.colour
    assert ground_of(line, pixels) == (0, 0, 0, 0)


def test_showings_follow_texts_through_time(face: Face) -> None:
    """A text that moves goes on; one that changes ends; equal texts are counted by place."""
    note = [face.layer("note", x, 200, INK) for x in (100, 120)]
    twice = face.layer("note", 500, 200, INK)
    first, second = face.layer("1", 100, 400, INK), face.layer("2", 100, 400, INK)
    frames = [[note[0], first], [note[1], first], [note[1], first], [note[1], second, twice]]
    showings = Showings()
    for number, layers in enumerate(frames):
        showings.add(number, layers)
        showings.add(number, ())  # a frame asked for again says nothing new
    found = [(item.text, item.first_frame, item.end_frame) for item in showings.until(6)]
    assert found == [("1", 0, 3), ("note", 0, 6), ("2", 3, 6), ("note", 3, 6)]
