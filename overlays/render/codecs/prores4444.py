"""ProRes 4444 with 16-bit straight alpha in a QuickTime file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs.base import Codec, FileSpec, Writer
from overlays.render.codecs.container import VideoFile, packets_of
from overlays.render.codecs.slices import ChangedSlices
from overlays.render.codecs.whole_frames import WholeFrames, prepare_encoder

__all__ = ["CODEC", "ProRes4444"]


class _Frames(Protocol):
    """`ChangedSlices` or `WholeFrames`."""

    def push(self, pixels: Pixels, changed: Sequence[Rect]) -> list[bytes]: ...

    def finish(self) -> list[bytes]: ...


class _Writer:
    def __init__(self, file: VideoFile, frames: _Frames) -> None:
        self._file = file
        self._frames = frames

    def add(self, pixels: Pixels, changed: Sequence[Rect]) -> None:
        self._file.put_all(self._frames.push(pixels, changed))

    def finish(self) -> None:
        self._file.put_all(self._frames.finish())
        self._file.close()

    def abandon(self) -> None:
        self._file.abandon()


class ProRes4444(Codec):
    """See the module.

    Parameters
    ----------
    whole_frames : bool
        Encode every changed frame whole; much slower, and the same bytes.
    """

    name = "prores4444"
    cut_frames = 1  # every frame stands alone

    def __init__(self, *, whole_frames: bool = False) -> None:
        self._encoder = WholeFrames if whole_frames else ChangedSlices

    def open(self, target: Path, spec: FileSpec, *, first: int = 0) -> Writer:
        """See `Codec.open`."""
        del first
        return _Writer(self._file(target, spec), self._encoder(spec.width, spec.height))

    def join(self, parts: Sequence[Path], target: Path, spec: FileSpec) -> None:
        """See `Codec.join`."""
        file = self._file(target, spec)
        for part in parts:
            file.put_all(bytes(packet) for packet in packets_of(part))
        file.close()

    def _file(self, target: Path, spec: FileSpec) -> VideoFile:
        file = VideoFile(target, "prores_ks", spec)
        # The stream's own encoder never sees a frame: it only says what is in the packets.
        prepare_encoder(file.stream.codec_context, width=spec.width, height=spec.height)
        return file


CODEC = ProRes4444()
