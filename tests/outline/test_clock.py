"""The episode's timeline."""

from __future__ import annotations

from fractions import Fraction

from overlays.outline.clock import Clock, Span
from overlays.outline.written import Place
from overlays.timecode import Timebase

NTSC = Clock(Timebase(Fraction(30000, 1001), drop=True), 107892, Fraction(12), voice_zero_ms=1000)


def test_labels_and_offsets_find_their_place() -> None:
    """A label is absolute, an offset counts from where it is said to."""
    assert NTSC.at(Place(Fraction(109692), absolute=True), Fraction(5)) == 109692
    assert NTSC.at(Place(Fraction(-3), absolute=False), Fraction(5)) == 2


def test_heard_times_are_exact() -> None:
    """1001 ms after the voice's zero are 30.0 frames at 30000/1001 (exact arithmetic)."""
    assert NTSC.heard(2001) == 107892 + Fraction(30)


def test_labels_never_fail_before_zero() -> None:
    """A place before zero is written as zero, for messages."""
    assert NTSC.label(Fraction(-5)) == "00:00:00;00"
    assert NTSC.label(Fraction(1799) + Fraction(1, 2)) == "00:01:00;02"
    assert NTSC.seconds(Fraction(60000, 1001)) == "2.00 s"


def test_a_span_rounds_each_end_by_itself() -> None:
    """Both ends go to their own nearest frame."""
    span = Span(Fraction(7, 2), Fraction(29, 4), "written")
    assert (span.first_frame, span.end_frame) == (4, 7)
