"""Rendering a session's clips: kept, re-stamped, drawn again and why, and nothing left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from overlays.draw.canvas import draw_alone
from overlays.errors import ProblemsFound, RenderError, TracereelError, WorkError
from overlays.files import is_leftover
from overlays.lock import held
from overlays.model.clip import CODECS, Clip
from overlays.render import parts
from overlays.render.cache import CACHE_FILE, digest
from overlays.render.clips import render_clip, render_clips
from overlays.render.frames import lay_out_clip
from tests.render.planning import edit, plan
from tests.render.scenes import decoded

HIDDEN = {CACHE_FILE, ".tracereel.lock"}


def _render(session: Path, out: Path, codec: str = "prores4444") -> dict[str, str]:
    found = render_clips(plan(session, codec), out, codec=codec, workers=1)
    return {result.clip.cue: str(result).partition(": ")[2] for result in found}


def _stray(folder: Path, clips: Sequence[Clip]) -> set[str]:
    return {path.name for path in folder.iterdir()} - HIDDEN - {clip.file for clip in clips}


def test_every_frame_of_the_file_is_the_overlay_with_its_handles(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Nothing before the cue, the cue's frames, and its last state through the tail handle."""
    clip = next(clip for clip in small_clips if clip.kind == "lower_third")
    target = tmp_path / "card.mov"
    render_clip(clip, target, codec="qtrle")
    frames = list(decoded(target))
    head, tail = clip.handles
    assert len(frames) == clip.frames == head + clip.stage.frames + tail
    assert all(not frame.any() for frame in frames[:head])
    scene = lay_out_clip(clip)
    for index in (0, 1, clip.stage.frames // 2, clip.stage.frames - 1):
        assert np.array_equal(frames[head + index], draw_alone(scene, index))
    assert frames[head].any()
    assert all(np.array_equal(frame, frames[-1]) for frame in frames[-tail - 1 :])


def test_the_timecode_is_the_file_s_first_frame(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """The handle before the cue is counted off the cue's place on the timeline."""
    clip = small_clips[1]
    render_clip(clip, tmp_path / "card.mov", codec="qtrle")
    with av.open(str(tmp_path / "card.mov")) as container:
        told = container.streams.video[0].metadata["timecode"]
    assert clip.timebase.frame(told) == clip.first_frame - clip.handles[0]


def test_the_slow_way_gives_the_same_file(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """Encoding whole frames is the reference for a real overlay too."""
    clip = small_clips[2]
    render_clip(clip, tmp_path / "slow.mov", whole_frames=True)
    render_clip(clip, tmp_path / "fast.mov")
    assert digest(tmp_path / "slow.mov") == digest(tmp_path / "fast.mov")


@pytest.mark.parametrize("codec", CODECS)
def test_nothing_changed_is_nothing_done(session: Path, tmp_path: Path, codec: str) -> None:
    """The second time every clip is reused, with the digest it had, and not touched."""
    out = tmp_path / "out"
    clips = plan(session, codec)[1:2]
    (first,) = render_clips(clips, out, codec=codec)
    written = first.path.stat().st_mtime_ns
    (second,) = render_clips(plan(session, codec)[1:2], out, codec=codec)
    assert (first.action, second.action, second.why) == ("rendered", "reused", ())
    assert first.sha256 == second.sha256 == digest(first.path)
    assert first.path.stat().st_mtime_ns == written
    assert not _stray(out, clips)


def test_editing_a_log_draws_only_the_clips_that_show_it(session: Path, tmp_path: Path) -> None:
    """Another knock of one nozzle changes its score, not the curves nor the other's card."""
    _render(session, tmp_path / "out")
    for repeat in (1, 2):
        other = session / "logs" / f"weir_shut_{repeat}.csv"
        (session / "logs" / f"brook_shut_{repeat}.csv").write_bytes(other.read_bytes())
    done = _render(session, tmp_path / "out")
    assert (done["open"], done["weir-card"]) == ("reused", "reused")
    assert done["brook-score"].startswith("rendered: data (")


def test_a_longer_beat_re_stamps_what_follows_and_draws_what_grew(
    session: Path, tmp_path: Path
) -> None:
    """Clips after it are copied with another timecode, and equal what would be drawn there."""
    out, anew = tmp_path / "out", tmp_path / "anew"
    _render(session, out)
    edit(session / "outline.md", 'length = "6 s"', 'length = "7 s"')
    assert _render(session, out) == {
        "open": "reused",
        "weir-card": "re-stamped: start",
        "brook-score": "re-stamped: start",
    }
    edit(session / "outline.md", 'length = "2.6 s"', 'length = "2.4 s"')
    assert _render(session, out)["weir-card"] == "rendered: length"
    _render(session, anew)
    for clip in plan(session):
        assert digest(out / clip.file) == digest(anew / clip.file)


def test_pictures_in_a_folder_need_no_stamp(session: Path, tmp_path: Path) -> None:
    """PNG files carry no timecode, so a later start changes nothing about them."""
    _render(session, tmp_path / "out", "png")
    edit(session / "outline.md", 'length = "6 s"', 'length = "7 s"')
    assert set(_render(session, tmp_path / "out", "png").values()) == {"reused"}


def test_files_missing_or_changed_by_hand_are_drawn_again(session: Path, tmp_path: Path) -> None:
    """The cache trusts no file that is not as it was written."""
    out = tmp_path / "out"
    _render(session, out)
    (out / "open.mov").unlink()
    with (out / "weir-card.mov").open("ab") as stream:
        stream.write(b"!")
    assert _render(session, out) == {
        "open": "rendered: file missing",
        "weir-card": "rendered: file changed",
        "brook-score": "reused",
    }


def test_everything_can_be_asked_for(session: Path, tmp_path: Path) -> None:
    """Without the cache all clips are drawn, and give the same bytes."""
    out = tmp_path / "out"
    clips = plan(session)[1:]
    before = render_clips(clips, out, workers=1)
    after = render_clips(clips, out, workers=1, cache=False)
    assert {result.why for result in after} == {("asked for",)}
    assert [result.sha256 for result in after] == [result.sha256 for result in before]


@pytest.mark.parametrize("codec", ["prores4444", "vp9"])
def test_workers_and_parts_do_not_change_a_byte(
    monkeypatch: pytest.MonkeyPatch, session: Path, tmp_path: Path, codec: str
) -> None:
    """One process, or two with long clips cut in pieces: the same files."""
    clips = plan(session, codec)
    one = render_clips(clips, tmp_path / "one", codec=codec, workers=1)
    monkeypatch.setattr(parts, "LEAST_FRAMES", 40)
    monkeypatch.setattr("overlays.render.batch._FRAMES_A_WORKER", 100)
    told: list[tuple[int, int, str]] = []
    two = render_clips(
        clips, tmp_path / "two", codec=codec, workers=2, progress=lambda *done: told.append(done)
    )
    assert [result.sha256 for result in one] == [result.sha256 for result in two]
    total = sum(clip.frames for clip in clips)
    assert told[-1] == (total, total, "frames")
    assert [done for done, _, _ in told] == sorted(done for done, _, _ in told)
    assert not _stray(tmp_path / "two", clips)


def test_a_clip_that_cannot_be_drawn_does_not_keep_the_others(
    monkeypatch: pytest.MonkeyPatch, session: Path, tmp_path: Path
) -> None:
    """Its error is raised at the end; the others are there, and reused when it is mended."""

    def knot(clip: Clip) -> object:
        if clip.cue != "brook-score":
            raise RenderError(f"{clip.cue} has a knot.", code="knot", remedy="Untie it.")
        return lay_out_clip(clip)

    monkeypatch.setattr(parts, "lay_out_clip", knot)
    clips = plan(session)
    with pytest.raises(ProblemsFound) as several:
        render_clips(clips, tmp_path / "out", workers=1)
    assert {problem.code for problem in several.value.problems()} == {"knot"}
    assert len(several.value.problems()) == 2
    with pytest.raises(RenderError, match="weir-card has a knot"):
        render_clips(clips[1:], tmp_path / "out", workers=1)
    monkeypatch.undo()
    done = [result.action for result in render_clips(clips, tmp_path / "out", workers=1)]
    assert done == ["rendered", "rendered", "reused"]


def test_an_error_leaves_what_was_there(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """A file is replaced by a whole one or not at all."""
    target = tmp_path / "clip.mov"
    target.write_bytes(b"earlier")

    def stop(done: int, total: int, what: str) -> None:
        raise KeyboardInterrupt((done, total, what))

    with pytest.raises(KeyboardInterrupt):
        render_clip(small_clips[0], target, progress=stop)
    assert target.read_bytes() == b"earlier"
    assert [path.name for path in tmp_path.iterdir()] == ["clip.mov"]


def test_a_folder_in_use_is_refused(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """Two runs into one folder would replace each other's files."""
    with held(tmp_path, "a test being run"), pytest.raises(WorkError) as caught:
        render_clips(small_clips, tmp_path)
    assert caught.value.code == "folder-busy"


def test_a_folder_that_cannot_be_made_is_told(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """A file where the folder should be is an error that names it."""
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(WorkError) as caught:
        render_clips(small_clips, tmp_path / "out")
    assert caught.value.code == "cannot-write"
    assert str(tmp_path / "out") in caught.value.message


def test_what_a_killed_run_left_is_removed(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """Hidden parts of an earlier run go when the next holds the folder."""
    (tmp_path / ".tracereel-0123456789ab.part").mkdir()
    (tmp_path / ".tracereel-0123456789ab.part" / "0-0.mov").write_bytes(b"half")
    render_clips(small_clips[1:2], tmp_path, codec="qtrle")
    assert not _stray(tmp_path, small_clips[1:2])


@pytest.mark.parametrize("codec", ["h264", "vp8"])
def test_codecs_without_alpha_are_refused_before_anything_is_written(
    small_clips: tuple[Clip, ...], tmp_path: Path, codec: str
) -> None:
    """Both ways of rendering name the codecs that carry alpha."""
    for call in (
        lambda: render_clip(small_clips[0], tmp_path / "a.mp4", codec=codec),
        lambda: render_clips(small_clips, tmp_path / "out", codec=codec),
    ):
        with pytest.raises(TracereelError) as caught:
            call()
        assert caught.value.code == "no-alpha-codec"
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("codec", "name", "better"),
    [("prores4444", "a.mp4", "a.mov"), ("vp9", "a", "a.webm"), ("ffv1", "a.b.mov", "a.b.mkv")],
)
def test_endings_that_are_not_the_codecs_are_refused(
    small_clips: tuple[Clip, ...], tmp_path: Path, codec: str, name: str, better: str
) -> None:
    """The remedy is a name that would do; nothing is written."""
    with pytest.raises(RenderError) as caught:
        render_clip(small_clips[1], tmp_path / name, codec=codec)
    assert caught.value.code == "wrong-ending"
    assert better in caught.value.remedy
    assert not list(tmp_path.iterdir())


def test_endings_may_be_capitals_and_folders_called_anything(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """A.MOV is a QuickTime file, and pictures go to a folder."""
    clip = replace(small_clips[1], stage=replace(small_clips[1].stage, frames=3))
    for codec, name in (("qtrle", "A.MOV"), ("png", "card.v2")):
        render_clip(clip, tmp_path / name, codec=codec)
        assert sum(1 for _ in decoded(tmp_path / name)) == clip.frames


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="sends a signal")
def test_an_interrupt_ends_at_once_and_leaves_no_part_files(session: Path, tmp_path: Path) -> None:
    """^C at the terminal goes to all processes of the group; none survives, nothing is left."""
    edit(session / "outline.md", 'length = "5.2 s"', 'length = "60 s"')
    edit(session / "outline.md", 'length = "6 s"', 'length = "61 s"')
    out = tmp_path / "out"
    script = tmp_path / "run.py"
    script.write_text(
        "import sys\n"
        "from pathlib import Path\n"
        "from overlays.render.clips import render_clips\n"
        "from tests.render.planning import plan\n"
        "if __name__ == '__main__':\n"
        "    def tell(done, total, what):\n"
        "        done and print(done, flush=True)\n"
        f"    render_clips(plan(Path({str(session)!r})), Path({str(out)!r}), workers=2,\n"
        "                 progress=tell)\n",
        encoding="utf-8",
    )
    root = Path(__file__).parents[2]
    run = subprocess.Popen(
        [sys.executable, str(script)],
        env={**os.environ, "PYTHONPATH": str(root)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert run.stdout is not None
    assert run.stdout.readline()
    sent = time.monotonic()
    os.killpg(run.pid, signal.SIGINT)
    # Workers share the pipe for errors: it comes to its end when the last of them has.
    _, errors = run.communicate(timeout=20)
    assert time.monotonic() - sent < 5
    assert run.returncode == -signal.SIGINT
    assert errors.count("Traceback") == 1  # the main process's own, which `cli` turns into a word
    assert not [path for path in out.iterdir() if is_leftover(path.name)]
