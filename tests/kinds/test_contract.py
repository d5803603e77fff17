"""What every overlay kind must do, whatever it shows. A new kind is tested by being there."""

from __future__ import annotations

import pickle
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.canvas import Canvas, draw_alone
from overlays.draw.page import Page
from overlays.draw.patch import Scene, lay_over
from overlays.kinds.registry import kinds
from overlays.style.house import load_style
from tests.kinds.conftest import (
    EXAMPLES,
    SHAPES,
    Bench,
    assert_same_in_any_order,
    content_of,
    make_results,
    stage,
)

KINDS = sorted(set(kinds()) & set(EXAMPLES))
FRAMES = 240


def scene_of(bench: Bench, kind: str, shape: tuple[int, int], frames: int = FRAMES) -> Scene:
    content = content_of(bench.results, kind, **EXAMPLES[kind])
    return kinds()[kind].lay_out(content, stage(*shape, frames=frames), bench.style)


def full_redraw(scene: Scene, frame: int) -> np.ndarray:
    pixels = np.zeros((scene.height, scene.width, 4), np.uint8)
    lay_over(pixels, (0, 0), scene.layers(frame))
    return pixels


def test_every_kind_has_an_example() -> None:
    """A kind that is discovered is drawn by these tests: it has a file in examples/."""
    assert set(kinds()) == set(EXAMPLES)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shape", SHAPES)
def test_frames_do_not_depend_on_how_they_are_reached(
    bench: Bench, kind: str, shape: tuple[int, int]
) -> None:
    """A frame drawn alone, in sequence, in reverse and by full redraw is the same, bit for bit."""
    scene = scene_of(bench, kind, shape)
    checked = {0, 1, FRAMES // 3, FRAMES // 2, FRAMES - 1, *range(20, FRAMES, 37)}
    wanted = {frame: full_redraw(scene, frame) for frame in checked}
    assert_same_in_any_order(scene, wanted)
    for frame in sorted(checked)[::3]:
        np.testing.assert_array_equal(draw_alone(scene, frame), wanted[frame])


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=8, deadline=None)
@given(frames=st.lists(st.integers(-1, FRAMES - 1), min_size=2, max_size=8))
def test_scrubbing_shows_each_frame_as_it_is(kind: str, frames: list[int]) -> None:
    """Jumping about, before the cue included, draws each frame as drawn alone."""
    bench = Bench(make_results(), load_style("rule"))
    scene = scene_of(bench, kind, SHAPES[0])
    canvas = Canvas(scene)
    for frame in frames:
        canvas.draw(frame)
        np.testing.assert_array_equal(canvas.pixels, draw_alone(scene, frame))


@pytest.mark.parametrize("kind", KINDS)
def test_changed_rectangles_hold_every_change(bench: Bench, kind: str) -> None:
    """Outside the rectangles a draw reports, no pixel changes; a hold reports none."""
    scene = scene_of(bench, kind, SHAPES[0])
    canvas = Canvas(scene)
    before = canvas.pixels.copy()
    for frame in range(FRAMES):
        rects = canvas.draw(frame)
        changed = (canvas.pixels != before).any(axis=-1)
        for rect in rects:
            changed[rect.top : rect.bottom, rect.left : rect.right] = False
        assert not changed.any()
        before = canvas.pixels.copy()
    assert canvas.draw(FRAMES - 1) == ()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shape", SHAPES)
def test_something_is_seen_at_once_and_the_end_stands(
    bench: Bench, kind: str, shape: tuple[int, int]
) -> None:
    """Frame 0 is not empty, and the last state stands for a while before the cue ends."""
    scene = scene_of(bench, kind, shape)
    assert draw_alone(scene, 0)[..., 3].any()
    assert tuple(scene.layers(FRAMES - 1)) == tuple(scene.layers(FRAMES - 12))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shape", [*SHAPES, (853, 481), (720, 160), (160, 720)])
def test_nothing_leaves_the_graphics_safe_area(
    bench: Bench, kind: str, shape: tuple[int, int]
) -> None:
    """Every visible pixel lies inside the graphics-safe area (EBU R 95: 5 %)."""
    scene = scene_of(bench, kind, shape)
    safe = Page(*shape, bench.style).graphics
    for frame in (FRAMES // 2, FRAMES - 1):
        alpha = draw_alone(scene, frame)[..., 3].copy()
        alpha[safe.top : safe.bottom, safe.left : safe.right] = 0
        assert not alpha.any()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("frames", [4, 7, 20])
def test_a_short_cue_still_ends_complete(bench: Bench, kind: str, frames: int) -> None:
    """However short the cue, its last frame is the one a long cue ends with."""
    paced = any(field.name == "pace" for field in fields(kinds()[kind]))
    options = EXAMPLES[kind] | ({"pace": "fit"} if paced else {})
    content = content_of(bench.results, kind, **options)
    short, long = (
        kinds()[kind].lay_out(content, stage(480, 270, frames=n), bench.style)
        for n in (frames, 400)
    )
    if frames >= 20:
        np.testing.assert_array_equal(draw_alone(short, frames - 1), draw_alone(long, 399))
    else:
        assert draw_alone(short, frames - 1)[..., 3].any()


@pytest.mark.parametrize("kind", KINDS)
def test_content_travels_to_a_worker(bench: Bench, kind: str) -> None:
    """Content survives pickling and draws the same picture on the other side."""
    content = content_of(bench.results, kind, **EXAMPLES[kind])
    again = pickle.loads(pickle.dumps(content))  # noqa: S301 (made in this very test)
    first, second = (
        kinds()[kind].lay_out(item, stage(480, 270), bench.style) for item in (content, again)
    )
    np.testing.assert_array_equal(draw_alone(first, 250), draw_alone(second, 250))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_says_what_it_shows(bench: Bench, kind: str) -> None:
    """The description is a sentence, and the natural length is long enough to read it."""
    content = content_of(bench.results, kind, **EXAMPLES[kind])
    text = kinds()[kind].describe(content)
    assert text.endswith(".")
    assert "Alder" in text
    assert 2.0 <= kinds()[kind].natural_s(content) <= 60.0
