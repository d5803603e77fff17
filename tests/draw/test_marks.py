"""Small drawn things: sheets, rules, flags, arrows, dimension lines, strikes."""

from __future__ import annotations

import numpy as np
import pytest

from overlays.draw.axis import Scale, nice_ticks
from overlays.draw.dimension import Dimension
from overlays.draw.page import Page
from overlays.draw.panel import flag, panel
from overlays.draw.patch import Rect
from overlays.draw.rule import engraved
from overlays.draw.sheet import Sheet, block, cropped
from overlays.draw.value import struck
from overlays.style.colour import Colour
from overlays.style.house import load_style

RED = Colour(200, 40, 40)


def test_whole_pixel_rectangles_are_sharp() -> None:
    """A rectangle of whole pixels has no half-covered edge, and keeps its straight colour."""
    layer = Sheet(Rect(5, 5, 30, 30)).rect(Rect(8, 9, 12, 20), Colour(200, 40, 40, 128)).layer()
    assert layer.covers == Rect(8, 9, 12, 20)
    assert (layer.patch.pixels == (200, 40, 40, 128)).all()


def test_a_half_covered_pixel_keeps_its_colour() -> None:
    """At an edge only alpha goes down: colour stays straight, within a code."""
    layer = (
        Sheet(Rect(0, 0, 20, 20)).fill([(2.5, 2), (12.5, 2), (12.5, 10), (2.5, 10)], RED).layer()
    )
    edge = layer.patch.pixels[4, 0]
    assert abs(int(edge[3]) - 128) <= 2
    assert np.abs(edge[:3].astype(int) - RED.rgb).max() <= 1


def test_lines_are_as_wide_as_asked() -> None:
    """The coverage across a level line adds up to its width."""
    for width in (1.0, 2.5, 5.0):
        layer = Sheet(Rect(0, 0, 40, 20)).stroke([(2, 10.2), (38, 10.2)], RED, width).layer()
        covered = layer.patch.pixels[:, 15, 3].sum() / 255
        assert covered == pytest.approx(width, abs=0.03)


def test_nothing_drawn_is_a_clear_pixel() -> None:
    """An empty sheet gives a layer all the same."""
    assert cropped(np.zeros((5, 5, 4), np.uint8), 3, 4).patch.pixels.tolist() == [[[0, 0, 0, 0]]]
    assert block(Rect(3, 3, 3, 3), RED).patch.width == 1


def test_ticks_are_true_to_their_scale() -> None:
    """Every tick of a rule lies within half a pixel of its value, numbered ones the longest."""
    page = Page(1920, 1080, load_style("rule"))
    scale, ticks = Scale(0.0, 80.0, 700.0, 100.0), nice_ticks(0.0, 80.0, 5)
    strip = Rect(50, 60, 86, 740)
    layer = engraved(strip, "right", scale, ticks, page)
    ink = np.zeros((800, 100), bool)
    rect = layer.covers
    ink[rect.top : rect.bottom, rect.left : rect.right] = layer.patch.pixels[..., 3] > 128
    lengths = ink.sum(axis=1)
    rows = np.flatnonzero(np.diff((lengths > 0).astype(int), prepend=0) == 1)
    assert len(rows) == 41
    width = page.px(page.style.strokes.tick)
    for row, value in zip(rows, np.arange(80, -1, -2), strict=True):
        assert abs(row + width / 2 - scale.at(float(value))) <= 0.5
        kind = 2 if value % 20 == 0 else 1 if value % 10 == 0 else 0
        assert lengths[row] == round(36 * (0.34, 0.58, 0.83)[kind])


def test_panels_and_flags_have_one_cut_corner() -> None:
    """A panel's upper right corner is cut, a flag's lower right one; the others are square."""
    page = Page(1920, 1080, load_style("rule"))
    shape = panel(Rect(100, 100, 400, 300), page).patch.pixels[..., 3] > 0
    assert [bool(shape[y, x]) for y, x in ((0, 0), (0, -1), (-1, 0), (-1, -1))] == [
        True, False, True, True,
    ]  # fmt: skip
    shape = flag(Rect(0, 0, 60, 30), 8, RED).patch.pixels[..., 3] > 0
    assert [bool(shape[y, x]) for y, x in ((0, 0), (0, -1), (-1, 0), (-1, -1))] == [
        True, True, True, False,
    ]  # fmt: skip


@pytest.mark.parametrize("span", [200.0, 60.0, 20.0, 0.0])
def test_dimension_lines_touch_what_they_measure(span: float) -> None:
    """Arrow tips lie at the two heights; where there is no room they point in from outside."""
    layer = Dimension(50, 300.0, 300.0 + span, RED, 2, 18.0).layer()
    if span >= 2.6 * 18:
        assert abs(layer.covers.top - 300) <= 1
        assert abs(layer.covers.bottom - 300 - span) <= 1
    else:
        assert layer.covers.top < 300 - 20
        assert layer.covers.bottom > 300 + span + 20


def test_a_strike_through_one_digit_is_no_steeper_than_through_many() -> None:
    """It runs on at both sides: a lone digit is crossed, not followed along its own stroke."""
    layer = struck(Rect(100, 50, 112, 72), 3, RED)
    covers = layer.covers
    assert covers.right - covers.left > 2 * (72 - 50)
    assert abs((covers.left + covers.right) / 2 - 106) <= 1


def test_a_strike_rises_across_the_number() -> None:
    """It begins below the first digit's middle, ends above the last one's, and sticks out."""
    layer = struck(Rect(100, 50, 160, 80), 3, RED)
    ink = layer.patch.pixels[..., 3] > 128
    first, last = (np.flatnonzero(ink[:, column]).mean() + layer.top for column in (2, -3))
    assert first > 65 > last
    assert layer.left < 100
    assert layer.covers.right > 160
