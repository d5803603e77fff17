"""Scenes made by hand for the renderer's tests, and files decoded again."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import imageio_ffmpeg
import numpy as np
from numpy.typing import NDArray

from overlays.checks.ycbcr import rgb_from_codes
from overlays.draw.canvas import draw_range
from overlays.draw.patch import Layer, Patch, Pixels, Rect
from overlays.render.codecs.base import FileSpec, Writer

__all__ = [
    "Moving",
    "decoded",
    "ffmpeg_frames",
    "noise",
    "patched",
    "planes",
    "spec",
    "write_scene",
]


def spec(width: int, height: int, *, rate: Fraction = Fraction(30)) -> FileSpec:
    """Return what a test file says about itself."""
    return FileSpec(width, height, rate, "01:00:00:00")


def noise(width: int, height: int, *, seed: int = 1) -> Pixels:
    """Return random RGBA in which a quarter of the pixels are invisible and a quarter opaque."""
    random = np.random.default_rng(seed)
    pixels = random.integers(0, 256, (height, width, 4), dtype=np.uint8)
    kind = random.integers(0, 4, (height, width))
    pixels[kind == 0, 3] = 0
    pixels[kind == 1, 3] = 255
    return pixels


def patched(width: int, height: int) -> Pixels:
    """Return a picture like an overlay: a panel let through, sharp shapes, soft edges, clear."""
    pixels = np.zeros((height, width, 4), np.uint8)
    y, x = np.mgrid[0:height, 0:width]
    panel = (x > width * 0.1) & (x < width * 0.9) & (y > height * 0.3) & (y < height * 0.9)
    pixels[panel] = (18, 24, 33, 217)
    for colour, share in (((230, 159, 0), 0.4), ((86, 180, 233), 0.55), ((216, 27, 96), 0.7)):
        centre = height * share + height * 0.08 * np.sin(x / max(width, 1) * 9)
        cover = np.clip(1.8 - np.abs(y - centre), 0, 1)
        near = cover > 0
        pixels[near, :3] = colour
        pixels[near, 3] = np.maximum(pixels[near, 3], (cover[near] * 255).round())
    pixels[int(height * 0.05) : int(height * 0.2), int(width * 0.3) : int(width * 0.7)] = 255
    return pixels


@dataclass(frozen=True)
class Moving:
    """A plate that grows, a patch that moves over it, and a hold at the end."""

    width: int
    height: int
    frames: int = 12
    _patches: tuple[Patch, ...] = ()

    @classmethod
    def sized(cls, width: int, height: int, *, frames: int = 12) -> Moving:
        """Return a scene of a size."""
        plate = Patch(patched(width, height))
        dot = Patch(noise(max(1, width // 5), max(1, height // 5)))
        return cls(width, height, frames, (plate, dot))

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame."""
        plate, dot = self._patches
        moved = min(frame, self.frames * 2 // 3)
        shown = Rect(0, 0, (moved + 1) * self.width // self.frames + 1, self.height)
        place = (moved * self.width // self.frames, moved * self.height // (2 * self.frames))
        return (Layer(plate, 0, 0, shown), Layer(dot, *place, None, 120 + 10 * moved))


def write_scene(writer: Writer, scene: Moving, *, start: int = 0, stop: int | None = None) -> None:
    """Write frames of a scene."""
    for pixels, changed in draw_range(scene, range(start, stop or scene.frames)):
        writer.add(pixels, changed)
    writer.finish()


def planes(frame: av.VideoFrame) -> list[NDArray[Any]]:
    """Return copies of a picture's planes, without padding."""
    sample = np.uint8 if frame.format.components[0].bits == 8 else np.uint16
    views = []
    for plane in frame.planes:
        rows = np.frombuffer(bytes(plane), sample).reshape(plane.height, -1)
        views.append(rows[:, : plane.width].copy())
    return views


def decoded(file: Path) -> Iterator[Pixels]:
    """Decode a file to straight RGBA; Y'CbCr by BT.709, in floating point and then rounded."""
    if file.is_dir():
        for path in sorted(file.iterdir()):
            yield from decoded(path)
        return
    with av.open(str(file)) as container:
        stream = container.streams.video[0]
        decoder: Any = stream.codec_context
        if stream.codec_context.name.startswith("vp9"):
            # FFmpeg's own decoder shows the colour without its alpha.
            decoder = av.CodecContext.create("libvpx-vp9", "r")
        for packet in container.demux(stream):
            for frame in decoder.decode(packet if packet.size else None):
                yield _rgba(frame)


def _rgba(frame: av.VideoFrame) -> Pixels:
    if not frame.format.name.startswith("yuva"):
        return frame.to_ndarray(format="rgba").astype(np.uint8)
    bits = frame.format.components[0].bits
    *colour, alpha = planes(frame)
    rgb = np.rint(rgb_from_codes(*colour, bits=bits).clip(0, 1) * 255)
    return np.dstack([rgb, alpha >> (bits - 8)]).astype(np.uint8)


def ffmpeg_frames(file: Path, *, decoder: str | None = None) -> int:
    """Decode a file with the FFmpeg program; returns the frames, or fails if it complains."""
    program = imageio_ffmpeg.get_ffmpeg_exe()
    chosen = [] if decoder is None else ["-c:v", decoder]
    command = [program, "-v", "error", *chosen, "-i", str(file), "-map", "0:v"]
    command += ["-f", "framemd5", "-"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert not done.stderr, done.stderr
    return sum(1 for line in done.stdout.splitlines() if not line.startswith("#"))
