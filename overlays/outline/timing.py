"""Drafts → beats and cues on the timeline.

Everything is added up in exact fractions of frames, and each position is rounded once, on its own:
four hundred beats of a third of a second end where a hundred and thirty-three seconds and a third
end. A beat's last frame is the one before the next beat's first. A cue's written length is rounded
by itself, so that the same cue has as many frames wherever its beat begins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from overlays.errors import OutlineError, Problems
from overlays.model.outline import Beat, Cue
from overlays.outline.draft import DraftBeat, DraftCue
from overlays.outline.narration import word_count
from overlays.outline.written import LONGEST_S, Place
from overlays.timecode import Timebase, whole_frames

__all__ = ["Clock", "place_beats"]


@dataclass(frozen=True, slots=True)
class Clock:
    """What the timeline goes by.

    Parameters
    ----------
    timebase : Timebase
        Of the episode.
    start : int
        The episode's first frame.
    frames_per_word : Fraction
        The host's pace.
    """

    timebase: Timebase
    start: int
    frames_per_word: Fraction

    def at(self, place: Place, origin: Fraction) -> Fraction:
        """Return a place in exact frames on the timeline; offsets count from `origin`."""
        return place.frames if place.absolute else origin + place.frames

    def label(self, frames: Fraction) -> str:
        """Write exact frames as a label."""
        return self.timebase.label(whole_frames(frames))

    def seconds(self, frames: Fraction) -> str:
        """Write a length in seconds, for messages."""
        return f"{float(frames / self.timebase.rate):.2f} s"


@dataclass(frozen=True, slots=True)
class _Span:
    """A stretch of the timeline in exact frames, and where its times come from."""

    begin: Fraction
    end: Fraction
    timed_by: str

    @property
    def first_frame(self) -> int:
        return whole_frames(self.begin)

    @property
    def end_frame(self) -> int:
        return whole_frames(self.end)


def place_beats(
    drafts: Sequence[DraftBeat], clock: Clock, problems: Problems, *, file: str
) -> tuple[Beat, ...]:
    """Place every beat and cue; what is wrong goes to `problems`.

    Parameters
    ----------
    drafts : sequence of DraftBeat
        In the order of the script.
    clock : Clock
        What the timeline goes by.
    problems : Problems
        Gets an error for beats that overlap or run backward and for cues outside their beat, a
        warning for cues that run past it and for words that do not fit.
    file : str
        The outline, for messages.
    """
    beats: list[Beat] = []
    before = _Span(Fraction(clock.start), Fraction(clock.start), "written")
    for draft, following in zip(drafts, [*drafts[1:], None], strict=True):
        begin = before.end
        with problems.collecting(file=file, line=draft.line):
            begin = _begin(draft, before, clock)
        span = _Span(begin, begin, "written")
        with problems.collecting(file=file, line=draft.line):
            span = _span(draft, begin, _written_in(following, clock), clock)
        if span.end_frame <= span.first_frame:
            _warn_empty(draft, problems, file)
            continue
        _warn_words(draft, span, clock, problems, file)
        cues = _place_cues(draft, span, clock, problems, file)
        beats.append(_beat(draft, span, cues))
        before = span
    with problems.collecting(file=file):
        # The last frame needs a label too: an episode does not run past the end of the day.
        clock.timebase.label(max(0, before.end_frame - 1))
    return tuple(beats)


def _begin(draft: DraftBeat, before: _Span, clock: Clock) -> Fraction:
    written = _written_in(draft, clock)
    if written is None:
        return before.end
    if whole_frames(written) < before.first_frame or written < clock.start:
        raise OutlineError(
            f"the beat {draft.title!r} begins at {clock.label(max(written, Fraction(0)))}, before "
            f"the one in front of it ({clock.label(before.begin)}).",
            code="beat-backward",
            remedy="Beats stand in order of time: move it, or change its in-point.",
        )
    if whole_frames(written) < before.end_frame:
        over = before.end - written
        raise OutlineError(
            f"the beat {draft.title!r} begins at {clock.label(written)}, {clock.seconds(over)} "
            f"before the one in front of it ends ({clock.label(before.end)}).",
            code="beat-overlap",
            remedy="Shorten the one in front, or begin this one later.",
        )
    return written


def _written_in(draft: DraftBeat | None, clock: Clock) -> Fraction | None:
    if draft is None or draft.times.start is None:
        return None
    return clock.at(draft.times.start, Fraction(clock.start))


def _span(draft: DraftBeat, begin: Fraction, next_in: Fraction | None, clock: Clock) -> _Span:
    times = draft.times
    if times.length is not None:
        return _Span(begin, begin + times.length, "written")
    if times.out is not None:
        end = clock.at(times.out, begin)
        if whole_frames(end) <= whole_frames(begin):
            raise OutlineError(
                f"the beat {draft.title!r} ends at {clock.label(max(end, Fraction(0)))}, not after "
                f"it begins ({clock.label(begin)}).",
                code="out-before-in",
                remedy="Change its out-point.",
            )
        return _Span(begin, end, "written")
    # An estimate is known to no better than a frame, so it is taken in whole ones: what follows
    # then keeps its place between frames, and cues that merely move keep their length.
    spoken = math.ceil(_spoken(draft, clock))
    cues = [_cue_end(cue, begin, clock) - begin for cue in draft.cues]
    end = begin + max([Fraction(spoken), *cues])
    if next_in is not None and begin < next_in < end:
        end = next_in
    return _Span(begin, end, "speaking rate")


def _spoken(draft: DraftBeat, clock: Clock) -> Fraction:
    return word_count(draft.narration.aloud) * clock.frames_per_word


def _cue_end(cue: DraftCue, begin: Fraction, clock: Clock) -> Fraction:
    """Return where a cue wants to end, or begin where it has no length of its own."""
    if cue.times.out is not None:
        return clock.at(cue.times.out, begin)
    at = begin if cue.times.start is None else clock.at(cue.times.start, begin)
    return at + (cue.times.length or 0)


def _warn_empty(draft: DraftBeat, problems: Problems, file: str) -> None:
    problems.warn(
        "empty-beat",
        f"the beat {draft.title!r} has no words, no length and no cue with a length; "
        "it is left out.",
        file=file,
        line=draft.line,
        remedy="Write its narration, or give it a length.",
    )


def _warn_words(draft: DraftBeat, span: _Span, clock: Clock, problems: Problems, file: str) -> None:
    spoken = _spoken(draft, clock)
    if spoken > (span.end - span.begin) * Fraction(5, 4):
        problems.warn(
            "too-many-words",
            f"the {word_count(draft.narration.aloud)} words of {draft.title!r} take about "
            f"{clock.seconds(spoken)} at the session's speaking rate, and the beat has "
            f"{clock.seconds(span.end - span.begin)} ({clock.label(span.begin)} to "
            f"{clock.label(span.end)}).",
            file=file,
            line=draft.line,
            remedy="Cut words, or give the beat more time.",
        )


def _place_cues(
    draft: DraftBeat, span: _Span, clock: Clock, problems: Problems, file: str
) -> tuple[Cue, ...]:
    cues: list[Cue] = []
    for cue in draft.cues:
        with problems.collecting(file=file, line=cue.line):
            placed = _place_cue(cue, draft, span, clock)
            cues.append(placed)
            past = placed.first_frame + placed.frames - span.end_frame
            if past > 0:
                problems.warn(
                    "cue-past-beat",
                    f"the cue {cue.cue!r} runs {clock.seconds(Fraction(past))} past the end of its "
                    f"beat ({clock.label(span.end)}).",
                    file=file,
                    line=cue.lines.get("length", cue.line),
                    remedy="Shorten it, begin it sooner, or give the beat more time.",
                )
    return tuple(sorted(cues, key=lambda cue: (cue.first_frame, cue.line)))


def _place_cue(cue: DraftCue, draft: DraftBeat, span: _Span, clock: Clock) -> Cue:
    start = span.begin if cue.times.start is None else clock.at(cue.times.start, span.begin)
    first = whole_frames(start)
    if not span.first_frame <= first < span.end_frame:
        where = "before" if first < span.first_frame else "at or after the end of"
        raise OutlineError(
            f"the cue {cue.cue!r} begins at {clock.label(max(start, Fraction(0)))}, {where} its "
            f"beat ({clock.label(span.begin)} to {clock.label(span.end)}).",
            code="cue-outside-beat",
            remedy="'at' is an offset from the beat's in-point, such as 2 s, or a label within "
            "the beat.",
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
            remedy="Let it end after it begins.",
        )
    return Cue(cue.cue, cue.kind, draft.beat, first, frames, cue.options, cue.line, cue.lines)


def _beat(draft: DraftBeat, span: _Span, cues: tuple[Cue, ...]) -> Beat:
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
        sentences=draft.narration.sentences,
    )
