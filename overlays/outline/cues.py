"""Draft cues → cues on the timeline, each hung where it belongs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from overlays.errors import OutlineError, Problems
from overlays.model.outline import Cue
from overlays.model.result import Results
from overlays.outline.anchors import DataEvent, Phrase
from overlays.outline.clock import Clock, Span
from overlays.outline.draft import DraftBeat, DraftCue
from overlays.outline.events import event_s
from overlays.outline.narration import word_count
from overlays.outline.voice.hearing import Spot, Voice
from overlays.outline.written import LONGEST_S
from overlays.session.validation import closest
from overlays.timecode import whole_frames

__all__ = [
    "DOUBTFUL_MS",
    "LaidBeat",
    "Pacing",
    "Sources",
    "place_cues",
    "plain_pacing",
    "spoken_frames",
]

Pacing = Callable[[Cue, float], int]
"""Says which frame of a cue shows a time of the run, in seconds from the trigger."""

DOUBTFUL_MS = 250
_DOUBTFUL = 0.75


@dataclass(frozen=True, slots=True)
class Sources:
    """Everything that times are taken from.

    Parameters
    ----------
    clock : Clock
        The timeline.
    results : Results
        For events in the data.
    pacing : Callable
        For the same: when a cue shows which time of a run.
    voice : Voice or None
        The recorded voice and the script's words; None where nothing asks for them.
    file : str
        The outline, for messages.
    captions : str
        The captions, for messages.
    """

    clock: Clock
    results: Results
    pacing: Pacing
    voice: Voice | None
    file: str
    captions: str = ""


def plain_pacing(results: Results) -> Pacing:
    """Return the pacing of a cue that draws from its first frame, live or to fit its length."""
    spec = results.session.spec

    def pacing(cue: Cue, run_s: float) -> int:
        exact = Fraction(repr(run_s))
        if cue.options.get("pace") == "fit":
            length_s = spec.tests[str(cue.options["test"])].length.to("s")
            return whole_frames(cue.frames * exact / Fraction(repr(length_s)))
        return whole_frames(exact * spec.episode.rate)

    return pacing


def spoken_frames(draft: DraftBeat, clock: Clock) -> Fraction:
    """Return how long a beat's narration takes at the host's pace, in exact frames."""
    return word_count(draft.narration.aloud) * clock.frames_per_word


@dataclass(frozen=True, slots=True)
class LaidBeat:
    """A beat as written, its number in the script, and where it lies."""

    draft: DraftBeat
    index: int
    span: Span


def place_cues(
    beat: LaidBeat, placed: Mapping[str, Cue], sources: Sources, problems: Problems
) -> tuple[Cue, ...]:
    """Place the cues of a beat; what is wrong goes to `problems`.

    Parameters
    ----------
    beat : LaidBeat
        The beat.
    placed : Mapping[str, Cue]
        The cues placed before, by id.
    sources : Sources
        What times are taken from.
    problems : Problems
        Gets what is wrong or doubtful.
    """
    return _Hanging(beat, dict(placed), sources, problems).cues()


@dataclass(frozen=True, slots=True)
class _Hung:
    """Where a cue hangs, offset included, in exact frames."""

    frames: Fraction
    timed_by: str
    confidence: float | None = None


class _Hanging:
    """One walk over the cues of a beat."""

    def __init__(
        self, beat: LaidBeat, placed: dict[str, Cue], sources: Sources, problems: Problems
    ) -> None:
        self.beat = beat
        self.draft, self.span = beat.draft, beat.span
        self.placed = placed
        self.own: list[Cue] = []
        self.sources = sources
        self.clock = sources.clock
        self.problems = problems

    def cues(self) -> tuple[Cue, ...]:
        """Place them all."""
        # What waits for an event comes last: it needs the cue that draws the run.
        for cue in sorted(self.draft.cues, key=lambda cue: isinstance(cue.anchor, DataEvent)):
            with self.problems.collecting(file=self.sources.file, line=cue.line):
                done = self._placed(cue, self._hung(cue))
                self.placed[done.cue] = done
                self.own.append(done)
                self._warn_past(done)
        return tuple(sorted(self.own, key=lambda cue: (cue.first_frame, cue.line)))

    def _hung(self, cue: DraftCue) -> _Hung:
        at, begin = cue.times.start, self.span.begin
        if cue.anchor is None:
            timed_by = "written" if at is not None and at.absolute else self.span.timed_by
            return _Hung(begin if at is None else self.clock.at(at, begin), timed_by)
        if isinstance(cue.anchor, Phrase):
            hung = self._at_phrase(cue, cue.anchor)
        else:
            hung = self._at_event(cue.anchor)
        if at is None:
            return hung
        if at.absolute:
            raise OutlineError(
                "a cue that hangs on a phrase or an event takes an offset, not a label.",
                code="two-anchors",
                line=cue.lines.get("at"),
                field="at",
                remedy='Write an offset such as at = "0.5 s", or leave it out.',
            )
        return _Hung(hung.frames + at.frames, hung.timed_by, hung.confidence)

    def _at_event(self, event: DataEvent) -> _Hung:
        drawn_by = self._drawn_by(event)
        run_s = event_s(event, drawn_by, self.sources.results)
        frame = drawn_by.first_frame + self.sources.pacing(drawn_by, run_s)
        return _Hung(Fraction(frame), "event")

    def _drawn_by(self, event: DataEvent) -> Cue:
        if event.of is not None:
            if event.of in self.placed:
                return self.placed[event.of]
            raise OutlineError(
                f"there is no cue {event.of!r} up to here.",
                code="no-event",
                field="event",
                remedy=closest(event.of, list(self.placed)),
            )
        drawing = [cue for cue in self.own if "test" in cue.options]
        if len(drawing) != 1:
            raise OutlineError(
                f"{len(drawing)} cues of this beat draw a run; which one is meant is not said.",
                code="no-event",
                field="event",
                remedy='Name it: event = { what = "peak", of = "ID" }.',
            )
        return drawing[0]

    def _at_phrase(self, cue: DraftCue, phrase: Phrase) -> _Hung:
        voice = self.sources.voice
        if voice is None:  # the reader gives one wherever a cue hangs on a phrase
            raise OutlineError("the script's words are missing.", code="no-phrase", remedy="")
        first, last = voice.span(self.beat.index)
        place = self._chosen(voice.places(self.beat.index, phrase.text), cue, phrase)
        if voice.beat(self.beat.index) is None or self.span.timed_by != "captions":
            spoken = min(spoken_frames(self.draft, self.clock), self.span.end - self.span.begin)
            share = Fraction(place, max(1, last - first))
            return _Hung(self.span.begin + spoken * share, "speaking rate")
        spot = voice.spot(first + place, len(voice.ear.text(phrase.text)))
        if spot.within_ms > DOUBTFUL_MS or spot.confidence < _DOUBTFUL:
            self._warn_doubt(cue, phrase, spot)
        return _Hung(self.clock.heard(spot.ms), "captions", spot.confidence)

    def _chosen(self, places: list[int], cue: DraftCue, phrase: Phrase) -> int:
        """Return which of the places a phrase was found at is meant."""
        nth = phrase.occurrence or 1
        if nth > len(places):
            sentences = [sentence.text for sentence in self.draft.narration.sentences]
            near = f" Nearest is: {_nearest(phrase.text, sentences)!r}." if sentences else ""
            times = f"only {len(places)} times" if places else "nowhere"
            key = "occurrence" if places else "when"
            raise OutlineError(
                f"{phrase.text!r} is said {times} in {self.draft.title!r}.",
                code="no-phrase",
                line=cue.lines.get(key),
                field=key,
                remedy=f"Write words as the narration has them.{near}",
            )
        if phrase.occurrence is None and len(places) > 1:
            self.problems.warn(
                "phrase-twice",
                f"{phrase.text!r} is said {len(places)} times in {self.draft.title!r}; the first "
                "is taken.",
                file=self.sources.file,
                line=cue.lines.get("when", cue.line),
                remedy="Write occurrence = 1, or more words of the phrase.",
            )
        return places[nth - 1]

    def _warn_doubt(self, cue: DraftCue, phrase: Phrase, spot: Spot) -> None:
        self.problems.warn(
            "doubtful-cue",
            f"{phrase.text!r}, on which the cue {cue.cue!r} hangs, is put at "
            f"{self.clock.label(self.clock.heard(spot.ms))}, within {spot.within_ms / 1000:.2f} s, "
            f"with a confidence of {spot.confidence:.0%}.",
            file=self.sources.file,
            line=cue.lines.get("when", cue.line),
            remedy="Listen there; write the time as 'at' if it is off, or caption with word times.",
        )

    def _placed(self, cue: DraftCue, hung: _Hung) -> Cue:
        span, clock = self.span, self.clock
        first = whole_frames(hung.frames)
        if not span.first_frame <= first < span.end_frame:
            where = "before" if first < span.first_frame else "at or after the end of"
            raise OutlineError(
                f"the cue {cue.cue!r} begins at {clock.label(hung.frames)}, {where} its beat "
                f"({clock.label(span.begin)} to {clock.label(span.end)}).",
                code="cue-outside-beat",
                line=cue.lines.get("at"),
                remedy="'at' is an offset, such as 2 s, or a label within the beat.",
            )
        if cue.times.length is not None:
            frames = whole_frames(cue.times.length)
        elif cue.times.out is not None:
            frames = whole_frames(clock.at(cue.times.out, span.begin)) - first
        else:
            frames = span.end_frame - first
        if not 1 <= frames <= LONGEST_S * clock.timebase.rate:
            raise OutlineError(
                f"the cue {cue.cue!r} has {frames} frames.",
                code="out-before-in",
                line=cue.lines.get("out"),
                remedy="Let it end after it begins.",
            )
        return Cue(
            cue=cue.cue,
            kind=cue.kind,
            beat=self.draft.beat,
            first_frame=first,
            frames=frames,
            options=cue.options,
            line=cue.line,
            option_lines=cue.lines,
            timed_by=hung.timed_by,
            confidence=hung.confidence,
        )

    def _warn_past(self, cue: Cue) -> None:
        past = cue.first_frame + cue.frames - self.span.end_frame
        if past > 0:
            self.problems.warn(
                "cue-past-beat",
                f"the cue {cue.cue!r} runs {self.clock.seconds(Fraction(past))} past the end of "
                f"its beat ({self.clock.label(self.span.end)}).",
                file=self.sources.file,
                line=cue.option_lines.get("length", cue.line),
                remedy="Shorten it, begin it sooner, or give the beat more time.",
            )


def _nearest(text: str, sentences: list[str]) -> str:
    from rapidfuzz import fuzz, process

    found = process.extractOne(text, sentences, scorer=fuzz.partial_ratio)
    return str(found[0])[:80] if found else sentences[0][:80]
