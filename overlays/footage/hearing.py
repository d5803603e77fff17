"""What a camera file sounds like: levels in bands of frequency, two hundred times a second.

Samples are placed by the file's own time stamps, never by counting frames: a track that begins
later than the picture, an edit list, or packets that are missing leave every level in its place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from overlays.errors import FootageError
from overlays.films import opened_film, sound_track, unreadable_film
from overlays.footage.clock import FootageClock, seconds_of
from overlays.model.trace import FloatArray
from overlays.progress import Progress, silent

if TYPE_CHECKING:
    from av import AudioFrame
    from av.audio.stream import AudioStream
    from av.container import InputContainer

__all__ = ["ROWS_PER_S", "Heard", "hear", "heard_samples", "stretches"]

ROWS_PER_S = 200
_WINDOW_S = 0.03
_LOWEST_HZ = 100.0
_BANDS_PER_OCTAVE = 3
_MOST_BANDS = 20
# A stamp further off than this from where counting samples leads begins a new stretch; finer
# differences come from stamps that are rounded to milliseconds.
_JUMP_S = 0.004
_SILENT = 1e-10  # power of full scale; -100 dB
_BLOCK_S = 8.0
_SLOWEST_HZ, _FASTEST_HZ = 4_000, 400_000

Samples = NDArray[np.complex64]


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """Levels of a sound track.

    Parameters
    ----------
    first_row : int
        Row 0 stands at ``first_row / ROWS_PER_S`` seconds of the footage.
    levels_db : ndarray of shape (N, B), float32
        By row and band, in decibels of full scale; NaN where there is no sound.
    """

    first_row: int
    levels_db: NDArray[np.float32]


def hear(path: Path, clock: FootageClock, *, progress: Progress = silent) -> Heard:
    """Measure a camera file's sound track.

    Parameters
    ----------
    path : Path
        The file.
    clock : FootageClock
        Its clock, from `overlays.footage.clock.read_clock`.
    progress : Progress
        Told the seconds heard.

    Raises
    ------
    FootageError
        If it has no sound track, or cannot be read.
    """
    with opened_film(path) as container:
        stream = sound_track(container)
        if stream is None:
            raise FootageError(
                "the footage has no sound track that can be heard.",
                code="no-sound",
                file=path.name,
                remedy="Use a file with sound.",
            )
        if not _SLOWEST_HZ <= stream.rate <= _FASTEST_HZ:
            raise unreadable_film(path, f"its sound has {stream.rate} samples a second")
        rows = _Rows(stream.rate, clock.length_s)
        for start_s, samples in stretches(container, stream):
            rows.add(start_s - clock.zero_s, samples)
            progress(int(start_s - clock.zero_s), math.ceil(clock.length_s), "seconds heard")
        found = rows.done()
    if found is None:
        raise unreadable_film(path, "its sound track is empty")
    return found


def heard_samples(samples: FloatArray, rate: int) -> Heard:
    """Measure a sound given by its samples, shape (N,), the first one at 0 s."""
    rows = _Rows(rate, len(samples) / rate)
    rows.add(0.0, samples.astype(np.complex64))
    return rows.done() or Heard(0, np.empty((0, 1), np.float32))


def stretches(container: InputContainer, stream: AudioStream) -> Iterator[tuple[float, Samples]]:
    """Decode frame by frame: the time of the first sample, and samples as left + i right."""
    due_s = 0.0
    for frame in container.decode(stream):
        # What has no stamp follows on what came before.
        start_s = due_s if frame.pts is None else seconds_of(frame.pts, frame.time_base)
        yield start_s, _samples(frame)
        due_s = start_s + frame.samples / frame.sample_rate


def _samples(frame: AudioFrame) -> Samples:
    """Return two channels as one complex number a sample, full scale being 1."""
    stored = frame.to_ndarray()
    count = frame.layout.nb_channels
    channels = stored if frame.format.is_planar else stored.reshape(-1, count).T
    if channels.dtype.kind == "u":
        channels = channels.astype(np.float32) - 128
    scale = {1: 128.0, 2: 2.0**15, 4: 2.0**31}.get(stored.dtype.itemsize, 1.0)
    if stored.dtype.kind == "f":
        scale = 1.0
    left = channels[0].astype(np.float32) / scale
    right = channels[min(1, count - 1)].astype(np.float32) / scale
    both: Samples = (left + 1j * right).astype(np.complex64)
    return both


class _Rows:
    """Gathers samples, and turns them into rows a block at a time."""

    def __init__(self, rate: int, length_s: float) -> None:
        self.rate = rate
        self.length_s = length_s
        self.width = round(_WINDOW_S * rate)
        # A Hann window keeps a loud band out of its neighbours.
        self.window = np.hanning(self.width + 2)[1:-1].astype(np.float32)
        self.window /= np.sqrt(np.sum(self.window**2) * self.width)
        self.bands = _bands(rate, self.width)
        self.start_s = 0.0
        self.waiting: list[Samples] = []
        self.held = 0
        self.found: list[tuple[int, NDArray[np.float32]]] = []

    def add(self, start_s: float, samples: Samples) -> None:
        """Take samples that begin at a time of the footage."""
        due_s = self.start_s + self.held / self.rate
        if self.held and abs(start_s - due_s) > _JUMP_S:
            self._measure()
            self.waiting, self.held = [], 0
        if not self.held:
            self.start_s = start_s
        self.waiting.append(samples)
        self.held += len(samples)
        if self.held > _BLOCK_S * self.rate:
            self._measure()

    def _measure(self) -> None:
        """Measure every row whose window is there, and keep what the next one needs."""
        samples = np.concatenate(self.waiting) if self.waiting else np.empty(0, np.complex64)
        half_s = self.width / 2 / self.rate
        first = math.ceil((self.start_s + half_s) * ROWS_PER_S)
        last = math.floor((self.start_s + len(samples) / self.rate - half_s) * ROWS_PER_S)
        if last < first:
            return
        centres_s = np.arange(first, last + 1) / ROWS_PER_S - self.start_s
        begins = np.rint(centres_s * self.rate - self.width / 2).astype(np.int64)
        begins = np.clip(begins, 0, len(samples) - self.width)
        cut = np.lib.stride_tricks.sliding_window_view(samples, self.width)[begins]
        power = np.abs(np.fft.fft(cut * self.window, axis=1)) ** 2
        half = power[:, : self.width // 2 + 1]
        # The two channels are one complex signal: both signs of a frequency belong together.
        half = half + power[:, -np.arange(self.width // 2 + 1)]
        sums = np.add.reduceat(half, self.bands, axis=1)[:, :-1]
        self.found.append((first, (10 * np.log10(sums + _SILENT)).astype(np.float32)))
        keep = int(begins[-1])
        self.waiting = [samples[keep:]]
        self.held = len(samples) - keep
        self.start_s += keep / self.rate

    def done(self) -> Heard | None:
        """Return every row measured; None where there is none."""
        self._measure()
        if not self.found:
            return None
        first = min(row for row, _ in self.found)
        end = max(row + len(levels) for row, levels in self.found)
        end = min(end, first + math.ceil((self.length_s + 60) * ROWS_PER_S))
        levels_db = np.full((end - first, len(self.bands) - 1), np.nan, np.float32)
        for row, levels in self.found:
            room = levels_db[row - first : row - first + len(levels)]
            room[:] = levels[: len(room)]
        return Heard(first, levels_db)


def _bands(rate: int, width: int) -> NDArray[np.int64]:
    """Return the first bin of each band, and the bin after the last."""
    edges_hz = _LOWEST_HZ * 2.0 ** (np.arange(_MOST_BANDS + 1) / _BANDS_PER_OCTAVE)
    edges_hz = edges_hz[edges_hz < 0.45 * rate]
    bins = np.rint(edges_hz * width / rate).astype(np.int64)
    return np.unique(bins)
