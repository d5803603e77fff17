"""The frames of a clip's file, handles included, drawn one after the other."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from overlays.draw.canvas import Canvas
from overlays.draw.patch import Pixels, Rect, Scene
from overlays.kinds.base import Content
from overlays.kinds.registry import kinds
from overlays.kinds.staging import lay_out
from overlays.model.clip import Clip, Stage
from overlays.style.house import load_style

__all__ = ["clip_frames", "laid_out", "lay_out_clip"]


def lay_out_clip(clip: Clip) -> Scene:
    """Draw a clip's patches and say where they lie at each frame of the cue.

    Raises
    ------
    StyleError
        If the clip's style has gone or a font lacks a glyph.
    """
    return laid_out(clip.kind, clip.content, clip.stage)


def laid_out(kind: str, content: Content, stage: Stage) -> Scene:
    """Draw the patches of an overlay by the name of its kind; raises as `lay_out_clip`."""
    style = load_style(stage.style, Path(stage.style_root))
    return lay_out(kinds()[kind], content, stage, style)


def clip_frames(
    clip: Clip, scene: Scene, *, start: int = 0, stop: int | None = None
) -> Iterator[tuple[Pixels, tuple[Rect, ...]]]:
    """Draw frames of a clip's file in turn.

    Parameters
    ----------
    clip : Clip
        Says which frame of the overlay each frame of the file shows.
    scene : Scene
        `lay_out_clip` of it.
    start, stop : int
        Which frames of the file; all of them by default.

    Yields
    ------
    pixels : ndarray of shape (H, W, 4)
        Straight RGBA; one array, overwritten by the next frame.
    changed : tuple of Rect
        Where it may differ from the frame yielded before, the first from the empty canvas; empty
        for a hold.
    """
    canvas = Canvas(scene)
    shown = -1
    for index in range(start, clip.frames if stop is None else stop):
        frame = clip.overlay_frame(index)
        # The tail handle and the lead-in are holds by definition; nobody needs to look.
        changed = canvas.draw(frame) if frame != shown else ()
        shown = frame
        yield canvas.pixels, changed
