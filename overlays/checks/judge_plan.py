"""What can be checked of an episode before anything is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from overlays.checks.findings import Finding, waive
from overlays.checks.numbers import judge_standings, judge_sums
from overlays.checks.overlapping import judge_overlaps
from overlays.checks.pace import judge_pace
from overlays.checks.pictures import judge_entry_colours
from overlays.checks.reading_ahead import judge_reading_ahead
from overlays.model.clip import Clip
from overlays.model.result import Results
from overlays.progress import Progress, silent
from overlays.style.house import load_style

__all__ = ["judge_plan"]


def judge_plan(
    results: Results, clips: Sequence[Clip], *, progress: Progress = silent
) -> tuple[Finding, ...]:
    """Check planned clips: sums, entry colours, what covers what, reading times and pace.

    Parameters
    ----------
    results : Results
        What was measured.
    clips : sequence of Clip
        What will show it.
    progress : Progress
        Told after every clip.

    Returns
    -------
    tuple of Finding
        Failures and cautions, waived where the session says so.
    """
    found = [
        *judge_standings(results),
        *judge_overlaps(clips),
        *judge_reading_ahead(clips, progress=progress),
        *judge_pace(clips, progress=progress),
    ]
    for clip in clips:
        style = load_style(clip.stage.style, Path(clip.stage.style_root))
        told = [*judge_sums(clip), *judge_entry_colours(clip.content, style)]
        found += [replace(item, cue=clip.cue) for item in told if item.verdict != "pass"]
    return waive(found, results.session.spec.waivers)
