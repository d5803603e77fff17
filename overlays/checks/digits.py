"""Numbers read from a picture, digit by digit, as a person would.

The drawing code is not used: shapes are compared with those that FreeType, through Pillow, makes of
the same font.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from overlays.checks.writing import Line
from overlays.draw.patch import Pixels
from overlays.numbers import MINUS

__all__ = ["LEAST_SIZE_PX", "read_number"]

LEAST_SIZE_PX = 20
"""Smaller digits are not read: they differ by too few pixels."""

_DIGITS = "0123456789"
_SHAPE = (24, 16)  # rows and columns that shapes are compared at
_TEMPLATE_PX = 200
_AROUND_PX = 2
_INKED = 0.5
_ASPECT_SHARE = 0.15
# Measured on the shipped styles from 20 px on: a digit is off its own shape by up to 0.2, and
# always nearest to it.
_TOO_DIFFERENT = 0.25

Shape = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Sign:
    """A stretch of ink that hangs together, and its rows and columns around the line."""

    shape: Shape
    left: int
    top: int
    bottom: int


def read_number(line: Line, pixels: Pixels) -> str:
    """Read what stands at the place of a line, a number in its font and colour.

    Parameters
    ----------
    line : Line
        Where to look, how large and in which colour; its text is not looked at.
    pixels : ndarray of shape (H, W, 4)
        A frame, straight RGBA, drawn or decoded.

    Returns
    -------
    str
        Digits, ``.`` or ``,``, and the minus sign; ``?`` for a sign that is none of them.
    """
    signs = _signs(_ink(line, pixels))
    tall = line.size * 0.35  # half a digit
    feet = [sign.bottom for sign in signs if sign.shape.shape[0] > tall]
    below = (float(np.median(feet)) if feet else 0.0) + line.size * 0.05
    read = ""
    for sign in signs:
        rows, columns = sign.shape.shape
        if rows > tall:
            read += _digit(sign.shape, line.files[0])
        elif columns > rows * 1.6:
            read += MINUS
        else:
            read += "," if sign.bottom > below else "."
    return read


def _signs(share: Shape) -> list[_Sign]:
    """Take the ink apart into what hangs together, from left to right."""
    from scipy import ndimage

    labels, count = ndimage.label(share >= _INKED)
    found = []
    for number, (rows, columns) in enumerate(ndimage.find_objects(labels), start=1):
        # Soft edges belong to a sign, other signs in the same columns do not.
        own = np.isin(labels[rows, columns], (0, number))
        shape = np.where(own, share[rows, columns], 0.0)
        found.append(_Sign(shape, columns.start, rows.start, rows.stop))
    del count
    return sorted(found, key=lambda sign: sign.left)


def _ink(line: Line, pixels: Pixels) -> Shape:
    """Return how much of each pixel around a line is its ink, 0 to 1."""
    left, top, right, bottom = line.rect
    part = pixels[
        max(0, top - _AROUND_PX) : bottom + _AROUND_PX,
        max(0, left - _AROUND_PX) : right + _AROUND_PX,
    ].astype(np.float64)
    ink = np.array(line.colour[:3], np.float64)
    # Over the one of black and white that the ink stands out from.
    backdrop = 0.0 if ink.mean() > 127 else 255.0
    alpha = part[..., 3:] / 255
    seen = part[..., :3] * alpha + backdrop * (1 - alpha)
    border = np.concatenate([seen[0], seen[-1], seen[:, 0], seen[:, -1]])
    ground = np.median(border, axis=0)
    way = ink - ground
    share: Shape = np.clip((seen - ground) @ way / max(float(way @ way), 1.0), 0, 1)
    return share


def _digit(shape: Shape, file: str) -> str:
    rows, columns = shape.shape
    seen = _resized(shape)
    off = {
        digit: float(np.abs(seen - template).mean()) + abs(columns / rows - aspect) * _ASPECT_SHARE
        for digit, (template, aspect) in _templates(file).items()
    }
    best = min(off, key=lambda digit: off[digit])
    return best if off[best] <= _TOO_DIFFERENT else "?"


def _resized(shape: Shape) -> Shape:
    from PIL import Image

    size = (_SHAPE[1], _SHAPE[0])
    image = Image.fromarray(shape.astype(np.float32)).resize(size, Image.Resampling.BOX)
    return np.asarray(image, np.float64)


@lru_cache(maxsize=64)
def _templates(file: str) -> dict[str, tuple[Shape, float]]:
    """Return each digit of a font as a shape, and how wide it is for its height."""
    from PIL import Image, ImageDraw, ImageFont

    font = ImageFont.truetype(file, _TEMPLATE_PX)
    made = {}
    for digit in _DIGITS:
        image = Image.new("L", (_TEMPLATE_PX * 2, _TEMPLATE_PX * 2))
        ImageDraw.Draw(image).text((_TEMPLATE_PX // 2, _TEMPLATE_PX // 4), digit, 255, font)
        (sign,) = _signs(np.asarray(image, np.float64) / 255)
        rows, columns = sign.shape.shape
        made[digit] = _resized(sign.shape), columns / rows
    return made
