"""Drafts → beats and cues on the timeline.

Times come from what is written; else from the recorded voice, where its captions were matched to
the script; else from the word count at the session's speaking rate.

Everything is added up in exact fractions of frames, and each position is rounded once, on its own:
four hundred beats of a third of a second end where a hundred and thirty-three seconds and a third
end. A beat's last frame is the one before the next beat's first. A cue's written length is rounded
by itself, so that the same cue has as many frames wherever its beat begins.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Sequence
from contextlib import AbstractContextManager
from fractions import Fraction

from overlays.errors import OutlineError, Problems
from overlays.model.outline import Beat, Cue, SaidWord, Sentence
from overlays.outline.anchors import Phrase
from overlays.outline.clock import Clock, Span
from overlays.outline.cues import DOUBTFUL_MS, LaidBeat, Sources, place_cues, spoken_frames
from overlays.outline.draft import DraftBeat, DraftCue
from overlays.outline.narration import word_count
from overlays.outline.voice.hearing import HeardBeat
from overlays.outline.voice.said import TimedWord, said_by_beat
from overlays.timecode import whole_frames

__all__ = ["place_beats"]

_DOUBTFUL = 0.75


def place_beats(
    drafts: Sequence[DraftBeat], sources: Sources, problems: Problems
) -> tuple[Beat, ...]:
    """Place every beat and cue; what is wrong goes to `problems`.

    Parameters
    ----------
    drafts : sequence of DraftBeat
        In the order of the script.
    sources : Sources
        What times are taken from.
    problems : Problems
        Gets an error for beats that overlap or run backward and for cues outside their beat, a
        warning for cues that run past it, for words that do not fit, and for what is doubtful.
    """
    return _Placing(drafts, sources, problems).beats()


class _Placing:
    """One walk over the drafts."""

    def __init__(self, drafts: Sequence[DraftBeat], sources: Sources, problems: Problems) -> None:
        self.drafts = drafts
        self.sources = sources
        self.clock: Clock = sources.clock
        self.problems = problems
        voice = sources.voice if sources.captions else None
        self.heard = [voice.beat(index) if voice else None for index in range(len(drafts))]
        narrations = [draft.narration.sentences for draft in drafts]
        self.said = said_by_beat(voice, narrations) if voice else {}

    def beats(self) -> tuple[Beat, ...]:
        beats: list[Beat] = []
        cues: dict[str, Cue] = {}
        before = Span(Fraction(self.clock.start), Fraction(self.clock.start), "written")
        for index, draft in enumerate(self.drafts):
            begin = before.end
            with self._collecting(draft):
                begin = self._begin(index, before)
            span = Span(begin, begin, "written")
            with self._collecting(draft):
                span = self._span(index, begin)
            if span.end_frame <= span.first_frame:
                self._warn_empty(index)
                continue
            self._warn(index, span)
            own = place_cues(LaidBeat(draft, index, span), cues, self.sources, self.problems)
            cues |= {cue.cue: cue for cue in own}
            beats.append(self._beat(index, span, own))
            before = span
        with self.problems.collecting(file=self.sources.file):
            # The last frame needs a label too: no episode runs past the end of the day.
            self.clock.timebase.label(max(0, before.end_frame - 1))
        return tuple(beats)

    def _collecting(self, draft: DraftBeat) -> AbstractContextManager[None]:
        return self.problems.collecting(file=self.sources.file, line=draft.line)

    def _written_in(self, index: int) -> Fraction | None:
        if index >= len(self.drafts) or self.drafts[index].times.start is None:
            return None
        start = self.drafts[index].times.start
        return None if start is None else self.clock.at(start, Fraction(self.clock.start))

    def _heard_in(self, index: int) -> Fraction | None:
        heard = self.heard[index] if index < len(self.heard) else None
        return None if heard is None else self.clock.heard(heard.begin.ms)

    def _begin(self, index: int, before: Span) -> Fraction:
        draft, clock = self.drafts[index], self.clock
        written = self._written_in(index)
        if written is None:
            heard = self._heard_in(index)
            return before.end if heard is None else max(heard, before.end)
        if written < clock.start:
            raise OutlineError(
                f"the beat {draft.title!r} begins at {clock.label(written)}, before the episode "
                f"({clock.label(Fraction(clock.start))}).",
                code="beat-before-start",
                remedy="Change its in-point, or the episode's start (session.toml: episode.start).",
            )
        if whole_frames(written) < before.first_frame:
            raise OutlineError(
                f"the beat {draft.title!r} begins at {clock.label(written)}, before the one in "
                f"front of it ({clock.label(before.begin)}).",
                code="beat-backward",
                remedy="Beats stand in order of time: move it, or change its in-point.",
            )
        if whole_frames(written) < before.end_frame:
            raise OutlineError(
                f"the beat {draft.title!r} begins at {clock.label(written)}, "
                f"{clock.seconds(before.end - written)} before the one in front of it ends "
                f"({clock.label(before.end)}).",
                code="beat-overlap",
                remedy="Shorten the one in front, or begin this one later.",
            )
        return written

    def _span(self, index: int, begin: Fraction) -> Span:
        times, clock = self.drafts[index].times, self.clock
        if times.length is not None:
            return Span(begin, self._shortened(index, begin + times.length), "written")
        if times.out is not None:
            end = clock.at(times.out, begin)
            if whole_frames(end) <= whole_frames(begin):
                raise OutlineError(
                    f"the beat {self.drafts[index].title!r} ends at {clock.label(end)}, not after "
                    f"it begins ({clock.label(begin)}).",
                    code="out-before-in",
                    remedy="Change its out-point.",
                )
            return Span(begin, end, "written")
        heard = self.heard[index]
        end = clock.heard(heard.end_ms) if heard is not None else Fraction(0)
        if heard is not None and whole_frames(end) > whole_frames(begin):
            return Span(begin, self._capped(index, begin, end), "captions")
        return Span(
            begin, self._capped(index, begin, self._estimate(index, begin)), "speaking rate"
        )

    def _shortened(self, index: int, end: Fraction) -> Fraction:
        """Let a written length give way to a written in-point where the voice moved the beat."""
        draft, following = self.drafts[index], self._written_in(index + 1)
        if draft.times.start is not None or self.heard[index] is None or following is None:
            return end
        over = whole_frames(end) - whole_frames(following)
        if over <= 0:
            return end
        self.problems.warn(
            "beat-shortened",
            f"the beat {draft.title!r} is heard later than its length allows for: it loses "
            f"{self.clock.seconds(Fraction(over))}, for the next one is written to begin at "
            f"{self.clock.label(following)}.",
            file=self.sources.file,
            line=draft.line,
            remedy="Shorten it, or take out the next one's in-point: the captions then say when.",
        )
        return following

    def _estimate(self, index: int, begin: Fraction) -> Fraction:
        # An estimate is known to no better than a frame, so it is taken in whole ones: what
        # follows then keeps its place between frames, and cues that merely move their length.
        draft = self.drafts[index]
        spoken = Fraction(math.ceil(spoken_frames(draft, self.clock)))
        return max([begin + spoken, *(self._wanted_end(cue, index, begin) for cue in draft.cues)])

    def _capped(self, index: int, begin: Fraction, end: Fraction) -> Fraction:
        """Let a beat end where the next one is known to begin."""
        following = self._written_in(index + 1)
        if following is None:
            following = self._heard_in(index + 1)
        return end if following is None or following >= end else max(begin, following)

    def _wanted_end(self, cue: DraftCue, index: int, begin: Fraction) -> Fraction:
        """Return where a cue wants to end, as far as that is known before its beat's length is."""
        if cue.times.out is not None:
            return self.clock.at(cue.times.out, begin)
        origin, voice = begin, self.sources.voice
        if isinstance(cue.anchor, Phrase) and voice is not None:
            share = voice.share(index, cue.anchor.text)
            origin += share * spoken_frames(self.drafts[index], self.clock)
        at = origin if cue.times.start is None else self.clock.at(cue.times.start, origin)
        # As many frames as the cue will have, or its beat could end a frame before it.
        return at + whole_frames(cue.times.length or Fraction(0))

    def _warn_empty(self, index: int) -> None:
        draft = self.drafts[index]
        unsaid = bool(draft.narration.sentences)
        self.problems.warn(
            "beat-not-heard" if unsaid else "empty-beat",
            f"the beat {draft.title!r} was not heard, and the recording has no room for it; it is "
            "left out."
            if unsaid
            else f"the beat {draft.title!r} has no words, no length and no cue with a length; "
            "it is left out.",
            file=self.sources.file,
            line=draft.line,
            remedy="Write its in-point, or take it out."
            if unsaid
            else "Write its narration, or give it a length.",
        )

    def _warn(self, index: int, span: Span) -> None:
        heard = self.heard[index]
        if heard is not None:
            self._warn_heard(index, span, heard)
            return
        draft, clock = self.drafts[index], self.clock
        voice = self.sources.voice if self.sources.captions else None
        if voice is not None and draft.narration.sentences and span.timed_by != "written":
            self.problems.warn(
                "beat-not-heard",
                f"of the beat {draft.title!r} {voice.confidence(index):.0%} was recognised in "
                f"{self.sources.captions}; it is put at {clock.label(span.begin)} by the speaking "
                "rate.",
                file=self.sources.file,
                line=draft.line,
                remedy="Listen there; write its in-point and length.",
            )
        spoken = spoken_frames(draft, clock)
        if spoken > (span.end - span.begin) * Fraction(5, 4):
            self.problems.warn(
                "too-many-words",
                f"the {word_count(draft.narration.aloud)} words of {draft.title!r} take about "
                f"{clock.seconds(spoken)} at the session's speaking rate, and the beat has "
                f"{clock.seconds(span.end - span.begin)} ({clock.label(span.begin)} to "
                f"{clock.label(span.end)}).",
                file=self.sources.file,
                line=draft.line,
                remedy="Cut words, or give the beat more time.",
            )

    def _warn_heard(self, index: int, span: Span, heard: HeardBeat) -> None:
        draft, clock = self.drafts[index], self.clock
        said = clock.heard(heard.begin.ms)
        if draft.times.start is not None:
            if abs(said - span.begin) > clock.timebase.rate / 2:
                self.problems.warn(
                    "voice-elsewhere",
                    f"the beat {draft.title!r} is written to begin at {clock.label(span.begin)}, "
                    f"and its words are heard from {clock.label(said)}.",
                    file=self.sources.file,
                    line=draft.line,
                    remedy="Change its in-point, or take it out: the captions then say when.",
                )
            return
        if heard.confidence < _DOUBTFUL or heard.begin.within_ms > DOUBTFUL_MS:
            self.problems.warn(
                "doubtful-beat",
                f"the beat {draft.title!r} is put at {clock.label(said)}, within "
                f"{heard.begin.within_ms / 1000:.2f} s; {heard.confidence:.0%} of it was "
                f"recognised in {self.sources.captions}.",
                file=self.sources.file,
                line=draft.line,
                remedy="Listen there; write its in-point if it is off.",
            )

    def _beat(self, index: int, span: Span, cues: tuple[Cue, ...]) -> Beat:
        draft, heard = self.drafts[index], self.heard[index]
        voice = self.sources.voice if self.sources.captions else None
        return Beat(
            beat=draft.beat,
            title=draft.title,
            first_frame=span.first_frame,
            frames=span.end_frame - span.first_frame,
            timed_by=span.timed_by,
            narration=draft.narration.text,
            source=draft.narration.source,
            figures=draft.narration.figures,
            cues=cues,
            line=draft.line,
            sentences=self._sentences(index, span),
            confidence=heard.confidence if heard else 0.0 if voice else None,
            said=tuple(self._on_timeline(word) for word in self.said.get(index, ())),
        )

    def _on_timeline(self, word: TimedWord) -> SaidWord:
        first, end = (whole_frames(self.clock.heard(ms)) for ms in (word.start_ms, word.end_ms))
        return SaidWord(word.text, max(0, first), max(0, end))

    def _sentences(self, index: int, span: Span) -> tuple[Sentence, ...]:
        """Give every sentence its time: as heard, else by its share of the words."""
        sentences = self.drafts[index].narration.sentences
        counts = [word_count(sentence.aloud) for sentence in sentences]
        spoken = min(spoken_frames(self.drafts[index], self.clock), span.end - span.begin)
        per_word = spoken / max(1, sum(counts))
        timed: list[Sentence] = []
        before = itertools.accumulate(counts, initial=0)
        for place, (sentence, words) in enumerate(zip(sentences, before, strict=False)):
            at = span.begin + words * per_word
            if span.timed_by == "captions" and self.sources.voice is not None:
                ms = self.sources.voice.sentence_ms(index, place)
                at = at if ms is None else self.clock.heard(ms)
            timed.append(dataclasses.replace(sentence, first_frame=whole_frames(at)))
        return tuple(timed)
