"""Numbered PNG files in a folder (W3C Portable Network Graphics, third edition).

Files are called 000000.png, 000001.png …, the number being the frame's place in the clip, handles
included. PNG stores straight alpha. A picture file carries no timecode.
"""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

import av
import numpy as np

from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs.base import Codec, FileSpec, Writer

__all__ = ["CODEC", "Png", "png_name"]


def png_name(index: int) -> str:
    """Return the file name of a frame."""
    return f"{index:06}.png"


class _Writer:
    def __init__(self, folder: Path, spec: FileSpec, first: int) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self._folder = folder
        self._next = first
        self._data = b""
        self._context = av.VideoCodecContext.create("png", "w")
        self._context.width = spec.width
        self._context.height = spec.height
        self._context.pix_fmt = "rgba"
        self._context.time_base = 1 / spec.rate
        self._context.thread_count = 1
        # Filter and level were chosen by measuring: three times as fast as the usual ones on
        # overlays, and the files are as small.
        self._context.options = {"pred": "up", "compression_level": "1"}

    def add(self, pixels: Pixels, changed: Sequence[Rect]) -> None:
        if changed or not self._data:
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(pixels), format="rgba")
            frame.pts = self._next
            (packet,) = self._context.encode(frame)
            self._data = bytes(packet)
        (self._folder / png_name(self._next)).write_bytes(self._data)
        self._next += 1

    def finish(self) -> None:
        pass  # every file is whole as soon as it is written

    def abandon(self) -> None:
        pass


class Png(Codec):
    """See the module."""

    name = "png"
    cut_frames = 1

    def open(self, target: Path, spec: FileSpec, *, first: int = 0) -> Writer:
        """See `Codec.open`."""
        return _Writer(target, spec, first)

    def join(self, parts: Sequence[Path], target: Path, spec: FileSpec) -> None:
        """See `Codec.join`."""
        del spec
        target.mkdir(parents=True, exist_ok=True)
        for part in parts:
            for file in sorted(part.glob("*.png")):
                shutil.copyfile(file, target / file.name)


CODEC = Png()
