"""What a cue and its session ask for reaches the clip, and what cannot be is told with its line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from overlays.errors import Problems
from overlays.model.clip import Clip
from overlays.plan import open_episode, plan_episode
from tests.render.planning import edit, plan

MINI = Path(__file__).parent / "data" / "sessions" / "mini"


@pytest.fixture
def session(tmp_path: Path) -> Path:
    """A copy of the small session: 25 frames/s, cues of 130, 65 and 75 frames."""
    return Path(shutil.copytree(MINI, tmp_path / "session"))


def _cue(session: Path, cue: str, more: str) -> None:
    edit(session / "outline.md", f'id = "{cue}"', f'id = "{cue}"\n{more}')


def _by_cue(session: Path) -> dict[str, Clip]:
    return {clip.cue: clip for clip in plan(session)}


def _errors(session: Path) -> list[str]:
    problems = Problems()
    episode = open_episode(session, problems)
    if episode is not None:
        plan_episode(episode, problems, codec="qtrle")
    return [str(problem) for problem in problems.errors]


def test_without_being_asked_an_overlay_stands_on_at_its_own_place(session: Path) -> None:
    """Nothing leaves, nothing is moved, and motion is full."""
    clips = plan(session)
    assert len(clips) == 3
    for clip in clips:
        assert (clip.stage.place, clip.stage.leave, clip.stage.motion) == (None, 0, "full")
        assert clip.full_frame == clip.frames - 1 - clip.handles[1]


def test_place_leave_and_motion_reach_the_clip(session: Path) -> None:
    """A place and an exit are the cue's own, reduced motion the whole session's."""
    _cue(session, "weir-card", 'place = "head-right"')
    _cue(session, "brook-score", "leave = true")
    clips = _by_cue(session)
    assert clips["weir-card"].stage.place == "head-right"
    # The style's axes and panel would take 0.5 s and 0.45 s; a quarter of 75 frames is less.
    assert clips["brook-score"].stage.leave == 18
    assert clips["brook-score"].full_frame == 5 + 75 - 18 - 1
    assert clips["open"].stage.leave == 0
    edit(session / "session.toml", "handles = [5, 8]", 'handles = [5, 8]\nmotion = "reduced"')
    clips = _by_cue(session)
    assert {clip.stage.motion for clip in clips.values()} == {"reduced"}
    assert clips["brook-score"].stage.leave == 1


@pytest.mark.parametrize(
    ("cue", "option", "says"),
    [
        ("open", 'place = "left"', "can take: head, middle, foot"),
        ("weir-card", 'place = "top"', "found 'top'; expected 'head-left', 'head', "),
        ("weir-card", 'leave = "fast"', "leave: found 'fast'; expected true or false."),
    ],
)
def test_what_cannot_be_is_one_error_at_its_line(
    session: Path, cue: str, option: str, says: str
) -> None:
    """A place the kind cannot take, one there is not, and an exit that is no yes or no."""
    _cue(session, cue, option)
    lines = (session / "outline.md").read_text(encoding="utf-8").splitlines()
    (told,) = _errors(session)
    assert told.startswith(f"outline.md:{lines.index(option) + 1}: ")
    assert says in told


def test_a_cue_too_short_to_leave_is_told(session: Path) -> None:
    """Seven frames are too few to come, to stand and to leave."""
    _cue(session, "weir-card", "leave = true")
    edit(session / "outline.md", 'length = "2.6 s"', 'length = "7 frames"')
    (told,) = _errors(session)
    assert "7 frames, too few to come and to leave" in told


def test_a_run_at_live_pace_needs_room_to_leave(session: Path) -> None:
    """What fits a cue that stands on may not fit one that leaves; the error says what is off."""
    edit(session / "outline.md", 'pace = "fit"', 'pace = "live"')
    edit(session / "outline.md", 'length = "5.2 s"', 'length = "3.6 s"')
    assert _errors(session) == []
    _cue(session, "open", "leave = true")
    (told,) = _errors(session)
    assert "less the 0.8" in told
    assert "in which it leaves, the cue lasts 2.7" in told
    assert "take out leave" in told


def test_reduced_motion_moves_no_cue(session: Path) -> None:
    """A cue that hangs on the data stays where it was: curves are drawn at the same times."""
    hung = (
        '```cue lower_third\nid = "hung"\nlength = "1 s"\nentry = "weir"\n'
        'event = { what = "peak", entries = ["weir"], of = "open" }\n```\n'
    )
    edit(session / "outline.md", "## Weir", f"{hung}\n## Weir")
    before = {cue: clip.first_frame for cue, clip in _by_cue(session).items()}
    assert before["hung"] > before["open"] + 25
    edit(session / "session.toml", "handles = [5, 8]", 'handles = [5, 8]\nmotion = "reduced"')
    assert {cue: clip.first_frame for cue, clip in _by_cue(session).items()} == before
