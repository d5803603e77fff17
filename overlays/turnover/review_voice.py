"""The review page's sections on the voice: numbers said, and how beats and cues got their times."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from overlays.errors import Problem
from overlays.model.outline import Outline
from overlays.outline.speech.findings import Finding
from overlays.timecode import Timebase
from overlays.turnover.markup import Html, spaced, table, tag

__all__ = ["is_settled", "number_item", "numbers_said", "times_found"]

# Their lines are those of the beat or cue that is in doubt.
_DOUBTS = frozenset(("beat-not-heard", "doubtful-beat", "doubtful-cue", "voice-elsewhere"))
_AROUND = 90  # letters of a sentence that are shown on either side of a number
_CLASSES = {"supported": "good", "contradicted": "error", "unsupported": "warning"}


def is_settled(found: Finding) -> bool:
    """Say whether a number is borne out with nothing left to look at."""
    return found.verdict == "supported" and not found.judgement.remark


def number_item(found: Finding, outline: Outline) -> Html:
    """Tell of a number that is not borne out: when it is said, in what, and what the data says."""
    told = f"The data says {found.data}." if found.data else "No figure is like it."
    if found.verdict == "supported":
        told = f"It fits {found.data}."
    elif found.verdict == "unsupported" and found.data:
        told = f"No figure supports it; nearest is {found.data}."
    return spaced(
        tag("b", outline.timebase.label(found.spot.frame)),
        _verdict(found),
        _sentence(found),
        told,
        found.judgement.remark,
        tag("span", _where(found, outline), class_="quiet"),
    )


def _verdict(found: Finding) -> Html:
    doubtful = found.verdict == "supported" and not is_settled(found)
    word = "doubtful" if doubtful else found.verdict
    return tag("span", word, class_="warning" if doubtful else _CLASSES[found.verdict])


def _where(found: Finding, outline: Outline) -> str:
    file = outline.file if found.spot.where == "script" else outline.captions
    return f"{file}:{found.spot.line}" if found.spot.line else file


def _sentence(found: Finding) -> Html:
    """Return the sentence, or the part of a long one around the number, the number marked."""
    before, _, after = found.sentence.partition(found.said)
    if len(before) > _AROUND:
        before = "… " + re.sub(r"^\S*\s", "", before[-_AROUND:])
    if len(after) > _AROUND:
        after = re.sub(r"\s\S*$", "", after[:_AROUND]) + " …"
    # Blanks at the ends of a text are lost in the page.
    lead, trail = (Html(" " if gap else "") for gap in (before[-1:] == " ", after[:1] == " "))
    return tag("q", before, lead, tag("mark", found.said), trail, after)


def numbers_said(said: Sequence[Finding], outline: Outline) -> Html:
    """List every number typed into the script or said in the recorded voice, and what bears it out.

    Parameters
    ----------
    said : sequence of Finding
        Of script and captions, in order of time within each.
    outline : Outline
        For timecode and file names.
    """
    if not said:
        nothing = tag("p", "No number is typed into the script, and none was heard.")
        return tag("section", tag("h2", "Numbers said"), nothing, id="numbers")
    rows = [
        (
            outline.timebase.label(found.spot.frame),
            found.said,
            _verdict(found),
            found.data or "–",
            found.judgement.rounding or "–",
            _where(found, outline),
        )
        for found in said
    ]
    borne = sum(found.verdict == "supported" for found in said)
    summary = f"{borne} of {len(said)} numbers are borne out by the data. Those filled in from "
    listed = table(("Time", "Said", "Verdict", "Data", "Rounding", "Where"), rows, stacked=True)
    note = tag("p", f"{summary}references are the data, and not listed.")
    return tag("section", tag("h2", "Numbers said"), note, listed, id="numbers")


def times_found(outline: Outline, problems: Sequence[Problem]) -> Html:
    """List where the time of each beat and cue comes from, and how much of it was recognised.

    Parameters
    ----------
    outline : Outline
        The beats and cues.
    problems : sequence of Problem
        What was told on the way; doubts are marked in the list.
    """
    doubted = {problem.line: problem for problem in problems if problem.code in _DOUBTS}
    rows = list(_rows(outline, doubted))
    heads = ("Beat or cue", "In", "Timed by", "Recognised", "Doubt")
    source = (
        f"The recorded voice is {outline.captions}."
        if outline.captions
        else "There are no captions of a recorded voice."
    )
    listed = table(heads, rows, numbers=(3,), stacked=True)
    return tag("section", tag("h2", "Times"), tag("p", source), listed, id="times")


def _rows(outline: Outline, doubted: dict[int | None, Problem]) -> Iterator[Sequence[str]]:
    timebase = outline.timebase
    for beat in outline.beats:
        yield (
            tag("b", beat.title),
            *_row(timebase, beat.first_frame, beat.timed_by, beat.confidence),
            _doubt(doubted.get(beat.line)),
        )
        for cue in beat.cues:
            line = cue.option_lines.get("when", cue.line)
            yield (
                cue.cue,
                *_row(timebase, cue.first_frame, cue.timed_by, cue.confidence),
                _doubt(doubted.get(line)),
            )


def _row(
    timebase: Timebase, frame: int, timed_by: str, confidence: float | None
) -> tuple[str, str, str]:
    return timebase.label(frame), timed_by, "–" if confidence is None else f"{confidence:.0%}"


def _doubt(problem: Problem | None) -> Html:
    if problem is None:
        return Html("")
    word = {"beat-not-heard": "not heard", "voice-elsewhere": "heard elsewhere"}
    return tag("a", word.get(problem.code, "doubtful"), href="#findings", class_="warning")
