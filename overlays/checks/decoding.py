"""Clips back to frames: straight RGBA, one after the other."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from numpy.typing import NDArray

from overlays.checks.probe import decoder_for, opened, opened_picture, png_files, unreadable
from overlays.draw.patch import Pixels
from overlays.render.codecs.picture import plane_views

if TYPE_CHECKING:
    import av
    from av.packet import Packet
    from PIL.Image import Image

__all__ = ["Codes", "Decoded", "decode", "decode_once", "decode_with_codes"]

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

    def copy(self) -> Codes:
        """Return codes that hold for good."""
        alpha = None if self.alpha is None else self.alpha.copy()
        return Codes(self.luma.copy(), self.blue.copy(), self.red.copy(), alpha, self.bits)


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
        for number, image in _images(path, only):
            yield number, np.asarray(image, np.uint8), None
    else:
        for number, frame in _frames(path, only):
            yield number, _rgba(frame), _codes(frame)


class Decoded(Protocol):
    """A frame that has been decoded, and is converted as far as it is asked for."""

    def whole(self) -> tuple[Pixels, Codes | None]:
        """Return its straight RGBA, uint8 of shape (H, W, 4), and its codes, None for RGB."""

    def small(self, width: int, height: int) -> Pixels:
        """Return its straight RGBA at another size, for a look at large areas: edges are mixed."""


def decode_once(path: Path) -> Iterator[tuple[Decoded, int]]:
    """Decode a clip to its end, a frame that is held only once.

    Parameters
    ----------
    path : Path
        As `decode`.

    Yields
    ------
    (Decoded, int)
        A frame, and how often it stands, 1 or more; the next may be equal to it all the same.

    Raises
    ------
    TurnoverError
        As `decode`.
    """
    if path.is_dir():
        for _, picture in _images(path, None):
            yield _Picture(picture), 1
    else:
        for frame, count in _frames_once(path):
            yield _Film(frame), count


class _Film:
    def __init__(self, frame: av.VideoFrame) -> None:
        self._frame = frame

    def whole(self) -> tuple[Pixels, Codes | None]:
        return _rgba(self._frame), _codes(self._frame)

    def small(self, width: int, height: int) -> Pixels:
        if (width, height) == (self._frame.width, self._frame.height):
            return self.whole()[0]
        return np.asarray(_converted(self._frame, width, height).to_ndarray(), np.uint8)


class _Picture:
    def __init__(self, image: Image) -> None:
        self._image = image

    def whole(self) -> tuple[Pixels, Codes | None]:
        return np.array(self._image, np.uint8), None

    def small(self, width: int, height: int) -> Pixels:
        from PIL.Image import Resampling

        return np.array(self._image.resize((width, height), Resampling.BOX), np.uint8)


def _frames_once(path: Path) -> Iterator[tuple[av.VideoFrame, int]]:
    with opened(path) as (container, stream):
        stream.thread_type = "AUTO"
        decoder = decoder_for(stream)
        # Where frames stand alone, a hold is the same packet again and again.
        alone, last = stream.codec_context.codec.intra_only, b""
        counts: deque[int] = deque()  # of packets given to the decoder whose frame is not out yet
        ready: deque[av.VideoFrame] = deque()
        sizes: set[tuple[int, int]] = set()
        for packet in container.demux(stream):
            stored = bytes(packet) if alone and packet.size else b""
            if stored and stored == last:
                counts[-1] += 1
                continue
            last = stored
            if packet.size:
                counts.append(1)
            ready.extend(_of_one_size(decoder.decode(packet), sizes, path))
            # How long the newest stands is known once another follows, or the end.
            while ready and (len(counts) > 1 or not packet.size):
                yield ready.popleft(), counts.popleft() if counts else 1


def _of_one_size(
    frames: Iterable[av.VideoFrame], sizes: set[tuple[int, int]], path: Path
) -> Iterator[av.VideoFrame]:
    """Pass frames on while they are as large as those before, whatever the file says of itself."""
    for frame in frames:
        sizes.add((frame.width, frame.height))
        if len(sizes) > 1:
            raise unreadable(path, "its frames are of several sizes")
        yield frame


def _images(folder: Path, only: Collection[int] | None) -> Iterator[tuple[int, Image]]:
    for index, file in enumerate(png_files(folder)):
        if only is None or index in only:
            with opened_picture(file) as picture:
                image = picture.convert("RGBA")
            yield index, image


def _frames(path: Path, only: Collection[int] | None) -> Iterator[tuple[int, av.VideoFrame]]:
    with opened(path) as (container, stream):
        stream.thread_type = "AUTO"
        decoder = decoder_for(stream)
        fed: deque[int] = deque()  # frames given to the decoder and not yet come out, in order
        waiting: list[tuple[int, Packet[Any]]] = []  # since the last frame that stands alone
        sizes: set[tuple[int, int]] = set()
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
                for frame in _of_one_size(decoder.decode(held), sizes, path):
                    came = fed.popleft()
                    if only is None or came in only:
                        yield came, frame
            waiting.clear()


def _rgba(frame: av.VideoFrame) -> Pixels:
    pixels = np.asarray(_converted(frame, frame.width, frame.height).to_ndarray(), np.uint8)
    if frame.format.name.startswith("yuva"):
        # The scaler is off by one for about half of all alpha values.
        pixels[..., 3] = _alpha(frame)
    return pixels


def _converted(frame: av.VideoFrame, width: int, height: int) -> av.VideoFrame:
    narrow = frame.format.name.startswith("yuv")
    return frame.reformat(
        width,
        height,
        format="rgba",
        src_colorspace="ITU709" if narrow else None,
        src_color_range="MPEG" if narrow else None,
        dst_color_range="JPEG",
        interpolation="AREA",
        threads=1,  # with more, pixels go wrong where the width is no multiple of 16
    )


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
