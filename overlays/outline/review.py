"""What somebody should look at before an outline is rendered: times, reading, numbers said."""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from overlays.errors import Problems
from overlays.model.outline import Beat, Cue, Outline
from overlays.model.result import Results
from overlays.outline.reading import reading_s, words_on_screen
from overlays.outline.speech.findings import (
    Finding,
    report_findings,
    script_findings,
    voice_findings,
)
from overlays.outline.speech.known import Knowledge

__all__ = ["review_outline", "review_reading", "review_timing"]

# Between beats that are both written, a single frame is a mistake; next to an estimate it is not.
_NOTABLE_GAP_S = 1


def review_outline(
    outline: Outline,
    results: Results,
    problems: Problems,
    *,
    texts: Mapping[str, str] | None = None,
) -> tuple[Finding, ...]:
    """Report everything about an outline that is worth a look.

    Parameters
    ----------
    outline : Outline
        The script, timed.
    results : Results
        What its numbers are held against.
    problems : Problems
        Gets the warnings.
    texts : Mapping[str, str], optional
        The words on screen by cue id; without it, those written in the outline's options.

    Returns
    -------
    tuple of Finding
        Every number that was said, supported ones included, in order of script, then captions.
    """
    review_timing(outline, problems)
    review_reading(outline, _written_texts(outline) if texts is None else texts, problems)
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


def review_reading(outline: Outline, texts: Mapping[str, str], problems: Problems) -> None:
    """Report words that stand for less time than they take to read.

    Parameters
    ----------
    outline : Outline
        Where the cues stand.
    texts : Mapping[str, str]
        The words on screen by cue id.
    problems : Problems
        Gets a warning for each cue that is too short for its words.
    """
    for cue in outline.cues:
        text = texts.get(cue.cue, "")
        needed, there = reading_s(text), float(cue.frames / outline.timebase.rate)
        if needed > there:
            problems.warn(
                "too-short-to-read",
                f"the {words_on_screen(text)} words of the cue {cue.cue!r} stand for {there:.2f} s "
                f"at {outline.timebase.label(cue.first_frame)}; reading them takes {needed:.2f} s.",
                file=outline.file,
                line=cue.line,
                remedy="Give the cue more time, or show fewer words.",
            )


def _written_texts(outline: Outline) -> dict[str, str]:
    """Return the free text of each cue's options: values with a blank in them are for reading."""
    return {
        cue.cue: " ".join(
            value for value in cue.options.values() if isinstance(value, str) and " " in value
        )
        for cue in outline.cues
    }


def _seconds(outline: Outline, frames: int) -> str:
    return f"{float(frames / outline.timebase.rate):.2f} s"
