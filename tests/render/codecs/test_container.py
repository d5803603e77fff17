"""Container files: packets in and out, with rate and timecode."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import pytest

from overlays.errors import RenderError
from overlays.model.clip import Clip
from overlays.render.codecs.base import FileSpec
from overlays.render.codecs.container import VideoFile, packets_of
from overlays.render.codecs.whole_frames import prepare_encoder
from tests.render.scenes import spec


def _file(path: Path, told: FileSpec, packets: list[bytes]) -> Path:
    file = VideoFile(path, "prores_ks", told)
    prepare_encoder(file.stream.codec_context, width=told.width, height=told.height)
    file.put_all(packets)
    file.close()
    return path


def test_packets_come_back_as_they_went_in(tmp_path: Path) -> None:
    """A container does not look into them."""
    packets = [bytes([n]) * (n + 9) for n in range(5)]
    file = _file(tmp_path / "a.mov", spec(32, 16), packets)
    assert [bytes(packet) for packet in packets_of(file)] == packets


@pytest.mark.parametrize("rate", ["24000/1001", "25", "30000/1001", "60", "60000/1001"])
def test_times_are_exact_at_every_rate(tmp_path: Path, rate: str) -> None:
    """Frame n begins at n / rate, and the movie lasts as long as its frames, to the last tick."""
    told = replace(spec(32, 16), rate=Fraction(rate))
    file = _file(tmp_path / "a.mov", told, [b"packet"] * 7)
    with av.open(str(file)) as container:
        stream = container.streams.video[0]
        assert stream.time_base is not None
        times = [p.pts * stream.time_base for p in container.demux(stream) if p.pts is not None]
        assert times == [n / told.rate for n in range(7)]
        assert container.duration is not None
        assert container.duration == round(7 / told.rate * av.time_base)


def test_a_clip_says_where_its_file_begins(small_clips: tuple[Clip, ...]) -> None:
    """Size and rate are the stage's, the timecode is the cue's less the handle."""
    clip = small_clips[0]
    told = FileSpec.of(clip)
    assert (told.width, told.height, told.rate) == (270, 480, Fraction(25))
    assert clip.timebase.frame(told.timecode) + clip.handles[0] == clip.first_frame


def test_a_file_that_is_none_is_told(tmp_path: Path) -> None:
    """A part cut short cannot be joined; the error names it."""
    (tmp_path / "part.mov").write_bytes(b"\0" * 100)
    with pytest.raises(RenderError) as caught:
        list(packets_of(tmp_path / "part.mov"))
    assert caught.value.code == "unreadable-part"
    assert "part.mov" in caught.value.message


def test_abandoning_a_file_hides_no_other_error(tmp_path: Path) -> None:
    """Closed after an error, before or after the first packet, it keeps quiet."""
    for packets in ([], [b"packet"]):
        file = VideoFile(tmp_path / "a.mov", "prores_ks", spec(32, 16))
        prepare_encoder(file.stream.codec_context, width=32, height=16)
        file.put_all(packets)
        file.abandon()
