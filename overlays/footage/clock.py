"""A camera file's clock: when each picture is shown, and what its own timecode says."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from overlays.errors import FootageError, TimecodeError
from overlays.films import opened_film, unreadable_film
from overlays.timecode import USUAL_RATES, Timebase

if TYPE_CHECKING:
    from av.container import InputContainer
    from av.video.stream import VideoStream

__all__ = ["LONGEST_S", "FootageClock", "read_clock", "seconds_of"]

_DROP_RATES = (Fraction(30000, 1001), Fraction(60000, 1001))
LONGEST_S = 4 * 3600.0
"""Longer footage is refused: cut it to the run first."""


@dataclass(frozen=True, slots=True, eq=False)
class FootageClock:
    """When things are shown in a camera file; its time 0 is its first shown picture.

    Parameters
    ----------
    zero_s : float
        What the file's stamps say at time 0; a file without picture begins with its sound.
    frames_s : ndarray of shape (N,)
        Time of each shown picture, in seconds from the first, increasing; empty without picture.
    length_s : float
        Length of the whole file.
    timecode : str or None
        Label of the first picture.
    """

    zero_s: float
    frames_s: NDArray[np.float64]
    length_s: float
    timecode: str | None = None

    @property
    def step_s(self) -> float | None:
        """The usual time from one picture to the next; None with less than two."""
        return float(np.median(np.diff(self.frames_s))) if len(self.frames_s) > 1 else None

    def nearest(self, time_s: float) -> int | None:
        """Return the number of the picture shown nearest to a time; None outside the footage."""
        step_s = self.step_s or 0.0
        if not len(self.frames_s) or not -step_s <= time_s <= self.frames_s[-1] + step_s:
            return None
        return int(np.argmin(np.abs(self.frames_s - time_s)))

    def label(self, time_s: float) -> str | None:
        """Return the timecode of a time, where the file has one of its own.

        A variable rate has no timecode that could be counted by pictures; it is counted by the
        usual rate nearest to the usual step.
        """
        if self.timecode is None or self.step_s is None or time_s < 0:
            return None
        try:
            timebase = Timebase(self._usual_rate(), drop=";" in self.timecode)
            first = timebase.frame(self.timecode)
            return timebase.label(first + math.floor(time_s * timebase.rate + 1e-6))
        except TimecodeError:
            return None  # what the camera wrote is no label, which is told by showing none

    def _usual_rate(self) -> Fraction:
        """Return the rate that labels count by; drop-frame says that it is one of two."""
        step_s = self.step_s or 0.0
        mean_s = float(self.frames_s[-1]) / max(1, len(self.frames_s) - 1)
        # Some containers round stamps to milliseconds; the mean over many pictures is finer.
        step_s = mean_s if abs(mean_s - step_s) < 0.05 * step_s else step_s
        known = _DROP_RATES if ";" in (self.timecode or "") else USUAL_RATES
        return min(known, key=lambda rate: abs(float(1 / rate) - step_s))


def seconds_of(stamp: int, time_base: Fraction | None) -> float:
    """Return a time stamp in seconds."""
    return float(stamp * (time_base or Fraction(1, 1_000_000)))


def read_clock(path: Path) -> FootageClock:
    """Read when each picture of a camera file is shown; nothing is decoded.

    Raises
    ------
    FootageError
        If it cannot be read, or is too long.
    """
    with opened_film(path) as container:
        if not container.streams.video and not container.streams.audio:
            raise unreadable_film(path, "it holds neither picture nor sound")
        _check_length(path, container)
        shown_s = np.empty(0)
        timecode = None
        if container.streams.video:
            stream = container.streams.video[0]
            timecode = _timecode(container, stream)
            shown_s = _shown_s(container, stream)
            if not len(shown_s):
                raise unreadable_film(path, "it has a picture track without pictures")
        zero_s = float(shown_s[0]) if len(shown_s) else (container.start_time or 0) / 1e6
        last_s = float(shown_s[-1]) - zero_s if len(shown_s) else 0.0
        length_s = max((container.duration or 0) / 1e6, last_s)
    if length_s > LONGEST_S:
        raise _too_long(path, length_s)
    return FootageClock(zero_s, shown_s - zero_s, length_s, timecode)


def _check_length(path: Path, container: InputContainer) -> None:
    if container.duration is not None and container.duration / 1e6 > LONGEST_S:
        raise _too_long(path, container.duration / 1e6)


def _too_long(path: Path, length_s: float) -> FootageError:
    return FootageError(
        f"the footage lasts {length_s / 3600:.1f} h; expected {LONGEST_S / 3600:.0f} h at most.",
        code="footage-too-long",
        file=path.name,
        remedy="Cut out the stretch that holds the run.",
    )


def _shown_s(container: InputContainer, stream: VideoStream) -> NDArray[np.float64]:
    stamps = [
        packet.pts
        for packet in container.demux(stream)
        if packet.size and packet.pts is not None and not packet.is_discard
    ]
    base = stream.time_base
    return np.unique(np.array([seconds_of(stamp, base) for stamp in stamps], np.float64))


def _timecode(container: InputContainer, stream: VideoStream) -> str | None:
    """Return the first label found: of the picture, of a timecode track, of the file."""
    for notes in (
        stream.metadata,
        *(d.metadata for d in container.streams.data),
        container.metadata,
    ):
        # Matroska writes the key in capitals.
        for key, value in notes.items():
            if key.lower() == "timecode":
                return str(value)
    return None
