"""A whole episode: clips rendered, turnover written."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from overlays.errors import Problems
from overlays.plan import open_episode, plan_episode
from overlays.progress import Progress, silent
from overlays.render.batch import Rendered
from overlays.render.clips import render_clips
from overlays.render.codecs.registry import refuse_codec
from overlays.turnover.manifest import CLIPS_FOLDER, Manifest
from overlays.turnover.writer import write_turnover

__all__ = ["Made", "make_episode"]


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """What became of an episode.

    Parameters
    ----------
    manifest : Manifest
        What the turnover holds.
    rendered : tuple of Rendered
        What was done about each clip, and why.
    problems : Problems
        Warnings met on the way.
    """

    manifest: Manifest
    rendered: tuple[Rendered, ...]
    problems: Problems


def make_episode(
    session: Path,
    out: Path,
    *,
    codec: str = "prores4444",
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress = silent,
) -> Made:
    """Render every clip of a session and write the turnover.

    Nothing is written before the whole session is found to be in order.

    Parameters
    ----------
    session, out : Path
        The session's folder, and the turnover's.
    codec, workers, cluster, progress
        As `overlays.render.clips.render_clips`.

    Raises
    ------
    ProblemsFound
        If the session has errors.
    RenderError, TurnoverError, WorkError
        If the work fails; clips already whole stay, and the next call goes on from them.
    """
    refuse_codec(codec)
    problems = Problems()
    episode = open_episode(session, problems, progress=progress)
    clips = plan_episode(episode, problems, codec=codec) if episode else ()
    problems.raise_errors()
    assert episode is not None  # noqa: S101 (raise_errors left otherwise)
    rendered = render_clips(
        clips,
        out / CLIPS_FOLDER,
        codec=codec,
        workers=workers,
        cluster=cluster,
        progress=progress,
    )
    manifest = write_turnover(
        out, episode, rendered, codec=codec, problems=problems, progress=progress
    )
    return Made(manifest, rendered, problems)
