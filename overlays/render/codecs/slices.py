"""ProRes 4444 by slices: only what changed is encoded, the rest of a frame's bytes are kept.

A frame of RDD 36 is a table of independently coded slices (`overlays.render.codecs.rdd36`). With a
fixed quantiser the bytes of a slice depend on its pixels alone, so a frame is put together so:

1. `Planes` says which 8x8 blocks changed; the slices around them are *dirty*.
2. The pixels of dirty slices are stacked into an *atlas*, a picture one slice wide and many slices
   high; there is one for each slice width (128 pixels, and 64, 32 and 16 at a right edge that is no
   multiple of 128).
3. A full atlas is encoded like any picture. Its packet is cut into slices by its slice table.
4. Each slice takes its place in the list of the frame it belongs to. What is not dirty keeps the
   bytes it had. Head, slice table and sizes are written anew, and the frame is whole.

Frames wait in a queue while an atlas fills, so an overlay in which little moves encodes many
frames' slices in one go. The result equals encoding whole frames, byte for byte
(`overlays.render.codecs.whole_frames.WholeFrames` is the reference in the tests).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby

import av
import numpy as np
from numpy.typing import NDArray

from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs.picture import BT709, plane_views
from overlays.render.codecs.planes import BLOCK, MACROBLOCK, Planes
from overlays.render.codecs.rdd36 import FrameHead, SliceColumn, slice_columns, slices_of
from overlays.render.codecs.whole_frames import (
    ALPHA_BITS,
    QUANTISER,
    prepare_encoder,
    tag_frame,
)
from overlays.render.colour import Codes

__all__ = ["ChangedSlices"]

Indices = NDArray[np.intp]

_ATLAS_ROWS = 128  # slices; 32 to 512 are equally fast, and this keeps an atlas under 3 MB
_LONGEST_QUEUE = 240  # frames; bounds what waits, where a narrow atlas at the edge rarely fills


@dataclass(slots=True, eq=False)
class _Waiting:
    """A frame in the queue: the slices it has got so far, by index, and how many it still lacks."""

    got: list[tuple[int, bytes]] = field(default_factory=list)
    lacks: int = 0


class _Atlas:
    """A picture one slice wide into which the dirty slices of some slice columns are stacked.

    Parameters
    ----------
    columns : sequence of (int, SliceColumn)
        Neighbouring slice columns of equal width, each with its number in the row.
    in_row : int
        Slices in a row of the frame.
    """

    def __init__(
        self,
        columns: Sequence[tuple[int, SliceColumn]],
        *,
        in_row: int,
        quantiser: int,
        alpha_bits: int,
    ) -> None:
        self._first = columns[0][0]
        self._in_row = in_row
        self._left = columns[0][1].left
        self._width = columns[0][1].width
        self._right = self._left + self._width * len(columns)
        height = _ATLAS_ROWS * MACROBLOCK
        self._context = av.VideoCodecContext.create("prores_ks", "w")
        prepare_encoder(
            self._context,
            width=self._width,
            height=height,
            quantiser=quantiser,
            alpha_bits=alpha_bits,
        )
        self._context.time_base = Fraction(1)
        self._frame = av.VideoFrame(self._width, height, "yuva444p10le")
        tag_frame(self._frame)
        self._views = plane_views(self._frame, np.uint16)
        self._encoded = 0
        self._owners: list[tuple[_Waiting, int]] = []

    @property
    def columns(self) -> int:
        """Slice columns it serves."""
        return (self._right - self._left) // self._width

    @property
    def used(self) -> int:
        """Slices stacked and not yet encoded."""
        return len(self._owners)

    @property
    def full(self) -> bool:
        """Whether it has to be encoded before it takes another."""
        return len(self._owners) == _ATLAS_ROWS

    def numbers(self, rows: Indices, columns: Indices) -> Indices:
        """Return the places in the frame's slice table of slices of this atlas."""
        return rows * self._in_row + self._first + columns

    def dirty(self, blocks: NDArray[np.bool_]) -> tuple[Indices, Indices]:
        """Return row and column (within this atlas) of every slice with a changed block."""
        mine = blocks[:, self._left // BLOCK : self._right // BLOCK]
        by_slice = mine.reshape(len(mine) * BLOCK // MACROBLOCK, 2, -1, self._width // BLOCK)
        rows, columns = np.nonzero(by_slice.any(axis=(1, 3)))
        return rows, columns

    def add(self, codes: Codes, rows: Indices, columns: Indices, frame: _Waiting) -> int:
        """Stack slices of one frame as far as there is room; returns how many."""
        start = len(self._owners)
        count = min(len(rows), _ATLAS_ROWS - start)
        rows, columns = rows[:count], columns[:count]
        for view, plane in zip(self._views, codes, strict=True):
            mine = plane[:, self._left : self._right]
            by_slice = mine.reshape(len(mine) // MACROBLOCK, MACROBLOCK, -1, self._width)
            stack = by_slice[rows, :, columns].reshape(count * MACROBLOCK, self._width)
            view[start * MACROBLOCK : (start + count) * MACROBLOCK] = stack
        self._owners.extend((frame, number) for number in self.numbers(rows, columns).tolist())
        frame.lacks += count
        return count

    def encode(self) -> bytes:
        """Encode what was stacked and hand each slice to its frame; returns the packet."""
        self._frame.pts = self._encoded
        (packet,) = self._context.encode(self._frame)
        self._encoded += 1
        whole = bytes(packet)
        # The rows past those stacked this time hold old pixels, and nobody takes their slices.
        for (frame, number), coded in zip(self._owners, slices_of(whole), strict=False):
            frame.got.append((number, coded))
            frame.lacks -= 1
        self._owners.clear()
        return whole


class ChangedSlices:
    """Encodes changed slices only; a drop-in for `overlays.render.codecs.whole_frames.WholeFrames`.

    Parameters
    ----------
    width, height : int
        The canvas.
    quantiser, alpha_bits : int
        See `overlays.render.codecs.whole_frames.prepare_encoder`.
    """

    def __init__(
        self,
        width: int,
        height: int,
        *,
        quantiser: int = QUANTISER,
        alpha_bits: int = ALPHA_BITS,
    ) -> None:
        self._planes = Planes(width, height)
        numbered = list(enumerate(slice_columns(width)))
        rows = self._planes.codes.shape[1] // MACROBLOCK
        self._slices = [b""] * (rows * len(numbered))
        self._sizes = np.zeros(len(self._slices), np.uint16)
        self._atlases = [
            _Atlas(list(group), in_row=len(numbered), quantiser=quantiser, alpha_bits=alpha_bits)
            for _, group in groupby(numbered, key=lambda item: item[1].width)
        ]
        self._queue: deque[_Waiting] = deque()
        self._packet = b""
        packet = self._start_empty(rows)
        self._head = FrameHead(packet, width=width, height=height, colours=(BT709, BT709, BT709))

    def _start_empty(self, rows: int) -> bytes:
        """Fill the slice list with the empty canvas, of which every slice is alike."""
        packet = b""
        for atlas in self._atlases:
            empty = _Waiting()
            every = np.nonzero(np.ones((rows, atlas.columns), np.bool_))
            one = (every[0][:1], every[1][:1])
            atlas.add(self._planes.codes, *one, empty)
            packet = atlas.encode()
            ((_, coded),) = empty.got
            for number in atlas.numbers(*every).tolist():
                self._put(number, coded)
        return packet

    def push(self, pixels: Pixels, changed: Sequence[Rect]) -> list[bytes]:
        """Take the next frame; returns the packets that are ready, in order."""
        blocks = self._planes.update(pixels, changed) if changed else None
        frame = _Waiting()
        self._queue.append(frame)
        if blocks is not None and blocks.any():
            for atlas in self._atlases:
                self._stack(atlas, blocks, frame)
        if len(self._queue) >= _LONGEST_QUEUE:
            self._encode_all()
        return self._ready()

    def finish(self) -> list[bytes]:
        """Return the packets still owed."""
        self._encode_all()
        return self._ready()

    def _stack(self, atlas: _Atlas, blocks: NDArray[np.bool_], frame: _Waiting) -> None:
        rows, columns = atlas.dirty(blocks)
        done = 0
        while done < len(rows):
            done += atlas.add(self._planes.codes, rows[done:], columns[done:], frame)
            if atlas.full:
                atlas.encode()

    def _encode_all(self) -> None:
        for atlas in self._atlases:
            if atlas.used:
                atlas.encode()

    def _ready(self) -> list[bytes]:
        packets: list[bytes] = []
        while self._queue and not self._queue[0].lacks:
            frame = self._queue.popleft()
            for number, coded in frame.got:
                self._put(number, coded)
            if frame.got or not self._packet:
                self._packet = self._head.frame(self._slices, self._sizes)
            packets.append(self._packet)
        return packets

    def _put(self, number: int, coded: bytes) -> None:
        self._slices[number] = coded
        self._sizes[number] = len(coded)
