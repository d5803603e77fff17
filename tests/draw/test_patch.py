"""Placing patches over one another: Porter and Duff's *over*, on straight alpha."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.patch import Layer, Patch, Pixels, Rect, lay_over, through
from tests.outside import Row, rows


def dot(*rgba: int) -> Layer:
    return Layer(Patch(np.full((1, 1, 4), rgba, np.uint8)), 0, 0)


def laid(*layers: Layer, width: int = 1, height: int = 1) -> Pixels:
    pixels = np.zeros((height, width, 4), np.uint8)
    lay_over(pixels, (0, 0), layers)
    return pixels


def codes(parts: list[str]) -> list[int]:
    return [round(float(Fraction(part)) * 255) for part in parts]


@pytest.mark.parametrize("row", rows("colour_alpha", "over."), ids=lambda row: row.id)
def test_over_is_porter_and_duffs(row: Row) -> None:
    """Straight colours and alpha come out as the 1984 formula has them, within a code."""
    if row.id == "over.clear":
        assert laid(dot(10, 20, 30, 0), dot(1, 2, 3, 0))[0, 0, 3] == 0
        return
    under, over = (codes(row.input[f"{key}_straight_RGBA"]) for key in ("dst", "src"))
    got = laid(dot(*under), dot(*over))[0, 0].astype(int)
    wanted = [*codes(row.expected["straight_RGB"]), *codes([row.expected["alpha"]])]
    assert np.abs(got - wanted).max() <= 1


@pytest.mark.parametrize("row", rows("colour_alpha", "over8."), ids=lambda row: row.id)
def test_over_on_opaque_is_exact_to_the_code(row: Row) -> None:
    """8-bit codes over an opaque ground are the rounded ones."""
    got = laid(dot(*row.input["dst_opaque"], 255), dot(*row.input["src"]))[0, 0]
    assert got.tolist() == [*row.expected["result"], 255]


def exact_over(under: list[int], over: list[int], opacity: int) -> list[float]:
    alpha = Fraction(round(Fraction(over[3] * opacity, 255)), 255)
    behind = Fraction(under[3], 255) * (1 - alpha)
    total = alpha + behind
    if total == 0:
        return [*map(float, under[:3]), 0.0]
    mixed = [(o * alpha + u * behind) / total for o, u in zip(over[:3], under[:3], strict=True)]
    return [*map(float, mixed), float(total * 255)]


@settings(max_examples=300, deadline=None)
@given(
    under=st.lists(st.integers(0, 255), min_size=4, max_size=4),
    over=st.lists(st.integers(0, 255), min_size=4, max_size=4),
    opacity=st.integers(0, 255),
)
def test_over_rounds_to_the_nearest_code(under: list[int], over: list[int], opacity: int) -> None:
    """Against exact fractions, each channel is at most half a code off (rounding alone)."""
    layer = Layer(dot(*over).patch, 0, 0, None, opacity)
    ground = np.array([[under]], np.uint8)
    lay_over(ground, (0, 0), [layer])
    wanted = exact_over(under, over, opacity)
    if under[3] == 0 and wanted[3] == 0:
        return
    assert np.abs(ground[0, 0].astype(float) - wanted).max() <= 0.5 + 1e-3


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_any_split_gives_the_same_pixels(data: st.DataObject) -> None:
    """A canvas laid in rectangles equals the canvas laid at once, bit for bit."""
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32 - 1)))
    layers = []
    for _ in range(data.draw(st.integers(1, 6))):
        height, width = rng.integers(1, 12, 2)
        pixels = rng.integers(0, 256, (height, width, 4)).astype(np.uint8)
        pixels[..., 3] = rng.choice(np.array([0, 255, 128, 77]), (height, width))
        solid = (0, 0)
        if rng.random() < 0.5:
            pixels[: height // 2, :, 3] = 255
            solid = (0, int(height // 2))
        left, top = (int(v) for v in rng.integers(-5, 20, 2))
        clip = Rect(2, 3, 14, 12) if rng.random() < 0.3 else None
        layers.append(
            Layer(Patch(pixels, solid=solid), left, top, clip, int(rng.choice([255, 99])))
        )
    whole = laid(*layers, width=24, height=20)
    parts = np.full_like(whole, 77)
    x, y = data.draw(st.integers(1, 23)), data.draw(st.integers(1, 19))
    for rect in (Rect(0, 0, x, y), Rect(x, 0, 24, y), Rect(0, y, x, 20), Rect(x, y, 24, 20)):
        part = parts[rect.top : rect.bottom, rect.left : rect.right]
        lay_over(part, (rect.left, rect.top), layers, clear=True)
    np.testing.assert_array_equal(parts, whole)


def test_a_layer_through_a_window() -> None:
    """A window that holds all of a layer changes nothing, any other clips it."""
    layer = Layer(Patch(np.zeros((4, 6, 4), np.uint8)), 10, 20)
    assert through(layer, Rect(0, 0, 100, 100)) is layer
    assert through(layer, Rect(0, 0, 13, 100)).covers == Rect(10, 20, 13, 24)
    assert through(layer, Rect(0, 0, 5, 5)).covers.empty


def test_rectangles_meet_and_join() -> None:
    """Rectangles are half open; those that only touch have nothing in common."""
    a, b = Rect(0, 0, 4, 4), Rect(4, 0, 6, 4)
    assert a.meet(b).empty
    assert a.meet(b).area == 0
    assert a.join(b) == Rect(0, 0, 6, 4)
    assert a.moved(2, -1) == Rect(2, -1, 6, 3)
    assert (b.area, Rect(0, 0, 1, 1).empty) == (8, False)
