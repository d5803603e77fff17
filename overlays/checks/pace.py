"""Whether a cue leaves an overlay the time to come, found out before any clip is drawn.

A cue that is too short is not refused: everything then comes faster. From some point on nobody can
follow. How much is too much is our own choice (no source): three quarters of the time it takes at
the style's own pace.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from overlays.checks.findings import Finding, placed
from overlays.draw.growing import growing_frames
from overlays.draw.patch import Scene
from overlays.kinds.registry import kinds
from overlays.model.clip import Clip
from overlays.progress import Progress, silent
from overlays.render.frames import lay_out_clip

__all__ = ["coming_frames", "judge_pace"]

_LEAST_SHARE = 0.75
# Times do not depend on the size of the picture; a small one is laid out sooner.
_LARGE_ENOUGH_PX = 270


def judge_pace(clips: Sequence[Clip], *, progress: Progress = silent) -> tuple[Finding, ...]:
    """Judge whether overlays have to hurry, by laying them out: no frame is drawn.

    Parameters
    ----------
    clips : sequence of Clip
        As planned.
    progress : Progress
        Told after every clip.

    Returns
    -------
    tuple of Finding
        A caution for each that comes in less than three quarters of the time it would take in a
        cue of its kind's natural length, with both times. Curves being drawn do not count, for how
        fast they are is the cue's own choice; nor does reduced motion, in which nothing is on its
        way.
    """
    found: list[Finding] = []
    for done, clip in enumerate(clips, start=1):
        found += _judged(clip)
        progress(done, len(clips), "pace")
    return tuple(found)


def _judged(clip: Clip) -> tuple[Finding, ...]:
    rate, standing = clip.stage.rate, clip.stage.standing
    wanted = round(kinds()[clip.kind].natural_s(clip.content) * rate)
    if standing >= wanted or clip.stage.motion == "reduced":
        return ()
    scene = _laid_out(clip, standing)
    # What is complete with so much of its cue left did not have to hurry.
    if 2 * _stands_from(scene) < standing:
        return ()
    has, needs = coming_frames(scene), coming_frames(_laid_out(clip, wanted))
    if has >= _LEAST_SHARE * needs:
        return ()
    has_s, needs_s, lasts_s = (float(frames / rate) for frames in (has, needs, standing))
    enough_s = float((wanted + clip.stage.leave) / rate)
    finding = Finding(
        "pace",
        "caution",
        f"in the {lasts_s:.2f} s there are for it, what it shows comes within {has_s:.2f} s; at "
        f"the style's pace that takes {needs_s:.2f} s.",
        f"Make the cue longer ({enough_s:.1f} s is plenty), or show less.",
        frame=clip.handles[0],
    )
    return (
        placed(
            finding, cue=clip.cue, timebase=clip.timebase, file_first_frame=clip.file_first_frame
        ),
    )


def _laid_out(clip: Clip, frames: int) -> Scene:
    stage = clip.stage
    shrink = max(1, min(stage.width, stage.height) // _LARGE_ENOUGH_PX)
    small = replace(
        stage,
        width=stage.width // shrink,
        height=stage.height // shrink,
        frames=frames,
        place=None,
        leave=0,
    )
    return lay_out_clip(replace(clip, stage=small))


def coming_frames(scene: Scene) -> int:
    """Return how many frames a scene takes until it stands, less those in which curves grow."""
    until = _stands_from(scene) + 1
    return until - sum(growing_frames(scene)[:until])


def _stands_from(scene: Scene) -> int:
    """Return the first frame of the state that stands at the end."""
    last = scene.frames - 1
    final = list(scene.layers(last))
    moving = (frame for frame in range(last - 1, -1, -1) if list(scene.layers(frame)) != final)
    return next(moving, -1) + 1
