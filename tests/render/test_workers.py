"""Where parts are drawn, and by how many."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from overlays.model.clip import Clip
from overlays.render import workers as module
from overlays.render.parts import Part
from overlays.render.workers import draw_parts, usual_workers

UHD = 3840 * 2160


def test_every_processor_is_used_where_memory_allows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight processors and 64 GB: eight; 2 GB: as many as fit at that size, and at least one."""
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(8)), raising=False)
    for memory, expected in ((64 * 10**9, 8), (2 * 10**9, 3), (10**8, 1), (None, 8)):
        monkeypatch.setattr(module, "memory_bytes", lambda memory=memory: memory)
        assert usual_workers(UHD) == expected


def test_this_machine_has_some() -> None:
    """Asked without pretence it answers, too."""
    assert 1 <= usual_workers(1920 * 1080) <= (os.cpu_count() or 1)


def test_nothing_to_draw_is_nothing_done() -> None:
    """No process is started for it."""
    assert list(draw_parts([], workers=4)) == []


def test_one_part_is_drawn_here_and_its_frames_are_told(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Frames add up to the part's, and the file's digest comes back."""
    part = Part(small_clips[1], "qtrle", 3, 40, tmp_path / "part.mov")
    told: list[tuple[int, int, str]] = []
    (outcome,) = draw_parts([part], workers=8, progress=lambda *done: told.append(done))
    assert (outcome.part, outcome.error, len(outcome.sha256)) == (part, None, 64)
    assert told[-1] == (37, 37, "frames")


def test_an_error_here_does_not_stop_the_others(
    small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Each part has its own outcome, in one process as in many."""
    good = Part(small_clips[1], "qtrle", 0, 5, tmp_path / "good.mov")
    bad = Part(small_clips[1], "qtrle", 0, 5, tmp_path / "nowhere" / "bad.mov")
    found = list(draw_parts([bad, good], workers=1))
    assert isinstance(found[0].error, FileNotFoundError)
    assert found[1].error is None
