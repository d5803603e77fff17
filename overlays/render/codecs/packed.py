"""What the codecs share that store R'G'B' and alpha as they are: `qtrle` and `ffv1`.

They lose nothing, so there is nothing to convert but the order of the four bytes, and that only in
the rectangles that changed: one frame is kept and handed to the encoder again and again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np

from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs.base import Codec, FileSpec, Writer
from overlays.render.codecs.container import VideoFile
from overlays.render.codecs.picture import BT709, FULL, IDENTITY, plane_views

__all__ = ["PackedCodec", "PackedFormat"]


@dataclass(frozen=True, slots=True)
class PackedFormat:
    """How an encoder wants its pixels.

    Parameters
    ----------
    encoder : str
        libavcodec's name.
    pixels : str
        FFmpeg's name of the pixel format.
    order : tuple of int
        Which of R, G, B, A (0 to 3) is each byte of a pixel.
    options : Mapping[str, str]
        Of the encoder.
    key_frames : int
        Distance between frames that stand alone; 1 if all do.
    """

    encoder: str
    pixels: str
    order: tuple[int, int, int, int]
    options: Mapping[str, str]
    key_frames: int


class _Picture:
    """A frame of libavcodec's, and its bytes."""

    def __init__(self, form: PackedFormat, spec: FileSpec) -> None:
        self.frame = av.VideoFrame(spec.width, spec.height, form.pixels)
        (self._bytes,) = plane_views(self.frame, np.uint8)
        self._bytes[...] = 0
        self._order = form.order
        self.outdated: list[Rect] = []

    def update(self, pixels: Pixels) -> None:
        for rect in self.outdated:
            place = np.s_[rect.top : rect.bottom, rect.left : rect.right]
            for at, channel in enumerate(self._order):
                self._bytes[place][..., at] = pixels[place][..., channel]
        self.outdated.clear()


class _Writer:
    def __init__(self, file: VideoFile, form: PackedFormat, spec: FileSpec) -> None:
        self._file = file
        self._alone = form.key_frames == 1
        # Two, in turn: an encoder of differences keeps hold of the picture it was given last.
        self._pictures = (_Picture(form, spec), _Picture(form, spec))
        self._encoded = 0
        self._packet: bytes | None = None

    def add(self, pixels: Pixels, changed: Sequence[Rect]) -> None:
        for picture in self._pictures:
            picture.outdated.extend(changed)
        # Where every frame stands alone, a hold is the packet before, once more.
        if self._packet is not None and not changed:
            self._file.put(self._packet)
            return
        picture = self._pictures[self._encoded % 2]
        picture.update(pixels)
        picture.frame.pts = self._encoded
        self._encoded += 1
        (packet,) = self._file.stream.encode(picture.frame)
        if self._alone:
            self._packet = bytes(packet)
        self._file.put(packet)

    def finish(self) -> None:
        self._file.close()

    def abandon(self) -> None:
        self._file.abandon()


class PackedCodec(Codec):
    """A codec that stores R'G'B' and alpha without loss."""

    def __init__(self, form: PackedFormat) -> None:
        self._form = form

    def open(self, target: Path, spec: FileSpec, *, first: int = 0) -> Writer:
        """See `Codec.open`."""
        del first
        return _Writer(self._file(target, spec), self._form, spec)

    def join(self, parts: Sequence[Path], target: Path, spec: FileSpec) -> None:
        """See `Codec.join`."""
        file = self._file(target, spec)
        file.put_parts(parts)
        file.close()

    def _file(self, target: Path, spec: FileSpec) -> VideoFile:
        file = VideoFile(target, self._form.encoder, spec)
        context = file.stream.codec_context
        context.width = spec.width
        context.height = spec.height
        context.pix_fmt = self._form.pixels
        context.options = dict(self._form.options)
        context.gop_size = self._form.key_frames
        context.thread_count = 1
        context.color_primaries = BT709
        context.color_trc = BT709
        context.colorspace = IDENTITY
        context.color_range = FULL
        return file
