"""Lengths and places as written, in exact frames."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import OutlineError, TimecodeError
from overlays.outline.written import Place, read_length, read_place
from overlays.timecode import USUAL_RATES, Timebase

NTSC = Timebase(Fraction(30000, 1001), drop=True)
PAL = Timebase(Fraction(25))


@pytest.mark.parametrize(
    ("text", "timebase", "frames"),
    [
        ("2 s", NTSC, Fraction(60000, 1001)),
        ("2s", PAL, 50),
        ("500 ms", PAL, Fraction(25, 2)),
        ("1.5 min", PAL, 2250),
        ("0.1 h", PAL, 9000),
        ("60 frames", NTSC, 60),
        ("1 frame", PAL, 1),
        ("00:00:12:05", PAL, 305),
        ("00:01:00;02", NTSC, 1800),
    ],
)
def test_lengths_are_exact(text: str, timebase: Timebase, frames: Fraction | int) -> None:
    """A length is exact frames: a time, a count, or a label counted from zero."""
    assert read_length(text, timebase) == frames


def test_places_are_labels_or_offsets() -> None:
    """A label is a place on the timeline, everything else an offset, which may be negative."""
    label, offset = read_place("01:00:00:00", PAL), read_place("-0.4 s", PAL)
    assert label == Place(Fraction(90000), absolute=True)
    assert offset == Place(Fraction(-10), absolute=False)


def test_the_other_mark_is_noticed() -> None:
    """A label written for the other way of counting is read, and says so."""
    assert read_place("00:01:00;02", PAL).other_mark
    assert not read_place("00:01:00;02", NTSC).other_mark
    assert read_place("00:01:00:02", NTSC).frames == 1800


@pytest.mark.parametrize(
    "value", [2, 2.5, True, None, ["2 s"], "", "2", "2 sec", "two s", "2 S", "1:30", "s", "٢ s"]
)
def test_other_ways_of_writing_are_refused(value: object) -> None:
    """What has no unit or no quotes is refused, with an example."""
    with pytest.raises(OutlineError) as caught:
        read_place(value, PAL)
    assert caught.value.code == "bad-time"
    assert '"2 s"' in caught.value.remedy


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("0 s", "no-length"),
        ("-2 s", "no-length"),
        ("1 ms", "no-length"),
        ("7 h", "absurd-length"),
        ("999999999 min", "absurd-length"),
        ("20:00:00:00", "absurd-length"),
        ("1.5 frames", "bad-time"),
    ],
)
def test_absurd_lengths_are_refused(text: str, code: str) -> None:
    """No frame at all, parts of frames, and more than six hours are refused."""
    with pytest.raises(OutlineError) as caught:
        read_length(text, PAL)
    assert caught.value.code == code


def test_labels_that_do_not_exist_are_refused() -> None:
    """A length or place cannot be a label that drop-frame leaves out."""
    with pytest.raises(TimecodeError, match="leaves out"):
        read_length("00:01:00;00", NTSC)


@given(
    st.decimals(min_value="0.05", max_value=20000, places=3, allow_nan=False),
    st.sampled_from(USUAL_RATES),
)
def test_seconds_are_taken_to_the_last_digit(seconds: Decimal, rate: Fraction) -> None:
    """Nothing is rounded in reading: the frames are the decimal times the rate."""
    assert read_length(f"{seconds} s", Timebase(rate)) == Fraction(seconds) * rate
