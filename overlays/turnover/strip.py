"""Picture strips: a few frames of a clip, small, over a checkerboard."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterable
from dataclasses import dataclass

from PIL import Image

from overlays.draw.backdrop import checkerboard, over_codes
from overlays.draw.canvas import Canvas
from overlays.draw.patch import Pixels, Scene

__all__ = ["Picture", "strip", "strip_frames"]

_LONGEST_PX = 360
_MOMENTS = 5


@dataclass(frozen=True, slots=True)
class Picture:
    """A small picture of one frame.

    Parameters
    ----------
    frame : int
        Frame of the cue, from 0.
    url : str
        The picture itself, as a ``data:`` URL.
    width, height : int
        Of the small picture.
    """

    frame: int
    url: str
    width: int
    height: int


def strip_frames(frames: int, extra: Iterable[int] = ()) -> tuple[int, ...]:
    """Choose frames of a cue: first, last and three between, and any that are asked for.

    Examples
    --------
    >>> strip_frames(101), strip_frames(2), strip_frames(101, extra=[7, 900])
    ((0, 25, 50, 75, 100), (0, 1), (0, 7, 25, 50, 75, 100))
    """
    spread = {(frames - 1) * step // (_MOMENTS - 1) for step in range(_MOMENTS)}
    return tuple(sorted(spread | {frame for frame in extra if 0 <= frame < frames}))


def strip(scene: Scene, frames: Iterable[int]) -> tuple[Picture, ...]:
    """Draw frames of a scene as small pictures."""
    canvas = Canvas(scene)
    square = max(4, max(scene.width, scene.height) // 48)
    ground = checkerboard(scene.width, scene.height, square=square, light=214, dark=186)
    pictures = []
    for frame in frames:
        canvas.draw(frame)
        pictures.append(_picture(frame, over_codes(canvas.pixels, ground)))
    return tuple(pictures)


def _picture(frame: int, pixels: Pixels) -> Picture:
    image = Image.fromarray(pixels)
    image.thumbnail((_LONGEST_PX, _LONGEST_PX), Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    image.save(stream, "WEBP", quality=80, method=4)
    coded = base64.b64encode(stream.getvalue()).decode()
    return Picture(frame, f"data:image/webp;base64,{coded}", image.width, image.height)
