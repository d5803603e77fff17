"""Clips with real contents, written by a real codec, for the tests of judging them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path

import numpy as np

from overlays.draw.patch import Layer, Patch, Pixels, Rect, Scene
from overlays.kinds.base import Content
from overlays.model.clip import CODECS, Clip, Stage
from overlays.render.codecs.base import FileSpec
from overlays.render.codecs.registry import codec_named
from overlays.render.frames import clip_frames, lay_out_clip
from overlays.style.house import style_roots
from overlays.timecode import Timebase

__all__ = ["Blinking", "clip_of", "write"]

RATE = Fraction(25)


def clip_of(
    kind: str, content: Content | None, *, size: tuple[int, int] = (1280, 720), frames: int = 50
) -> Clip:
    """Return a clip that begins at ten hours, with handles of three and four frames."""
    return Clip(
        cue="a-cue",
        kind=kind,
        beat="beat",
        file=f"a-cue{CODECS['qtrle']}",
        first_frame=900_000,
        handles=(3, 4),
        timebase=Timebase(RATE),
        stage=Stage(*size, RATE, frames, "rule", str(style_roots()[0])),
        content=content,
        figures=() if content is None else content.figures,
        description="A clip.",
    )


def write(
    clip: Clip,
    file: Path,
    *,
    codec: str = "qtrle",
    scene: Scene | None = None,
    spoilt: Callable[[int, Pixels], Pixels] | None = None,
) -> Path:
    """Write a clip, its frames as drawn from `scene`, each perhaps spoilt."""
    writer = codec_named(codec).open(file, FileSpec.of(clip), first=0)
    for number, (pixels, changed) in enumerate(clip_frames(clip, scene or lay_out_clip(clip))):
        if spoilt is None:
            writer.add(pixels, changed)
        else:
            whole = Rect(0, 0, clip.stage.width, clip.stage.height)
            writer.add(spoilt(number, pixels), [whole])
    writer.finish()
    return file


class Blinking:
    """A scene whose right half goes from white to black and back every third frame."""

    def __init__(self, of: Clip) -> None:
        self.width, self.height, self.frames = of.stage.width, of.stage.height, of.stage.frames
        self._patches = [self._patch(level) for level in (255, 0)]

    def _patch(self, level: int) -> Patch:
        pixels = np.full((self.height, self.width // 2, 4), 255, np.uint8)
        pixels[..., :3] = level
        return Patch(pixels)

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the half of a frame."""
        return (Layer(self._patches[frame // 3 % 2], self.width // 2, 0),)
