"""Cards stand in the safe area, and the numbers on their rules are clear of every tick."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.axis import Scale
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect
from overlays.kinds._card import FOOT, bar, merged, moved, numbered, room, stand, ticks_for
from overlays.style.house import load_style

STYLE = load_style("rule")
PAGE = Page(1920, 1080, STYLE)


@given(
    low=st.sampled_from([0.0, -3.6, -20.0]),
    high=st.floats(0.5, 2000.0),
    length=st.integers(300, 1600),
)
def test_numbers_are_clear_of_ticks(low: float, high: float, length: int) -> None:
    """Between a number's left end and its own tick no half tick, which reaches as deep, stands."""
    ticks = ticks_for(low, high, length, PAGE)
    scale = Scale(low, high, 100, 100 + length)
    halves = [scale.at(float(value)) for value, is_half in scale.minor(ticks, 6) if is_half]
    body = Rect(40, 0, 140 + length, PAGE.px(FOOT))
    for layer in numbered(body, scale, ticks, PAGE)[2:]:
        box = layer.covers
        assert not any(box.left - 2 < x < box.right + 2 for x in halves)


@pytest.mark.parametrize("shape", [(1920, 1080), (1080, 1920), (1080, 1080), (3840, 2160)])
def test_a_card_stands_low_in_the_safe_area(shape: tuple[int, int]) -> None:
    """It is as high as asked but no higher than there is room, and clear of a player's controls."""
    page = Page(*shape, STYLE)
    low, whole = stand(page, page.px(200)), stand(page, 100_000)
    assert low.bottom - low.top == page.px(200)
    assert whole == room(page)
    assert whole.meet(page.graphics) == whole
    if page.shape == "tall":
        assert whole.bottom <= 0.82 * page.height + 1


def test_a_bar_is_never_nothing() -> None:
    """A bar between two values, in either order, is at least a pixel long."""
    scale = Scale(-10, 10, 0, 200)
    assert bar(scale, 0, 5, 7, 20) == Rect(100, 7, 150, 27)
    assert bar(scale, 0, -5, 7, 20) == Rect(50, 7, 100, 27)
    assert bar(scale, 0, 0, 7, 20) == Rect(100, 7, 101, 27)


def test_merged_layers_keep_their_place_and_their_words() -> None:
    """Layers put together lie where they lay, and still say what is written in them."""
    face = PAGE.face("strong", 30)
    words = [face.layer(text, x, 40, STYLE.colours.ink) for text, x in (("Alder", 10), ("7", 300))]
    whole = merged(words)
    assert whole.covers == words[0].covers.join(words[1].covers)
    assert [line.text for line in whole.patch.written] == ["Alder", "7"]
    assert whole.patch.written[1].rect.moved(whole.left, whole.top) == words[1].covers


def test_a_clip_moves_with_its_layer() -> None:
    """A layer that was cut stays cut in the same way when it is moved."""
    patch = merged([PAGE.face("strong", 30).layer("Alder", 0, 40, STYLE.colours.ink)]).patch
    cut = Layer(patch, 10, 20, Rect(10, 20, 30, 40))
    assert moved(cut, 5, -7).covers == cut.covers.moved(5, -7)
