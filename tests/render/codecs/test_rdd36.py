"""The layout of a frame after SMPTE RDD 36, "Apple ProRes Bitstream Syntax and Decoding Process".

The layout was read from packets of FFmpeg's encoder, of which each field is found where RDD 36
puts it; the document itself was not at hand (the field order is from memory of it).
"""

from __future__ import annotations

import numpy as np
import pytest

from overlays.draw.patch import Rect
from overlays.render.codecs.rdd36 import FrameHead, slice_columns, slices_of
from overlays.render.codecs.whole_frames import WholeFrames
from tests.render.scenes import noise


def _packet(width: int, height: int, *, alpha_bits: int = 16) -> bytes:
    encoder = WholeFrames(width, height, alpha_bits=alpha_bits)
    (packet,) = encoder.push(noise(width, height), [Rect(0, 0, width, height)])
    return packet


@pytest.mark.parametrize(
    ("width", "widths"),
    [
        (1920, [128] * 15),
        (16, [16]),
        (1, [16]),
        (240, [128, 64, 32, 16]),
        (853, [128] * 6 + [64, 32]),
        (3840, [128] * 30),
    ],
)
def test_rows_are_cut_into_slices_of_eight_four_two_and_one(width: int, widths: list[int]) -> None:
    """What does not fill eight macroblocks is cut by the binary digits of what is left."""
    columns = slice_columns(width)
    assert [column.width for column in columns] == widths
    assert columns[-1].left + columns[-1].width == -(-width // 16) * 16


@pytest.mark.parametrize("size", [(256, 32), (853, 40), (5, 70)])
def test_slices_fill_a_frame_to_its_last_byte(size: tuple[int, int]) -> None:
    """There is a slice for each column of each row, and the last ends where the frame ends."""
    packet = _packet(*size)
    slices = slices_of(packet)
    assert len(slices) == -(-size[1] // 16) * len(slice_columns(size[0]))
    assert packet.endswith(slices[-1])
    assert int.from_bytes(packet[:4], "big") == len(packet)


def test_a_frame_taken_apart_and_put_together_is_the_same() -> None:
    """Head, table and slices make up the whole frame."""
    packet = _packet(300, 50)
    slices = slices_of(packet)
    sizes = np.array([len(coded) for coded in slices], np.uint16)
    head = FrameHead(packet, width=300, height=50, colours=(1, 1, 1))
    assert head.frame(slices, sizes) == packet


def test_the_head_says_size_and_colours() -> None:
    """The size and BT.709's codes stand where decoders read them, and the rest is as it was."""
    packet = _packet(128, 16)
    sizes = np.array([len(coded) for coded in slices_of(packet)], np.uint16)
    frame = FrameHead(packet, width=1920, height=1081, colours=(9, 16, 9)).frame(
        slices_of(packet), sizes
    )
    assert frame[4:8] == b"icpf"
    assert frame[16:20] == bytes([0x07, 0x80, 0x04, 0x39])
    assert frame[22:25] == bytes([9, 16, 9])
    assert (frame[8:16], frame[20:22], frame[25:]) == (packet[8:16], packet[20:22], packet[25:])
