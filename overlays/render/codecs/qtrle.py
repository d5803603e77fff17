"""QuickTime Animation: run lengths of whole pixels, without loss, in a QuickTime file."""

from __future__ import annotations

from overlays.render.codecs.packed import PackedCodec, PackedFormat

__all__ = ["CODEC", "Qtrle"]

_KEY_FRAMES = 60  # a frame between them holds only the lines that changed


class Qtrle(PackedCodec):
    """See the module."""

    name = "qtrle"
    cut_frames = _KEY_FRAMES

    def __init__(self) -> None:
        super().__init__(PackedFormat("qtrle", "argb", (3, 0, 1, 2), {}, _KEY_FRAMES))


CODEC = Qtrle()
