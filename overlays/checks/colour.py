"""Colour spaces, colour differences, simulated colour vision and contrast.

Everything here works on arrays whose last axis holds the three components, in floating point;
colours run from 0 to 1. Hidden constants are those of the standard named beside them.

References
----------
.. [1] IEC 61966-2-1:1999, sRGB; its matrix, and D65 as x = 0.3127, y = 0.3290.
.. [2] ISO/CIE 11664-4, CIE 1976 L*a*b*.
.. [3] Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation notes,
   supplementary test data, and mathematical observations", Color Res. Appl. 30 (2005) 21.
.. [4] Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color
   vision deficiency", IEEE TVCG 15 (2009) 1291: the published matrices at severity 1.
.. [5] WCAG 2.x, "relative luminance" and "contrast ratio". It prints the threshold 0.03928 where
   [1] has 0.04045; no 8-bit code lies between.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "DEFICIENCIES",
    "ciede2000",
    "contrast_ratio",
    "lab_from_srgb",
    "lab_from_xyz",
    "linear_from_srgb",
    "relative_luminance",
    "simulate",
    "srgb_from_linear",
    "xyz_from_linear",
]

Floats = NDArray[np.float64]

_XYZ_FROM_RGB: Floats = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
_LUMINANCE: Floats = np.array([0.2126, 0.7152, 0.0722])
_WHITE_D65: Floats = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])
_LAB_EDGE = 6 / 29
# The hue rules of CIEDE2000 change at half a turn exactly; pair 14 of [3] lies on it and floating
# point may put it a last bit past it (4.7461 instead of 4.8045).
_HALF_TURN_DEG = 180 + 1e-9

DEFICIENCIES: Mapping[str, Floats] = MappingProxyType(
    {
        "protanopia": np.array(
            [
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ]
        ),
        "deuteranopia": np.array(
            [
                [0.367322, 0.860646, -0.227968],
                [0.280085, 0.672501, 0.047413],
                [-0.011820, 0.042940, 0.968881],
            ]
        ),
        "tritanopia": np.array(
            [
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ]
        ),
    }
)


def linear_from_srgb(encoded: ArrayLike) -> Floats:
    """Decode sRGB to linear light [1]_."""
    code = np.asarray(encoded, np.float64)
    return np.where(code <= 0.04045, code / 12.92, ((np.maximum(code, 0) + 0.055) / 1.055) ** 2.4)


def srgb_from_linear(linear: ArrayLike) -> Floats:
    """Encode linear light as sRGB [1]_; the inverse of `linear_from_srgb`."""
    light = np.asarray(linear, np.float64)
    return np.where(
        light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055
    )


def xyz_from_linear(linear: ArrayLike) -> Floats:
    """Return CIE XYZ of linear sRGB light, Y = 1 for white [1]_; shape (…, 3)."""
    return np.asarray(linear, np.float64) @ _XYZ_FROM_RGB.T


def lab_from_xyz(xyz: ArrayLike) -> Floats:
    """Return CIE L*a*b* against D65 [2]_; shape (…, 3)."""
    ratio = np.asarray(xyz, np.float64) / _WHITE_D65
    f = np.where(ratio > _LAB_EDGE**3, np.cbrt(ratio), ratio / (3 * _LAB_EDGE**2) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_from_srgb(encoded: ArrayLike) -> Floats:
    """Return L*a*b* of sRGB colours from 0 to 1; shape (…, 3)."""
    return lab_from_xyz(xyz_from_linear(linear_from_srgb(encoded)))


def ciede2000(lab1: ArrayLike, lab2: ArrayLike) -> Floats:
    """Return the CIEDE2000 colour difference with k_L = k_C = k_H = 1 [3]_.

    Parameters
    ----------
    lab1, lab2 : array_like of shape (…, 3)
        L*a*b* colours; they broadcast against each other.

    Returns
    -------
    ndarray of shape (…)
        The difference; about 1 is just noticeable side by side.
    """
    first, second = np.broadcast_arrays(np.asarray(lab1, np.float64), np.asarray(lab2, np.float64))
    chroma = (np.hypot(first[..., 1], first[..., 2]) + np.hypot(second[..., 1], second[..., 2])) / 2
    g = 0.5 * (1 - np.sqrt(chroma**7 / (chroma**7 + 25.0**7)))
    chroma1, hue1 = _polar((1 + g) * first[..., 1], first[..., 2])
    chroma2, hue2 = _polar((1 + g) * second[..., 1], second[..., 2])
    grey = chroma1 * chroma2 == 0

    turn = hue2 - hue1
    turn = np.where(turn > _HALF_TURN_DEG, turn - 360, turn)
    turn = np.where(turn < -_HALF_TURN_DEG, turn + 360, turn)
    d_hue = 2 * np.sqrt(chroma1 * chroma2) * np.sin(np.radians(np.where(grey, 0, turn) / 2))
    d_light = second[..., 0] - first[..., 0]
    d_chroma = chroma2 - chroma1

    total = hue1 + hue2
    far = np.abs(hue1 - hue2) > _HALF_TURN_DEG
    hue = np.where(far, np.where(total < 360, total + 360, total - 360), total) / 2
    hue = np.where(grey, total, hue)
    return _weighed(d_light, d_chroma, d_hue, light=(first[..., 0] + second[..., 0]) / 2,
                    chroma=(chroma1 + chroma2) / 2, hue=hue)  # fmt: skip


def _polar(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Return chroma, and hue in degrees from 0 to 360 (0 for a grey)."""
    hue = np.degrees(np.arctan2(b, a)) % 360
    return np.hypot(a, b), np.where((a == 0) & (b == 0), 0.0, hue)


def _weighed(
    d_light: Floats,
    d_chroma: Floats,
    d_hue: Floats,
    *,
    light: Floats,
    chroma: Floats,
    hue: Floats,
) -> Floats:
    t = (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )
    s_light = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    s_chroma = 1 + 0.045 * chroma
    s_hue = 1 + 0.015 * chroma * t
    theta = 30 * np.exp(-(((hue - 275) / 25) ** 2))
    rotation = -np.sin(np.radians(2 * theta)) * 2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    dl, dc, dh = d_light / s_light, d_chroma / s_chroma, d_hue / s_hue
    return np.asarray(np.sqrt(dl**2 + dc**2 + dh**2 + rotation * dc * dh), np.float64)


def simulate(encoded: ArrayLike, deficiency: str) -> Floats:
    """Return sRGB colours as someone with a colour-vision deficiency sees them [4]_.

    The matrices apply to linear light; results outside the gamut are cut off.

    Parameters
    ----------
    encoded : array_like of shape (…, 3)
        sRGB from 0 to 1.
    deficiency : {"protanopia", "deuteranopia", "tritanopia"}
        Which, at severity 1.
    """
    linear = linear_from_srgb(encoded) @ DEFICIENCIES[deficiency].T
    return srgb_from_linear(np.clip(linear, 0, 1))


def relative_luminance(encoded: ArrayLike) -> Floats:
    """Return WCAG's relative luminance of sRGB colours, 0 for black and 1 for white [5]_."""
    return np.asarray(linear_from_srgb(encoded) @ _LUMINANCE, np.float64)


def contrast_ratio(first: ArrayLike, second: ArrayLike) -> Floats:
    """Return WCAG's contrast ratio of sRGB colours from 0 to 1, from 1 to 21 [5]_.

    Not to be rounded up: 4.478 is below 4.5.
    """
    one, other = relative_luminance(first), relative_luminance(second)
    return (np.maximum(one, other) + 0.05) / (np.minimum(one, other) + 0.05)
