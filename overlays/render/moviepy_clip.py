"""Overlays as moviepy clips with a mask, for people who cut in Python.

::

    from pathlib import Path
    from moviepy import CompositeVideoClip, VideoFileClip
    from overlays.render.moviepy_clip import moviepy_overlay

    footage = VideoFileClip("bench.mp4")
    card = moviepy_overlay(Path("my_session"), "alder-card").with_start(2.5)
    CompositeVideoClip([footage, card]).write_videofile("cut.mp4")
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from overlays.draw.canvas import Canvas
from overlays.draw.patch import Pixels
from overlays.errors import Problems
from overlays.model.clip import Clip
from overlays.plan import find_cue, open_episode, plan_cue
from overlays.render.frames import lay_out_clip

if TYPE_CHECKING:
    from moviepy import VideoClip

__all__ = ["clip_for_moviepy", "moviepy_overlay"]

# moviepy multiplies by 255 and cuts off; a breath more keeps every alpha what it was.
_MASK = np.arange(256) / 255 + 1e-9
_MASK[255] = 1.0


def moviepy_overlay(session: Path, cue: str, *, shrink: int = 1) -> VideoClip:
    """Return a cue's overlay as a moviepy clip, the cue's frames without handles.

    Parameters
    ----------
    session : Path
        The session's folder.
    cue : str
        The cue's id.
    shrink : int
        Divides the canvas.

    Returns
    -------
    moviepy.VideoClip
        With a mask, straight alpha.

    Raises
    ------
    ProblemsFound
        If the session has errors.
    OutlineError
        If it has no such cue.
    """
    problems = Problems()
    episode = open_episode(session, problems)
    problems.raise_errors()
    assert episode is not None  # noqa: S101 (raise_errors left otherwise)
    found = find_cue(episode.outline, cue)
    return clip_for_moviepy(plan_cue(found, episode, codec="prores4444", shrink=shrink))


def clip_for_moviepy(clip: Clip) -> VideoClip:
    """Return a clip, the cue's frames without handles, as a moviepy clip with a mask.

    Times between two frames show the earlier; past the end the last frame stands.

    Raises
    ------
    StyleError
        If the clip's style cannot be read or a font lacks a glyph.
    """
    from moviepy import VideoClip

    frames = _Frames(clip)
    seconds = float(clip.stage.frames / clip.stage.rate)
    mask = VideoClip(frame_function=frames.mask, is_mask=True, duration=seconds)
    shown = VideoClip(frame_function=frames.colour, duration=seconds).with_mask(mask)
    return shown.with_fps(float(clip.stage.rate))


class _Frames:
    """moviepy asks for colour and mask one after the other; the canvas is drawn once."""

    def __init__(self, clip: Clip) -> None:
        self._canvas = Canvas(lay_out_clip(clip))
        self._rate = clip.stage.rate
        self._last = clip.stage.frames - 1

    def _drawn(self, t: float) -> Pixels:
        # moviepy counts time in floats: i / fps may fall a last bit short of frame i.
        frame = int(t * float(self._rate) + 1e-4)
        self._canvas.draw(min(max(frame, 0), self._last))
        return self._canvas.pixels

    def colour(self, t: float) -> Pixels:
        return self._drawn(t)[..., :3].copy()

    def mask(self, t: float) -> NDArray[np.float64]:
        found: NDArray[np.float64] = _MASK[self._drawn(t)[..., 3]]
        return found
