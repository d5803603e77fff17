"""The frames of a clip's file, drawn in turn from any place."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.canvas import draw_alone
from overlays.errors import StyleError
from overlays.model.clip import Clip
from overlays.render.frames import clip_frames, lay_out_clip
from tests.render.scenes import Moving


def _short(clip: Clip, scene: Moving) -> Clip:
    return replace(clip, stage=replace(clip.stage, frames=scene.frames))


@given(data=st.data())
@settings(max_examples=25)
def test_any_stretch_shows_the_frames_it_should(
    small_clips: tuple[Clip, ...], data: st.DataObject
) -> None:
    """Begun anywhere, a frame is what it is drawn alone; changes are never kept quiet."""
    scene = Moving.sized(40, 30)
    clip = _short(small_clips[0], scene)
    start = data.draw(st.integers(0, clip.frames - 1))
    stop = data.draw(st.integers(start + 1, clip.frames))
    before, seen = np.zeros((30, 40, 4), np.uint8), 0
    for offset, (pixels, changed) in enumerate(clip_frames(clip, scene, start=start, stop=stop)):
        seen += 1
        frame = clip.overlay_frame(start + offset)
        meant = np.zeros_like(before) if frame < 0 else draw_alone(scene, frame)
        assert np.array_equal(pixels, meant)
        outside = np.ones((30, 40), np.bool_)
        for rect in changed:
            outside[rect.top : rect.bottom, rect.left : rect.right] = False
        assert np.array_equal(pixels[outside], before[outside])
        before = pixels.copy()
    assert seen == stop - start


def test_handles_and_holds_change_nothing(small_clips: tuple[Clip, ...]) -> None:
    """Lead-in, the scene's own hold, and the tail come without a rectangle."""
    scene = Moving.sized(40, 30)
    clip = _short(small_clips[0], scene)
    head, tail = clip.handles
    still = [not changed for _, changed in clip_frames(clip, scene)]
    assert all(still[:head])
    assert not still[head]
    assert all(still[-tail - 3 :])


def test_a_style_that_has_gone_is_told(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """The folder may have been renamed since the clip was planned."""
    clip = small_clips[0]
    stage = replace(clip.stage, style="gone", style_root=str(tmp_path))
    with pytest.raises(StyleError, match="gone"):
        lay_out_clip(replace(clip, stage=stage))
