"""The episode's timeline: exact frames, and the labels, lengths and voice times that lie on it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from overlays.outline.written import Place
from overlays.timecode import Timebase, whole_frames

__all__ = ["Clock", "Span"]


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
    voice_zero_ms : int
        Time of the captions at which the episode begins.
    """

    timebase: Timebase
    start: int
    frames_per_word: Fraction
    voice_zero_ms: int = 0

    def at(self, place: Place, origin: Fraction) -> Fraction:
        """Return a place in exact frames on the timeline; offsets count from `origin`."""
        return place.frames if place.absolute else origin + place.frames

    def heard(self, ms: int) -> Fraction:
        """Return a time of the captions in exact frames on the timeline."""
        return self.start + Fraction(ms - self.voice_zero_ms, 1000) * self.timebase.rate

    def label(self, frames: Fraction) -> str:
        """Write exact frames as a label; what lies before zero as zero."""
        return self.timebase.label(max(0, whole_frames(frames)))

    def seconds(self, frames: Fraction) -> str:
        """Write a length in seconds, for messages."""
        return f"{float(frames / self.timebase.rate):.2f} s"


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the timeline in exact frames, and where its times come from."""

    begin: Fraction
    end: Fraction
    timed_by: str

    @property
    def first_frame(self) -> int:
        """The frame it begins on."""
        return whole_frames(self.begin)

    @property
    def end_frame(self) -> int:
        """The frame behind its last."""
        return whole_frames(self.end)
