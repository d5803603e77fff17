"""Clips back to frames."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest

from overlays.checks.decode_back import STATED_ERROR_LEVELS, difference
from overlays.checks.decoding import decode, decode_once
from overlays.checks.probe import probe
from overlays.draw.patch import Pixels
from overlays.errors import TurnoverError
from overlays.model.clip import CODECS
from overlays.render.codecs.base import FileSpec
from overlays.render.codecs.registry import codec_named
from tests.checks.clips import Blinking, clip_of, write
from tests.checks.conftest import Written


@pytest.mark.parametrize("codec", CODECS)
def test_every_frame_comes_back_within_the_stated_error(written: Written, codec: str) -> None:
    """All frames come back in order and look as drawn; lossless codecs bit for bit."""
    numbers = []
    for number, pixels in decode(written.files[codec]):
        numbers.append(number)
        assert pixels.shape == (45, 77, 4)
        assert difference(pixels, written.frames[number]).levels <= STATED_ERROR_LEVELS[codec]
        if STATED_ERROR_LEVELS[codec] == 0:
            assert np.array_equal(pixels, written.frames[number])
    assert numbers == list(range(8))


@pytest.mark.parametrize("codec", CODECS)
def test_wanted_frames_equal_the_same_frames_of_the_whole(written: Written, codec: str) -> None:
    """Skipping frames changes none of those that are wanted, the last included."""
    whole = dict(decode(written.files[codec]))
    some = dict(decode(written.files[codec], only={3, 7}))
    assert list(some) == [3, 7]
    assert all(np.array_equal(some[number], whole[number]) for number in some)


def test_prores_alpha_is_exact(written: Written) -> None:
    """Alpha of ProRes comes back to the bit, which the scaler alone would not give."""
    decoded = [pixels for _, pixels in decode(written.files["prores4444"])]
    for pixels, drawn in zip(decoded, written.frames, strict=True):
        assert np.array_equal(pixels[..., 3], drawn[..., 3])


def test_frames_of_several_sizes_are_an_error(tmp_path: Path) -> None:
    """A frame of ProRes has a size of its own; a file may say one thing and hold another."""
    clips = [clip_of("a", None, size=size) for size in ((64, 48), (96, 80))]
    files = [
        write(clip, tmp_path / f"{clip.stage.width}.mov", codec="prores4444", scene=Blinking(clip))
        for clip in clips
    ]
    mixed = tmp_path / "mixed.mov"
    codec_named("prores4444").join(files, mixed, FileSpec.of(clips[0]))
    assert (probe(mixed).width, probe(mixed).frames) == (64, 114)
    for decoder in (decode, decode_once):
        with pytest.raises(TurnoverError, match="of several sizes"):
            list(decoder(mixed))


def test_frames_are_decoded_as_they_are_asked_for(written: Written) -> None:
    """Stopping after one frame is fine: nothing waits for the rest."""
    frames = decode(written.files["qtrle"])
    assert next(frames)[0] == 0
    del frames


@pytest.mark.parametrize("codec", ["prores4444", "ffv1", "qtrle"])
def test_a_damaged_file_is_an_error_and_never_a_crash(
    written: Written, codec: str, tmp_path: Path
) -> None:
    """Bytes overwritten in the middle give frames or one clear error, nothing else."""
    data = bytearray(written.files[codec].read_bytes())
    random = np.random.default_rng(4)
    for trial in range(12):
        damaged = data.copy()
        start = int(random.integers(0, len(data) - 64))
        damaged[start : start + 64] = random.bytes(64)
        file = tmp_path / f"{trial}{written.files[codec].suffix}"
        file.write_bytes(damaged)
        try:
            shapes = {pixels.shape for _, pixels in decode(file)}
        except TurnoverError as error:
            assert error.code == "unreadable-clip"  # noqa: PT017 (either outcome is right)
        else:
            assert all(len(shape) == 3 for shape in shapes)


def test_a_broken_picture_names_its_file(tmp_path: Path) -> None:
    """Of numbered pictures, the one that cannot be read is named."""
    (tmp_path / "000000.png").write_bytes(b"no picture")
    with pytest.raises(TurnoverError) as caught:
        list(decode(tmp_path))
    assert caught.value.file == "000000.png"


@pytest.mark.parametrize("codec", CODECS)
def test_decoded_once_is_decoded_whole(written: Written, codec: str) -> None:
    """Each frame repeated for as long as it stands, all frames are there in order."""
    whole = [pixels.copy() for _, pixels in decode(written.files[codec])]
    again: list[np.ndarray] = []
    for frame, count in decode_once(written.files[codec]):
        again += [frame.whole()[0].copy()] * count
    assert len(again) == len(whole)
    assert all(np.array_equal(a, b) for a, b in zip(again, whole, strict=True))


def test_a_hold_is_decoded_once(tmp_path: Path) -> None:
    """Of 57 frames of which all but three stand, no more than those are converted."""
    clip = clip_of("curves", None, size=(320, 240))

    def mostly_still(number: int, pixels: Pixels) -> Pixels:
        shown = pixels.copy()
        shown[..., :3] = 40 * min(number, 3)
        return shown

    file = write(
        clip,
        tmp_path / "clip.mov",
        codec="prores4444",
        scene=Blinking(clip),
        spoilt=mostly_still,
    )
    counts = [count for _, count in decode_once(file)]
    assert sum(counts) == 57
    assert counts[-1] > 20


def _chunk(kind: bytes, content: bytes) -> bytes:
    """Return a chunk of a PNG file (ISO/IEC 15948, 5.3)."""
    checked = kind + content
    return struct.pack(">I", len(content)) + checked + struct.pack(">I", zlib.crc32(checked))


def _png(width: int, height: int, *more: bytes) -> bytes:
    header = _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0))
    rows = _chunk(b"IDAT", zlib.compress(bytes((min(width, 4) * 4 + 1) * 4)))
    return b"\x89PNG\r\n\x1a\n" + header + b"".join(more) + rows + _chunk(b"IEND", b"")


BOMBS = {
    # Pillow hands these to Ghostscript, where there is one.
    "a page": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 4 4\n%%EndComments\nshowpage\n",
    "another kind": b"GIF89a\x04\x00\x04\x00\x00\x00\x00;",
    "huge": _png(12_000, 12_000),
    "far too huge": _png(2_000_000_000, 2_000_000_000),
    "text without end": _png(4, 4, _chunk(b"zTXt", b"a\0\0" + zlib.compress(bytes(80_000_000)))),
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_picture_made_to_fill_the_memory_is_told(tmp_path: Path, bomb: str) -> None:
    """Of another kind than its name says, larger than memory, or with a text that unpacks so."""
    (tmp_path / "000000.png").write_bytes(BOMBS[bomb])
    for look in (probe, lambda folder: list(decode(folder))):
        with pytest.raises(TurnoverError) as caught:
            look(tmp_path)
        assert (caught.value.code, caught.value.file) == ("unreadable-clip", "000000.png")
