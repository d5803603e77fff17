"""Picture strips."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from overlays.draw.patch import Layer
from overlays.model.clip import Stage
from overlays.timecode import Timebase
from overlays.turnover.strip import Picture, frames_to_show, strip, strip_frames
from tests.turnover.building import Square, clip

TIMEBASE = Timebase(Fraction(25))


def test_first_and_last_frame_are_always_there() -> None:
    """A cue of any length shows its ends, and no frame that it does not have."""
    for frames in range(1, 40):
        chosen = strip_frames(frames, extra=[3, -5, frames])
        assert {chosen[0], chosen[-1]} == {0, frames - 1}
        assert len(set(chosen)) == len(chosen) <= 6
        assert (3 in chosen) == (frames > 3)


def test_of_an_overlay_that_leaves_the_complete_state_is_shown() -> None:
    """The last picture is of the last frame before it goes."""
    stage = Stage(64, 48, Fraction(25), 50, "rule", "styles", leave=10)
    assert frames_to_show(clip("a", 100, 50, TIMEBASE, stage=stage), ())[-1] == 39


def _pixels(picture: Picture) -> NDArray[np.int64]:
    data = base64.b64decode(picture.url.removeprefix("data:image/webp;base64,"))
    with Image.open(io.BytesIO(data)) as image:
        assert image.size == (picture.width, picture.height)
        return np.asarray(image.convert("RGB")).astype(np.int64)


def _strip(width: int, height: int) -> tuple[Picture, ...]:
    stage = Stage(width, height, Fraction(25), 50, "rule", "styles")
    return strip(Square(clip("a", 100, 50, TIMEBASE, stage=stage)), [0, 49])


def test_the_first_picture_shows_the_whole_canvas() -> None:
    """It keeps the canvas' shape, and shows the complete overlay in its place."""
    whole, *_ = _strip(1280, 720)
    assert (whole.frame, whole.whole) == (49, True)
    assert (whole.width, whole.height) == (427, 240)
    # 200,40,40 at alpha 128 over squares of 214 and 186 (Porter and Duff's over): red stands out
    # where the square lies, and only there.
    pixels = _pixels(whole)
    redness = pixels[..., 0] - pixels[..., 1]
    assert redness[5, 8] > 50
    assert abs(redness[100:, 100:]).max() < 12
    assert len(whole.url) < 20_000


def test_the_others_show_what_the_overlay_covers() -> None:
    """All are cut alike, to the overlay's largest extent and a margin; it is seen to grow."""
    _, first, last = _strip(1280, 720)
    assert (first.frame, last.frame) == (0, 49)
    # The square covers 8 to 46 and 8 to 23 at its largest; the margin is a sixtieth of 1280.
    assert (first.width, first.height) == (last.width, last.height) == (46 + 1 + 21, 23 + 1 + 21)
    red_columns = [
        int(((p[16, :, 0] - p[16, :, 1]) > 50).sum()) for p in map(_pixels, (first, last))
    ]
    assert red_columns[0] < 12
    assert red_columns[1] > 34


class _Nothing(Square):
    """A scene that never shows anything."""

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return no layer."""
        del frame
        return ()


def test_an_empty_scene_has_pictures_too() -> None:
    """Nothing visible: the whole canvas is shown."""
    scene = _Nothing(clip("a", 100, 50, TIMEBASE))
    assert [(p.width, p.height) for p in strip(scene, [0])] == [(64, 48), (64, 48)]


def test_pictures_that_are_wide_ask_for_room() -> None:
    """More than three times as wide as high."""
    assert Picture(0, False, "", 301, 100).wide
    assert not Picture(0, False, "", 300, 100).wide
