"""Session and cues → the clips to make. No pixels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from overlays.errors import OutlineError, Problems, SessionError
from overlays.kinds._pictured import picture_doubts, pictures_declared, session_picture
from overlays.kinds.base import Content, Overlay
from overlays.kinds.registry import build
from overlays.kinds.staging import leave_frames
from overlays.model.clip import CODECS, Clip, Stage
from overlays.model.filename import safe_file_name
from overlays.model.outline import Cue, Outline
from overlays.model.result import Results
from overlays.model.session import EpisodeSpec, Session
from overlays.outline.reader import read_outline
from overlays.outline.review import review_outline
from overlays.outline.speech.findings import Finding
from overlays.progress import Progress, silent
from overlays.scoring.results import work_out
from overlays.scoring.review import review_results
from overlays.session.reader import read_session
from overlays.session.validation import closest
from overlays.style.house import Style, load_style

__all__ = ["Episode", "find_cue", "open_episode", "plan_cue", "plan_episode", "review_episode"]


@dataclass(frozen=True, slots=True, eq=False)
class Episode:
    """A session read to the end: what was measured, and the script that shows it."""

    results: Results
    outline: Outline


def open_episode(
    folder: Path, problems: Problems, *, progress: Progress = silent
) -> Episode | None:
    """Read a session, work out its results, and read its outline against them.

    Parameters
    ----------
    folder : Path
        The session's folder.
    problems : Problems
        Receives everything found; errors of one stage do not hide those of the next where the
        next can still be judged.
    progress : Progress
        Told while logs are read.

    Returns
    -------
    Episode or None
        None where the session or outline could not be understood at all; `problems` says why.
    """
    session = read_session(folder, problems)
    if session is None:
        return None
    results = work_out(session, problems, progress)
    outline = read_outline(session, results, problems, pacing=partial(_frame_showing, results))
    return None if outline is None else Episode(results, outline)


def _frame_showing(results: Results, cue: Cue, run_s: float) -> int:
    """Return the frame of a cue that shows a time of the run it draws."""
    session = results.session
    style = load_style(session.spec.episode.style, session.folder / "styles")
    overlay = build(cue, session)
    stage = _stage(cue, overlay, session, style, shrink=1)
    return overlay.frame_at(overlay.content(results), stage.before_leaving, style, run_s)


def _stage(
    cue: Cue, overlay: Overlay[Any], session: Session, style: Style, *, shrink: int
) -> Stage:
    spec = session.spec.episode
    return Stage(
        width=spec.canvas[0] // shrink,
        height=spec.canvas[1] // shrink,
        rate=spec.rate,
        frames=cue.frames,
        style=style.name,
        style_root=str(style.root),
        decimal_mark=spec.decimal_mark,
        place=overlay.place,
        leave=_leave(cue, spec, style) if overlay.leave else 0,
        motion=spec.motion,
    )


def _leave(cue: Cue, spec: EpisodeSpec, style: Style) -> int:
    reduced = spec.motion == "reduced"
    frames = leave_frames(cue.frames, spec.rate, style.motion, reduced=reduced)
    if frames:
        return frames
    raise OutlineError(
        f"the cue has {cue.frames} frames, too few to come and to leave.",
        code="cue-too-short",
        field="leave",
        line=cue.option_lines.get("leave"),
        remedy="Make the cue longer, or take out leave.",
    )


def _check_length(overlay: Overlay[Any], content: Content, stage: Stage) -> None:
    """Make sure that what is shown comes within the cue, less what it takes to leave."""
    try:
        overlay.check_length(content, stage.before_leaving)
    except OutlineError as error:
        if not stage.leave:
            raise
        leaves_s = float(stage.leave / stage.rate)
        raise OutlineError(
            f"less the {leaves_s:.2f} s in which it leaves, {error.message}",
            code=error.code,
            field=error.field,
            line=error.line,
            remedy=f"{error.remedy} Or take out leave.",
        ) from error


def find_cue(outline: Outline, cue: str) -> Cue:
    """Return a cue by its id.

    Raises
    ------
    OutlineError
        If there is none of that id.
    """
    for candidate in outline.cues:
        if candidate.cue == cue:
            return candidate
    known = ", ".join(candidate.cue for candidate in outline.cues) or "none"
    raise OutlineError(
        f"there is no cue {cue!r}; the outline has: {known}.",
        code="unknown-cue",
        file=outline.file,
        remedy="Use one of these ids, or give a cue this id in the outline.",
    )


def plan_cue(cue: Cue, episode: Episode, *, codec: str, shrink: int = 1) -> Clip:
    """Plan the clip of one cue.

    Parameters
    ----------
    cue, episode
        What to show, when, and out of what.
    codec : str
        A name in `CODECS`; gives the file's ending.
    shrink : int
        Divides the canvas, for a preview.

    Raises
    ------
    OutlineError
        If the cue's options do not fit its kind, name something that is not there, or need
        more time than the cue has.
    StyleError
        If the session's style cannot be found or read.
    """
    session = episode.results.session
    spec = session.spec.episode
    style = load_style(spec.style, session.folder / "styles")
    overlay = build(cue, session)
    content = overlay.content(episode.results)
    stage = _stage(cue, overlay, session, style, shrink=shrink)
    _check_length(overlay, content, stage)
    return Clip(
        cue=cue.cue,
        kind=cue.kind,
        beat=cue.beat,
        file=safe_file_name(cue.cue) + CODECS[codec],
        first_frame=cue.first_frame,
        handles=spec.handles,
        timebase=episode.outline.timebase,
        stage=stage,
        content=content,
        figures=content.figures,
        description=overlay.describe(content),
    )


def plan_episode(episode: Episode, problems: Problems, *, codec: str) -> tuple[Clip, ...]:
    """Plan every clip of an episode, in order of time.

    What is wrong with a cue goes to `problems`, with its place in the outline; the others are
    planned all the same.
    """
    _check_pictures(episode.results.session, problems)
    clips: list[Clip] = []
    outline = episode.outline
    for cue in outline.cues:
        with problems.collecting(file=outline.file, line=cue.line):
            clips.append(plan_cue(cue, episode, codec=codec))
    names: dict[str, Clip] = {}
    for clip in clips:
        # Some file systems do not tell upper from lower case.
        first = names.setdefault(clip.file.casefold(), clip)
        with problems.collecting(file=outline.file):
            _check_place(clip, first)
    _check_waivers(episode, problems)
    return tuple(clips)


def _check_pictures(session: Session, problems: Problems) -> None:
    """Tell pictures that cannot be read, whether a cue shows them or not, and doubtful ones."""
    for place in pictures_declared(session):
        with problems.collecting():
            picture = session_picture(session, *place)
            for code, message, remedy in picture_doubts(picture, session.spec.episode.canvas):
                file, line = session.file(place[0]), session.line(*place)
                problems.warn(
                    code, f"{'.'.join(place)}: {message}", remedy=remedy, file=file, line=line
                )


def _check_waivers(episode: Episode, problems: Problems) -> None:
    """Tell waivers for cues that are not there: they would waive nothing."""
    session = episode.results.session
    known = [cue.cue for cue in episode.outline.cues]
    for index, waiver in enumerate(session.spec.waivers):
        line = session.line("waivers", index, "cue")
        with problems.collecting(file=session.file("waivers"), line=line):
            if waiver.cue and waiver.cue not in known:
                raise SessionError(
                    f"there is no cue {waiver.cue!r}.",
                    code="unknown-cue",
                    field=f"waivers.{index}.cue",
                    remedy=closest(waiver.cue, known),
                )


def review_episode(episode: Episode, problems: Problems) -> tuple[Finding, ...]:
    """Record what is worth a look before rendering, though nothing of it is an error.

    Odd runs, figures shown with more digits than they support, numbers said that the data does
    not bear out, gaps and overlaps in time.

    Parameters
    ----------
    episode : Episode
        Read to the end.
    problems : Problems
        Gets the warnings.

    Returns
    -------
    tuple of Finding
        Every number that was said, as `overlays.outline.review.review_outline` finds it.
    """
    review_results(episode.results, problems)
    return review_outline(episode.outline, episode.results, problems)


def _check_place(clip: Clip, first: Clip) -> None:
    if first is not clip:
        raise OutlineError(
            f"cues {first.cue!r} and {clip.cue!r} would both be written to {clip.file!r}.",
            code="same-file-name",
            remedy="Give one of them another id.",
        )
    if clip.file_first_frame < 0:
        raise OutlineError(
            f"the handles of cue {clip.cue!r} begin before timecode zero.",
            code="handle-before-zero",
            remedy="Start the episode's timecode later (session.toml: episode.start).",
        )
