"""The room that clips take at least, against clips written by every codec."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from overlays.errors import WorkError
from overlays.model.clip import CODECS, Clip
from overlays.render import clips as module
from overlays.render.clips import render_clip, render_clips
from overlays.render.room import least_bytes


@pytest.mark.parametrize("codec", sorted(CODECS))
def test_clips_are_no_smaller_than_estimated(
    small_clips: tuple[Clip, ...], tmp_path: Path, codec: str
) -> None:
    """The estimate never refuses a clip that would have fitted."""
    clips = [replace(clip, file=clip.cue + CODECS[codec]) for clip in small_clips]
    render_clips(clips, tmp_path, codec=codec, workers=1)
    written = sum(
        file.stat().st_size
        for file in tmp_path.rglob("*")
        if file.is_file() and not file.name.startswith(".")
    )
    assert 0 < least_bytes(clips, codec=codec) <= written


def test_too_little_room_is_said_before_the_first_frame(
    small_clips: tuple[Clip, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full, in those words, with what is needed and free."""
    monkeypatch.setattr(
        module, "least_bytes", lambda clips, codec: 10**18 + len(clips) + len(codec)
    )
    drawn: list[str] = []
    with pytest.raises(WorkError, match="the disk is full") as caught:
        render_clips(
            list(small_clips),
            tmp_path,
            workers=1,
            progress=lambda done, total, what: drawn.append(f"{done}/{total} {what}"),
        )
    assert "needs about 1000000.0 TB" in caught.value.message
    assert "is free" in caught.value.message
    assert not drawn
    with pytest.raises(WorkError, match=r"the disk is full: .* needs about 1000000.0 TB"):
        render_clip(small_clips[0], tmp_path / "one" / "a.mov")
    assert not list((tmp_path / "one").iterdir())
