"""What is to be done about each clip of a folder."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from overlays.errors import WorkError
from overlays.model.clip import CODECS, Clip
from overlays.progress import silent
from overlays.render.batch import Batch, Plan, Rendered
from overlays.render.cache import Record


def _known(batch: Batch, plan: Plan, folder: Path) -> None:
    path = folder / plan.clip.file
    path.write_bytes(b"frames")
    record = Record.of(path, made_from=plan.made_from, start=plan.start, sha256="0" * 64)
    batch.cache.records[plan.clip.file] = record


def test_a_clip_not_there_is_drawn(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """And the reason is that it was not rendered before."""
    plan = Batch(tmp_path, "prores4444").plan(small_clips[0])
    assert (plan.action, plan.why) == ("rendered", ("not rendered before",))
    label = small_clips[0].timebase.label(small_clips[0].file_first_frame)
    assert plan.start == label


def test_a_clip_there_is_reused_moved_or_drawn_again(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """By what it was made from, by where it starts, by whether its file was touched."""
    batch = Batch(tmp_path, "prores4444")
    clip = small_clips[0]
    _known(batch, batch.plan(clip), tmp_path)
    assert batch.plan(clip).action == "reused"
    kept = batch.keep(batch.plan(clip))
    assert (kept.action, kept.sha256, str(kept)) == ("reused", "0" * 64, f"{clip.file}: reused")
    later = batch.plan(replace(clip, first_frame=clip.first_frame + 1))
    assert (later.action, later.why) == ("re-stamped", ("start",))
    longer = replace(clip, stage=replace(clip.stage, frames=clip.stage.frames + 1))
    assert batch.plan(longer).why == ("length",)
    assert batch.plan(clip, anew=True).why == ("asked for",)
    (tmp_path / clip.file).write_bytes(b"others")
    assert batch.plan(clip).why == ("file changed",)
    (tmp_path / clip.file).unlink()
    assert batch.plan(clip).why == ("file missing",)


@pytest.mark.parametrize("codec", CODECS)
def test_only_files_with_a_timecode_have_a_start(
    small_clips: tuple[Clip, ...], tmp_path: Path, codec: str
) -> None:
    """Numbered pictures begin nowhere."""
    plan = Batch(tmp_path, codec).plan(small_clips[0])
    assert bool(plan.start) == (codec != "png")


def test_a_full_disk_is_told_with_what_is_needed(
    small_clips: tuple[Clip, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error of the system, in whichever process, becomes one with a remedy."""

    def full(*_: object) -> str:
        raise OSError(28, "No space left on device", str(tmp_path / "scratch" / "0-0.mov"))

    monkeypatch.setattr("overlays.render.workers.draw_part", full)
    batch = Batch(tmp_path, "qtrle")
    plans = [batch.plan(small_clips[1])]
    drawing = batch.draw(plans, tmp_path, workers=1, cluster=None, progress=silent)
    with closing(drawing):
        (error,) = drawing
    assert isinstance(error, WorkError)
    assert error.code == "disk-full"
    assert not (tmp_path / small_clips[1].file).exists()


def test_what_was_done_reads_as_a_line(small_clips: tuple[Clip, ...]) -> None:
    """What `episode` prints."""
    result = Rendered(small_clips[0], Path("open.mov"), "rendered", ("data (lines)", "style"), "")
    assert str(result) == "open.mov: rendered: data (lines), style"
    assert str(replace(result, action="reused", why=())) == "open.mov: reused"
