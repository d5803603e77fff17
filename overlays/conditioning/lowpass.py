"""Low-pass filters that shift nothing in time: Butterworth run forward and backward."""

from __future__ import annotations

import math

import numpy as np

from overlays.conditioning.pieces import by_piece
from overlays.model.trace import FloatArray

__all__ = ["butterworth", "design_corner_hz"]


def design_corner_hz(cutoff_hz: float, rate_hz: float, order: int) -> float:
    """Work out the corner of a Butterworth filter whose forward-backward result is -3 dB at cutoff.

    Each pass alone is -3 dB at its corner, so the two passes together would be -6 dB there. The
    corner is therefore put higher, by ``(sqrt(2) - 1) ** (1 / (2 * order))`` on the warped
    frequency axis of the bilinear transform: 0.8022 at order 2 (Winter, *Biomechanics and Motor
    Control of Human Movement*, gives 0.802).

    Parameters
    ----------
    cutoff_hz : float
        Where the result shall be -3.01 dB; below half of `rate_hz`.
    rate_hz : float
        Samples a second.
    order : int
        Order of one pass.
    """
    narrowing = (math.sqrt(2) - 1) ** (1 / (2 * order))
    warped = math.tan(math.pi * cutoff_hz / rate_hz) / narrowing
    return math.atan(warped) * rate_hz / math.pi


def butterworth(values: FloatArray, *, rate_hz: float, corner_hz: float, order: int) -> FloatArray:
    """Run a Butterworth low-pass forward and backward over each piece between gaps.

    Parameters
    ----------
    values : ndarray of shape (N,)
        At a uniform rate; NaN is a gap and stays one.
    rate_hz : float
        Samples a second.
    corner_hz : float
        Corner of one pass (see `design_corner_hz`), below half of `rate_hz`.
    order : int
        Order of one pass.

    Returns
    -------
    ndarray of shape (N,)
    """
    from scipy import signal

    sections = signal.butter(order, corner_hz, fs=rate_hz, output="sos")
    # A filter remembers for about a period of its corner; SciPy's own padding of a few samples is
    # shorter than that where the rate is far above the corner, and bends the ends.
    wanted = max(3 * (2 * len(sections) + 1), math.ceil(rate_hz / corner_hz))

    def both_ways(piece: FloatArray) -> FloatArray:
        if len(piece) < 2:
            return piece
        padding = min(wanted, len(piece) - 1)
        return np.asarray(signal.sosfiltfilt(sections, piece, padlen=padding), dtype=np.float64)

    return by_piece(values, both_ways)
