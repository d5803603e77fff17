"""Low-pass filters that shift nothing in time: run forward, then backward."""

from __future__ import annotations

import math

import numpy as np

from overlays.conditioning.pieces import by_piece
from overlays.model.trace import FloatArray

__all__ = ["both_ways", "butterworth_sections", "channel_class_sections", "design_corner_hz"]

CHANNEL_CLASS_CORNER = 2.0775
"""Corner of one pass over the channel class (SAE J211-1, appendix C; ISO 6487)."""


def design_corner_hz(cutoff_hz: float, rate_hz: float, order: int) -> float:
    """Work out the corner of one pass so that the result of both is -3 dB at the cutoff.

    Each pass alone is -3 dB at its corner, so the two together would be -6 dB there. The corner is
    therefore put higher, by ``(sqrt(2) - 1) ** (1 / (2 * order))`` on the warped frequency axis of
    the bilinear transform: 0.8022 at order 2 (Winter, *Biomechanics and Motor Control of Human
    Movement*, gives 0.802).

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


def butterworth_sections(cutoff_hz: float, rate_hz: float, order: int) -> FloatArray:
    """Return the second-order sections of one pass whose two passes are -3 dB at the cutoff.

    Returns
    -------
    ndarray of shape (ceil(order / 2), 6)
    """
    from scipy import signal

    corner = design_corner_hz(cutoff_hz, rate_hz, order)
    return np.asarray(signal.butter(order, corner, fs=rate_hz, output="sos"), dtype=np.float64)


def channel_class_sections(channel_class: int, rate_hz: float) -> FloatArray:
    """Return the section of one pass of a channel frequency class.

    The coefficients are those of SAE J211-1 (MAR95), appendix C, and of ISO 6487. The standards
    ask for a rate of at least ten times the class.

    Returns
    -------
    ndarray of shape (1, 6)
    """
    w = math.tan(math.pi * channel_class * CHANNEL_CLASS_CORNER / rate_hz)
    below = 1 + math.sqrt(2) * w + w * w
    a0 = w * w / below
    b1 = -2 * (w * w - 1) / below
    b2 = (-1 + math.sqrt(2) * w - w * w) / below
    # The standards write y = a0 x + a1 x' + a2 x" + b1 y' + b2 y", with the b on the other side.
    return np.array([[a0, 2 * a0, a0, 1.0, -b1, -b2]])


def both_ways(
    values: FloatArray, sections: FloatArray, *, rate_hz: float, corner_hz: float
) -> FloatArray:
    """Run a filter forward and backward over each piece between gaps.

    A piece is continued beyond its ends by its own mirror image, turned upside down at the end
    sample, so that a filtered end neither hangs nor jumps.

    Parameters
    ----------
    values : ndarray of shape (N,)
        At an even rate; NaN is a gap and stays one. A lone sample stays as it is.
    sections : ndarray of shape (K, 6)
        Second-order sections of one pass.
    rate_hz, corner_hz : float
        Samples a second, and about where the filter bends.
    """
    from scipy import signal

    # A filter remembers for about a period of its corner; SciPy's own padding of a few samples is
    # shorter than that where the rate is far above the corner, and bends the ends.
    wanted = max(3 * (2 * len(sections) + 1), math.ceil(rate_hz / corner_hz))

    def filtered(piece: FloatArray) -> FloatArray:
        if len(piece) < 2:
            return piece
        padding = min(wanted, len(piece) - 1)
        return np.asarray(signal.sosfiltfilt(sections, piece, padlen=padding), dtype=np.float64)

    return by_piece(values, filtered)
