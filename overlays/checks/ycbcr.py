"""R'G'B' and narrow-range Y'CbCr code values by Rec. ITU-R BT.709-6, items 3.2 to 3.5."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["codes_from_rgb", "rgb_from_codes"]

Floats = NDArray[np.float64]

_KR, _KG, _KB = 0.2126, 0.7152, 0.0722
_CB_RANGE = 1.8556  # 2 (1 - Kb)
_CR_RANGE = 1.5748  # 2 (1 - Kr)


def codes_from_rgb(rgb: ArrayLike, *, bits: int) -> NDArray[np.int64]:
    """Quantise R'G'B' to narrow-range Y'CbCr.

    Parameters
    ----------
    rgb : array_like of shape (…, 3)
        Non-linear components, 0 to 1.
    bits : int
        Bits a sample, 8 or more.

    Returns
    -------
    ndarray of shape (…, 3)
        Y', C'b and C'r codes, halves rounded up.
    """
    colour = np.asarray(rgb, np.float64)
    luma = colour @ np.array([_KR, _KG, _KB])
    blue = (colour[..., 2] - luma) / _CB_RANGE
    red = (colour[..., 0] - luma) / _CR_RANGE
    exact = np.stack([219 * luma + 16, 224 * blue + 128, 224 * red + 128], axis=-1)
    # Sums of decimal fractions fall a last bit short of the half they mean.
    return np.asarray(np.floor(exact * 2 ** (bits - 8) + 0.5 + 1e-9), np.int64)


def rgb_from_codes(luma: ArrayLike, blue: ArrayLike, red: ArrayLike, *, bits: int) -> Floats:
    """Return R'G'B' of narrow-range codes, not clipped: below 0 or above 1 where out of gamut.

    Parameters
    ----------
    luma, blue, red : array_like of shape (…)
        Y', C'b and C'r codes.
    bits : int
        Bits a sample, 8 or more.

    Returns
    -------
    ndarray of shape (…, 3)
        Non-linear components, nominally 0 to 1.
    """
    step = 2 ** (bits - 8)
    y = (np.asarray(luma, np.float64) / step - 16) / 219
    cb = (np.asarray(blue, np.float64) / step - 128) / 224
    cr = (np.asarray(red, np.float64) / step - 128) / 224
    r = y + _CR_RANGE * cr
    b = y + _CB_RANGE * cb
    return np.stack([r, (y - _KR * r - _KB * b) / _KG, b], axis=-1)
