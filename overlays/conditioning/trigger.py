"""Where time 0 lies: a level passed, with hysteresis, between two samples."""

from __future__ import annotations

import numpy as np

from overlays.model.trace import FloatArray

__all__ = ["crossing"]


def crossing(
    time_s: FloatArray, values: FloatArray, *, level: float, rearm: float, rising: bool = True
) -> float | None:
    """Find the first time a trace reaches a level, having been at or past `rearm` before.

    Noise around the level alone does not trigger: the trace must first lie at `rearm` or beyond.
    The time is interpolated on the straight line between the last sample short of the level and
    the first at or past it; touching the level counts as reaching it.

    Parameters
    ----------
    time_s, values : ndarray of shape (N,)
        NaN is a gap. Where the level is passed across a gap, the moment is not known, and the
        search goes on.
    level, rearm : float
        In the unit of `values`; `rearm` lies below `level` for a rising edge, else above.
    rising : bool
        Whether the trace comes from below.

    Returns
    -------
    float or None
        In seconds; None if the level is never reached from `rearm`.
    """
    sign = 1.0 if rising else -1.0
    above = sign * values >= sign * level
    armed = sign * values <= sign * rearm
    start = 0
    while True:
        ready = np.flatnonzero(armed[start:])
        if not ready.size:
            return None
        first = start + int(ready[0])
        passed = np.flatnonzero(above[first:])
        if not passed.size:
            return None
        i = first + int(passed[0])
        if not np.isnan(values[i - 1]):
            share = (level - values[i - 1]) / (values[i] - values[i - 1])
            return float(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]))
        start = i
