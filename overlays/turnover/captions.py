"""Captions and descriptions: WebVTT, by pysubs2.

Lengths and speeds are those of published guidance. Two lines at most: BBC Subtitle Guidelines,
"Avoid 3 lines or more". 32 characters a line and at most 225 words a minute: Described and
Captioned Media Program, "Captioning Guidelines for the DCMP", I.A.1(b) and I.B.4.
"""

from __future__ import annotations

import html
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import pysubs2

from overlays.errors import Problems
from overlays.model.outline import Beat, Outline, SaidWord
from overlays.model.plain_text import clean_text
from overlays.outline.narration import word_count
from overlays.timecode import Timebase, frames_from_s
from overlays.turnover.manifest import Manifest
from overlays.turnover.phrases import phrases
from overlays.turnover.programme import Programme

__all__ = ["FASTEST_WPM", "Caption", "captions", "descriptions", "vtt_text"]

FASTEST_WPM = 225
_PAUSE_S = Fraction(1)  # our own choice: a caption does not run on over it


@dataclass(frozen=True, slots=True)
class Caption:
    """Text shown over frames of the timeline; `end_frame` lies outside."""

    first_frame: int
    end_frame: int
    lines: tuple[str, ...]


def captions(
    outline: Outline, words_per_min: Fraction, problems: Problems | None = None
) -> tuple[Caption, ...]:
    """Cut the narration into captions.

    A beat that was heard in the recorded voice is captioned when its words are said, and an ad-lib
    with it (`overlays.outline.voice.said`). Any other is spoken from its first frame at the
    session's speaking rate, faster where the beat is too short for that; every word takes the
    same time, as in the estimate of a beat's length.

    Parameters
    ----------
    outline : Outline
        The beats.
    words_per_min : Fraction
        The session's speaking rate.
    problems : Problems, optional
        Receives a warning for each beat that would have to be read faster than 225 words a
        minute.
    """
    spoken = [
        (beat, own)
        for beat in outline.beats
        if (own := _as_said(beat, outline.timebase) or _of_beat(beat, outline, words_per_min))
    ]
    if problems is not None:
        begins = [own[0].first_frame for _, own in spoken[1:]]
        for (beat, own), following in itertools.zip_longest(spoken, begins):
            _warn_of_haste(beat, own, following, outline, problems)
    return _one_at_a_time([caption for _, own in spoken for caption in own])


def _as_said(beat: Beat, timebase: Timebase) -> list[Caption]:
    """Cut what was said, at its pauses first, into captions at its times."""
    result: list[Caption] = []
    for run in _runs(beat.said, frames_from_s(_PAUSE_S, timebase.rate)):
        at = 0
        for lines in phrases(" ".join(word.text for word in run)):
            own = run[at : at + sum(len(line.split()) for line in lines)]
            at += len(own)
            wanted = frames_from_s(Fraction(60 * len(own), FASTEST_WPM), timebase.rate)
            end = max(own[-1].end_frame, own[0].first_frame + wanted)
            result.append(Caption(own[0].first_frame, end, lines))
    return result


def _runs(said: Sequence[SaidWord], pause: int) -> Iterator[list[SaidWord]]:
    """Part what was said where nothing is said for a while."""
    run: list[SaidWord] = []
    for word in said:
        plain = clean_text(word.text).split()
        if run and word.first_frame - run[-1].end_frame >= pause:
            yield run
            run = []
        run += [replace(word, text=text) for text in plain]
    if run:
        yield run


def _one_at_a_time(found: Sequence[Caption]) -> tuple[Caption, ...]:
    """End each caption where the next begins, at the latest; one that has no time is left out."""
    ordered = sorted(found, key=lambda caption: caption.first_frame)
    ends = [caption.first_frame for caption in ordered[1:]]
    ends += [caption.end_frame for caption in ordered[-1:]]
    cut = (
        replace(caption, end_frame=min(caption.end_frame, end))
        for caption, end in zip(ordered, ends, strict=True)
    )
    return tuple(caption for caption in cut if caption.end_frame > caption.first_frame)


def _of_beat(beat: Beat, outline: Outline, words_per_min: Fraction) -> list[Caption]:
    pieces = phrases(clean_text(beat.narration))
    # A piece of mere punctuation is shown too, for the time of one word.
    words = [max(1, word_count(" ".join(lines))) for lines in pieces]
    total = sum(words)
    if not total:
        return []
    spoken_s = Fraction(total * 60) / words_per_min
    frames = min(beat.frames, frames_from_s(spoken_s, outline.timebase.rate))
    result, before = [], 0
    for lines, count in zip(pieces, words, strict=True):
        first = beat.first_frame + frames * before // total
        before += count
        end = beat.first_frame + frames * before // total
        if end > first:
            result.append(Caption(first, end, lines))
    return result


def _warn_of_haste(
    beat: Beat,
    spoken: Sequence[Caption],
    following: int | None,
    outline: Outline,
    problems: Problems,
) -> None:
    words = sum(word_count(line) for caption in spoken for line in caption.lines)
    # The last may stay as long as nothing else is said.
    end = spoken[-1].end_frame
    if following is not None:
        end = max(spoken[0].first_frame + 1, min(end, following))
    frames = end - spoken[0].first_frame
    minutes = Fraction(frames) / outline.timebase.rate / 60
    pace = round(words / minutes)
    if pace > FASTEST_WPM:
        problems.warn(
            "captions-too-fast",
            f"beat {clean_text(beat.title)!r} has {words} words in {float(minutes * 60):.1f} s, "
            f"{pace} a minute; captions are readable up to {FASTEST_WPM}.",
            remedy="Give the beat more time, or say it in fewer words.",
            file=outline.file,
            line=beat.line,
        )


def descriptions(manifest: Manifest) -> tuple[Caption, ...]:
    """Say in words what each overlay shows, over the time it shows it."""
    return tuple(
        Caption(clip.first_frame, clip.end_frame, (clean_text(clip.description),))
        for clip in manifest.clips
        if clean_text(clip.description)
    )


def vtt_text(shown: Sequence[Caption], span: Programme) -> str:
    """Write captions as WebVTT (W3C), timed from the programme's first frame.

    Text is written with character references, so that nothing in it can be taken for markup.
    """
    file = pysubs2.SSAFile()
    for caption in shown:
        file.append(
            pysubs2.SSAEvent(
                start=span.elapsed_ms(caption.first_frame),
                end=span.elapsed_ms(caption.end_frame),
                text=r"\N".join(_escaped(line) for line in caption.lines),
            )
        )
    # pysubs2 would otherwise read braces as styling and drop what is inside.
    return file.to_string("vtt", keep_ssa_tags=True)


def _escaped(line: str) -> str:
    return html.escape(line, quote=False).replace("\\", "&#92;")
