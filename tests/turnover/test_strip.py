"""Picture strips."""

from __future__ import annotations

import base64
import io
from fractions import Fraction

import numpy as np
from PIL import Image

from overlays.model.clip import Stage
from overlays.timecode import Timebase
from overlays.turnover.strip import strip, strip_frames
from tests.turnover.building import Square, clip

TIMEBASE = Timebase(Fraction(25))


def test_first_and_last_frame_are_always_there() -> None:
    """A cue of any length shows its ends, and no frame that it does not have."""
    for frames in range(1, 40):
        chosen = strip_frames(frames, extra=[3, -5, frames])
        assert {chosen[0], chosen[-1]} == {0, frames - 1}
        assert len(set(chosen)) == len(chosen) <= 6
        assert (3 in chosen) == (frames > 3)


def test_pictures_are_small_and_over_a_checkerboard() -> None:
    """A picture decodes, keeps the canvas' shape, and shows the overlay mixed with the squares."""
    stage = Stage(1280, 720, Fraction(25), 50, "rule", "styles")
    first, last = strip(Square(clip("a", 100, 50, TIMEBASE, stage=stage)), [0, 49])
    assert (first.frame, last.frame) == (0, 49)
    assert (first.width, first.height) == (320, 180)
    data = base64.b64decode(last.url.removeprefix("data:image/webp;base64,"))
    with Image.open(io.BytesIO(data)) as picture:
        pixels = np.asarray(picture.convert("RGB")).astype(int)
    # 200,40,40 at alpha 128 over squares of 214 and 186 (Porter and Duff's over): red stands out
    # where the square lies, and only there.
    redness = pixels[..., 0] - pixels[..., 1]
    assert redness[4, 6] > 50
    assert abs(redness[100:, 100:]).max() < 12
    assert len(first.url) < 20_000
