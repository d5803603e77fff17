"""What holds for every codec: decoded again, over black, white, green and a busy picture."""

from __future__ import annotations

import hashlib
import subprocess
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
import imageio_ffmpeg
import numpy as np
import pytest

from overlays.draw.backdrop import BACKDROPS, over
from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Pixels, Rect
from overlays.model.clip import CODECS
from overlays.render.codecs.base import FileSpec
from overlays.render.codecs.prores4444 import ProRes4444
from overlays.render.codecs.registry import codec_named
from tests.outside import rows
from tests.render.scenes import (
    Moving,
    decoded,
    ffmpeg_frames,
    noise,
    patched,
    planes,
    spec,
    write_scene,
)

# Largest error in 8-bit levels that the project allows itself.
LARGEST = {"prores4444": 2.0, "qtrle": 0.0, "ffv1": 0.0, "png": 0.0, "vp9": 8.0}
DECODERS = {"vp9": "libvpx-vp9"}
FILES = [name for name in CODECS if name != "png"]


def _write(folder: Path, codec: str, pictures: list[Pixels], spec_: FileSpec) -> Path:
    file = folder / f"clip{CODECS[codec]}"
    writer = codec_named(codec).open(file, spec_)
    for pixels in pictures:
        writer.add(pixels, [Rect(0, 0, spec_.width, spec_.height)])
    writer.finish()
    return file


def _digest(file: Path) -> list[str]:
    files = sorted(file.iterdir()) if file.is_dir() else [file]
    return [hashlib.sha256(path.read_bytes()).hexdigest() for path in files]


def _worst(shown: Pixels, meant: Pixels) -> float:
    height, width = meant.shape[:2]
    backdrops = (BACKDROPS[name](width, height) for name in ("black", "white", "green", "busy"))
    return max(float(np.abs(over(shown, b) - over(meant, b)).max()) for b in backdrops)


@pytest.mark.parametrize("codec", CODECS)
@pytest.mark.parametrize("size", [(320, 180), (213, 121)], ids=["even", "odd"])
def test_a_decoded_overlay_looks_as_it_was_drawn(
    tmp_path: Path, codec: str, size: tuple[int, int]
) -> None:
    """Every frame decodes to its own size and is within the codec's error over any backdrop."""
    scene = Moving.sized(*size)
    file = tmp_path / f"clip{CODECS[codec]}"
    write_scene(codec_named(codec).open(file, spec(*size)), scene)
    frames = list(decoded(file))
    assert len(frames) == scene.frames
    for index, shown in enumerate(frames):
        meant = draw_alone(scene, index)
        assert shown.shape == meant.shape
        assert np.array_equal(shown[..., 3], meant[..., 3])
        assert _worst(shown, meant) <= LARGEST[codec]


@pytest.mark.parametrize("codec", CODECS)
def test_an_overlay_of_hard_edges_is_within_the_codecs_error(tmp_path: Path, codec: str) -> None:
    """Thin saturated curves on a dark panel, the worst case for chroma, stay within it too."""
    picture = patched(481, 270)
    (shown,) = decoded(_write(tmp_path, codec, [picture], spec(481, 270)))
    assert _worst(shown, picture) <= LARGEST[codec]


@pytest.mark.parametrize("codec", CODECS)
def test_the_odd_size_of_the_case_is_kept(tmp_path: Path, codec: str) -> None:
    """853 by 481 is neither scaled nor padded (case px_odd_size, after imageio's report 96)."""
    (shown,) = decoded(_write(tmp_path, codec, [patched(853, 481)], spec(853, 481)))
    assert shown.shape == (481, 853, 4)


@pytest.mark.parametrize("codec", CODECS)
def test_straight_pixels_stay_straight(tmp_path: Path, codec: str) -> None:
    """Colour is not multiplied by alpha on the way (case px_straight_alpha)."""
    (row,) = rows("colour_alpha", "case.straight")
    straight = row.input["straight"]
    pixels = np.repeat(np.array([straight], np.uint8), 16, axis=0).repeat(16, axis=1)
    (shown,) = decoded(_write(tmp_path, codec, [pixels], spec(pixels.shape[1], 16)))
    for index, (meant, told) in enumerate(zip(straight, row.expected["pixels"], strict=True)):
        found = shown[8, index * 16 + 8].astype(int)
        assert found[3] == meant[3]
        if meant[3]:
            assert np.abs(found - meant).max() <= max(1, LARGEST[codec] / 4)
        for name, colour in (("over_white", 255), ("over_black", 0)):
            mixed = over(found[None, None].astype(np.uint8), np.full((1, 1, 3), colour, np.uint8))
            assert np.abs(mixed - told[name]).max() <= 1.5


@pytest.mark.parametrize("codec", ["prores4444", "vp9"])
def test_stored_code_values_are_bt709(tmp_path: Path, codec: str) -> None:
    """The decoded planes hold the case's code values and the file names BT.709 (px_bt709).

    Decoding to R'G'B' would not do: a tool that takes the wrong matrix twice hides the fault.
    """
    (row,) = rows("colour_codes", "case.bt709")
    colours = [[*colour["rgb"], 255] for colour in row.expected["colours"]]
    pixels = np.repeat(np.array([colours], np.uint8), 16, axis=0).repeat(16, axis=1)
    file = _write(tmp_path, codec, [pixels], spec(pixels.shape[1], 16))
    with av.open(str(file)) as container:
        (frame,) = container.decode(video=0)
        context = container.streams.video[0].codec_context
        tags = (context.color_primaries, context.color_trc, context.colorspace)
        assert (*tags, context.color_range) == (1, 1, 1, 1)  # H.273's 1 is BT.709; narrow range
        assert (frame.color_primaries, frame.color_trc, frame.colorspace) == (1, 1, 1)
        extra = frame.format.components[0].bits - 8
        found = np.stack([plane[8, 8::16] for plane in planes(frame)[:3]], axis=-1)
    expected = [colour["bt709"] for colour in row.expected["colours"]]
    assert np.abs(found / (1 << extra) - expected).max() <= 1


@pytest.mark.parametrize("codec", CODECS)
def test_ffmpeg_decodes_every_frame(tmp_path: Path, codec: str) -> None:
    """The FFmpeg program reads noise and overlays without a complaint and loses no frame."""
    pictures = [noise(131, 75, seed=seed) for seed in range(3)] + [patched(131, 75)] * 2
    file = _write(tmp_path, codec, pictures, spec(131, 75))
    if codec == "png":
        file = file / "%06d.png"
    assert ffmpeg_frames(file, decoder=DECODERS.get(codec)) == 5


@pytest.mark.parametrize("codec", CODECS)
def test_the_same_frames_give_the_same_bytes(tmp_path: Path, codec: str) -> None:
    """Nothing in a file depends on when or where it was written."""
    files = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        files.append(_write(tmp_path / name, codec, [patched(64, 48)] * 3, spec(64, 48)))
    assert _digest(files[0]) == _digest(files[1])


@pytest.mark.parametrize("codec", CODECS)
def test_parts_joined_equal_a_clip_written_in_one_go(tmp_path: Path, codec: str) -> None:
    """Cut where the codec allows and joined, a clip is the same to the last byte."""
    writes = codec_named(codec)
    cut = writes.cut_frames
    scene = Moving.sized(48, 27, frames=2 * cut + 3)
    whole = tmp_path / f"whole{CODECS[codec]}"
    write_scene(writes.open(whole, spec(48, 27)), scene)
    parts = []
    for start, stop in pairwise((0, cut, 2 * cut, scene.frames)):
        part = tmp_path / f"part{start}{CODECS[codec]}"
        write_scene(writes.open(part, spec(48, 27), first=start), scene, start=start, stop=stop)
        parts.append(part)
    joined = tmp_path / f"joined{CODECS[codec]}"
    writes.join(parts, joined, spec(48, 27))
    assert _digest(joined) == _digest(whole)


@pytest.mark.parametrize("codec", FILES)
@pytest.mark.parametrize(
    ("rate", "timecode"),
    [("30000/1001", "01:02:03;04"), ("60000/1001", "10:00:00;59"), ("24", "00:00:10:00")],
)
def test_the_file_says_rate_timecode_and_length(
    tmp_path: Path, codec: str, rate: str, timecode: str
) -> None:
    """Rate and start timecode, drop-frame or not, are there, and the length is exact."""
    told = FileSpec(32, 16, Fraction(rate), timecode)
    file = _write(tmp_path, codec, [noise(32, 16, seed=n) for n in range(7)], told)
    with av.open(str(file)) as container:
        stream = container.streams.video[0]
        tags = {key.lower(): value for key, value in stream.metadata.items()}
        assert tags["timecode"] == timecode
        assert abs(float(stream.average_rate or 0) - float(Fraction(rate))) < 0.01
        assert sum(1 for packet in container.demux(stream) if packet.size) == 7
        if file.suffix == ".mov":
            assert stream.average_rate == Fraction(rate)
            assert stream.duration is not None
            assert stream.time_base is not None
            assert stream.duration * stream.time_base == 7 / Fraction(rate)
            kinds = [other.type for other in container.streams]
            assert kinds == ["video", "data"]  # the second is the timecode track


@pytest.mark.parametrize("codec", FILES)
def test_copying_a_file_with_another_timecode_changes_nothing_else(
    tmp_path: Path, codec: str
) -> None:
    """A copy stamped later is the file that would have been written then."""
    pictures = [patched(64, 48), noise(64, 48), patched(64, 48)]
    later = FileSpec(64, 48, Fraction(30), "01:00:07:11")
    (tmp_path / "now").mkdir()
    (tmp_path / "then").mkdir()
    now = _write(tmp_path / "now", codec, pictures, spec(64, 48))
    then = _write(tmp_path / "then", codec, pictures, later)
    copy = tmp_path / f"copy{CODECS[codec]}"
    codec_named(codec).join([now], copy, later)
    assert _digest(copy) == _digest(then)
    assert _digest(copy) != _digest(now)


def test_prores_files_say_that_they_are_progressive_and_carry_alpha(tmp_path: Path) -> None:
    """FFmpeg's own account of the file names profile, alpha, range, colours and field order."""
    file = _write(tmp_path, "prores4444", [patched(64, 48)], spec(64, 48))
    program = imageio_ffmpeg.get_ffmpeg_exe()
    told = subprocess.run(
        [program, "-hide_banner", "-i", str(file)], capture_output=True, text=True, check=False
    ).stderr
    assert "prores (4444) (ap4h" in told
    assert "yuva444p12le(tv, bt709, progressive)" in told


def test_whole_frames_and_changed_slices_give_the_same_file(tmp_path: Path) -> None:
    """The reference path and the fast one are the same to the last byte, container included."""
    scene = Moving.sized(300, 170)
    files = [tmp_path / "whole.mov", tmp_path / "slices.mov"]
    for file, whole in zip(files, (True, False), strict=True):
        write_scene(ProRes4444(whole_frames=whole).open(file, spec(300, 170)), scene)
    assert _digest(files[0]) == _digest(files[1])


def test_holds_are_as_many_frames_as_asked_for(tmp_path: Path) -> None:
    """A frame held for two seconds is sixty frames, in every codec."""
    pixels = patched(64, 48)
    for name, ending in CODECS.items():
        file = tmp_path / f"{name}{ending}"
        writer = codec_named(name).open(file, spec(64, 48))
        writer.add(pixels, [Rect(0, 0, 64, 48)])
        for _ in range(59):
            writer.add(pixels, [])
        writer.finish()
        frames = list(decoded(file))
        assert len(frames) == 60
        assert all(np.array_equal(frame, frames[0]) for frame in frames)
