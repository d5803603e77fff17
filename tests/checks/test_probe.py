"""What clips say of themselves."""

from __future__ import annotations

from pathlib import Path

import av
import pytest
from PIL import Image

from overlays.checks.probe import ClipProbe, probe
from overlays.errors import TurnoverError
from overlays.model.clip import CODECS
from tests.checks.conftest import Written


@pytest.mark.parametrize("codec", CODECS)
def test_every_codec_tells_size_frames_and_alpha(written: Written, codec: str) -> None:
    """Frames are counted, odd sizes kept, alpha found, also VP9's beside the pictures."""
    found = probe(written.files[codec])
    assert (found.width, found.height, found.frames) == (77, 45, 8)
    assert found.alpha
    assert found.steady
    if codec != "png":
        assert found.rate == written.spec.rate
        assert found.timecode == "01:00:00;00"
        assert (found.primaries, found.transfer) == ("bt709", "bt709")


def test_prores_tells_its_tags_and_timecode_track(written: Written) -> None:
    """ProRes 4444 is BT.709 in narrow range, with a timecode track."""
    found = probe(written.files["prores4444"])
    assert (found.codec, found.pixel_format) == ("prores", "yuva444p12le")
    assert (found.matrix, found.range) == ("bt709", "narrow")
    assert found.timecode_track
    assert not probe(written.files["ffv1"]).timecode_track


def test_missing_alpha_uneven_times_and_missing_tags_are_told(tmp_path: Path) -> None:
    """A file without alpha or tags, and with a frame late, is seen for what it is."""
    target = tmp_path / "plain.mkv"
    with av.open(str(target), "w") as container:
        stream = container.add_stream("ffv1", rate=25)
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height, stream.pix_fmt = 16, 16, "yuv420p"
        for stamp in (0, 1, 3):
            frame = av.VideoFrame(16, 16, "yuv420p")
            for plane in frame.planes:
                plane.update(bytes(plane.buffer_size))
            frame.pts = stamp
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    found = probe(target)
    assert found == ClipProbe(
        "ffv1", "yuv420p", 16, 16, found.rate, 3, steady=False, alpha=False, range=found.range
    )


def test_a_gap_in_numbered_pictures_is_told(tmp_path: Path) -> None:
    """Pictures must be numbered from 0 without a gap, and carry alpha."""
    for number in (0, 1, 3):
        Image.new("RGB", (4, 3)).save(tmp_path / f"{number:06}.png")
    found = probe(tmp_path)
    assert (found.frames, found.steady, found.alpha) == (3, False, False)


def test_what_is_no_clip_is_one_clear_error(tmp_path: Path, written: Written) -> None:
    """Missing, empty, cut and foreign files name the file and say to render again."""
    whole = written.files["qtrle"].read_bytes()
    (tmp_path / "text.mov").write_text("no film")
    (tmp_path / "empty.mov").touch()
    (tmp_path / "cut.mov").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "folder").mkdir()
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / "000000.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    for name in ("missing.mov", "text.mov", "empty.mov", "cut.mov", "folder", "broken"):
        with pytest.raises(TurnoverError) as caught:
            probe(tmp_path / name)
        (problem,) = caught.value.problems()
        assert problem.code == "unreadable-clip"
        assert problem.file in (name, "000000.png")
        assert "Render" in problem.remedy


def test_a_file_without_a_frame_is_no_clip(tmp_path: Path) -> None:
    """A file that has a picture track and nothing in it is told as such."""
    target = tmp_path / "none.mov"
    with av.open(str(target), "w") as container:
        stream = container.add_stream("qtrle", rate=25)
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height, stream.pix_fmt = 16, 16, "argb"
        container.start_encoding()
    with pytest.raises(TurnoverError, match="holds no video"):
        probe(target)


def test_a_sound_file_is_no_clip(tmp_path: Path) -> None:
    """A file without a picture is told as one."""
    target = tmp_path / "sound.wav"
    with av.open(str(target), "w") as container:
        stream = container.add_stream("pcm_s16le", rate=8000)
        assert isinstance(stream, av.AudioStream)
        frame = av.AudioFrame(format="s16", layout="mono", samples=16)
        frame.sample_rate = 8000
        container.mux(stream.encode(frame))
    with pytest.raises(TurnoverError, match="no video"):
        probe(target)
