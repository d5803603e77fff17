"""Frames put together from changed slices equal frames encoded whole, byte for byte."""

from __future__ import annotations

from collections.abc import Sequence

import av
import numpy as np
import pytest

from overlays.draw.canvas import draw_range
from overlays.draw.patch import Pixels, Rect
from overlays.render.codecs import slices as module
from overlays.render.codecs.slices import ChangedSlices
from overlays.render.codecs.whole_frames import WholeFrames
from overlays.render.colour import to_bt709
from tests.render.scenes import Moving, noise, planes

Change = tuple[Pixels, Sequence[Rect]]
# Even, odd, tall, tiny, one macroblock, a slice of each width, and no multiple of anything.
SIZES = [(256, 64), (853, 481), (40, 500), (1, 1), (16, 16), (240, 33), (131, 7)]


def _whole(pixels: Pixels) -> Rect:
    return Rect(0, 0, pixels.shape[1], pixels.shape[0])


def _changes(width: int, height: int) -> list[Change]:
    """Return a first hold, a scene, noise all over twice, a clearing, and a hold."""
    empty = np.zeros((height, width, 4), np.uint8)
    scene = Moving.sized(width, height, frames=6)
    drawn = [(pixels.copy(), changed) for pixels, changed in draw_range(scene, range(6))]
    loud = [(noise(width, height, seed=seed), [_whole(empty)]) for seed in (3, 4)]
    return [(empty, []), *drawn, *loud, (empty, [_whole(empty)]), (empty, [])]


def _packets(encoder: ChangedSlices | WholeFrames, changes: Sequence[Change]) -> list[bytes]:
    packets = [packet for change in changes for packet in encoder.push(*change)]
    return packets + encoder.finish()


@pytest.mark.parametrize("alpha_bits", [8, 16])
@pytest.mark.parametrize("size", SIZES)
def test_packets_equal_whole_frame_encoding(size: tuple[int, int], alpha_bits: int) -> None:
    """Every packet is the one that encoding the whole frame gives."""
    changes = _changes(*size)
    whole = _packets(WholeFrames(*size, alpha_bits=alpha_bits), changes)
    sliced = _packets(ChangedSlices(*size, alpha_bits=alpha_bits), changes)
    assert len(whole) == len(changes)
    assert sliced == whole


@pytest.mark.parametrize("quantiser", [2, 8])
def test_packets_are_equal_at_coarser_quantisers_too(quantiser: int) -> None:
    """It is the fixed quantiser that makes slices independent, not its value."""
    changes = _changes(200, 50)
    whole = _packets(WholeFrames(200, 50, quantiser=quantiser), changes)
    assert _packets(ChangedSlices(200, 50, quantiser=quantiser), changes) == whole


def test_packets_are_equal_when_atlases_overflow_and_queues_are_cut(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A frame spread over several atlases, and a queue that never fills one, change nothing."""
    changes = _changes(300, 90) * 2
    whole = _packets(WholeFrames(300, 90), changes)
    monkeypatch.setattr(module, "_ATLAS_ROWS", 5)
    monkeypatch.setattr(module, "_LONGEST_QUEUE", 3)
    assert _packets(ChangedSlices(300, 90), changes) == whole


def test_packets_come_before_the_end() -> None:
    """Frames do not pile up: at most the longest queue waits."""
    encoder = ChangedSlices(64, 32)
    empty = np.zeros((32, 64, 4), np.uint8)
    waiting = 0
    for index in range(600):
        empty[0, index % 64] = index % 256
        waiting += 1 - len(encoder.push(empty, [_whole(empty)]))
        assert waiting <= 240
    assert len(encoder.finish()) == waiting


def test_only_changed_slices_are_encoded(monkeypatch: pytest.MonkeyPatch) -> None:
    """A frame in which one pixel changes hands one slice to the encoder, and a hold none."""
    encoded: list[int] = []
    encode = module._Atlas.encode

    def count(atlas: module._Atlas) -> bytes:
        encoded.append(atlas.used)
        return encode(atlas)

    encoder = ChangedSlices(640, 64)
    monkeypatch.setattr(module._Atlas, "encode", count)
    pixels = np.zeros((64, 640, 4), np.uint8)
    pixels[20, 300] = 255
    encoder.push(pixels, [_whole(pixels)])
    encoder.push(pixels, [])
    encoder.finish()
    assert encoded == [1]


def test_the_decoder_returns_the_codes_that_went_in() -> None:
    """Alpha comes back exactly and colour within the quantiser's error, at an odd size."""
    pixels = noise(131, 37)
    (packet,) = _packets(ChangedSlices(131, 37), [(pixels, [_whole(pixels)])])
    (frame,) = av.CodecContext.create("prores", "r").decode(av.Packet(packet))
    assert isinstance(frame, av.VideoFrame)
    assert (frame.width, frame.height) == (131, 37)
    *colour, alpha = planes(frame)
    extra = frame.format.components[0].bits - 8
    assert np.array_equal(alpha >> extra, pixels[..., 3])
    # Where nothing is invisible, blocks hold the picture's own codes; noise is the worst case.
    opaque = pixels[..., 3] > 0
    for plane, exact in zip(colour, to_bt709(pixels), strict=True):
        error = np.abs((plane >> (extra - 2)).astype(int) - exact)[opaque]
        assert error.max() <= 8
