"""Rates, frames and timecode labels, exactly.

A rate is a `fractions.Fraction` of frames per second; a position is an integer frame. Seconds
appear only at the door. Labels follow SMPTE ST 12-1: at 30000/1001 and 60000/1001 a label may be
drop-frame (written with ``;`` before the frames), which leaves out the first two (four) frame
numbers of every minute that is no multiple of ten.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from overlays.errors import TimecodeError

__all__ = [
    "USUAL_RATES",
    "Timebase",
    "frames_from_s",
    "label_ms",
    "parse_rate",
    "rate_text",
    "s_from_frames",
    "whole_frames",
]

USUAL_RATES = tuple(
    Fraction(text)
    for text in ("24000/1001", "24", "25", "30000/1001", "30", "48", "50", "60000/1001", "60")
)
_DROP_RATES = (Fraction(30000, 1001), Fraction(60000, 1001))
_LABEL = re.compile(r"(\d{2}):(\d{2}):(\d{2})([:;])(\d{2})", re.ASCII)
_RATE = re.compile(r"\d{1,6}(/\d{1,6})?", re.ASCII)
_HIGHEST_RATE = 240


def parse_rate(text: str | int) -> Fraction:
    """Read a frame rate: ``"30000/1001"``, ``"25"`` or ``25``.

    Raises
    ------
    TimecodeError
        If it is not a positive whole number or a fraction of two, or lies above 240. A rounded
        rate such as 29.97 is refused: it drifts from the true one, by a frame in nine hours.
    """
    written = str(text).strip()
    if _RATE.fullmatch(written):
        top, _, bottom = written.partition("/")
        if int(bottom or 1) and 0 < Fraction(int(top), int(bottom or 1)) <= _HIGHEST_RATE:
            return Fraction(int(top), int(bottom or 1))
    raise TimecodeError(
        f"{written!r} is not a frame rate; expected a whole number or a fraction of two, "
        f"up to {_HIGHEST_RATE}.",
        code="bad-rate",
        remedy='Write it exactly, such as "30000/1001" (29.97), "24000/1001" (23.976) or "25".',
    )


def rate_text(rate: Fraction) -> str:
    """Write a rate as it is read: ``30000/1001`` or ``25``."""
    return str(rate)


def whole_frames(exact: Fraction) -> int:
    """Round exact frames to the nearest whole one, halves away from zero."""
    # In integers, because a long outline rounds many thousand positions.
    nearest = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
    return -nearest if exact < 0 else nearest


def frames_from_s(seconds: Fraction | Decimal | float | str, rate: Fraction) -> int:
    """Count the frames nearest to a length or position, halves away from zero.

    Floats are taken by their shortest decimal text, so that ``0.1`` means one tenth.

    Raises
    ------
    TimecodeError
        If `seconds` is no number, or not finite.

    Examples
    --------
    >>> frames_from_s("3.041667", Fraction(24)), frames_from_s(5.005, Fraction(30000, 1001))
    (73, 150)
    """
    try:
        exact = seconds if isinstance(seconds, Fraction) else Fraction(str(seconds))
    except (ValueError, ZeroDivisionError) as error:
        raise TimecodeError(
            f"{str(seconds)[:40]!r} is not a count of seconds.",
            code="bad-seconds",
            remedy="Give a finite number.",
        ) from error
    return whole_frames(exact * rate)


def s_from_frames(frames: int, rate: Fraction) -> Fraction:
    """Return the exact length of a count of frames in seconds."""
    return Fraction(frames) / rate


def label_ms(milliseconds: int) -> str:
    """Write a time of a caption: ``HH:MM:SS.mmm``.

    Examples
    --------
    >>> label_ms(127250), label_ms(-1000)
    ('00:02:07.250', '-00:00:01.000')
    """
    seconds, rest = divmod(abs(milliseconds), 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    sign = "-" if milliseconds < 0 else ""
    return f"{sign}{hours:02}:{minutes:02}:{seconds:02}.{rest:03}"


@dataclass(frozen=True, slots=True)
class Timebase:
    """A rate together with the way its labels are counted.

    Parameters
    ----------
    rate : Fraction
        Frames per second.
    drop : bool
        Drop-frame counting; only at 30000/1001 and 60000/1001.

    Raises
    ------
    TimecodeError
        If drop-frame counting does not exist at this rate.
    """

    rate: Fraction
    drop: bool = False

    def __post_init__(self) -> None:
        if self.drop and self.rate not in _DROP_RATES:
            raise TimecodeError(
                f"drop-frame timecode does not exist at {self.rate} frames/s.",
                code="no-drop-frame",
                remedy="Use non-drop timecode, or a rate of 30000/1001 or 60000/1001.",
            )

    @property
    def nominal(self) -> int:
        """Frame numbers per label second: 30 at 30000/1001."""
        return math.ceil(self.rate)

    @property
    def _dropped_per_min(self) -> int:
        return self.nominal // 15 if self.drop else 0

    def label(self, frame: int) -> str:
        """Write a frame as ``HH:MM:SS:FF``, or ``HH:MM:SS;FF`` in drop-frame.

        Raises
        ------
        TimecodeError
            If the frame is negative or lies past 24 hours.
        """
        count = self._counted(frame)
        seconds, frames = divmod(count, self.nominal)
        minutes, seconds = divmod(seconds, 60)
        hours, minutes = divmod(minutes, 60)
        if frame < 0 or hours > 23:
            raise TimecodeError(
                f"frame {frame} has no timecode; expected 00:00:00:00 to the end of hour 23.",
                code="timecode-range",
                remedy="Start the episode's timecode later, or shorten it.",
            )
        return f"{hours:02}:{minutes:02}:{seconds:02}{';' if self.drop else ':'}{frames:02}"

    def _counted(self, frame: int) -> int:
        """Return the frame's place among all labels, the left-out ones counted in."""
        if not self.drop:
            return frame
        per_min = self.nominal * 60 - self._dropped_per_min
        per_ten_min = per_min * 10 + self._dropped_per_min
        tens, rest = divmod(frame, per_ten_min)
        skipped_mins = max(0, rest - self._dropped_per_min) // per_min
        return frame + self._dropped_per_min * (9 * tens + skipped_mins)

    def frame(self, label: str, *, either_mark: bool = False) -> int:
        """Read a label as a frame.

        Parameters
        ----------
        label : str
            ``HH:MM:SS:FF`` or, in drop-frame, ``HH:MM:SS;FF``.
        either_mark : bool
            Read the label in this timebase's own counting whichever mark stands before the
            frames: a script keeps its labels when its session changes rate.

        Raises
        ------
        TimecodeError
            If the text is no label, counts the other way (``;`` in non-drop), or names a frame
            that does not exist, such as 00:01:00;00.
        """
        match = _LABEL.fullmatch(label.strip())
        if match is None:
            raise self._refused(label, "it is not written HH:MM:SS:FF")
        hours, minutes, seconds, frames = (int(match[i]) for i in (1, 2, 3, 5))
        if (match[4] == ";") != self.drop and not either_mark:
            counted = "drop-frame (';')" if self.drop else "non-drop (':')"
            raise self._refused(label, f"this session counts {counted}")
        if hours > 23 or minutes > 59 or seconds > 59 or frames >= self.nominal:
            raise self._refused(
                label, f"a part is too large (frames go to {self.nominal - 1} at {self.rate})"
            )
        dropped = self._dropped_per_min
        if dropped and seconds == 0 and minutes % 10 and frames < dropped:
            raise self._refused(label, f"drop-frame leaves out frames 0 to {dropped - 1} there")
        total_min = hours * 60 + minutes
        counted_frames = (total_min * 60 + seconds) * self.nominal + frames
        return counted_frames - dropped * (total_min - total_min // 10)

    def _refused(self, label: str, why: str) -> TimecodeError:
        example = f"01:00:00{';' if self.drop else ':'}00"
        return TimecodeError(
            f"{label!r} is not a timecode at {self.rate} frames/s: {why}.",
            code="bad-timecode",
            remedy=f"Write an existing label, such as {example}.",
        )
