"""How much room on disk clips take, estimated before they are drawn."""

from __future__ import annotations

from collections.abc import Iterable

from overlays.model.clip import Clip

__all__ = ["least_bytes"]

# Bytes a pixel of every frame, about half of what was measured on the demo session (0.05 to 0.26
# with ProRes): too little refuses nothing that would have fitted, and a disk that fills up all the
# same is told when it does.
_BYTES_A_PIXEL = {
    "prores4444": 0.05, "vp9": 0.0003, "qtrle": 0.002, "png": 0.02, "ffv1": 0.01
}  # fmt: skip


def least_bytes(clips: Iterable[Clip], *, codec: str) -> int:
    """Return how many bytes clips take on disk at least.

    Parameters
    ----------
    clips : iterable of Clip
        What is to be rendered.
    codec : str
        A name in `overlays.model.clip.CODECS`.
    """
    pixels = sum(clip.frames * clip.stage.width * clip.stage.height for clip in clips)
    return round(pixels * _BYTES_A_PIXEL[codec])
