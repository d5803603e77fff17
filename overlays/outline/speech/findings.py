"""Numbers said, held against numbers measured: supported, contradicted or unsupported."""

from __future__ import annotations

import itertools
import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

from overlays.errors import Problems
from overlays.model.outline import Beat, HeardLine, Outline
from overlays.model.result import Results
from overlays.outline.speech.as_scripted import as_scripted
from overlays.outline.speech.claims import Claim, find_claims
from overlays.outline.speech.judgement import Hints, Judgement, Verdict, judge, stems
from overlays.outline.speech.known import Knowledge

__all__ = [
    "Finding",
    "Spot",
    "report_findings",
    "script_findings",
    "voice_findings",
]

_FULL_STOP = re.compile(r"(?<![.!?…])[.!?…]++(?=\s)")
_LONGEST_SENTENCE = 240
_UNFILLED = re.compile(r"\{[^{}]*\}")


@dataclass(frozen=True, slots=True)
class Spot:
    """Where and when something was said.

    Parameters
    ----------
    where : {"script", "captions"}
        In the outline, or in the captions of the recorded voice.
    beat : str
        Id of the beat.
    line : int or None
        Line in the outline or the captions.
    frame : int
        When, on the episode's timeline.
    """

    where: Literal["script", "captions"]
    beat: str
    line: int | None
    frame: int


@dataclass(frozen=True, slots=True)
class Finding:
    """One number that was said, and what became of it.

    Parameters
    ----------
    said : str
        The number as said, with hedge and unit.
    sentence : str
        What it was said in.
    spot : Spot
        Where and when.
    judgement : Judgement
        Whether the data bears it out.
    """

    said: str
    sentence: str
    spot: Spot
    judgement: Judgement

    @property
    def verdict(self) -> Verdict:
        """Whether the data bears it out."""
        return self.judgement.verdict

    @property
    def data(self) -> str:
        """What the data says, with its name; empty where there is nothing like it."""
        near = self.judgement.candidate
        return f"{near.shown} ({near.label})" if near else ""


def script_findings(outline: Outline, results: Results) -> tuple[Finding, ...]:
    """Hold every number typed into the narration against the data.

    Numbers filled in from references need no check: they are the data.
    """
    knowledge = Knowledge(results)
    found = (finding for beat in outline.beats for finding in _of_beat(beat, knowledge))
    return tuple(itertools.islice(found, knowledge.most_judged))


def _of_beat(beat: Beat, knowledge: Knowledge) -> Iterator[Finding]:
    context: tuple[str, ...] = ()
    for sentence in beat.sentences:
        # A reference that could not be filled in has its own error.
        text = _UNFILLED.sub(lambda match: " " * len(match[0]), sentence.text)
        filled = [(filling.start, filling.end) for filling in sentence.fillings]
        spot = Spot("script", beat.beat, sentence.line, sentence.first_frame)
        for claim, judged, _ in _judged(
            text, knowledge, context, lambda _: beat.figures, filled=filled
        ):
            yield Finding(claim.text, sentence.text, spot, judged)
        context = knowledge.entries_in(text) or context


def _judged(
    text: str,
    knowledge: Knowledge,
    context: Sequence[str],
    figures: Callable[[Claim], Iterable[tuple[str, str]]],
    *,
    filled: Sequence[tuple[int, int]] = (),
) -> Iterator[tuple[Claim, Judgement, Sequence[str]]]:
    """Yield every claim of a text, what became of it, and the entries it is about.

    Those within the stretches that were filled in from the data are passed over.
    """
    mark = knowledge.session.spec.episode.decimal_mark
    words = stems(text)
    for claim in find_claims(text, knowledge.lexicon, decimal_mark=mark):
        if any(start < claim.end and claim.start < end for start, end in filled):
            continue
        gap = claim.form in ("difference", "excess")
        named = knowledge.named(text, claim.start, claim.end, gap=gap)
        hints = Hints(words, frozenset(figures(claim)))
        judged = judge(claim, knowledge, named=named, context=context, hints=hints)
        yield claim, judged, named or context


def voice_findings(outline: Outline, results: Results) -> tuple[Finding, ...]:
    """Hold every number said in the recorded voice, by its captions, against the data."""
    knowledge = Knowledge(results)
    script = {beat.beat: beat for beat in outline.beats}
    lines: dict[str, list[HeardLine]] = {}
    for heard in outline.heard:
        lines.setdefault(heard.beat, []).append(heard)
    beats = (_Spoken(script.get(beat), own, knowledge) for beat, own in lines.items())
    found = (finding for beat in beats for finding in beat.findings())
    return tuple(itertools.islice(found, knowledge.most_judged))


class _Spoken:
    """What was said in one beat, and what its script has there."""

    def __init__(self, beat: Beat | None, lines: Sequence[HeardLine], knowledge: Knowledge) -> None:
        self.beat, self.lines, self.knowledge = beat, lines, knowledge
        self.text, self.starts = _joined(lines)
        self.mark = knowledge.session.spec.episode.decimal_mark

    def findings(self) -> Iterator[Finding]:
        context: tuple[str, ...] = ()
        for begin, end in _stretches(self.text, self.starts):
            said = self.text[begin:end]
            scripted = partial(self._figures, begin)
            for claim, judged, about in _judged(said, self.knowledge, context, scripted):
                line, place = self._line(begin + claim.start)
                spot = Spot("captions", line.beat, line.line, line.frame_at(place))
                yield Finding(claim.text, said.strip(), spot, self._excused(claim, judged, about))
            context = self.knowledge.entries_in(said) or context

    def _excused(self, claim: Claim, judged: Judgement, about: Sequence[str]) -> Judgement:
        found = judged.candidate
        if judged.verdict == "supported":
            if found is None or len(found.entries) < 2 or set(found.figures) <= self._own_figures:
                return judged
            # Some pair of entries fits nearly any number: what the script has goes before it.
            about = ()
        own = as_scripted(claim, self.beat, spoken_of=about, decimal_mark=self.mark)
        return own or judged

    @property
    def _own_figures(self) -> frozenset[tuple[str, str]]:
        return frozenset(self.beat.figures if self.beat is not None else ())

    def _line(self, place: int) -> tuple[HeardLine, int]:
        """Return the caption at a place of the text, and the place within it."""
        number = bisect_right(self.starts, place) - 1
        return self.lines[number], place - self.starts[number]

    def _figures(self, begin: int, claim: Claim) -> Iterable[tuple[str, str]]:
        """Return the figures of the sentences that the script has while a claim is heard."""
        if self.beat is None:
            return ()
        first = self._line(begin + claim.start)[0].first_frame
        end = self._line(begin + claim.end - 1)[0].end_frame
        sentences = self.beat.sentences
        ends = [sentence.first_frame for sentence in sentences[1:]]
        near = [
            pair
            for sentence, until in itertools.zip_longest(sentences, ends)
            if sentence.first_frame < end and (until is None or until > first)
            for filling in sentence.fillings
            for pair in filling.figures
        ]
        return near or self.beat.figures


def _joined(lines: Sequence[HeardLine]) -> tuple[str, list[int]]:
    """Put captions on one line, and say where each begins: a number may run across two."""
    text, starts = "", []
    for line in lines:
        starts.append(len(text))
        text += f"{line.text} "
    return text, starts


def _stretches(text: str, starts: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Part captions into sentences; where they have no full stops, into a few captions each."""
    ends = [match.end() for match in _FULL_STOP.finditer(text)]
    begin = 0
    for end in [*ends, len(text)]:
        while end - begin > _LONGEST_SENTENCE:
            cut = max((start for start in starts if begin < start <= begin + _LONGEST_SENTENCE),
                      default=begin + _LONGEST_SENTENCE)  # fmt: skip
            yield begin, cut
            begin = cut
        if end > begin:
            yield begin, end
        begin = end


def report_findings(findings: Iterable[Finding], problems: Problems, *, outline: Outline) -> None:
    """Record a warning for every number that the data does not bear out.

    Parameters
    ----------
    findings : iterable of Finding
        Of script and captions.
    problems : Problems
        Gets the warnings.
    outline : Outline
        For file names and timecode.
    """
    for found in findings:
        judged, spot = found.judgement, found.spot
        if judged.verdict == "supported" and not judged.remark:
            continue
        if judged.verdict == "supported":
            says, code, remedy = (
                judged.remark,
                "number-doubtful",
                "Check whose number it is, and which way round.",
            )
        elif judged.verdict == "contradicted":
            says = f"the data says {found.data}. {judged.remark}".strip()
            code, remedy = "number-contradicted", "Write a reference instead: {ENTRY FIGURE}."
        else:
            says = "no figure supports it" + (f"; nearest is {found.data}." if found.data else ".")
            code, remedy = "number-unsupported", "Write a reference, or take the number out."
        in_script = spot.where == "script"
        at = outline.timebase.label(spot.frame)
        problems.warn(
            code,
            f"{found.said!r} is {'written' if in_script else 'said'} at {at}: {says}",
            file=outline.file if in_script else outline.captions,
            line=spot.line,
            remedy=remedy if in_script else "Record the sentence again, or check the run.",
        )
