"""Stills and small films over backdrops."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from overlays.draw.backdrop import BACKDROPS, over
from overlays.draw.canvas import draw_alone
from overlays.errors import RenderError
from overlays.model.clip import Clip
from overlays.render.frames import lay_out_clip
from overlays.render.preview import preview_film, preview_still


@pytest.mark.parametrize("backdrop", BACKDROPS)
def test_a_still_is_the_overlay_over_a_backdrop(
    small_clips: tuple[Clip, ...], tmp_path: Path, backdrop: str
) -> None:
    """Every pixel is Porter and Duff's over, rounded."""
    clip = small_clips[1]
    preview_still(clip, tmp_path / "a.png", at_s=Fraction(1), backdrop=backdrop)
    with Image.open(tmp_path / "a.png") as found:
        shown = np.asarray(found)
    pixels = draw_alone(lay_out_clip(clip), 25)
    exact = over(pixels, BACKDROPS[backdrop](clip.stage.width, clip.stage.height))
    assert np.abs(shown - exact).max() <= 0.5


def test_times_outside_the_cue_show_its_first_or_last_frame(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Nobody has to know the exact length to see the end."""
    clip = small_clips[2]
    stills = []
    for name, at_s in (("early", -3), ("first", 0), ("late", 99), ("last", clip.stage.frames / 25)):
        preview_still(clip, tmp_path / f"{name}.png", at_s=at_s)
        stills.append((tmp_path / f"{name}.png").read_bytes())
    assert stills[0] == stills[1] != stills[2] == stills[3]


def test_a_film_shows_every_frame_of_the_cue_in_its_colours(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """The MP4 has the cue's length and rate, BT.709's tags, and looks like the stills."""
    clip = small_clips[1]
    preview_film(clip, tmp_path / "card.mp4")
    scene = lay_out_clip(clip)
    behind = BACKDROPS["checkerboard"](clip.stage.width, clip.stage.height)
    with av.open(str(tmp_path / "card.mp4")) as container:
        stream = container.streams.video[0]
        assert stream.average_rate == clip.stage.rate
        frames = list(container.decode(stream))
    assert len(frames) == clip.stage.frames
    for index in (0, len(frames) - 1):
        frame = frames[index]
        assert (frame.colorspace, frame.color_primaries, frame.color_range) == (1, 1, 1)
        shown = frame.to_ndarray(
            format="rgb24", src_colorspace="ITU709", dst_color_range="JPEG"
        ).astype(float)
        exact = over(draw_alone(scene, index), behind)
        assert np.abs(shown - exact).mean() < 3


def test_odd_canvases_are_padded_not_scaled(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """H.264 needs even sides: one column and one row of backdrop are added."""
    clip = small_clips[1]
    odd = replace(clip, stage=replace(clip.stage, width=271, height=479, frames=3))
    preview_film(odd, tmp_path / "odd.mp4")
    with av.open(str(tmp_path / "odd.mp4")) as container:
        stream = container.streams.video[0]
        assert (stream.width, stream.height) == (272, 480)


def test_a_gif_lasts_as_long_as_the_cue(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """Frames are fewer, times are not; the last picture is the overlay complete."""
    clip = small_clips[1]
    preview_film(clip, tmp_path / "card.gif")
    with Image.open(tmp_path / "card.gif") as found:
        lasts = 0
        for index in range(getattr(found, "n_frames", 1)):
            found.seek(index)
            lasts += found.info["duration"]
        shown = np.asarray(found.convert("RGB")).astype(float)
    assert abs(lasts / 1000 - clip.stage.frames / clip.stage.rate) <= 0.05
    behind = BACKDROPS["checkerboard"](clip.stage.width, clip.stage.height)
    exact = over(draw_alone(lay_out_clip(clip), clip.stage.frames - 1), behind)
    assert np.abs(shown - exact).mean() < 4


@pytest.mark.parametrize("name", ["a.mp4", "a.gif"])
def test_progress_is_told(small_clips: tuple[Clip, ...], tmp_path: Path, name: str) -> None:
    """It ends with everything done."""
    clip = small_clips[1]
    told: list[tuple[int, int, str]] = []
    preview_film(clip, tmp_path / name, progress=lambda *done: told.append(done))
    done, total, what = told[-1]
    assert done == total == len(told)
    assert what == "frames"


@pytest.mark.parametrize("name", ["card.mov", "card", "card.webm"])
def test_other_endings_are_refused(
    small_clips: tuple[Clip, ...], tmp_path: Path, name: str
) -> None:
    """The error names those there are, and nothing is written."""
    with pytest.raises(RenderError, match=r"\.mp4 or \.gif"):
        preview_film(small_clips[0], tmp_path / name)
    assert not list(tmp_path.iterdir())


def test_unknown_backdrops_are_refused(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """The error names those there are."""
    for call in (preview_still, preview_film):
        with pytest.raises(RenderError, match="checkerboard"):
            call(small_clips[1], tmp_path / "a.gif", backdrop="beach")
    assert not list(tmp_path.iterdir())


def test_a_still_loads_no_library_it_does_not_need() -> None:
    """A first look must come at once: no moviepy, and no encoder, is imported for it."""
    code = (
        "import sys, overlays.render.preview\n"
        "print([name for name in ('moviepy', 'av', 'scipy', 'pandas') if name in sys.modules])"
    )
    root = Path(__file__).parents[2]
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root
    )
    assert found.stdout.strip() == "[]"
