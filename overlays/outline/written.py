"""Lengths and places as people write them, in exact frames.

Three ways of writing serve everywhere: a time (``"2 s"``), a count (``"60 frames"``) and a label
(``"01:00:12:05"``). Nothing is rounded here: two seconds at 30000/1001 are 60000/1001 frames.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from overlays.errors import OutlineError
from overlays.timecode import Timebase, whole_frames

__all__ = ["LONGEST_S", "Place", "read_length", "read_place"]

LONGEST_S = 6 * 3600
_SECONDS = {"ms": Fraction(1, 1000), "s": Fraction(1), "min": Fraction(60), "h": Fraction(3600)}
_TIME = re.compile(r"([+-]?\d{1,9}(?:\.\d{1,9})?)\s*(ms|s|min|h|frames?)", re.ASCII)
_LABEL = re.compile(r"\d{2}:\d{2}:\d{2}([:;])\d{2}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Place:
    """Where something lies.

    Parameters
    ----------
    frames : Fraction
        Exact frames, from wherever it is counted.
    absolute : bool
        True for a label: counted on the episode's timeline. False for an offset.
    other_mark : bool
        The label's mark speaks of the other way of counting than the session's.
    """

    frames: Fraction
    absolute: bool
    other_mark: bool = False


def read_place(value: object, timebase: Timebase) -> Place:
    """Read a place: a label on the timeline, or an offset.

    Raises
    ------
    OutlineError
        If it is written in none of the three ways, or absurdly large.
    TimecodeError
        If it is a label that does not exist.
    """
    if not isinstance(value, str):
        raise _unreadable(value)
    text = value.strip()
    if label := _LABEL.fullmatch(text):
        frames = Fraction(timebase.frame(text, either_mark=True))
        return Place(frames, absolute=True, other_mark=(label[1] == ";") != timebase.drop)
    match = _TIME.fullmatch(text)
    if match is None:
        raise _unreadable(value)
    in_frames = match[2].startswith("frame")
    if in_frames and "." in match[1]:
        raise OutlineError(
            f"{text!r} is a part of a frame.",
            code="bad-time",
            remedy="Write whole frames, or a time such as 2.5 s.",
        )
    amount = Fraction(match[1])
    frames = amount if in_frames else amount * _SECONDS[match[2]] * timebase.rate
    if abs(frames) > LONGEST_S * timebase.rate:
        raise OutlineError(
            f"{text!r} is absurdly long; expected at most {LONGEST_S // 3600} h.",
            code="absurd-length",
            remedy="Check the number and its unit.",
        )
    return Place(frames, absolute=False)


def read_length(value: object, timebase: Timebase) -> Fraction:
    """Read a length in exact frames; a label counts from 00:00:00:00.

    Raises
    ------
    OutlineError
        As `read_place`, and if the length is less than one frame.
    TimecodeError
        If it is a label that does not exist.
    """
    frames = read_place(value, timebase).frames
    if whole_frames(frames) < 1:
        raise OutlineError(
            f"the length {value!r} is less than one frame.",
            code="no-length",
            remedy="Write a length such as 6 s.",
        )
    if frames > LONGEST_S * timebase.rate:
        raise OutlineError(
            f"the length {value!r} is absurd; expected at most {LONGEST_S // 3600} h.",
            code="absurd-length",
            remedy="Check it.",
        )
    return frames


def _unreadable(value: object) -> OutlineError:
    unquoted = "" if isinstance(value, str) else " (without quotes)"
    return OutlineError(
        f"{str(value)[:60]!r}{unquoted} is no time; "
        "expected a time with its unit, a count of frames or a timecode label.",
        code="bad-time",
        remedy='Write it like "2 s", "60 frames" or "01:00:12:05", in quotes.',
    )
