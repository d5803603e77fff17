"""The checks of text: long enough to be read, large enough, and standing out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from overlays.checks.contrast import judge_contrast
from overlays.checks.findings import Finding
from overlays.checks.reading_time import (
    SILENT_WORDS_PER_MIN,
    WORDS_PER_MIN,
    count_words,
    judge_reading_time,
)
from overlays.checks.text_size import judge_text_size
from overlays.checks.writing import Line, Showing, ground_of, is_number
from overlays.draw.patch import Pixels
from overlays.draw.text import Face

__all__ = ["judge_legibility", "judge_reading"]

# A number that stands for less is one of a running counter, and not meant to be read.
_COUNTER_S = Fraction(1, 2)
# Panels let some picture through; a block is what lets through little of it.
_BLOCK_ALPHA = 204
# WCAG's large text: 24 CSS pixels, taken as lines on a canvas whose shorter side is 1080.
_LARGE_LINES = 24


def judge_reading(
    shown: Sequence[Showing],
    *,
    rate: Fraction,
    floor_px: int,
    quiet: tuple[int, int, int, int],
    first_frame: int = 0,
) -> Finding:
    """Judge whether the words of an overlay can be read, each while it stands.

    All can be read one after the other exactly if, for every stretch of time, what stands within
    that stretch only can be read in it: the demand bound for tasks with a release and a deadline
    (Baruah, Rosier and Howell, 1990), for a reader who may read in any order.

    What the style sets loud (names, titles, figures) should be readable at the pace of subtitles,
    and together with labels, units and captions at that of silent reading. Where it is not, that
    is a caution and no failure: an editor may hold a clip longer, into its tail handle. Numbers of
    a scale, set at the style's smallest size, are looked up and not read; numbers of a running
    counter count once they stand still.

    Parameters
    ----------
    shown : sequence of Showing
        From `overlays.checks.writing.Showings`.
    rate : Fraction
        Frames per second.
    floor_px : int
        The style's smallest size of type on this canvas.
    quiet : (int, int, int, int)
        The style's colour of labels, units and captions.
    first_frame : int
        The cue's first frame in the file.
    """
    to_read = [item for item in shown if not _passed_over(item, rate, floor_px)]
    loud = _tightest([item for item in to_read if item.colour != quiet], rate)
    found = loud.judged(rate, WORDS_PER_MIN)
    if found.verdict == "fail":
        return replace(found, verdict="caution", frame=first_frame + loud.first)
    everything = _tightest(to_read, rate)
    skimmed = everything.judged(rate, SILENT_WORDS_PER_MIN)
    if skimmed.verdict == "fail":
        return replace(skimmed, verdict="caution", frame=first_frame + everything.first)
    return found


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A stretch of a cue, in its frames, and what stands within it only."""

    first: int
    end: int
    texts: tuple[str, ...]

    def needed(self, rate: Fraction) -> Fraction:
        """Return the time that reading takes at a word a second, as a share of what there is."""
        return count_words(self.texts) * rate / (self.end - self.first)

    def judged(self, rate: Fraction, words_per_min: int) -> Finding:
        frames = self.end - self.first
        return judge_reading_time(self.texts, frames=frames, rate=rate, words_per_min=words_per_min)


def _tightest(shown: Sequence[Showing], rate: Fraction) -> _Stretch:
    """Return the stretch of time in which there is most to read for its length."""
    stretches = [
        _Stretch(first, end, _within(shown, first, end))
        for first in sorted({item.first_frame for item in shown})
        for end in sorted({item.end_frame for item in shown if item.end_frame > first})
    ]
    return max(stretches, key=lambda stretch: stretch.needed(rate), default=_Stretch(0, 1, ()))


def _passed_over(item: Showing, rate: Fraction, floor_px: int) -> bool:
    if not is_number(item.text):
        return False
    return item.size <= floor_px or Fraction(item.end_frame - item.first_frame) / rate < _COUNTER_S


def _within(shown: Iterable[Showing], first: int, end: int) -> tuple[str, ...]:
    return tuple(x.text for x in shown if x.first_frame >= first and x.end_frame <= end)


def judge_legibility(
    lines: Iterable[Line], pixels: Pixels, *, frame: int | None = None
) -> tuple[Finding, ...]:
    """Judge size and contrast of every line of text in a frame.

    Parameters
    ----------
    lines : iterable of Line
        What is written in it.
    pixels : ndarray of shape (H, W, 4)
        The frame as drawn.
    frame : int, optional
        Which frame of the file.

    Returns
    -------
    tuple of Finding
        Failures, each kind of text once; else one pass a check.
    """
    canvas = (pixels.shape[1], pixels.shape[0])
    found: dict[tuple[str, object], Finding] = {}
    for line in lines:
        ground = ground_of(line, pixels)
        on_block = ground[3] >= _BLOCK_ALPHA
        face = Face(line.files, line.size)
        name = f"the text {line.text[:40]!r}"
        sized = judge_text_size(
            name, height_px=face.ascent + face.descent, canvas=canvas, on_block=on_block
        )
        found.setdefault(("text-size", (line.size, on_block)), replace(sized, frame=frame))
        large = line.size * 1080 >= _LARGE_LINES * min(canvas)
        seen = judge_contrast(name, text=line.colour, panel=ground, large=large)
        found.setdefault(("contrast", (line.colour, ground, large)), replace(seen, frame=frame))
    failed = tuple(finding for finding in found.values() if finding.verdict == "fail")
    passed = tuple(
        Finding(check, "pass", message)
        for check, message in (
            ("text-size", "every text is large enough."),
            ("contrast", "every text stands out."),
        )
        if not any(finding.check == check for finding in failed)
    )
    return failed + passed
