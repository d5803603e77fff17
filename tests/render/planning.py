"""Planning a session's clips, as a command does."""

from __future__ import annotations

from pathlib import Path

from overlays.errors import Problems
from overlays.model.clip import Clip
from overlays.plan import open_episode, plan_episode

__all__ = ["edit", "plan"]


def plan(session: Path, codec: str = "prores4444") -> tuple[Clip, ...]:
    """Return a session's clips, read and planned anew."""
    problems = Problems()
    episode = open_episode(session, problems)
    assert episode is not None
    clips = plan_episode(episode, problems, codec=codec)
    assert not problems.errors, problems.errors
    return clips


def edit(file: Path, old: str, new: str) -> None:
    """Replace a text that stands in a file."""
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")
