"""A run found by a clap: a sound that begins at once at every pitch.

Bands of the sound tell where one is (`overlays.footage.hearing`); its own samples tell when.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from overlays.footage.clock import FootageClock
from overlays.footage.events import Event
from overlays.footage.hearing import ROWS_PER_S, Heard, hear
from overlays.footage.pictures import sound_of
from overlays.progress import Progress, silent

__all__ = ["claps"]

# A window of 30 ms sees a sound come for 30 ms: six rows later it is all there.
_ROWS = 6
_LEAST_DB = 12.0
_SAME_ROWS = 40
_AROUND_S, _STEP_S = 0.06, 0.001
_WITHIN_S = 0.005


def claps(path: Path, clock: FootageClock, *, progress: Progress = silent) -> tuple[Event, ...]:
    """Find every clap of a camera file.

    Parameters
    ----------
    path : Path
        The file.
    clock : FootageClock
        Its clock.
    progress : Progress
        Told the seconds heard.

    Raises
    ------
    FootageError
        If it has no sound track, or cannot be read.
    """
    heard = hear(path, clock, progress=progress)
    return tuple(
        Event(_onset_s(path, clock, row_s), _WITHIN_S, rise_db) for row_s, rise_db in _rises(heard)
    )


def _rises(heard: Heard) -> Iterator[tuple[float, float]]:
    """Yield where most bands rise together by much: seconds, and by how many decibels."""
    levels = heard.levels_db
    if len(levels) <= _ROWS:
        return
    # Where there is no sound there is nothing to rise from.
    rise = np.nan_to_num(np.median(levels[_ROWS:] - levels[:-_ROWS], axis=1), nan=0.0)
    row = 0
    while row < len(rise):
        if rise[row] < _LEAST_DB:
            row += 1
            continue
        end = min(len(rise), row + _SAME_ROWS)
        top = row + int(np.argmax(rise[row:end]))
        yield (heard.first_row + top + _ROWS / 2) / ROWS_PER_S, float(rise[top])
        row = end


def _onset_s(path: Path, clock: FootageClock, row_s: float) -> float:
    """Return when the sound leaves what was before it, halfway up in decibels."""
    from_s = row_s - _AROUND_S
    found = sound_of(path, clock, from_s, 2 * _AROUND_S)
    if found is None:
        return row_s
    samples, rate = found
    step = max(1, round(_STEP_S * rate))
    count = len(samples) // step
    power: NDArray[np.float64] = (
        (samples[: count * step].astype(np.float64) ** 2).reshape(count, -1).mean(axis=1)
    )
    level_db = 10 * np.log10(power + 1e-12)
    top = int(np.argmax(level_db))
    before_db = float(np.median(level_db[: max(1, min(top, count // 3))]))
    louder = np.flatnonzero(level_db[: top + 1] >= (before_db + level_db[top]) / 2)
    return from_s + float(louder[0]) * step / rate
