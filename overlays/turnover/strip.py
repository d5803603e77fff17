"""Picture strips: a few frames of a clip, small, over a checkerboard.

The first picture shows the whole canvas with the overlay complete, so that its place is seen; the
others only the part the overlay covers, so that it can be read.
"""

from __future__ import annotations

import base64
import io
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image

from overlays.checks.findings import Finding
from overlays.checks.safe_area import ink_box
from overlays.draw.backdrop import checkerboard, over_codes
from overlays.draw.canvas import Canvas
from overlays.draw.patch import Pixels, Rect, Scene
from overlays.model.clip import Clip

__all__ = ["Picture", "frames_to_show", "strip", "strip_frames"]

_LONGEST_PX = 480
_SQUARE_PX = 8
_MOMENTS = 5
_MOST_FOUND = 3  # frames beyond the usual ones


@dataclass(frozen=True, slots=True)
class Picture:
    """A small picture of one frame.

    Parameters
    ----------
    frame : int
        Frame of the cue, from 0.
    whole : bool
        Whether it shows the whole canvas.
    url : str
        The picture itself, as a ``data:`` URL.
    width, height : int
        Of the small picture.
    """

    frame: int
    whole: bool
    url: str
    width: int
    height: int

    @property
    def wide(self) -> bool:
        """Whether it needs room to the side to be read."""
        return self.width > 3 * self.height


def strip_frames(frames: int, extra: Iterable[int] = ()) -> tuple[int, ...]:
    """Choose frames of a cue: first, last and three between, and any that are asked for.

    Examples
    --------
    >>> strip_frames(101), strip_frames(2), strip_frames(101, extra=[7, 900])
    ((0, 25, 50, 75, 100), (0, 1), (0, 7, 25, 50, 75, 100))
    """
    spread = {(frames - 1) * step // (_MOMENTS - 1) for step in range(_MOMENTS)}
    return tuple(sorted(spread | {frame for frame in extra if 0 <= frame < frames}))


def frames_to_show(clip: Clip, findings: Iterable[Finding]) -> tuple[int, ...]:
    """Choose frames of a clip's cue for its strip: the usual ones, and what findings are about."""
    told = [item for item in findings if item.verdict != "pass" and item.frame is not None]
    frames = [item.frame - clip.handles[0] for item in told if item.frame is not None]
    return strip_frames(clip.stage.standing, dict.fromkeys(frames[:_MOST_FOUND]))


def strip(scene: Scene, frames: Sequence[int]) -> tuple[Picture, ...]:
    """Draw frames of a scene as small pictures, the whole canvas at the last of them first."""
    canvas = Canvas(scene)
    covered: Rect | None = None
    # Drawn twice rather than kept: a 2160p frame is 33 MB.
    for frame in frames:
        canvas.draw(frame)
        if not (box := ink_box(canvas.pixels)).empty:
            covered = box if covered is None else covered.join(box)
    everything = Rect(0, 0, scene.width, scene.height)
    part = everything if covered is None else _with_margin(covered, everything)
    pictures = [_picture(frames[-1], canvas.pixels, whole=True)]
    for frame in frames:
        canvas.draw(frame)
        pixels = canvas.pixels[part.top : part.bottom, part.left : part.right]
        pictures.append(_picture(frame, pixels, whole=False))
    return tuple(pictures)


def _with_margin(covered: Rect, everything: Rect) -> Rect:
    margin = max(everything.right, everything.bottom) // 60
    wider = Rect(
        covered.left - margin,
        covered.top - margin,
        covered.right + margin,
        covered.bottom + margin,
    )
    return wider.meet(everything)


def _picture(frame: int, pixels: Pixels, *, whole: bool) -> Picture:
    # Pillow multiplies by alpha before it averages, and divides after; colour hidden under
    # transparent pixels stays hidden.
    factor = max(1, math.ceil(max(pixels.shape[:2]) / _LONGEST_PX))
    image = Image.fromarray(pixels).reduce(factor)
    ground = checkerboard(image.width, image.height, square=_SQUARE_PX, light=214, dark=186)
    shown = Image.fromarray(over_codes(np.asarray(image), ground))
    stream = io.BytesIO()
    shown.save(stream, "WEBP", quality=80, method=4)
    coded = base64.b64encode(stream.getvalue()).decode()
    return Picture(frame, whole, f"data:image/webp;base64,{coded}", image.width, image.height)
