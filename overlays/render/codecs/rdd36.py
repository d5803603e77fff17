"""The layout of a coded frame in SMPTE RDD 36, as far as slices are moved about in it.

RDD 36, "Apple ProRes Bitstream Syntax and Decoding Process", describes the format behind the codec
name ``prores4444``. A progressive frame, all numbers big-endian::

    frame        frame_size (4 bytes, of all that follows and itself)  'icpf'
                 frame_header  picture
    frame_header frame_header_size (2)  reserved (1)  bitstream_version (1)  encoder (4)
                 horizontal_size (2)  vertical_size (2)  chroma and interlacing (1)
                 aspect and rate (1)  colour_primaries (1)  transfer (1)  matrix (1)
                 alpha (1)  … quantisation matrices
    picture      picture_header_size in bits (1)  picture_size (4)  slice count (2)
                 largest slice width (1)  slice table  slices
    slice table  the coded size of each slice (2 each)

A picture is cut into rows of macroblocks (16x16 pixels), a row from the left into slices of eight
macroblocks; what remains at the right becomes slices of four, two and one. Each slice is coded by
itself: no prediction crosses it, and nothing in it says where it lies. That is why a slice can be
coded in one picture and put into another, as `overlays.render.codecs.slices` does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["SLICE_WIDTHS", "FrameHead", "SliceColumn", "slice_columns", "slices_of"]

SLICE_WIDTHS = (128, 64, 32, 16)  # pixels: 8, 4, 2 and 1 macroblocks
_MACROBLOCK = 16
_FRAME_SIZE, _HEADER_SIZE, _SIZES, _COLOURS = (
    slice(0, 4),
    slice(8, 10),
    slice(16, 20),
    slice(22, 25),
)
_BEFORE_HEADER = 8  # frame_size and 'icpf'
_PICTURE_HEADER = 8


@dataclass(frozen=True, slots=True)
class SliceColumn:
    """One slice of a row of macroblocks: its left edge and its width in pixels."""

    left: int
    width: int


def slice_columns(width: int) -> tuple[SliceColumn, ...]:
    """Cut a row of macroblocks into slices, from the left.

    Examples
    --------
    >>> [(column.left, column.width) for column in slice_columns(300)]
    [(0, 128), (128, 128), (256, 32), (288, 16)]
    """
    left, end = 0, -(-width // _MACROBLOCK) * _MACROBLOCK
    columns: list[SliceColumn] = []
    for slice_width in SLICE_WIDTHS:
        while end - left >= slice_width:
            columns.append(SliceColumn(left, slice_width))
            left += slice_width
    return tuple(columns)


def slices_of(packet: bytes) -> list[bytes]:
    """Return the coded slices of a frame, row by row."""
    picture = _BEFORE_HEADER + int.from_bytes(packet[_HEADER_SIZE], "big")
    count = int.from_bytes(packet[picture + 5 : picture + 7], "big")
    table = picture + packet[picture] // 8
    sizes = np.frombuffer(packet, ">u2", count, table)
    ends = table + 2 * count + np.cumsum(sizes, dtype=np.int64)
    starts = ends - sizes
    return [packet[a:b] for a, b in zip(starts.tolist(), ends.tolist(), strict=True)]


class FrameHead:
    """Everything in a frame before its slice table, for a canvas of another size.

    Parameters
    ----------
    packet : bytes
        A coded frame of any size with the wanted quantisation matrices and alpha.
    width, height : int
        The canvas.
    colours : (int, int, int)
        Codes of primaries, transfer and matrix, as ITU-T H.273 counts them.
    """

    def __init__(
        self, packet: bytes, *, width: int, height: int, colours: tuple[int, int, int]
    ) -> None:
        end = _BEFORE_HEADER + int.from_bytes(packet[_HEADER_SIZE], "big")
        header = bytearray(packet[:end])
        header[_SIZES] = width.to_bytes(2, "big") + height.to_bytes(2, "big")
        header[_COLOURS] = bytes(colours)
        self._header = bytes(header)
        self._picture = packet[end : end + _PICTURE_HEADER]

    def frame(self, slices: Sequence[bytes], sizes: NDArray[np.uint16]) -> bytes:
        """Put a frame together from its slices, row by row, and their sizes."""
        table = sizes.astype(">u2").tobytes()
        picture_size = len(self._picture) + len(table) + int(sizes.sum(dtype=np.int64))
        frame_size = len(self._header) + picture_size
        picture = bytearray(self._picture)
        picture[1:5] = picture_size.to_bytes(4, "big")
        picture[5:7] = len(slices).to_bytes(2, "big")
        head = frame_size.to_bytes(4, "big") + self._header[4:]
        return b"".join([head, picture, table, *slices])
