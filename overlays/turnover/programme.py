"""The programme: what a turnover's timelines, captions and chapters count from."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from overlays.model.outline import Outline
from overlays.model.session import Session
from overlays.timecode import Timebase, s_from_frames
from overlays.turnover.manifest import Manifest

__all__ = ["Programme", "programme"]


@dataclass(frozen=True, slots=True)
class Programme:
    """Where an episode begins and ends on its timeline.

    Parameters
    ----------
    timebase : Timebase
        Of the episode.
    first_frame : int
        The programme's first frame, where the published video begins.
    end_frame : int
        The first frame after it.
    """

    timebase: Timebase
    first_frame: int
    end_frame: int

    def elapsed_s(self, frame: int) -> Fraction:
        """Return how many seconds of the published video lie before a frame, exactly."""
        return s_from_frames(frame - self.first_frame, self.timebase.rate)

    def elapsed_ms(self, frame: int) -> int:
        """Return the same in milliseconds, to the nearest; halves up."""
        return int(self.elapsed_s(frame) * 1000 + Fraction(1, 2))


def programme(session: Session, outline: Outline, manifest: Manifest) -> Programme:
    """Work out where the episode begins and ends.

    It begins at the session's start timecode, or earlier where a beat or cue was placed earlier,
    and ends with its last beat or cue.

    Raises
    ------
    TimecodeError
        If the session's start is no timecode.
    """
    timebase = outline.timebase
    first = timebase.frame(session.spec.episode.start, either_mark=True)
    begins = [beat.first_frame for beat in outline.beats]
    begins += [clip.first_frame for clip in manifest.clips]
    ends = [beat.first_frame + beat.frames for beat in outline.beats]
    ends += [clip.end_frame for clip in manifest.clips]
    return Programme(timebase, min([first, *begins]), max([first, *ends]))
