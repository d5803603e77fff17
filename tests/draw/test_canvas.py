"""The canvas draws only what changed, and nobody can tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.canvas import Canvas, changed_rects, draw_alone, draw_range, shown_box
from overlays.draw.patch import Layer, Patch, Rect, lay_over


@dataclass(frozen=True)
class Film:
    """A scene whose frames are given."""

    shown: Sequence[Sequence[Layer]]
    width: int = 40
    height: int = 30

    @property
    def frames(self) -> int:
        return len(self.shown)

    def layers(self, frame: int) -> Sequence[Layer]:
        return self.shown[frame]


def patch(seed: int, width: int, height: int) -> Patch:
    rng = np.random.default_rng(seed)
    pixels = rng.integers(0, 256, (height, width, 4)).astype(np.uint8)
    pixels[..., 3] = rng.choice([0, 90, 255], (height, width))
    return Patch(pixels)


flags, few, lengths = st.booleans(), st.integers(0, 3), st.sampled_from([1, 2, 9])
PATCHES = [patch(seed, 4 + 5 * seed, 3 + 3 * seed) for seed in range(5)]


@st.composite
def films(draw: st.DrawFn) -> Film:
    """Scenes in which layers stay, move, grow, come and go, with long stretches of one state."""
    frames: list[Sequence[Layer]] = []
    for _ in range(draw(st.integers(1, 6))):
        layers = [
            Layer(
                draw(st.sampled_from(PATCHES)),
                draw(st.integers(-4, 30)),
                draw(st.integers(-4, 20)),
                draw(st.one_of(st.none(), st.just(Rect(3, 3, draw(st.integers(3, 40)), 25)))),
                draw(st.sampled_from([255, 255, 120])),
            )
            for _ in range(draw(st.integers(0, 4)))
        ]
        if len(frames) > 0 and draw(flags):
            layers = [*frames[-1][: draw(few)], *layers]
        frames += [layers] * draw(lengths)
    return Film(frames)


def redrawn(film: Film, frame: int) -> np.ndarray:
    pixels = np.zeros((film.height, film.width, 4), np.uint8)
    lay_over(pixels, (0, 0), film.layers(frame))
    return pixels


@settings(max_examples=80, deadline=None)
@given(film=films(), data=st.data())
def test_any_order_of_frames_draws_the_same_pixels(film: Film, data: st.DataObject) -> None:
    """Sequence, reverse and jumps give each frame as drawn from nothing, bit for bit."""
    last = film.frames - 1
    jumps = data.draw(st.lists(st.integers(-1, last), max_size=8))
    canvas = Canvas(film)
    for frame in (*range(film.frames), *reversed(range(film.frames)), *jumps):
        canvas.draw(frame)
        wanted = redrawn(film, frame) if frame >= 0 else np.zeros_like(canvas.pixels)
        np.testing.assert_array_equal(canvas.pixels, wanted)
    np.testing.assert_array_equal(draw_alone(film, last), redrawn(film, last))


@settings(max_examples=60, deadline=None)
@given(film=films())
def test_reported_rectangles_cover_what_changed(film: Film) -> None:
    """What is outside the reported rectangles is as it was; holds report nothing."""
    before = np.zeros((film.height, film.width, 4), np.uint8)
    for pixels, rects in draw_range(film, range(film.frames)):
        changed = (pixels != before).any(axis=-1)
        for rect in rects:
            assert not rect.empty
            changed[rect.top : rect.bottom, rect.left : rect.right] = False
        assert not changed.any()
        before = pixels.copy()


def test_a_hold_costs_nothing() -> None:
    """A frame whose layers equal those before reports no rectangle."""
    canvas = Canvas(Film([[Layer(PATCHES[2], 1, 1)], [Layer(PATCHES[2], 1, 1)]]))
    assert canvas.draw(0) == (Layer(PATCHES[2], 1, 1).covers,)
    assert canvas.draw(1) == ()


def test_a_growing_clip_changes_only_the_strip() -> None:
    """A layer revealed by more columns changes those columns and no others."""
    before = [Layer(PATCHES[4], 2, 2, Rect(0, 0, 10, 30))]
    after = [Layer(PATCHES[4], 2, 2, Rect(0, 0, 12, 30))]
    assert changed_rects(before, after) == (Rect(10, 2, 12, 17),)


def test_rectangles_far_apart_stay_apart() -> None:
    """Two small changes are not joined into one large one, overlapping ones are."""
    far = [Layer(PATCHES[0], 0, 0), Layer(PATCHES[0], 30, 20)]
    assert len(changed_rects([], far)) == 2
    near = [Layer(PATCHES[1], 0, 0), Layer(PATCHES[1], 1, 0)]
    assert changed_rects([], near) == (Rect(0, 0, 10, 6),)


def test_the_box_around_a_film_holds_all_it_shows() -> None:
    """Whatever stands for four frames or at the end counts, and what is clipped does not."""
    a, b = (Layer(PATCHES[0], x, 3, Rect(0, 0, 33, 30)) for x in (2, 30))
    assert shown_box(Film([[a]] * 5 + [[b]])) == a.covers.join(b.covers)
    assert shown_box(Film([[], []])).empty
