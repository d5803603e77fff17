"""How evenly samples came: where some are missing, and whether the rest keep an even step."""

from __future__ import annotations

import math

import numpy as np

from overlays.model.trace import FloatArray

__all__ = ["JITTER", "hole_limit_s", "is_even", "neighbour_steps", "uneven"]

JITTER = 0.05
"""Share of the usual step by which nineteen of twenty steps may differ, unless the session says
otherwise; common practice, no source."""

_EVEN_SHARE = 2 / 3
_EVEN_WITHIN = 0.2
_HOLE_STEPS = 1.8
_QUANTILE = 0.95
# Relative dust of subtracting two stamps; no logger's clock is finer.
_DUST_S = 1e-9


def hole_limit_s(time_s: FloatArray) -> float | None:
    """Return the step from which on samples are missing: 1.8 usual steps.

    That is so only where two thirds of the steps lie within a fifth of the usual one. A trace that
    was sampled as it came has no usual step, and None is returned.
    """
    steps = np.diff(time_s)
    if not steps.size:
        return None
    usual = float(np.median(steps))
    even = np.abs(steps / usual - 1.0) <= _EVEN_WITHIN
    return _HOLE_STEPS * usual if even.mean() >= _EVEN_SHARE - 1e-9 else None


def neighbour_steps(time_s: FloatArray) -> FloatArray:
    """Return the steps of one clock, those over missing samples and clock resets left out."""
    steps = np.diff(time_s)
    limit = hole_limit_s(time_s)
    there = steps > 0 if limit is None else (steps > 0) & (steps <= limit)
    return np.asarray(steps[there])


def is_even(steps: FloatArray, *, jitter: float = JITTER) -> bool:
    """Say whether nineteen of twenty steps lie within a share of the usual step.

    Parameters
    ----------
    steps : ndarray of shape (N,)
        Between neighbouring samples, in any unit; with fewer than two there is nothing to say.
    jitter : float
        The share.
    """
    if not steps.size:
        return True
    off = np.abs(steps / np.median(steps) - 1.0)
    return bool(np.quantile(off, _QUANTILE) <= jitter * (1 + 1e-9))


def uneven(steps: FloatArray, *, jitter: float = JITTER) -> str:
    """Tell in words how unevenly samples came; empty where they came evenly enough.

    An even clock whose stamps were rounded (3, 3, 4 ms) is even: its steps say nothing about when
    the samples were taken.

    Parameters
    ----------
    steps : ndarray of shape (N,)
        Between neighbouring samples, in seconds.
    jitter : float
        See `is_even`.

    Examples
    --------
    >>> uneven(np.array([2.0, 1.2, 3.4, 2.0, 2.0]) / 1000)
    'samples come 1.2 to 3.4 ms apart instead of 2.0 ms'
    """
    if is_even(steps, jitter=jitter) or _only_rounded(steps):
        return ""
    usual = float(np.median(steps))
    factor, unit = next(
        (pair for pair in ((1.0, "s"), (1e3, "ms"), (1e6, "µs")) if usual * pair[0] >= 1),
        (1e9, "ns"),
    )
    places = max(0, 1 - math.floor(math.log10(usual * factor)))
    low, high, middle = (
        f"{factor * float(step):.{places}f}" for step in (steps.min(), steps.max(), usual)
    )
    return f"samples come {low} to {high} {unit} apart instead of {middle} {unit}"


def _only_rounded(steps: FloatArray) -> bool:
    """Say whether an even clock, stamped to a decimal place, explains the steps.

    Such steps are of two neighbouring lengths, one stamp apart, and never stray further from an
    even count than rounding lets them.
    """
    lengths = np.unique(np.round(steps / _DUST_S))
    if len(lengths) != 2:
        return False
    stamp_s = float(lengths[1] - lengths[0]) * _DUST_S
    power = math.log10(stamp_s)
    if abs(power - round(power)) > 1e-6:
        return False
    strayed = np.cumsum(steps - steps.mean())
    return bool(strayed.max() - strayed.min() <= 2 * stamp_s + _DUST_S)
