"""FFV1 version 3 (RFC 9043): without loss, every frame alone and checksummed, in Matroska."""

from __future__ import annotations

from overlays.render.codecs.packed import PackedCodec, PackedFormat

__all__ = ["CODEC", "Ffv1"]


class Ffv1(PackedCodec):
    """See the module."""

    name = "ffv1"
    cut_frames = 1

    def __init__(self) -> None:
        options = {"level": "3", "slicecrc": "1"}
        super().__init__(PackedFormat("ffv1", "bgra", (2, 1, 0, 3), options, 1))


CODEC = Ffv1()
