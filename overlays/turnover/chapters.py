"""Chapters and beat markers: the beats, for a video page and for an edit."""

from __future__ import annotations

import csv
import io

from overlays.model.outline import Outline
from overlays.model.plain_text import cell_text, clean_text
from overlays.timecode import s_from_frames
from overlays.turnover.programme import Programme

__all__ = ["beats_csv", "chapters_text"]

_COLUMNS = (
    "beat", "title", "record_in", "record_out", "first_frame", "frames", "seconds", "timed_by",
)  # fmt: skip


def chapters_text(outline: Outline, span: Programme) -> str:
    """List the beats as chapters, one a line: ``00:00 Title``.

    Common practice, no source: the first chapter stands at zero, times rise, whole seconds are
    cut off so that nobody misses a beat's first word. Hours are written once the programme has
    one. Of beats that begin within the same second only the first is listed.
    """
    long = span.elapsed_s(span.end_frame) >= 3600
    lines: list[str] = []
    last = -1
    for beat in outline.beats:
        elapsed = int(span.elapsed_s(beat.first_frame)) if lines else 0
        if elapsed > last:
            lines.append(f"{_clock(elapsed, long=long)} {clean_text(beat.title)}\n")
            last = elapsed
    return "".join(lines)


def _clock(elapsed: int, *, long: bool) -> str:
    minutes, seconds = divmod(elapsed, 60)
    if not long:
        return f"{minutes:02}:{seconds:02}"
    return f"{minutes // 60:02}:{minutes % 60:02}:{seconds:02}"


def beats_csv(outline: Outline) -> str:
    """Write the beats as a table of markers; `record_out` is the first frame after the beat.

    Raises
    ------
    TimecodeError
        If a beat ends past 24 hours.
    """
    timebase = outline.timebase
    stream = io.StringIO(newline="")
    rows = csv.writer(stream, lineterminator="\n")
    rows.writerow(_COLUMNS)
    for beat in outline.beats:
        rows.writerow(
            (
                cell_text(beat.beat),
                cell_text(beat.title),
                timebase.label(beat.first_frame),
                timebase.label(beat.first_frame + beat.frames),
                beat.first_frame,
                beat.frames,
                f"{float(s_from_frames(beat.frames, timebase.rate)):.3f}",
                beat.timed_by,
            )
        )
    return stream.getvalue()
