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
MORE = """
## Once more

```beat
length = "30 s"
```

```cue readout
id = "live"
at = "1 s"
length = "10 s"
test = "cold"
entry = "alder"
```

```cue curves
id = "leaving"
at = "12 s"
length = "10 s"
test = "cold"
entries = ["alder"]
pace = "fit"
leave = true
```
"""


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
    with (session / "outline.md").open("a", encoding="utf-8") as out:
        out.write(MORE)
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


@pytest.mark.parametrize("cue", ["one-stop", "cold-all", "live"])
def test_what_draws_a_run_keeps_step_with_it_in_the_picture(episode: Episode, cue: str) -> None:
    """Wherever the run is drawn to, the picture is that of the same time of the run."""
    behind = _behind(episode, cue)
    assert behind.file.name == "b.mp4"
    assert behind.times_s is None
    clip = plan_cue(find_cue(episode.outline, cue), episode, codec="png", shrink=2)
    session = episode.results.session
    style = load_style(session.spec.episode.style, session.folder / "styles")
    for frames in (1, 60, 150):
        run_s = frames * FRAME_S
        frame = kinds()[clip.kind].frame_at(clip.content, clip.stage, style, run_s)
        assert float(behind.from_s) + frame * FRAME_S == pytest.approx(12.48 + run_s, abs=1e-6)


def test_a_cue_that_draws_no_run_has_the_first_footage(episode: Episode) -> None:
    """It runs from the cue's own time in the episode."""
    behind = _behind(episode, "alder-card")
    assert (behind.file.name, behind.from_s) == ("a.mp4", 7)


def test_at_another_pace_each_frame_has_a_time_of_its_own(episode: Episode) -> None:
    """A fitted run that leaves is retimed for the frames before, and goes on at its own pace."""
    behind = _behind(episode, "leaving")
    clip = plan_cue(find_cue(episode.outline, "leaving"), episode, codec="png", shrink=2)
    session = episode.results.session
    style = load_style(session.spec.episode.style, session.folder / "styles")
    assert clip.stage.leave > 0
    assert behind.times_s is not None
    assert len(behind.times_s) == clip.stage.frames
    for run_s in (1.0, 3.0, 5.5):
        frame = kinds()["curves"].frame_at(clip.content, clip.stage.before_leaving, style, run_s)
        assert behind.times_s[frame] == pytest.approx(12.48 + run_s, abs=FRAME_S)
    end = kinds()["curves"].frame_at(clip.content, clip.stage.before_leaving, style, 6.0)
    assert behind.times_s[-1] == pytest.approx(
        18.48 + (clip.stage.frames - 1 - end) * FRAME_S, abs=FRAME_S
    )
