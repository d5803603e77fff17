"""ProRes 4444 through libavcodec, a whole frame at a time: the plain way, and the reference.

The quantiser is fixed. The encoder's own rate control searches for one per slice and arrives at 1
nearly everywhere; asking for 1 gives the same size and quality at five times the speed, and makes
every slice depend on its own pixels alone, which `overlays.render.codecs.slices` builds upon.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import av
import numpy as np

from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs.picture import BT709, NARROW, PROGRESSIVE, plane_views
from overlays.render.codecs.planes import Planes

__all__ = [
    "ALPHA_BITS",
    "QUANTISER",
    "WholeFrames",
    "prepare_encoder",
    "tag_frame",
]

QUANTISER = 1
ALPHA_BITS = 16


def prepare_encoder(
    context: av.VideoCodecContext,
    *,
    width: int,
    height: int,
    quantiser: int = QUANTISER,
    alpha_bits: int = ALPHA_BITS,
) -> None:
    """Set everything about a ``prores_ks`` context that is not yet open."""
    context.width = width
    context.height = height
    context.pix_fmt = "yuva444p10le"
    context.options = {"profile": "4444", "alpha_bits": str(alpha_bits)}
    context.qscale = True
    context.global_quality = quantiser
    context.thread_count = 1
    context.color_primaries = BT709
    context.color_trc = BT709
    context.colorspace = BT709
    context.color_range = NARROW
    context.field_order = PROGRESSIVE


def tag_frame(frame: av.VideoFrame) -> None:
    """Tag a frame as BT.709: the encoder writes into its header what the frame says."""
    frame.color_primaries = BT709
    frame.color_trc = BT709
    frame.colorspace = BT709
    frame.color_range = NARROW


class WholeFrames:
    """Encodes every frame whole; a hold repeats the packet before it.

    Parameters
    ----------
    width, height : int
        The canvas.
    quantiser, alpha_bits : int
        See `prepare_encoder`.
    """

    def __init__(
        self,
        width: int,
        height: int,
        *,
        quantiser: int = QUANTISER,
        alpha_bits: int = ALPHA_BITS,
    ) -> None:
        self._planes = Planes(width, height)
        self._context = av.VideoCodecContext.create("prores_ks", "w")
        prepare_encoder(
            self._context, width=width, height=height, quantiser=quantiser, alpha_bits=alpha_bits
        )
        self._context.time_base = Fraction(1)
        self._frame = av.VideoFrame(width, height, "yuva444p10le")
        tag_frame(self._frame)
        self._views = plane_views(self._frame, np.uint16)
        self._packet = b""
        self._count = 0

    def push(self, pixels: Pixels, changed: Sequence[Rect]) -> list[bytes]:
        """Encode the next frame; returns the packets that are ready, in order."""
        blocks = self._planes.update(pixels, changed)
        if blocks.any() or not self._packet:
            for view, plane in zip(self._views, self._planes.codes, strict=True):
                view[...] = plane[: view.shape[0], : view.shape[1]]
            self._frame.pts = self._count
            (packet,) = self._context.encode(self._frame)
            self._packet = bytes(packet)
        self._count += 1
        return [self._packet]

    def finish(self) -> list[bytes]:
        """Return the packets still owed."""
        return []
