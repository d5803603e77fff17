"""Whether code values stay within the range that broadcasters prefer, EBU R 103.

R 103 (version 2.0 of 2016; version 3.0 keeps it for standard range) lets R', G', B' and the luma
run 5 % past black and white: 5 to 246 in 8 bits and 20 to 984 in 10 bits, and calls a picture out
of gamut only where more than 1 % of its area is. The levels were read in the EBU's quality-control
item 0051B and the 1 % in the EBU's announcement of version 2.0, not in the recommendation itself.
R 103 allows a low-pass filter before measuring; none is used here, which is stricter. Codes that
the interface reserves for timing (BT.709-6: 0 and 255 in 8 bits, 0-3 and 1020-1023 in 10; from
memory) are never right in a picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.checks.decoding import Codes
from overlays.checks.findings import Finding
from overlays.checks.ycbcr import rgb_from_codes

__all__ = [
    "MOST_AREA",
    "Levels",
    "judge_levels",
    "judge_stored_levels",
    "measure_levels",
    "preferred_range",
]

MOST_AREA = 0.01
# Levels are a matter of area: a quarter of the pixels tells it.
_EVERY_PIXEL = 2

Plane = NDArray[np.uint8] | NDArray[np.uint16]


def preferred_range(bits: int) -> tuple[int, int]:
    """Return the lowest and highest preferred code of luma and of R', G' and B'.

    Examples
    --------
    >>> preferred_range(8), preferred_range(10), preferred_range(12)
    ((5, 246), (20, 984), (80, 3936))
    """
    # A twentieth of the 220 codes from 16 to 235 is 11.
    step = 2 ** (bits - 8)
    return (16 - 11) * step, (235 + 11) * step


@dataclass(frozen=True, slots=True)
class Levels:
    """What was measured of one frame.

    Parameters
    ----------
    bits : int
        Bits a sample.
    luma : (int, int)
        Lowest and highest luma code where anything is visible; (0, 0) on an empty frame.
    outside : float
        Share of the frame, 0 to 1, where luma or a component of R'G'B' leaves the preferred range.
    reserved : int
        Samples with reserved codes.
    """

    bits: int
    luma: tuple[int, int]
    outside: float
    reserved: int

    @property
    def within(self) -> bool:
        """Whether the frame keeps to the recommendation."""
        return self.outside <= MOST_AREA and self.reserved == 0


def measure_levels(
    luma: Plane, blue: Plane, red: Plane, *, bits: int, alpha: Plane | None = None
) -> Levels:
    """Measure one frame's narrow-range code values.

    Parameters
    ----------
    luma : ndarray of shape (H, W)
        Y' codes.
    blue, red : ndarray of shape (h, w)
        C'b and C'r codes; ``h`` and ``w`` may be half of ``H`` and ``W``, rounded up.
    bits : int
        Bits a sample, 8 or more.
    alpha : ndarray of shape (H, W), optional
        Where it is 0 the colour shows nowhere and is not judged, only its codes' legality.
    """
    low, high = preferred_range(bits)
    blue_full, red_full = (_as_large(plane, luma.shape) for plane in (blue, red))
    shown = np.ones(luma.shape, bool) if alpha is None else alpha > 0
    step = 2 ** (bits - 8)
    rgb = rgb_from_codes(luma, blue_full, red_full, bits=bits) * (219 * step) + 16 * step
    # Rounding three codes to integers moves a colour that was just inside by up to two codes.
    beyond = (rgb < low - 2) | (rgb > high + 2)
    out = shown & (beyond.any(axis=-1) | (luma < low) | (luma > high))
    reserved = sum(_reserved(plane, bits) for plane in (luma, blue, red))
    visible = luma[shown]
    span = (int(visible.min()), int(visible.max())) if visible.size else (0, 0)
    return Levels(bits, span, float(out.mean()), reserved)


def _as_large(plane: Plane, shape: tuple[int, ...]) -> Plane:
    down, across = -(-shape[0] // plane.shape[0]), -(-shape[1] // plane.shape[1])
    if down == across == 1:
        return plane
    return plane.repeat(down, axis=0).repeat(across, axis=1)[: shape[0], : shape[1]]


def _reserved(plane: Plane, bits: int) -> int:
    step = 2 ** (bits - 8)
    return int(((plane < step) | (plane >= 255 * step)).sum())


def judge_levels(levels: Levels, *, frame: int | None = None) -> Finding:
    """Judge what `measure_levels` found.

    Parameters
    ----------
    levels : Levels
        Of one frame.
    frame : int, optional
        Which frame of the file.
    """
    low, high = preferred_range(levels.bits)
    if levels.reserved:
        message = f"{levels.reserved} samples hold codes reserved for timing; expected none."
    else:
        message = (
            f"{levels.outside:.1%} of the frame lies outside {low} to {high} ({levels.bits} bits); "
            f"expected {MOST_AREA:.0%} or less. Luma runs from {levels.luma[0]} to "
            f"{levels.luma[1]}."
        )
    if levels.within:
        return Finding("levels", "pass", message, frame=frame)
    remedy = "Use less saturated or less bright colours in the style, or report the encoder."
    return Finding("levels", "fail", message, remedy, frame=frame)


def judge_stored_levels(codes: Codes | None, *, frame: int | None = None) -> Finding:
    """Judge the levels of a decoded frame.

    Parameters
    ----------
    codes : Codes or None
        As `overlays.checks.decoding` gives them; None where the file stores RGB.
    frame : int, optional
        Which frame of the file.
    """
    if codes is None:
        message = "the file stores RGB in full range; it has no video levels."
        return Finding("levels", "pass", message, frame=frame)
    thin = np.s_[::_EVERY_PIXEL, ::_EVERY_PIXEL]
    small = codes.blue.shape != codes.luma.shape
    measured = measure_levels(
        codes.luma[thin],
        codes.blue if small else codes.blue[thin],
        codes.red if small else codes.red[thin],
        bits=codes.bits,
        alpha=None if codes.alpha is None else codes.alpha[thin],
    )
    return judge_levels(measured, frame=frame)
