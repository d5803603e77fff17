"""VP9 with alpha in WebM: alpha travels as a second VP9 picture beside each frame.

The WebM container keeps it in a BlockAdditional element and says so with AlphaMode. FFmpeg's own
decoder shows the colour alone; ``-c:v libvpx-vp9`` before the input decodes both.

Chroma is kept at full resolution and coded without loss (VP9 profile 1). With halved chroma a
thin coloured curve on a dark panel is off by more than a hundred levels, however many bits it gets;
and on overlays lossless frames come out smaller than lossy ones of the same speed, since what does
not change costs next to nothing. What remains is the rounding to 8-bit Y'CbCr: 2 levels.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import av
import numpy as np

from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs.base import Codec, FileSpec, Writer
from overlays.render.codecs.container import VideoFile
from overlays.render.codecs.nearest import REACH, filled, grown
from overlays.render.codecs.picture import BT709, NARROW, plane_views
from overlays.render.colour import to_bt709

__all__ = ["CODEC", "Vp9"]

_KEY_FRAMES = 120
_PIXELS = "yuva444p"
_BLACK = (16, 128, 128)  # Y', C'B, C'R in eight bits
_OPTIONS = {
    "lossless": "1",
    "deadline": "realtime",
    "cpu-used": "8",
    "lag-in-frames": "0",
    "auto-alt-ref": "0",
    # FFmpeg asks for a nod to write full-resolution chroma with alpha, as not all players read it.
    "strict": "experimental",
}


def _prepare(context: av.VideoCodecContext, spec: FileSpec) -> None:
    context.width = spec.width
    context.height = spec.height
    context.pix_fmt = _PIXELS
    context.time_base = 1 / spec.rate
    context.framerate = spec.rate
    context.options = dict(_OPTIONS)
    context.bit_rate = 0
    context.gop_size = _KEY_FRAMES
    context.thread_count = 1
    context.color_primaries = BT709
    context.color_trc = BT709
    context.colorspace = BT709
    context.color_range = NARROW


class _Writer:
    def __init__(self, file: VideoFile, spec: FileSpec) -> None:
        self._file = file
        self._spec = spec
        self._whole = Rect(0, 0, spec.width, spec.height)
        self._frame = av.VideoFrame(spec.width, spec.height, _PIXELS)
        self._frame.color_primaries = BT709
        self._frame.color_trc = BT709
        self._frame.colorspace = BT709
        self._frame.color_range = NARROW
        self._views = plane_views(self._frame, np.uint8)
        for view, code in zip(self._views, (*_BLACK, 0), strict=True):
            view[...] = code
        self._encoder: av.VideoCodecContext | None = None
        self._encoded = 0

    def add(self, pixels: Pixels, changed: Sequence[Rect]) -> None:
        for rect in changed:
            window = grown(rect, REACH).meet(self._whole)
            self._update(filled(pixels, window), window)
        if self._encoder is None or self._encoded % _KEY_FRAMES == 0:
            # A new encoder at every key frame carries nothing over from the frames before, so a
            # clip written in parts equals one written in one go.
            self._finish_encoder()
            self._encoder = av.VideoCodecContext.create("libvpx-vp9", "w")
            _prepare(self._encoder, self._spec)
        self._frame.pts = self._encoded
        self._encoded += 1
        for packet in self._encoder.encode(self._frame):
            self._file.put(packet)

    def _update(self, pixels: Pixels, window: Rect) -> None:
        place = np.s_[window.top : window.bottom, window.left : window.right]
        *colour, alpha = self._views
        for view, plane in zip(colour, to_bt709(pixels, bits=8), strict=True):
            view[place] = plane
        alpha[place] = pixels[..., 3]

    def _finish_encoder(self) -> None:
        if self._encoder is not None:
            for packet in self._encoder.encode(None):
                self._file.put(packet)

    def finish(self) -> None:
        self._finish_encoder()
        self._file.close()

    def abandon(self) -> None:
        self._file.abandon()


class Vp9(Codec):
    """See the module."""

    name = "vp9"
    cut_frames = _KEY_FRAMES

    def open(self, target: Path, spec: FileSpec, *, first: int = 0) -> Writer:
        """See `Codec.open`."""
        del first
        return _Writer(self._file(target, spec), spec)

    def join(self, parts: Sequence[Path], target: Path, spec: FileSpec) -> None:
        """See `Codec.join`."""
        file = self._file(target, spec)
        file.put_parts(parts)
        file.close()

    def _file(self, target: Path, spec: FileSpec) -> VideoFile:
        file = VideoFile(target, "libvpx-vp9", spec)
        # The stream's own encoder never sees a frame: it only says what is in the packets.
        _prepare(file.stream.codec_context, spec)
        file.stream.metadata["alpha_mode"] = "1"
        return file


CODEC = Vp9()
