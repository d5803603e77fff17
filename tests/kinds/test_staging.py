"""What may be asked of any kind's scene; what every kind does with it stands in test_contract."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.checks.pictures import judge_curves
from overlays.checks.safe_area import ink_box
from overlays.checks.writing import lines_on
from overlays.draw.canvas import draw_alone
from overlays.draw.curve import draws_curves
from overlays.kinds.registry import kinds
from overlays.kinds.staging import full_frame, lay_out, leave_frames
from overlays.style.house import Motion
from tests.kinds.conftest import EXAMPLES, Bench, content_of, stage

MOTION = Motion(panel=0.45, axes=0.5, step=0.4, swap=0.3)


def test_what_is_not_asked_is_not_done(bench: Bench) -> None:
    """Without place, exit and reduced motion the scene is the kind's own, and not wrapped."""
    kind = kinds()["lower_third"]
    content = content_of(bench.results, "lower_third", **EXAMPLES["lower_third"])
    scene = lay_out(kind, content, stage(480, 270), bench.style)
    assert type(scene) is type(kind.lay_out(content, stage(480, 270), bench.style))
    assert full_frame(scene) == 299


@given(frames=st.integers(1, 400), rate=st.sampled_from([Fraction(24), Fraction(30000, 1001), 60]))
def test_leaving_takes_a_quarter_at_most_and_is_refused_by_none(
    frames: int, rate: Fraction
) -> None:
    """As long as axes and panel take to come where there is time; 0 where there is none."""
    taken = leave_frames(frames, Fraction(rate), MOTION, reduced=False)
    assert 4 * taken <= frames
    assert (taken == 0) == (frames < 8)
    if frames > 4 * (0.95 * rate + 2):
        assert abs(taken - 0.95 * float(rate)) <= 1
    assert leave_frames(frames, Fraction(rate), MOTION, reduced=True) == (frames > 1)


def test_curves_put_elsewhere_are_held_to_their_data_there(bench: Bench) -> None:
    """Axes, and what lies over curves, move with the picture; the check reads it as any other."""
    content = content_of(bench.results, "curves", **EXAMPLES["curves"])
    where = replace(stage(1280, 720), place="head", leave=20)
    scene = lay_out(kinds()["curves"], content, where, bench.style)
    for frame in (150, full_frame(scene)):
        pixels = draw_alone(scene, frame)
        found = judge_curves(scene, content, pixels, overlay_frame=frame, frame=frame)
        assert found is not None
        assert found.verdict == "pass"
        assert found.message.startswith("4 curves lie on their data")
        # Read at the kind's own place it would not pass: the move is seen by the check.
        own = lay_out(kinds()["curves"], content, replace(where, place=None), bench.style)
        astray = judge_curves(own, content, pixels, overlay_frame=frame, frame=frame)
        assert astray is not None
        assert astray.verdict == "fail"


def test_the_score_leaves_with_its_total_before_its_points(bench: Bench) -> None:
    """Beside one another the right end goes first, under one another the left: decision 29."""
    content = content_of(bench.results, "score_update", **EXAMPLES["score_update"])
    for shape, gone in (((960, 540), "right"), ((540, 960), "left")):
        where = replace(stage(*shape), leave=28)
        scene = lay_out(kinds()["score_update"], content, where, bench.style)
        full = draw_alone(scene, full_frame(scene)).astype(int)
        later = draw_alone(scene, full_frame(scene) + 9).astype(int)
        box = ink_box(full.astype(np.uint8))
        changed = np.flatnonzero((full != later).any(axis=(0, 2)))
        middle = (box.left + box.right) / 2
        assert (changed.min() > middle) if gone == "right" else (changed.max() < middle)


def test_calm_standings_show_the_table_as_it_was_first(bench: Bench) -> None:
    """What changed is seen without motion: the old order stands before the new one does."""
    content = content_of(bench.results, "standings", **EXAMPLES["standings"])
    kind, where = kinds()["standings"], replace(stage(960, 540), motion="reduced")
    scene = lay_out(kind, content, where, bench.style)
    before, after = (
        [line.text for line in lines_on(scene.layers(frame)) if line.text in ("Alder", "Basalt")]
        for frame in (0, 299)
    )
    assert (before, sorted(after)) == (["Alder"], ["Alder", "Basalt"])
    assert scene.layers(0) == scene.layers(30)


@pytest.mark.parametrize("place", ["head-left", "foot-right"])
def test_a_card_keeps_clear_of_a_players_controls(bench: Bench, place: str) -> None:
    """On a tall canvas the lowest part stays free wherever a card is put."""
    content = content_of(bench.results, "lower_third", **EXAMPLES["lower_third"])
    where = replace(stage(540, 960), place=place)  # type: ignore[arg-type]
    box = ink_box(draw_alone(lay_out(kinds()["lower_third"], content, where, bench.style), 299))
    assert box.bottom <= 0.82 * 960 + 1
    assert (box.top == 48) == (place == "head-left")


def test_a_scene_without_curves_stays_one(bench: Bench) -> None:
    """What tells a scene of curves from others is there exactly where the kind's own has it."""
    for kind in ("curves", "claim"):
        content = content_of(bench.results, kind, **EXAMPLES[kind])
        scene = lay_out(kinds()[kind], content, replace(stage(480, 270), leave=9), bench.style)
        assert draws_curves(scene) == (kind == "curves")
