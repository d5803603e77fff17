"""What somebody should look at before an outline is rendered: times, and numbers said."""

from __future__ import annotations

import itertools

from overlays.errors import Problems
from overlays.model.outline import Beat, Cue, Outline
from overlays.model.result import Results
from overlays.outline.speech.findings import (
    Finding,
    report_findings,
    script_findings,
    voice_findings,
)
from overlays.outline.speech.known import Knowledge

__all__ = ["review_outline", "review_timing"]

# Between beats that are both written, a single frame is a mistake; next to an estimate it is not.
_NOTABLE_GAP_S = 1


def review_outline(outline: Outline, results: Results, problems: Problems) -> tuple[Finding, ...]:
    """Report everything about an outline that is worth a look.

    Parameters
    ----------
    outline : Outline
        The script, timed.
    results : Results
        What its numbers are held against.
    problems : Problems
        Gets the warnings.

    Returns
    -------
    tuple of Finding
        Every number that was said, supported ones included, in order of script, then captions.
    """
    review_timing(outline, problems)
    script, voice = script_findings(outline, results), voice_findings(outline, results)
    most = Knowledge(results).most_judged
    for found, file in ((script, outline.file), (voice, outline.captions)):
        if len(found) >= most:
            problems.warn(
                "too-many-numbers",
                f"only the first {most} numbers are held against the data.",
                file=file,
                line=found[-1].spot.line,
                remedy="Write references instead, {ENTRY FIGURE}, or split the episode.",
            )
    findings = script + voice
    report_findings(findings, problems, outline=outline)
    return findings


def review_timing(outline: Outline, problems: Problems) -> None:
    """Report gaps between beats, and cues of one kind that overlap and are put in one place."""
    for first, second in itertools.pairwise(outline.beats):
        _report_gap(outline, first, second, problems)
    alike: dict[tuple[str, str], list[Cue]] = {}
    for cue in outline.cues:
        alike.setdefault((cue.kind, repr(cue.options.get("place"))), []).append(cue)
    for cues in alike.values():
        for earlier, later in itertools.pairwise(cues):
            over = earlier.first_frame + earlier.frames - later.first_frame
            if over > 0:
                problems.warn(
                    "cues-overlap",
                    f"the cues {earlier.cue!r} and {later.cue!r}, both {later.kind}, overlap by "
                    f"{_seconds(outline, over)} from {outline.timebase.label(later.first_frame)}.",
                    file=outline.file,
                    line=later.line,
                    remedy="Shorten the first, begin the second later, or give it another place.",
                )


def _report_gap(outline: Outline, first: Beat, second: Beat, problems: Problems) -> None:
    end = first.first_frame + first.frames
    gap = second.first_frame - end
    written = first.timed_by == second.timed_by == "written"
    if gap > (0 if written else _NOTABLE_GAP_S * outline.timebase.rate):
        problems.warn(
            "gap",
            f"nothing is said for {_seconds(outline, gap)} between {first.title!r}, which ends at "
            f"{outline.timebase.label(end)}, and {second.title!r}, which begins at "
            f"{outline.timebase.label(second.first_frame)}.",
            file=outline.file,
            line=second.line,
            remedy="Nothing need be done if the picture speaks there.",
        )


def _seconds(outline: Outline, frames: int) -> str:
    return f"{float(frames / outline.timebase.rate):.2f} s"
