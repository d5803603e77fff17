"""What a person should look at before trusting a trace: saturation, drop-outs, stuck sensors.

Nothing is changed here. The thresholds are common practice, no source.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from overlays.model.trace import FloatArray

__all__ = ["doubts_about"]

_FLAT_SAMPLES = 5
_FLAT_TIMES = 4.0
_FLAT_SHARE = 0.5
_DROP_SAMPLES = 20
_STUCK_SAMPLES = 20
_STUCK_TIMES = 10.0


def doubts_about(
    time_s: FloatArray, values: FloatArray, *, limits: tuple[float, float] | None, origin_s: float
) -> tuple[str, ...]:
    """List doubts in words.

    Parameters
    ----------
    time_s, values : ndarray of shape (N,)
        As logged, in any unit; NaN is a gap.
    limits : tuple of float or None
        What the sensor can show, lowest and highest, in that unit.
    origin_s : float
        Time 0 of the run, for telling the places.
    """
    there = np.isfinite(values)
    time_s, values = time_s[there] - origin_s, values[there]
    if len(values) < 2 * _FLAT_SAMPLES or values.min() == values.max():
        return ("does not change at all",) if len(values) > 1 else ()
    runs = _runs(values)
    found = [_saturated(time_s, values, limits) if limits else _flat_topped(time_s, values, runs)]
    found += [_dropped(time_s, values, runs), _stuck(time_s, values, runs)]
    return tuple(text for text in found if text)


def _runs(values: FloatArray) -> NDArray[np.int64]:
    """Return first places and lengths of stretches of equal values, as an array of shape (M, 2)."""
    firsts = np.flatnonzero(np.concatenate(([True], np.diff(values) != 0)))
    return np.stack([firsts, np.diff(np.append(firsts, len(values)))], axis=1)


def _saturated(time_s: FloatArray, values: FloatArray, limits: tuple[float, float]) -> str:
    reach = 1e-9 * (limits[1] - limits[0])
    outside = (values <= limits[0] + reach) | (values >= limits[1] - reach)
    if not outside.any():
        return ""
    first = float(time_s[outside.argmax()])
    return f"at a limit of the sensor in {int(outside.sum())} samples, first at {first:.3g} s"


def _flat_topped(time_s: FloatArray, values: FloatArray, runs: NDArray[np.int64]) -> str:
    """Find a stretch that stands still at the highest or lowest value while others do not."""
    usual = float(np.quantile(runs[:, 1], 0.95))
    # A trace that rests most of the time is flat at its lowest for good reason.
    for end, word in ((values.max(), "highest"), (values.min(), "lowest")):
        at_end = runs[values[runs[:, 0]] == end]
        first, length = at_end[at_end[:, 1].argmax()]
        resting = at_end[:, 1].sum() > _FLAT_SHARE * len(values)
        touches = first == 0 or first + length == len(values)
        if length >= max(_FLAT_SAMPLES, _FLAT_TIMES * usual) and not (resting or touches):
            seconds = time_s[first + length - 1] - time_s[first]
            return (
                f"flat at its {word} value for {seconds:.3g} s from {time_s[first]:.3g} s: "
                "is the sensor saturated?"
            )
    return ""


def _dropped(time_s: FloatArray, values: FloatArray, runs: NDArray[np.int64]) -> str:
    """Find a few samples of exactly 0 between readings far from it that hardly differ."""
    reach = values.max() - values.min()
    for first, length in runs[values[runs[:, 0]] == 0.0]:
        end = first + length
        if first == 0 or end == len(values) or length > _DROP_SAMPLES:
            continue
        before, after = values[first - 1], values[end]
        if min(abs(before), abs(after)) > 0.3 * reach and abs(before - after) < 0.2 * reach:
            return (
                f"falls to exactly 0 for {int(length)} samples at {time_s[first]:.3g} s and comes "
                "back: a drop-out?"
            )
    return ""


def _stuck(time_s: FloatArray, values: FloatArray, runs: NDArray[np.int64]) -> str:
    """Find a stretch that stands still for far longer than any other, away from both ends."""
    if len(runs) < 2 * _FLAT_SAMPLES:
        return ""
    longest = int(runs[:, 1].argmax())
    first, length = runs[longest]
    others = np.delete(runs[:, 1], longest)
    at_rest = values[first] in {values.min(), values.max()}
    inside = first > 0 and first + length < len(values)
    if length < max(_STUCK_SAMPLES, _STUCK_TIMES * float(others.max())) or at_rest or not inside:
        return ""
    seconds = time_s[first + length - 1] - time_s[first]
    return f"stands still for {seconds:.3g} s from {time_s[first]:.3g} s: is the sensor stuck?"
