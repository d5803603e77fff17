"""Flashes in a sequence of frames, against ITU-R BT.1702 and WCAG 2.3.1.

**This is a measurement against published limits, no medical guarantee.** It judges flashes only:
neither striped patterns nor sequences of allowed flashes that go on for many seconds.

Definitions (WCAG 2.x glossary, "general flash and red flash thresholds", which cites BT.1702):

* A general flash is a pair of opposing changes in relative luminance of 10 % or more of the
  maximum, the darker state being below 0.80. BT.1702 says 20 cd/m² and 160 cd/m² on a screen of
  200 cd/m², which is the same.
* A red flash is a pair of opposing changes to or from a saturated red, R/(R+G+B) ≥ 0.8 in linear
  light. WCAG 2.0 asks that (R-G-B) x 320 (negative counts as 0) changes by more than 20; WCAG 2.2
  asks for more than 0.2 in the CIE 1976 u'v' diagram. They differ for dark red on black, so both
  are measured and either one fails.
* More than three flashes within one second are too many where the area that flashes, all within
  that second taken together, is more than a quarter of any 10 degree field of view: a third of the
  width by a third of the height (341 x 256 at 1024 x 768). BT.1702 speaks of a quarter of the
  screen and an explanation of WCAG's of the whole field; this is the strictest of the three.

Decisions of our own: black has the chromaticity (0, 0), and so has anything whose largest linear
component is below 0.003, about 0.1 cd/m². Light is averaged over cells of at most 1/300 of the
canvas's shorter side before judging; WCAG exempts patterns finer than 0.1 degree, which is that
size. A cell that flashes in part counts as a whole.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from overlays.checks.second_counter import Mask
from overlays.checks.swings import Large

__all__ = [
    "CELLS_ACROSS",
    "DEFINITIONS",
    "FIELDS_ACROSS",
    "FIELD_SHARE",
    "MOST_FLASHES",
    "Definition",
    "Light",
    "states_of",
]

MOST_FLASHES = 3
FIELD_SHARE = Fraction(1, 4)
FIELDS_ACROSS = 3
CELLS_ACROSS = 300
_DARK = 0.003
_EPSILON = 1e-6  # float32 puts 0.55 - 0.45 a last bit short of 0.1

Light = NDArray[np.float32]

# The matrix of WCAG's own explanation of its red flash, which has more digits than sRGB's.
_XYZ: Light = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ],
    np.float32,
)


@dataclass(frozen=True, slots=True)
class Definition:
    """One definition of a flash.

    Parameters
    ----------
    name : str
        For messages.
    rows : int
        Values in a state; see `states_of`.
    large : callable
        Whether the change between two states counts.
    """

    name: str
    rows: int
    large: Large


def _general(before: Light, after: Light) -> Mask:
    darker = np.minimum(before[0], after[0])
    large = np.abs(after[0] - before[0]) >= 0.1 - _EPSILON
    return np.asarray(large & (darker < 0.8 - _EPSILON), bool)


def _red_2_0(before: Light, after: Light) -> Mask:
    saturated = np.maximum(before[1], after[1]) >= 0.8 - _EPSILON
    large = np.abs(after[0] - before[0]) > 20 + _EPSILON * 320
    return np.asarray(saturated & large, bool)


def _red_2_2(before: Light, after: Light) -> Mask:
    saturated = np.maximum(before[0], after[0]) >= 0.8 - _EPSILON
    apart = np.hypot(after[1] - before[1], after[2] - before[2]) > 0.2 + _EPSILON
    return np.asarray(saturated & apart, bool)


DEFINITIONS = (
    Definition("general", 1, _general),
    Definition("red (WCAG 2.0)", 2, _red_2_0),
    Definition("red (WCAG 2.2)", 3, _red_2_2),
)


def states_of(light: Light) -> tuple[Light, Light, Light]:
    """Return the states of the three definitions.

    Parameters
    ----------
    light : ndarray of shape (h, w, 3)
        Linear light of cells, 0 to 1.

    Returns
    -------
    tuple of ndarray of shape (rows, h, w)
        In the order of `DEFINITIONS`: luminance; red excess and share of red; share of red, u', v'.
    """
    red, green, blue = light[..., 0], light[..., 1], light[..., 2]
    seen = light.max(axis=-1) >= _DARK
    total = np.where(seen, red + green + blue, 1)
    share = np.where(seen, red / total, 0)
    excess = np.maximum(red - green - blue, 0) * 320
    xyz = light @ _XYZ.T
    weight = np.where(seen, xyz[..., 0] + 15 * xyz[..., 1] + 3 * xyz[..., 2], 1)
    u = np.where(seen, 4 * xyz[..., 0] / weight, 0)
    v = np.where(seen, 9 * xyz[..., 1] / weight, 0)
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    stacked = (luminance[None], np.stack([excess, share]), np.stack([share, u, v]))
    general, red20, red22 = (np.asarray(state, np.float32) for state in stacked)
    return general, red20, red22
