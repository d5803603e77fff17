"""An hour of cues at 2160p: memory, open files and hidden files do not grow with their number."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from overlays.checks.judge_plan import judge_plan
from overlays.errors import Problems
from overlays.plan import open_episode, plan_episode, review_episode
from tests.benchmarks.long_episode import CUES, Truth, long_session, measured

_A_CUE_BYTES = 100_000
# Overlays that are laid out to be judged hold their pictures, a few of them at a time.
_LAID_OUT_BYTES = 350_000_000


def test_an_hour_of_cues_is_planned_and_checked_in_little_memory(tmp_path: Path) -> None:
    """300 cues at 3840x2160 take less than 100 kB each; judging 15 takes what a few do."""
    problems = Problems()
    few = open_episode(long_session(tmp_path / "few", 3), problems)
    assert few is not None
    judge_plan(few.results, plan_episode(few, problems, codec="prores4444"))  # loads libraries
    session = long_session(tmp_path / "session", CUES)
    tracemalloc.start()
    try:
        episode = open_episode(session, problems)
        assert episode is not None
        before, _ = tracemalloc.get_traced_memory()
        clips = plan_episode(episode, problems, codec="prores4444")
        review_episode(episode, problems)
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.reset_peak()
        findings = judge_plan(episode.results, clips[::20])
        _, laid_out = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(clips) == CUES
    assert not problems.errors
    assert not [finding for finding in findings if finding.verdict == "fail"]
    assert most - before < CUES * _A_CUE_BYTES
    assert laid_out - before < _LAID_OUT_BYTES
    last = max(clips, key=lambda clip: clip.first_frame)
    assert last.timebase.label(last.first_frame) > "10:59:00:00"


@pytest.mark.slow
def test_many_cues_take_no_more_than_a_few(record_property: Callable[[str, object], None]) -> None:
    """Twice the cues: as much memory, as many files open, and progress that is true."""
    few, many = measured(6), measured(12)
    assert many.clips == 12
    assert many.peak_mb < few.peak_mb * 1.2 + 40
    assert many.worker_mb < few.worker_mb * 1.2 + 40
    assert many.open_files <= few.open_files + 6
    assert many.hidden_files <= few.hidden_files + 3
    assert not few.lies
    assert not many.lies
    record_property("cues at 2160p", few.cues + many.cues)


def test_progress_that_lies_is_noticed() -> None:
    """Going back, going past the end, moving the end, and never ending are all seen."""
    truth = Truth()
    for done, total in ((1, 3), (2, 3), (1, 3), (4, 3), (3, 9)):
        truth(done, total, "frames")
    assert len(truth.lies) == 3
    assert truth.unfinished() == ["frames"]
