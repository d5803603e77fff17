"""Cutting clips into parts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import RenderError
from overlays.model.clip import CODECS, Clip
from overlays.render import parts as module
from overlays.render.codecs.registry import codec_named
from overlays.render.outcome import do
from overlays.render.parts import LEAST_FRAMES, Part, cut, draw_part


@pytest.mark.parametrize("codec", CODECS)
@given(length=st.integers(1, 9000), pieces=st.integers(1, 40))
def test_parts_cover_a_clip_at_places_where_the_codec_may_be_cut(
    small_clips: tuple[Clip, ...], codec: str, length: int, pieces: int
) -> None:
    """Parts follow each other without a gap, none empty, none more than asked for."""
    clip = replace(small_clips[0], stage=replace(small_clips[0].stage, frames=length))
    writes = codec_named(codec)
    found = cut(clip, Path("scratch") / "7", codec=writes, pieces=pieces)
    assert [part.start for part in found] == [0, *(part.stop for part in found[:-1])]
    assert found[-1].stop == clip.frames
    assert all(part.frames > 0 for part in found)
    assert all(part.start % writes.cut_frames == 0 for part in found)
    assert len(found) <= max(1, min(pieces, clip.frames // LEAST_FRAMES))
    assert len({part.target for part in found}) == len(found)
    assert all(part.target.suffix == CODECS[codec] for part in found)


def test_memory_running_out_is_told_as_an_error(
    monkeypatch: pytest.MonkeyPatch, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """No traceback, but which clip it was and what to do about it."""

    def exhaust(_: Clip) -> None:
        raise MemoryError

    monkeypatch.setattr(module, "lay_out_clip", exhaust)
    with pytest.raises(RenderError) as caught:
        do(draw_part, Part(small_clips[0], "qtrle", 0, 3, tmp_path / "part.mov"), lambda _: None)
    assert caught.value.code == "out-of-memory"
    assert repr(small_clips[0].cue) in caught.value.message


def test_a_file_that_cannot_be_written_is_an_error_of_the_system(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """The encoder's own kind of error becomes one that knows its file and can be pickled."""
    with pytest.raises(FileNotFoundError) as caught:
        draw_part(Part(small_clips[1], "qtrle", 0, 3, tmp_path / "nowhere" / "part.mov"))
    assert type(caught.value) is FileNotFoundError
    assert caught.value.filename == str(tmp_path / "nowhere" / "part.mov")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_told_as_such(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """ENOSPC arrives as itself, so that the message can say what is free."""
    (tmp_path / "part.mov").symlink_to("/dev/full")
    with pytest.raises(OSError, match="space") as caught:
        draw_part(Part(small_clips[0], "prores4444", 0, 60, tmp_path / "part.mov"))
    assert caught.value.errno == 28
