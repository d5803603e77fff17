"""What every overlay kind must do, whatever it shows. A new kind is tested by being there."""

from __future__ import annotations

import pickle
from dataclasses import fields, replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.checks.flash_bound import FlashBound
from overlays.checks.flashing import judge_flashing, measure_flashing
from overlays.checks.safe_area import ink_box
from overlays.draw.backdrop import BACKDROPS
from overlays.draw.canvas import Canvas, draw_alone, draw_range
from overlays.draw.curve import draws_curves
from overlays.draw.page import Page
from overlays.draw.patch import Rect, Scene, lay_over
from overlays.kinds.base import Overlay
from overlays.kinds.registry import build, kinds
from overlays.kinds.staging import lay_out, leave_frames
from overlays.model.clip import MotionChoice, Place, Stage
from overlays.style.house import load_style
from tests.kinds.conftest import (
    EXAMPLES,
    SHAPES,
    Bench,
    assert_same_in_any_order,
    content_of,
    cue,
    make_results,
    make_session,
    stage,
)

KINDS = sorted(set(kinds()) & set(EXAMPLES))


def at_any_length(kind: str) -> dict[str, str]:
    """Return the option that fits a kind that shows a run into whatever time there is."""
    return {"pace": "fit"} if any(one.name == "pace" for one in fields(kinds()[kind])) else {}


FRAMES = 240


def scene_of(bench: Bench, kind: str, shape: tuple[int, int], frames: int = FRAMES) -> Scene:
    content = content_of(bench.results, kind, **EXAMPLES[kind])
    return kinds()[kind].lay_out(content, stage(*shape, frames=frames), bench.style)


def staged(bench: Bench, kind: str, where: Stage) -> Scene:
    """Lay the example out as `overlays.render.frames.lay_out_clip` does, whatever it is asked."""
    content = content_of(bench.results, kind, **EXAMPLES[kind])
    return lay_out(kinds()[kind], content, where, bench.style)


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
    options = EXAMPLES[kind] | at_any_length(kind)
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
    results = bench.results
    shown = {
        entry
        for (entry, _), repeats in results.repeats.items()
        if any(run.ref.file in content.runs for run in repeats.runs)
    } | {entry for _, entry in content.figures}
    assert all(results.session.spec.entries[entry].label in text for entry in shown)
    assert 2.0 <= kinds()[kind].natural_s(content) <= 60.0


# What any cue may ask of any kind


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_the_common_options(kind: str) -> None:
    """A kind takes `place` and `leave`, and every place it names, without doing anything for it."""
    for place in kinds()[kind].places:
        overlay: Overlay[object] = build(  # type: ignore[type-var]
            cue(kind, **EXAMPLES[kind], place=place, leave=True), make_session()
        )
        assert (overlay.place, overlay.leave) == (place, True)


def _stands(box: Rect, place: Place, safe: Rect) -> bool:
    """Say whether a box lies where a place is, in the room it has; halves are a pixel apart."""
    down = place.partition("-")[0] if place.startswith(("head", "foot")) else "middle"
    across = place.rpartition("-")[2] if place.endswith(("left", "right")) else "middle"
    aside, under = box.left + box.right - safe.left - safe.right, box.top + box.bottom
    return {
        "left": box.left == safe.left,
        "right": box.right == safe.right,
        "middle": abs(aside) <= 1,
    }[across] and {
        "head": box.top == safe.top,
        "foot": box.bottom == safe.bottom,
        "middle": abs(under - safe.top - safe.bottom) <= 1,
    }[down]


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_stands_at_each_of_its_places(bench: Bench, kind: str) -> None:
    """Its picture touches the safe area's edges that a place names, and no two places are one."""
    safe, boxes = Page(640, 360, bench.style).graphics, {}
    for place in kinds()[kind].places:
        scene = staged(bench, kind, replace(stage(640, 360, frames=FRAMES), place=place))
        boxes[place] = ink_box(draw_alone(scene, FRAMES - 1), faintest=1)
        assert _stands(boxes[place], place, safe), place
    for one, other in combinations(boxes, 2):
        assert boxes[one] != boxes[other], (one, other)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shape", [(270, 480), (300, 300), (853, 481), (720, 160), (160, 720)])
def test_no_place_lies_outside_the_graphics_safe_area(
    bench: Bench, kind: str, shape: tuple[int, int]
) -> None:
    """At any canvas a kind put somewhere stays whole and in the safe area (EBU R 95: 5 %)."""
    safe = Page(*shape, bench.style).graphics
    own = draw_alone(staged(bench, kind, stage(*shape, frames=FRAMES)), FRAMES - 1)
    for place in kinds()[kind].places[:: max(1, len(kinds()[kind].places) - 1)]:
        scene = staged(bench, kind, replace(stage(*shape, frames=FRAMES), place=place))
        for frame in (0, FRAMES // 2, FRAMES - 1):
            box = ink_box(draw_alone(scene, frame), faintest=1)
            assert box.meet(safe) == box, (place, frame)
        # The same pixels, elsewhere.
        moved = draw_alone(scene, FRAMES - 1)
        assert (moved[..., 3] > 0).sum() == (own[..., 3] > 0).sum()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shape", SHAPES)
def test_an_overlay_that_leaves_is_complete_before_and_gone_at_the_end(
    bench: Bench, kind: str, shape: tuple[int, int]
) -> None:
    """What is seen only ever gets less, data before panel, until nothing is: the tail is empty."""
    where = stage(*shape, frames=FRAMES)
    leave = leave_frames(FRAMES, where.rate, bench.style.motion, reduced=False)
    scene = staged(bench, kind, replace(where, leave=leave))
    whole = staged(bench, kind, replace(where, frames=FRAMES - leave))
    complete = draw_alone(whole, whole.frames - 1)
    np.testing.assert_array_equal(draw_alone(scene, FRAMES - leave - 1), complete)
    seconds = bench.style.motion.axes + bench.style.motion.panel
    assert abs(leave - seconds * 30) <= 2
    before, panel = complete[..., 3] > 0, complete[..., 3] > 0
    half = FRAMES - leave + round(bench.style.motion.axes * 30) - 1
    for frame in range(FRAMES - leave, FRAMES):
        now = draw_alone(scene, frame)[..., 3] > 0
        assert not (now & ~before).any()
        if frame <= half - 1:
            np.testing.assert_array_equal(now, panel)  # only what lies on it goes
        before = now
    assert not before.any()
    assert draw_alone(scene, FRAMES - 2)[..., 3].any()


@pytest.mark.parametrize("kind", KINDS)
def test_leaving_frames_do_not_depend_on_how_they_are_reached(bench: Bench, kind: str) -> None:
    """While it leaves, elsewhere and calm: alone, in sequence and in reverse, the same bits."""
    where = replace(stage(480, 270, frames=90), place=kinds()[kind].places[0], leave=22)
    options = EXAMPLES[kind] | at_any_length(kind)
    content = content_of(bench.results, kind, **options)
    for motion in ("full", "reduced"):
        scene = lay_out(kinds()[kind], content, replace(where, motion=motion), bench.style)
        wanted = {frame: full_redraw(scene, frame) for frame in (0, 30, 67, 68, 74, 81, 88, 89)}
        assert_same_in_any_order(scene, wanted)
        canvas, before = Canvas(scene), np.zeros((270, 480, 4), np.uint8)
        for frame in range(60, 90):
            rects = canvas.draw(frame)
            changed = (canvas.pixels != before).any(axis=-1)
            for rect in rects:
                changed[rect.top : rect.bottom, rect.left : rect.right] = False
            assert not changed.any()
            before = canvas.pixels.copy()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("motion", ["full", "reduced"])
def test_nothing_flashes(bench: Bench, kind: str, motion: MotionChoice) -> None:
    """Coming, changing and leaving stay within the limits, over black and over white.

    No more than three flashes within a second on too large an area (ITU-R BT.1702 and WCAG 2.3.1,
    as `overlays.checks.flash_definitions` states them).
    """
    where = stage(480, 270, frames=FRAMES)
    leave = leave_frames(FRAMES, where.rate, bench.style.motion, reduced=motion == "reduced")
    scene = staged(bench, kind, replace(where, leave=leave, motion=motion))
    bound = FlashBound(480, 270, rate=where.rate)
    for pixels, changed in draw_range(scene, range(FRAMES)):
        bound.add(pixels, changed)
    behind = {name: BACKDROPS[name](480, 270) for name in ("black", "white")}
    frames = draw_range(scene, range(bound.doubtful_frames))
    verdicts = measure_flashing(frames, behind, rate=where.rate)
    assert [found.verdict for found in judge_flashing(verdicts)] == ["pass"]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shape", SHAPES)
def test_in_reduced_motion_only_data_is_seen_to_move(
    bench: Bench, kind: str, shape: tuple[int, int]
) -> None:
    """Everything else is there at once, and what changes then stands; a run goes along as ever."""
    scene = staged(bench, kind, replace(stage(*shape, frames=FRAMES), motion="reduced"))
    full = staged(bench, kind, stage(*shape, frames=FRAMES))
    np.testing.assert_array_equal(draw_alone(scene, FRAMES - 1), draw_alone(full, FRAMES - 1))
    canvas = Canvas(scene)
    changes = [bool(canvas.draw(frame)) for frame in range(FRAMES)]
    growing = _growing(full)
    cuts = [f for f in range(FRAMES) if changes[f] and not growing[f]]
    assert cuts[0] == 0
    # A third of a second between two changes, or one of them is the curves' own.
    for one, other in pairwise(cuts):
        assert other - one >= 10 or any(growing[one:other])
    first = set(scene.layers(0))
    for frame in (f for f in range(FRAMES) if growing[f]):
        assert first <= set(scene.layers(frame))
    # In step with the test: while a run goes along, the picture is that of full motion.
    kept = [f for f in range(1, FRAMES) if growing[f] and growing[f - 1]][1::30]
    for frame in kept:
        np.testing.assert_array_equal(draw_alone(scene, frame), draw_alone(full, frame))
    assert bool(kept) == (kind in ("curves", "readout"))


def _growing(scene: Scene) -> list[bool]:
    """Say on which frames a run is being drawn or read, by what the scene says of its times."""
    frames = range(scene.frames)
    until: list[list[float | None]] = [[] for _ in frames]
    if draws_curves(scene):
        until = [[scene.drawn_to_s(frame, curve) for curve in scene.curves] for frame in frames]
    elif pointer_s := getattr(scene, "pointer_s", None):
        until = [[pointer_s(frame)] for frame in frames]
    return [
        until[max(0, f - 1)] != until[f] or until[f] != until[min(f + 1, scene.frames - 1)]
        for f in frames
    ]
