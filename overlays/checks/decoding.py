"""Clips back to frames: straight RGBA, one after the other."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from overlays.checks.probe import decoder_for, opened, png_files, unreadable
from overlays.draw.patch import Pixels
from overlays.render.codecs.picture import plane_views

if TYPE_CHECKING:
    import av
    from av.packet import Packet

__all__ = ["Codes", "decode", "decode_with_codes"]

Plane = NDArray[np.uint8] | NDArray[np.uint16]


@dataclass(frozen=True, slots=True, eq=False)
class Codes:
    """A frame's Y'CbCr and alpha as stored.

    Parameters
    ----------
    luma, blue, red : ndarray
        Codes; the two latter may be smaller.
    alpha : ndarray of shape (H, W) or None
        None where the frame has none.
    bits : int
        Bits a sample.
    """

    luma: Plane
    blue: Plane
    red: Plane
    alpha: Plane | None
    bits: int


def decode(path: Path, *, only: Collection[int] | None = None) -> Iterator[tuple[int, Pixels]]:
    """Decode a clip lazily.

    Parameters
    ----------
    path : Path
        A file, or a folder of numbered pictures.
    only : collection of int, optional
        Frames wanted; others are not converted, and where frames stand alone not decoded either.

    Yields
    ------
    (int, ndarray of shape (H, W, 4))
        Frame number from 0, and straight RGBA, uint8. Y'CbCr is read as BT.709 in narrow range,
        whatever the tags say: `overlays.checks.probe` tells the tags.

    Raises
    ------
    TurnoverError
        If the clip is missing or damaged.
    """
    return ((number, pixels) for number, pixels, _ in decode_with_codes(path, only=only))


def decode_with_codes(
    path: Path, *, only: Collection[int] | None = None
) -> Iterator[tuple[int, Pixels, Codes | None]]:
    """Decode a clip lazily, and give each frame's stored codes beside its pixels.

    Parameters
    ----------
    path, only
        As `decode`.

    Yields
    ------
    (int, ndarray of shape (H, W, 4), Codes or None)
        As `decode`; None where the file stores RGB. The codes hold until the next frame.

    Raises
    ------
    TurnoverError
        As `decode`.
    """
    if path.is_dir():
        for number, pixels in _pictures(path, only):
            yield number, pixels, None
    else:
        for number, frame in _frames(path, only):
            yield number, _rgba(frame), _codes(frame)


def _pictures(folder: Path, only: Collection[int] | None) -> Iterator[tuple[int, Pixels]]:
    from PIL import Image

    for index, file in enumerate(png_files(folder)):
        if only is None or index in only:
            try:
                with Image.open(file) as picture:
                    pixels = np.asarray(picture.convert("RGBA"), np.uint8)
            except (OSError, SyntaxError, Image.DecompressionBombError) as error:
                raise unreadable(file, str(error)) from error
            yield index, pixels


def _frames(path: Path, only: Collection[int] | None) -> Iterator[tuple[int, av.VideoFrame]]:
    with opened(path) as (container, stream):
        stream.thread_type = "AUTO"
        decoder = decoder_for(stream)
        fed: deque[int] = deque()  # frames given to the decoder and not yet come out, in order
        waiting: list[tuple[int, Packet[Any]]] = []  # since the last frame that stands alone
        index = 0
        for packet in container.demux(stream):
            if packet.size:
                if packet.is_keyframe:
                    waiting.clear()
                waiting.append((index, packet))
                wanted = only is None or index in only
                index += 1
                if not wanted:
                    continue
            # An empty packet ends the stream and drains the decoder.
            batch = waiting if packet.size else [(index, packet)]
            for number, held in batch:
                if held.size:
                    fed.append(number)
                for frame in decoder.decode(held):
                    came = fed.popleft()
                    if only is None or came in only:
                        yield came, frame
            waiting.clear()


def _rgba(frame: av.VideoFrame) -> Pixels:
    narrow = frame.format.name.startswith("yuv")
    converted = frame.reformat(
        format="rgba",
        src_colorspace="ITU709" if narrow else None,
        src_color_range="MPEG" if narrow else None,
        dst_color_range="JPEG",
        threads=1,  # with more, pixels go wrong where the width is no multiple of 16
    )
    pixels = np.asarray(converted.to_ndarray(), np.uint8)
    if frame.format.name.startswith("yuva"):
        # The scaler is off by one for about half of all alpha values.
        pixels[..., 3] = _alpha(frame)
    return pixels


def _alpha(frame: av.VideoFrame) -> Pixels:
    bits = frame.format.components[3].bits
    planes = plane_views(frame, np.uint8) if bits == 8 else plane_views(frame, np.uint16)
    codes = planes[3].astype(np.uint32)
    most = (1 << bits) - 1
    exact: Pixels = ((codes * 255 + most // 2) // most).astype(np.uint8)
    return exact


def _codes(frame: av.VideoFrame) -> Codes | None:
    if not frame.format.name.startswith("yuv"):
        return None
    bits = frame.format.components[0].bits
    planes = plane_views(frame, np.uint8) if bits == 8 else plane_views(frame, np.uint16)
    alpha = planes[3] if len(planes) > 3 else None
    return Codes(planes[0], planes[1], planes[2], alpha, bits)
