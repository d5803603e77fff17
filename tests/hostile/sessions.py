"""A session with everything a stranger can write: tables, script, captions, a style of its own."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from overlays.checks.judge_plan import judge_plan
from overlays.checks.reading_ahead import judge_reading_ahead
from overlays.draw.canvas import draw_alone
from overlays.errors import Problems
from overlays.plan import open_episode, plan_episode, review_episode
from overlays.render.frames import lay_out_clip
from overlays.saying import printable
from overlays.style.house import style_roots
from tests.render.planning import edit

__all__ = ["FILES", "checked", "drawn", "share", "short_session", "whole_session"]

MINI = Path(__file__).parents[1] / "data" / "sessions" / "mini"
FILES = ("session.toml", "outline.md", "captions.vtt", "styles/mine/style.toml")

# How many mutations and hostile sessions there are in all, and in the suite.
ALL = {"mutations": 2000, "sessions": 500}
USUAL = {"mutations": 60, "sessions": 24}
VARIABLE = "TRACEREEL_FUZZ"

_CAPTIONS = """WEBVTT

1
00:00:00.400 --> 00:00:03.000
Brook lets 14.4 litres through, Weir 10.5.

2
00:00:06.100 --> 00:00:08.500
Weir costs <00:00:06.900>14.20 francs.

3
00:00:09.100 --> 00:00:12.000
1.1 bar apart.
"""


def share(what: str) -> int:
    """Return how many are tried: all where the environment asks for it."""
    return (ALL if os.environ.get(VARIABLE) == "full" else USUAL)[what]


def whole_session(folder: Path) -> Path:
    """Copy the small session, with captions and a style of its own, on a small canvas."""
    shutil.copytree(MINI, folder)
    edit(folder / "session.toml", "canvas = [1080, 1920]", 'canvas = [180, 320]\nstyle = "mine"')
    (folder / "captions.vtt").write_text(_CAPTIONS, encoding="utf-8")
    shipped = next(root for root in style_roots() if (root / "rule").is_dir())
    shutil.copytree(shipped / "rule", folder / "styles" / "mine")
    for log in (folder / "logs").iterdir():
        # Reading logs has tests of its own; a fifth of the samples shows the same.
        lines = log.read_text(encoding="utf-8").splitlines(keepends=True)
        log.write_text("".join(lines[:4] + lines[4::5]), encoding="utf-8")
    return folder


def short_session(folder: Path) -> Path:
    """Return the whole session, its beats and cues cut to a fraction of a second."""
    whole_session(folder)
    outline = folder / "outline.md"
    for long, short in (
        ('length = "6 s"', 'length = "0.8 s"'),
        ('at = "0.4 s"\nlength = "5.2 s"', 'at = "0.1 s"\nlength = "0.6 s"'),
        ('gap_at = "2.5 s"\n', ""),
        ('length = "3 s"\n```\n\nWeir', 'length = "0.8 s"\n```\n\nWeir'),
        ('at = "0.2 s"\nlength = "2.6 s"', 'at = "0.1 s"\nlength = "0.4 s"'),
        ('length = "3.4 s"', 'length = "0.8 s"'),
        ('at = "0.2 s"\nlength = "3 s"', 'at = "0.1 s"\nlength = "0.4 s"'),
    ):
        edit(outline, long, short)
    edit(folder / "session.toml", "handles = [5, 8]", "handles = [1, 1]")
    return folder


def checked(session: Path) -> Problems:
    """Do what `check` does: read everything, lay out every overlay, and write every problem."""
    problems = Problems()
    episode = open_episode(session, problems)
    if episode is not None:
        clips = plan_episode(episode, problems, codec="png")
        review_episode(episode, problems)
        found = [*judge_plan(episode.results, clips), *judge_reading_ahead(clips)]
        problems.found += [item.problem() for item in found]
    for problem in problems.found:
        printable(str(problem)).encode()
    problems.raise_errors()
    return problems


def drawn(session: Path) -> None:
    """Do what `check` does, then draw the last frame of every clip."""
    checked(session)
    problems = Problems()
    episode = open_episode(session, problems)
    assert episode is not None
    for clip in plan_episode(episode, problems, codec="png"):
        scene = lay_out_clip(clip)
        draw_alone(scene, scene.frames - 1)
