"""Clip files against what the manifest claims of them, read by PyAV."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, cast

import av
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from overlays.errors import TurnoverError
from overlays.render.codecs.picture import BT709, NARROW, plane_views
from overlays.timecode import Timebase, rate_text
from overlays.turnover.claims import REMEDY
from overlays.turnover.manifest import ManifestClip
from overlays.turnover.numbered import numbered_files

__all__ = ["Media", "media_faults", "read_media"]

# By our name of a codec: libavcodec's names of it, and the decoder that also decodes alpha.
_STORED = {"prores4444": "prores", "vp9": "vp9", "qtrle": "qtrle", "ffv1": "ffv1", "png": "png"}
# Those that store luma and colour differences: only these carry the colour tags in full.
_CONVERTED = ("prores4444", "vp9")
_DECODERS = {"vp9": "libvpx-vp9"}


@dataclass(frozen=True, slots=True)
class Media:
    """What a clip's file holds.

    Parameters
    ----------
    codec : str
        libavcodec's name.
    width, height : int
        In pixels.
    rate : Fraction or None
        Frames per second; None where the file states none.
    frames : int
        How many were decoded.
    steady : bool
        Whether they follow each other at that rate, one frame apart.
    timecode : str or None
        Of the first frame, as the file states it.
    colour : tuple of int
        Primaries, transfer, matrix and range, as numbered by ITU-T H.273 and FFmpeg.
    first_alpha, last_alpha : (int, int) or None
        Lowest and highest alpha of the first and the last frame, of 255; None without alpha.
    """

    codec: str
    width: int
    height: int
    rate: Fraction | None
    frames: int
    steady: bool
    timecode: str | None
    colour: tuple[int, int, int, int]
    first_alpha: tuple[int, int] | None
    last_alpha: tuple[int, int] | None


def read_media(file: Path) -> Media:
    """Decode a whole file and say what it holds.

    Raises
    ------
    TurnoverError
        If there is no video in it, or it cannot be decoded to its end.
    """
    try:
        return _read_film(file)
    except av.FFmpegError as error:
        raise _unreadable(file, error.strerror or str(error)) from error


def _unreadable(file: Path, why: str) -> TurnoverError:
    return TurnoverError(
        f"it cannot be decoded: {why}.",
        code="undecodable-clip",
        file=file.name,
        remedy=REMEDY,
    )


def _read_film(file: Path) -> Media:
    with av.open(str(file)) as container:
        if not container.streams.video:
            raise _unreadable(file, "it holds no video")
        stream = container.streams.video[0]
        context = stream.codec_context
        first = last = None
        count, steady = 0, True
        rate = stream.average_rate
        for frame in _frames(container, stream):
            first = first or _alpha(frame)
            place = Fraction(frame.pts or 0) * Fraction(frame.time_base or 0) * Fraction(rate or 0)
            # Matroska counts in whole milliseconds: near enough to a frame is on it.
            steady = steady and abs(place - count) < Fraction(1, 4)
            count += 1
            last = frame
        return Media(
            codec=context.codec.name,
            width=context.width,
            height=context.height,
            rate=None if rate is None else Fraction(rate),
            frames=count,
            steady=steady,
            timecode=_timecode(container, stream),
            colour=(
                context.color_primaries, context.color_trc, context.colorspace, context.color_range
            ),
            first_alpha=first,
            last_alpha=None if last is None else _alpha(last),
        )  # fmt: skip


def _frames(
    container: av.container.InputContainer, stream: av.video.stream.VideoStream
) -> Iterator[av.VideoFrame]:
    """Decode every frame with its alpha."""
    other = _DECODERS.get(stream.codec_context.name)
    if other is None:
        stream.thread_type = "AUTO"
        yield from container.decode(stream)
        return
    # FFmpeg's own decoder leaves out the alpha of VP9, which lies in a stream of its own.
    decoder = cast("av.VideoCodecContext", av.CodecContext.create(other, "r"))
    for packet in container.demux(stream):
        for frame in decoder.decode(packet):
            frame.time_base = packet.time_base
            yield frame


def _timecode(
    container: av.container.InputContainer, stream: av.video.stream.VideoStream
) -> str | None:
    """Return the start timecode; of a QuickTime file the one on a track of its own."""
    tags = {key.casefold(): value for key, value in stream.metadata.items()}
    if "mov" not in container.format.name:
        return tags.get("timecode")
    for track in container.streams.data:
        if "timecode" in track.metadata:
            return track.metadata["timecode"]
    return None


def _alpha(frame: av.VideoFrame) -> tuple[int, int] | None:
    """Return the lowest and highest alpha of a frame, scaled to 255; None if it has none."""
    components = frame.format.components
    index = next((i for i, part in enumerate(components) if part.is_alpha), None)
    if index is None:
        return None
    part = components[index]
    shift = part.bits - 8
    if not frame.format.is_planar:
        return _extremes(frame.to_ndarray()[..., frame.format.name.index("a")], shift)
    if shift:
        return _extremes(plane_views(frame, np.uint16)[part.plane], shift)
    return _extremes(plane_views(frame, np.uint8)[part.plane], shift)


def _extremes(alpha: NDArray[Any], shift: int = 0) -> tuple[int, int]:
    return int(alpha.min()) >> shift, int(alpha.max()) >> shift


def _read_pictures(folder: Path) -> Media:
    """Say what a folder of numbered pictures holds, as `read_media` does of a file."""
    numbered = numbered_files(folder)
    size, alphas = None, list[tuple[int, int] | None]()
    for index in range(numbered.count):
        file = numbered.file(index)
        try:
            with Image.open(file, formats=["PNG"]) as picture:
                picture.load()
        except (OSError, SyntaxError, Image.DecompressionBombError) as error:
            raise _unreadable(file, f"{file.name}: {error}") from error
        if size not in (None, picture.size):
            raise _unreadable(file, f"{file.name} has another size than the ones before")
        size = picture.size
        alphas.append(_extremes(np.asarray(picture)[..., 3]) if picture.mode == "RGBA" else None)
    width, height = size or (0, 0)
    first, last = alphas[0], alphas[-1]
    count = numbered.count
    return Media("png", width, height, None, count, True, None, (0, 0, 0, 0), first, last)


def media_faults(file: Path, clip: ManifestClip, timebase: Timebase) -> Iterator[str]:
    """Decode a clip's file and tell where it is not what the manifest claims.

    Yields
    ------
    str
        What was found and what is claimed, without a full stop.
    """
    try:
        media = _read_pictures(file) if clip.codec == "png" else read_media(file)
    except TurnoverError as error:
        yield error.message.rstrip(".")
        return
    found = {
        "codec": (media.codec, _STORED[clip.codec]),
        "size": (f"{media.width}x{media.height}", f"{clip.width}x{clip.height}"),
        "frames": (media.frames, clip.frames),
    }
    if clip.codec != "png":
        label = timebase.label(clip.file_first_frame)
        found["rate"] = (rate_text(media.rate) if media.rate else "none", clip.rate)
        found["start timecode"] = (media.timecode or "none", label)
    for name, (there, claimed) in found.items():
        if there != claimed:
            yield f"its {name}: found {there}, claimed {claimed}"
    if not media.steady:
        yield "its frames do not follow each other at a constant rate"
    if clip.codec in _CONVERTED and media.colour != (BT709, BT709, BT709, NARROW):
        yield f"its colour tags are {media.colour}, not BT.709 and narrow range"
    yield from _alpha_faults(media, clip)


def _alpha_faults(media: Media, clip: ManifestClip) -> Iterator[str]:
    if media.first_alpha is None or media.last_alpha is None:
        yield "it has no alpha"
        return
    if clip.handles[0] and media.first_alpha[1] > 0:
        yield "its first frame, before the cue, is not empty"
    if media.last_alpha[1] == 0:
        yield "its last frame shows nothing"
