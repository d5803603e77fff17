"""A quick look at one overlay, or at whatever stands at one moment of the episode."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from overlays.errors import OutlineError, Problems
from overlays.model.outline import Beat, Cue, Outline
from overlays.outline.written import read_place
from overlays.plan import Episode, find_cue, open_episode, plan_cue
from overlays.progress import Progress, silent
from overlays.render.footage import preview_over_footage
from overlays.render.frames import lay_out_clip
from overlays.render.preview import (
    film,
    preview_film,
    preview_still,
    refuse_film,
    refuse_picture,
    still,
)
from overlays.render.reel import Reel, Shot
from overlays.timecode import s_from_frames, whole_frames
from overlays.turnover.behind import behind_cue

__all__ = ["quick_look"]


def quick_look(
    session: Path,
    cue: str | None = None,
    *,
    at: str | None = None,
    out: Path | None = None,
    backdrop: str | None = None,
    progress: Progress = silent,
) -> Path:
    """Draw one overlay as a picture or as a half-size film.

    Parameters
    ----------
    session : Path
        The session's folder.
    cue : str, optional
        The cue's id. Without one, everything on screen: at the moment `at`, or all the episode.
    at : str, optional
        Makes it a picture. A time or a count of frames from the cue's beginning (from the
        episode's, where no cue is named), or a timecode of the episode.
    out : Path, optional
        The file; by default named after the cue, in the current folder.
    backdrop : str, optional
        A name in `overlays.draw.backdrop.BACKDROPS`. By default a film lies over the session's
        footage where there is some, in step with it where it is declared to show the run that is
        drawn, and everything else over a checkerboard.
    progress : Progress
        Told the frames written.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    ProblemsFound
        If the session has errors.
    OutlineError
        If there is no such cue, or the time cannot be read.
    RenderError
        If the file's ending or the backdrop is not known, or the footage cannot be read.
    WorkError
        If the file cannot be written.
    """
    if out is not None:
        (refuse_film if at is None else refuse_picture)(out)
    problems = Problems()
    episode = open_episode(session, problems, progress=progress)
    problems.raise_errors()
    assert episode is not None  # noqa: S101 (raise_errors left otherwise)
    if at is not None:
        return _picture(episode, cue, at, out, backdrop or "checkerboard")
    return _film(episode, cue, out, backdrop=backdrop, progress=progress)


def _picture(episode: Episode, cue: str | None, at: str, out: Path | None, backdrop: str) -> Path:
    outline = episode.outline
    place = read_place(at, outline.timebase)
    base = find_cue(outline, cue).first_frame if cue is not None else _span(outline)[0]
    moment = int(place.frames) if place.absolute else base + whole_frames(place.frames)
    target = out or Path(f"{cue or 'episode'}.png")
    if cue is not None:
        shown = find_cue(outline, cue)
        _check_moment(shown, moment, at, outline)
        clip = plan_cue(shown, episode, codec="png")
        at_s = s_from_frames(moment - base, outline.timebase.rate)
        preview_still(clip, target, at_s=at_s, backdrop=backdrop)
    else:
        still(_reel(episode, shrink=1), target, frame=moment - base, backdrop=backdrop)
    return target


def _check_moment(cue: Cue, moment: int, at: str, outline: Outline) -> None:
    """Refuse a moment at which the cue is not on screen; its end is its last frame."""
    if cue.first_frame <= moment <= cue.first_frame + cue.frames:
        return
    length_s = float(s_from_frames(cue.frames, outline.timebase.rate))
    raise OutlineError(
        f"the cue {cue.cue!r} is not on screen at {at!r}; it lasts {length_s:.2f} s from "
        f"{outline.timebase.label(cue.first_frame)}.",
        code="not-on-screen",
        field="at",
        remedy="Name a moment inside the cue, or leave the cue out to see what stands there.",
    )


def _film(
    episode: Episode,
    cue: str | None,
    out: Path | None,
    *,
    backdrop: str | None,
    progress: Progress,
) -> Path:
    outline = episode.outline
    target = out or Path(f"{cue or 'episode'}.mp4")
    if cue is None:
        reel = _reel(episode, shrink=2)
        plain = backdrop or "checkerboard"
        film(reel, target, rate=outline.timebase.rate, backdrop=plain, progress=progress)
        return target
    shown = find_cue(outline, cue)
    clip = plan_cue(shown, episode, codec="png", shrink=2)
    behind = None
    if backdrop is None and target.suffix.lower() == ".mp4":
        at_s = s_from_frames(shown.first_frame - _span(outline)[0], outline.timebase.rate)
        behind = behind_cue(episode, clip, from_s=at_s)
    if behind is not None:
        preview_over_footage(
            clip, behind.file, target, from_s=behind.from_s, times_s=behind.times_s
        )
    else:
        preview_film(clip, target, backdrop=backdrop or "checkerboard", progress=progress)
    return target


def _span(outline: Outline) -> tuple[int, int]:
    """Return the episode's first frame, and the frame after its last."""
    items: list[Beat | Cue] = [*outline.beats, *outline.cues]
    begins = [item.first_frame for item in items]
    ends = [item.first_frame + item.frames for item in items]
    return min(begins, default=0), max(ends, default=1)


def _reel(episode: Episode, *, shrink: int) -> Reel:
    """Put every overlay of the episode on one timeline."""
    first, end = _span(episode.outline)
    clips = [plan_cue(cue, episode, codec="png", shrink=shrink) for cue in episode.outline.cues]
    shots = [
        Shot(clip.first_frame - first, clip.stage.frames, partial(lay_out_clip, clip))
        for clip in clips
    ]
    width, height = (side // shrink for side in episode.results.session.spec.episode.canvas)
    return Reel(width, height, end - first, shots)
