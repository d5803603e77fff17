"""Pictures and sound of a camera file at given times, by its own time stamps.

Counting pictures at a rate would drift away from a variable one, and a sound track that begins
later than the picture would be heard too early.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from overlays.errors import FootageError
from overlays.films import opened_film, sound_track, unreadable_film
from overlays.footage.clock import FootageClock, seconds_of
from overlays.footage.hearing import stretches

if TYPE_CHECKING:
    from av import VideoFrame
    from av.container import InputContainer

__all__ = ["Pictures", "opened_pictures", "sound_of"]

_FAR_S = 3.0  # further ahead, seeking is quicker than decoding
_HAIR_S = 1e-5  # stamps are rounded to the file's own time base


class Pictures:
    """Pictures of a camera file, scaled to lie whole within a canvas.

    Parameters
    ----------
    container : InputContainer
        The open file.
    clock : FootageClock
        Its clock.
    width, height : int
        The canvas in pixels.
    """

    def __init__(
        self, container: InputContainer, clock: FootageClock, width: int, height: int
    ) -> None:
        self._container = container
        self._stream = container.streams.video[0]
        self._stream.thread_type = "AUTO"
        self._clock = clock
        self._frames = self._decoded()
        self._next = next(self._frames, None)
        if self._next is None:
            raise FootageError(
                "no picture can be decoded.",
                code="unreadable-footage",
                remedy="Check that it plays, or convert it to MP4.",
            )
        self._asked_s = 0.0
        self._shown: VideoFrame | None = None
        self._pixels: NDArray[np.uint8] | None = None
        turned = self._turns(self._next) % 2
        wide, high = self._next.width, self._next.height
        if turned:
            wide, high = high, wide
        share = min(width / wide, height / high)
        self.width, self.height = max(2, round(wide * share)), max(2, round(high * share))

    def at(self, time_s: float) -> NDArray[np.uint8]:
        """Return the picture nearest to a time, shape (height, width, 3); black outside of it all.

        The nearest one is half a picture closer than the one before. Times that only grow are
        quickest.
        """
        back, self._asked_s = time_s < self._asked_s, time_s
        if back or (self._next is not None and time_s > self._time_s(self._next) + _FAR_S):
            self._seek(time_s)
        while self._next is not None and self._nearer(self._time_s(self._next), time_s):
            self._shown, self._pixels = self._next, None
            self._next = next(self._frames, None)
        if self._shown is None or time_s > self._clock.length_s:
            return np.zeros((self.height, self.width, 3), np.uint8)
        if self._pixels is None:
            self._pixels = self._converted(self._shown)
        return self._pixels

    def _nearer(self, next_s: float, time_s: float) -> bool:
        """Say whether the next picture is nearer to a time than the one shown."""
        before_s = time_s if self._shown is None else self._time_s(self._shown)
        return next_s <= time_s + _HAIR_S or next_s - time_s < time_s - before_s

    def _seek(self, time_s: float) -> None:
        base = self._stream.time_base
        stamp = max(0.0, time_s) + self._clock.zero_s
        self._container.seek(int(stamp / float(base)) if base else 0, stream=self._stream)
        self._frames = self._decoded()
        self._shown, self._pixels = None, None
        self._next = next(self._frames, None)

    def _decoded(self) -> Iterator[VideoFrame]:
        return (frame for frame in self._container.decode(self._stream) if frame.pts is not None)

    def _time_s(self, frame: VideoFrame) -> float:
        return seconds_of(frame.pts or 0, frame.time_base) - self._clock.zero_s

    @staticmethod
    def _turns(frame: VideoFrame) -> int:
        """Return how many quarters a camera held on its side wants its picture turned back."""
        return round(frame.rotation / 90) % 4

    def _converted(self, frame: VideoFrame) -> NDArray[np.uint8]:
        turns = self._turns(frame)
        width, height = (self.height, self.width) if turns % 2 else (self.width, self.height)
        # Several threads damage pixels where the width is no multiple of 16.
        scaled = frame.reformat(width=width, height=height, format="rgb24", threads=1)
        return np.ascontiguousarray(np.rot90(scaled.to_ndarray(), turns))


@contextmanager
def opened_pictures(path: Path, clock: FootageClock, width: int, height: int) -> Iterator[Pictures]:
    """Open a camera file's pictures, to lie whole within a canvas.

    Raises
    ------
    FootageError
        If it holds none, or cannot be read.
    """
    with opened_film(path) as container:
        if not container.streams.video:
            raise unreadable_film(path, "it holds no picture")
        try:
            yield Pictures(container, clock, width, height)
        except FootageError as error:
            raise unreadable_film(path, error.message) from error


def sound_of(
    path: Path, clock: FootageClock, from_s: float, seconds: float
) -> tuple[NDArray[np.float32], int] | None:
    """Return a stretch of a camera file's sound: samples of shape (N, 2), and samples a second.

    Where there is no sound the samples are 0. None comes back where there is no sound track.

    Raises
    ------
    FootageError
        If it cannot be read.
    """
    with opened_film(path) as container:
        stream = sound_track(container)
        if stream is None:
            return None
        rate = stream.rate
        samples = np.zeros((round(seconds * rate), 2), np.float32)
        if from_s > 1 and stream.time_base:
            container.seek(int((from_s - 1 + clock.zero_s) / stream.time_base), stream=stream)
        for start_s, both in stretches(container, stream):
            at = round((start_s - clock.zero_s - from_s) * rate)
            if at >= len(samples):
                break
            first, end = max(0, at), min(len(samples), at + len(both))
            if first < end:
                heard = both[first - at : end - at]
                samples[first:end] = np.stack([heard.real, heard.imag], axis=1)
    return samples, rate
