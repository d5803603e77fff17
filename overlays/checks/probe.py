"""What a written clip says of itself: codec, size, rate, frames, colour tags, alpha, timecode.

Read with the libraries that PyAV ships; `overlays.checks.second_opinion` asks another build of
FFmpeg. Nothing is decoded here but one frame.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, cast

from overlays.errors import TurnoverError
from overlays.films import MOST_PIXELS, film_container

if TYPE_CHECKING:
    import av
    from av.container import InputContainer
    from av.video.stream import VideoStream
    from PIL.PngImagePlugin import PngImageFile

__all__ = [
    "ClipProbe",
    "decoder_for",
    "opened",
    "opened_picture",
    "png_files",
    "probe",
    "unreadable",
]

# ITU-T H.273, as far as clips of ours could carry them; other numbers are told as numbers.
_H273 = {0: "rgb", 1: "bt709", 2: "unspecified", 5: "bt601-625", 6: "bt601-525", 13: "srgb"}
_RANGES = {0: "unspecified", 1: "narrow", 2: "full"}


@dataclass(frozen=True, slots=True)
class ClipProbe:
    """What was found.

    Parameters
    ----------
    codec, pixel_format : str
        FFmpeg's names; the format is that of decoded frames.
    width, height : int
        In pixels.
    rate : Fraction or None
        Frames per second; None for numbered pictures.
    frames : int
        Counted, not read from a header.
    steady : bool
        Whether every frame stands at its place of a constant rate.
    primaries, transfer, matrix, range : str
        Colour tags; ``"unspecified"`` where the file does not say.
    alpha : bool
        Whether decoded frames carry alpha.
    timecode : str or None
        Label of the first frame.
    timecode_track : bool
        Whether the file holds a timecode track of its own (QuickTime), not a note only.
    """

    codec: str
    pixel_format: str
    width: int
    height: int
    rate: Fraction | None
    frames: int
    steady: bool
    primaries: str = "unspecified"
    transfer: str = "unspecified"
    matrix: str = "unspecified"
    range: str = "unspecified"
    alpha: bool = True
    timecode: str | None = None
    timecode_track: bool = False


def unreadable(path: Path, why: str) -> TurnoverError:
    """Return the error for a clip that cannot be read."""
    return TurnoverError(
        f"the clip cannot be read: {why.rstrip('.')}.",
        code="unreadable-clip",
        file=path.name,
        remedy="Render it again.",
    )


@contextmanager
def opened(path: Path) -> Iterator[tuple[InputContainer, VideoStream]]:
    """Open a file and its first video stream.

    Raises
    ------
    TurnoverError
        If it is missing, damaged, or holds no video; also for errors raised while it is open.
    """
    import av

    try:
        with film_container(path) as container:
            if not container.streams.video:
                raise unreadable(path, "it holds no video")
            yield container, container.streams.video[0]
    except (av.FFmpegError, OSError) as error:
        raise unreadable(path, error.strerror or type(error).__name__) from error


def decoder_for(stream: VideoStream) -> av.VideoCodecContext:
    """Return the decoder that brings out a stream's alpha.

    VP9 keeps alpha beside the pictures, where only libvpx's decoder looks for it.
    """
    import av

    if stream.codec_context.codec.name != "vp9":
        return stream.codec_context
    decoder = av.VideoCodecContext.create("libvpx-vp9", "r")
    decoder.thread_count = stream.codec_context.thread_count
    return decoder


def png_files(folder: Path) -> tuple[Path, ...]:
    """Return a folder's numbered pictures in order.

    Raises
    ------
    TurnoverError
        If there is none.
    """
    files = tuple(sorted(folder.glob("*.png")))
    if not files:
        raise unreadable(folder, "the folder holds no .png files")
    return files


def probe(path: Path) -> ClipProbe:
    """Find out what a clip is.

    Parameters
    ----------
    path : Path
        A file, or a folder of numbered pictures.

    Raises
    ------
    TurnoverError
        If it is missing or damaged.
    """
    return _probe_pictures(path) if path.is_dir() else _probe_file(path)


def _probe_file(path: Path) -> ClipProbe:
    with opened(path) as (container, stream):
        rate = Fraction(stream.average_rate) if stream.average_rate else None
        decoder = decoder_for(stream)
        first: av.VideoFrame | None = None
        stamps: list[int | None] = []
        for packet in container.demux(stream):
            if packet.size:
                stamps.append(packet.pts)
            if first is None and stamps:
                first = next(iter(decoder.decode(packet)), None)
        if first is None:
            raise unreadable(path, "no frame can be decoded")
        context = stream.codec_context
        # Matroska and WebM write the key in capitals.
        notes = {key.lower(): value for key, value in stream.metadata.items()}
        return ClipProbe(
            codec=context.codec.name,
            pixel_format=first.format.name,
            width=first.width,
            height=first.height,
            rate=rate,
            frames=len(stamps),
            steady=rate is not None and _steady(stamps, rate, stream.time_base),
            primaries=_named(context.color_primaries),
            transfer=_named(context.color_trc),
            matrix=_named(context.colorspace),
            range=_RANGES.get(int(context.color_range), str(int(context.color_range))),
            alpha=first.format.name.startswith(("yuva", "rgba", "argb", "bgra", "abgr", "gbrap")),
            timecode=notes.get("timecode"),
            timecode_track=any("timecode" in data.metadata for data in container.streams.data),
        )


def _named(number: int) -> str:
    return _H273.get(int(number), str(int(number)))


def _steady(stamps: list[int | None], rate: Fraction, time_base: Fraction | None) -> bool:
    """Say whether time stamps are those of a constant rate, as finely as the file counts time."""
    if time_base is None:
        return False
    step = 1 / (rate * time_base)
    return all(
        stamp is not None and abs(stamp - (stamps[0] or 0) - index * step) < 1
        for index, stamp in enumerate(stamps)
    )


@contextmanager
def opened_picture(file: Path) -> Iterator[PngImageFile]:
    """Open a numbered picture as PNG, whatever it is called, of a size that memory holds.

    Raises
    ------
    TurnoverError
        If it is no PNG, damaged, or larger than `overlays.films.MOST_PIXELS`; also for errors
        raised while it is open.
    """
    from PIL import Image

    try:
        # Left to choose, Pillow would hand other kinds of picture to other programs.
        with Image.open(file, formats=["PNG"]) as picture:
            width, height = picture.size
            if width * height > MOST_PIXELS:
                raise unreadable(file, f"it is {width} x {height} pixels large")
            yield cast("PngImageFile", picture)
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise unreadable(file, f"{file.name}: {error}"[:300]) from error


def _probe_pictures(folder: Path) -> ClipProbe:
    files = png_files(folder)
    with opened_picture(files[0]) as picture:
        mode, (width, height) = picture.mode, picture.size
    return ClipProbe(
        codec="png",
        pixel_format=mode.lower(),
        width=width,
        height=height,
        rate=None,
        frames=len(files),
        steady=[file.name for file in files] == [f"{i:06}.png" for i in range(len(files))],
        matrix="rgb",
        range="full",
        alpha=mode == "RGBA",
    )
