"""A run found by a flash: the moment from which a good part of the picture is brighter at once.

A lamp that the trigger lights comes on between two pictures, and nobody can say when: that is the
error. Pictures are placed by their own time stamps.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from overlays.films import opened_film, unreadable_film
from overlays.footage.clock import FootageClock, seconds_of
from overlays.footage.events import Event
from overlays.progress import Progress, silent

__all__ = ["flashes"]

_ACROSS, _DOWN = 16, 9
# A quarter of the picture is enough; codes of luma, and times the usual restlessness.
_SHARE, _LEAST_CODES, _LEAST_TIMES = 0.25, 10.0, 8.0
_SAME_S = 0.3  # a lamp that comes on by degrees is one flash
_TELL_EVERY = 50  # pictures


def flashes(path: Path, clock: FootageClock, *, progress: Progress = silent) -> tuple[Event, ...]:
    """Find every flash of a camera file.

    Parameters
    ----------
    path : Path
        The file.
    clock : FootageClock
        Its clock.
    progress : Progress
        Told the seconds seen.

    Raises
    ------
    FootageError
        If it holds no pictures, or cannot be read.
    """
    times_s, blocks = _seen(path, clock, progress)
    if len(times_s) < 3:
        return ()
    steps = np.diff(blocks, axis=0)
    most = max(1, round(_SHARE * steps.shape[1]))
    # What moves brightens one part and darkens another; a light only brightens.
    rise = np.sort(steps, axis=1)[:, -most:].mean(axis=1)
    fall = -np.sort(steps, axis=1)[:, :most].mean(axis=1)
    strength = rise - np.maximum(fall, 0)
    usual = float(np.median(np.abs(strength - np.median(strength)))) * 1.4826
    least = max(_LEAST_CODES, _LEAST_TIMES * usual)
    return tuple(_events(times_s, strength, least))


def _events(
    times_s: NDArray[np.float64], strength: NDArray[np.float32], least: float
) -> Iterator[Event]:
    """Yield a rise that lasts several pictures once, where it begins, with all of its height."""
    step = 0
    while step < len(strength):
        if strength[step] < least:
            step += 1
            continue
        end = step + 1
        while end < len(strength) and times_s[end] - times_s[step + 1] < _SAME_S:
            end += 1
        height = float(np.maximum(strength[step:end], 0).sum())
        half_s = float(times_s[step + 1] - times_s[step]) / 2
        yield Event(float(times_s[step]) + half_s, half_s, height)
        step = end


def _seen(
    path: Path, clock: FootageClock, progress: Progress
) -> tuple[NDArray[np.float64], NDArray[np.float32]]:
    """Return the time of each picture, shape (N,), and its luma in blocks, shape (N, B)."""
    times_s: list[float] = []
    blocks: list[NDArray[np.float32]] = []
    with opened_film(path) as container:
        if not container.streams.video:
            raise unreadable_film(path, "it holds no picture")
        stream = container.streams.video[0]
        stream.thread_type = "AUTO"
        for frame in container.decode(stream):
            if frame.pts is None:
                continue
            small = frame.reformat(
                width=_ACROSS, height=_DOWN, format="gray", interpolation="AREA", threads=1
            )
            blocks.append(small.to_ndarray().astype(np.float32).ravel())
            times_s.append(seconds_of(frame.pts, frame.time_base) - clock.zero_s)
            if len(times_s) % _TELL_EVERY == 0:
                progress(int(times_s[-1]), math.ceil(clock.length_s), "seconds seen")
    order = np.argsort(times_s, kind="stable")
    return np.array(times_s)[order], np.array(blocks, np.float32)[order]
