"""Whether the words of an overlay can be read, found out before any clip is drawn."""

from __future__ import annotations

import gc
from collections.abc import Sequence
from pathlib import Path

from overlays.checks.findings import Finding, placed
from overlays.checks.words import judge_reading
from overlays.checks.writing import Showings
from overlays.draw.page import Page
from overlays.model.clip import Clip
from overlays.progress import Progress, silent
from overlays.render.frames import lay_out_clip
from overlays.style.house import Style, load_style

__all__ = ["judge_reading_ahead", "judge_showings"]

_TIDY_EVERY = 8  # clips


def judge_showings(clip: Clip, showings: Showings, style: Style) -> Finding:
    """Judge whether what was shown of a clip can be read while it stands.

    Parameters
    ----------
    clip : Clip
        Which was watched to its cue's last frame.
    showings : Showings
        What was written in its frames.
    style : Style
        It is drawn in.
    """
    stage, quiet = clip.stage, style.colours.quiet
    page = Page(stage.width, stage.height, style)
    return judge_reading(
        showings.until(stage.frames),
        rate=stage.rate,
        floor_px=page.px(style.type.floor),
        quiet=(*quiet.rgb, quiet.alpha),
        first_frame=clip.handles[0],
    )


def judge_reading_ahead(
    clips: Sequence[Clip], *, progress: Progress = silent
) -> tuple[Finding, ...]:
    """Judge the words of planned clips by laying them out: no frame is drawn.

    Parameters
    ----------
    clips : sequence of Clip
        As planned.
    progress : Progress
        Told after every clip.

    Returns
    -------
    tuple of Finding
        Those whose words stand for less time than it takes to read them, with cue and timecode.

    Notes
    -----
    The same judgement as of clips being rendered (`overlays.checks.judge_clip`), and at the same
    size, for what is set small enough to be passed over depends on it.
    """
    found: list[Finding] = []
    for done, clip in enumerate(clips, start=1):
        scene, showings = lay_out_clip(clip), Showings()
        for frame in range(clip.stage.frames):
            showings.add(frame, scene.layers(frame))
        style = load_style(clip.stage.style, Path(clip.stage.style_root))
        told = judge_showings(clip, showings, style)
        if told.verdict != "pass":
            at = placed(
                told,
                cue=clip.cue,
                timebase=clip.timebase,
                file_first_frame=clip.file_first_frame,
            )
            found.append(at)
        if done % _TIDY_EVERY == 0:
            # Pictures of scenes that refer to themselves would pile up: a few hundred megabytes at
            # 2160p.
            del scene, showings
            gc.collect()
        progress(done, len(clips), "reading times")
    return tuple(found)
