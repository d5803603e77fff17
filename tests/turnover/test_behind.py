"""Which camera file lies behind a cue, and in step with what."""

from __future__ import annotations

import shutil
from fractions import Fraction
from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.kinds.registry import kinds
from overlays.plan import Episode, find_cue, open_episode, plan_cue
from overlays.style.house import load_style
from overlays.turnover.behind import Behind, behind_cue

DEMO = Path(__file__).resolve().parents[2] / "demo_sessions" / "brake_bench"
FRAME_S = 1001 / 30000


@pytest.fixture(scope="module")
def episode(tmp_path_factory: pytest.TempPathFactory) -> Episode:
    """Open the demo with two camera files, one of which shows the stop of Alder that is drawn."""
    session = tmp_path_factory.mktemp("s") / "bench"
    shutil.copytree(DEMO, session)
    (session / "footage").mkdir()
    for name in ("a.mp4", "b.mp4"):
        (session / "footage" / name).touch()
    with (session / "session.toml").open("a", encoding="utf-8") as out:
        out.write('\n[[footage]]\nfile = "footage/b.mp4"\nrun = "alder cold 3"\n')
        out.write('starts = "12.48 s"\n')
    problems = Problems()
    opened = open_episode(session, problems)
    problems.raise_errors()
    assert opened is not None
    return opened


def _behind(episode: Episode, cue: str) -> Behind:
    clip = plan_cue(find_cue(episode.outline, cue), episode, codec="png", shrink=2)
    found = behind_cue(episode, clip, from_s=Fraction(7))
    assert found is not None
    return found


@pytest.mark.parametrize("cue", ["one-stop", "cold-all"])
def test_curves_keep_step_with_the_run_in_the_picture(episode: Episode, cue: str) -> None:
    """Wherever the run is drawn to, the picture is that of the same time of the run."""
    behind = _behind(episode, cue)
    assert behind.file.name == "b.mp4"
    assert behind.times_s is None
    clip = plan_cue(find_cue(episode.outline, cue), episode, codec="png", shrink=2)
    session = episode.results.session
    style = load_style(session.spec.episode.style, session.folder / "styles")
    for frames in (1, 60, 150):
        run_s = frames * FRAME_S
        frame = kinds()["curves"].frame_at(clip.content, clip.stage, style, run_s)
        assert float(behind.from_s) + frame * FRAME_S == pytest.approx(12.48 + run_s, abs=1e-6)


def test_a_cue_that_draws_no_run_has_the_first_footage(episode: Episode) -> None:
    """It runs from the cue's own time in the episode."""
    behind = _behind(episode, "alder-card")
    assert (behind.file.name, behind.from_s) == ("a.mp4", 7)
