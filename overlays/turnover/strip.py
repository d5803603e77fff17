"""Picture strips: a few frames of a clip, small, over a checkerboard."""

from __future__ import annotations

import base64
import io
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from PIL import Image

from overlays.draw.backdrop import checkerboard, over_codes
from overlays.draw.canvas import Canvas
from overlays.draw.patch import Pixels, Scene

__all__ = ["Picture", "strip", "strip_frames"]

_LONGEST_PX = 384
_SQUARE_PX = 8
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
    pictures = []
    for frame in frames:
        canvas.draw(frame)
        pictures.append(_picture(frame, canvas.pixels))
    return tuple(pictures)


def _picture(frame: int, pixels: Pixels) -> Picture:
    # Pillow multiplies by alpha before it averages, and divides after; colour hidden under
    # transparent pixels stays hidden.
    factor = max(1, math.ceil(max(pixels.shape[:2]) / _LONGEST_PX))
    image = Image.fromarray(pixels).reduce(factor)
    ground = checkerboard(image.width, image.height, square=_SQUARE_PX, light=214, dark=186)
    shown = Image.fromarray(over_codes(np.asarray(image), ground))
    stream = io.BytesIO()
    shown.save(stream, "WEBP", quality=80, method=4)
    coded = base64.b64encode(stream.getvalue()).decode()
    return Picture(frame, f"data:image/webp;base64,{coded}", image.width, image.height)
