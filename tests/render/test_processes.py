"""Worker processes: results, errors, deaths, and ending at once."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from pathlib import Path

import pytest

from overlays.errors import RenderError
from overlays.model.clip import Clip
from overlays.progress import silent
from overlays.render import processes
from overlays.render.parts import Part
from tests.render import tasks

Task = Callable[[Part], str]


def _parts(clips: tuple[Clip, ...], folder: Path) -> list[Part]:
    return [Part(clip, "qtrle", 0, 10, folder / f"{clip.cue}.mov") for clip in clips]


def _run(
    monkeypatch: pytest.MonkeyPatch, parts: list[Part], task: Task
) -> dict[str, Exception | None]:
    monkeypatch.setattr(processes, "_task", task)
    outcomes = processes.draw_in_processes(parts, workers=2, progress=silent)
    return {outcome.part.clip.cue: outcome.error for outcome in outcomes}


def test_every_part_is_done_once(
    monkeypatch: pytest.MonkeyPatch, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """All parts come back without an error, and their files are there."""
    parts = _parts(small_clips, tmp_path)
    assert _run(monkeypatch, parts, tasks.write_name) == {clip.cue: None for clip in small_clips}
    assert all(part.target.read_text().split() == [part.clip.cue, "0", "10"] for part in parts)
    assert not multiprocessing.active_children()


def test_an_error_comes_back_whole_and_the_others_go_on(
    monkeypatch: pytest.MonkeyPatch, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """What a worker raised arrives with its code and remedy; other parts are drawn."""
    (tmp_path / "marked").write_text(small_clips[1].cue)
    found = _run(monkeypatch, _parts(small_clips, tmp_path), tasks.refuse_second_cue)
    error = found.pop(small_clips[1].cue)
    assert isinstance(error, RenderError)
    assert (error.code, error.remedy) == ("knot", "Untie it.")
    assert set(found.values()) == {None}


def test_a_part_whose_worker_died_is_drawn_again(
    monkeypatch: pytest.MonkeyPatch, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """Workers killed once cost time, nothing else."""
    parts = _parts(small_clips, tmp_path)
    assert set(_run(monkeypatch, parts, tasks.die_once).values()) == {None}
    assert all(part.target.exists() for part in parts)


def test_a_part_whose_worker_dies_again_is_reported_and_the_others_are_drawn(
    monkeypatch: pytest.MonkeyPatch, small_clips: tuple[Clip, ...], tmp_path: Path
) -> None:
    """The error names the clip and what to do; it is the only one."""
    (tmp_path / "marked").write_text(small_clips[0].cue)
    found = _run(monkeypatch, _parts(small_clips, tmp_path), tasks.die_at_second_cue)
    error = found.pop(small_clips[0].cue)
    assert isinstance(error, RenderError)
    assert error.code == "worker-died"
    assert small_clips[0].cue in error.message
    assert "fewer workers" in error.remedy
    assert set(found.values()) == {None}


def test_leaving_the_work_kills_the_workers(small_clips: tuple[Clip, ...], tmp_path: Path) -> None:
    """Whoever closes the iterator, by an error or ^C, has no process left behind."""
    parts = _parts(small_clips, tmp_path)
    outcomes = processes.draw_in_processes(parts, workers=2, progress=silent)
    next(outcomes)
    assert multiprocessing.active_children()
    outcomes.close()
    assert not multiprocessing.active_children()
