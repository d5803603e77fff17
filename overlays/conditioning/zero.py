"""What counts as zero: the mean over a window before the test begins."""

from __future__ import annotations

import numpy as np

from overlays.errors import LogError
from overlays.model.trace import FloatArray

__all__ = ["window_mean"]


def window_mean(
    time_s: FloatArray, values: FloatArray, *, start_s: float, end_s: float, what: str
) -> float:
    """Return the mean of the samples in a window, its ends included.

    Raises
    ------
    LogError
        If no sample lies in the window; ``file`` is filled in by the caller.
    """
    inside = values[(time_s >= start_s) & (time_s <= end_s)]
    inside = inside[np.isfinite(inside)]
    if not inside.size:
        raise LogError(
            f"{what} has no sample in the zero window from {start_s:g} s to {end_s:g} s; the log "
            f"runs from {time_s[0]:g} s to {time_s[-1]:g} s.",
            code="empty-zero-window",
            remedy="Let the logger run before the test, or move the zero window.",
        )
    return float(np.mean(inside))
