"""Overlays that cover each other, found out before any clip is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from overlays.checks.findings import Finding, placed
from overlays.draw.canvas import shown_box
from overlays.draw.patch import Rect
from overlays.model.clip import Clip
from overlays.render.frames import lay_out_clip

__all__ = ["judge_overlaps"]


def judge_overlaps(clips: Sequence[Clip]) -> tuple[Finding, ...]:
    """Judge whether overlays on screen at the same time cover each other.

    Cues of one kind that are put in one place are left to the review of the outline, which warns
    about every overlap of theirs in time.
    What an overlay covers is the box around all it ever shows; handles do not count.

    Parameters
    ----------
    clips : sequence of Clip
        As planned.

    Returns
    -------
    tuple of Finding
        A caution a pair, at the later cue, with the place and time.
    """
    boxes: dict[str, Rect] = {}
    found: list[Finding] = []
    ordered = sorted(clips, key=lambda clip: clip.first_frame)
    for earlier, later in combinations(ordered, 2):
        together = min(earlier.first_frame + earlier.stage.frames,
                       later.first_frame + later.stage.frames) - later.first_frame  # fmt: skip
        alike = (earlier.kind, earlier.stage.place) == (later.kind, later.stage.place)
        if alike or together <= 0:
            continue
        for clip in (earlier, later):
            if clip.cue not in boxes:
                boxes[clip.cue] = shown_box(lay_out_clip(clip))
        both = boxes[earlier.cue].meet(boxes[later.cue])
        if not both.empty:
            found.append(_caution(earlier, later, both, together))
    return tuple(found)


def _caution(earlier: Clip, later: Clip, both: Rect, together: int) -> Finding:
    end = later.timebase.label(later.first_frame + together)
    finding = Finding(
        "overlap",
        "caution",
        f"{later.cue!r} ({later.kind}) covers {earlier.cue!r} ({earlier.kind}) until {end}, "
        f"from ({both.left}, {both.top}) to ({both.right}, {both.bottom}).",
        f"Begin it when {earlier.cue!r} has ended, shorten that one, or put one elsewhere (place).",
        frame=later.handles[0],
    )
    return placed(
        finding,
        cue=later.cue,
        timebase=later.timebase,
        file_first_frame=later.file_first_frame,
    )
