"""Overlays as moviepy clips."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from overlays.draw.canvas import draw_alone
from overlays.errors import OutlineError
from overlays.model.clip import Clip
from overlays.render.frames import lay_out_clip
from overlays.render.moviepy_clip import clip_for_moviepy, moviepy_overlay

pytestmark = pytest.mark.slow  # moviepy takes a second to import


def test_frames_and_mask_are_the_overlay(small_clips: tuple[Clip, ...]) -> None:
    """At i / fps moviepy is given frame i: its colour, and its alpha as a mask, in any order."""
    clip = small_clips[1]
    shown = clip_for_moviepy(clip)
    scene = lay_out_clip(clip)
    assert shown.mask is not None
    assert shown.size == (clip.stage.width, clip.stage.height)
    assert (shown.fps, shown.duration) == (25.0, clip.stage.frames / 25)
    for index in (7, 0, clip.stage.frames - 1, 3):
        pixels = draw_alone(scene, index)
        assert np.array_equal(shown.get_frame(index / shown.fps), pixels[..., :3])
        mask = shown.mask.get_frame(index / shown.fps)
        assert mask.min() >= 0
        assert mask.max() <= 1
        # This is how moviepy turns a mask back into bytes.
        assert np.array_equal((mask * 255).astype("uint8"), pixels[..., 3])


def test_moviepys_own_frame_times_hit_every_frame(small_clips: tuple[Clip, ...]) -> None:
    """The times it iterates over, floats all, show each frame once."""
    clip = small_clips[1]
    shown = clip_for_moviepy(clip)
    seen = [frame.tobytes() for frame in shown.iter_frames()]
    scene = lay_out_clip(clip)
    assert len(seen) == clip.stage.frames
    assert seen[-1] == draw_alone(scene, clip.stage.frames - 1)[..., :3].tobytes()
    assert seen[10] == draw_alone(scene, 10)[..., :3].tobytes()


def test_an_overlay_is_had_from_a_session_by_its_cue(session: Path) -> None:
    """One documented call, at full size or smaller."""
    shown = moviepy_overlay(session, "weir-card", shrink=2)
    assert shown.size == (135, 240)
    assert shown.mask is not None


def test_an_unknown_cue_is_an_error_that_names_the_others(session: Path) -> None:
    """The same error as on the command line."""
    with pytest.raises(OutlineError, match="weir-card"):
        moviepy_overlay(session, "weir-cart")
