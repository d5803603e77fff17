"""Numbers that move: digits in cells of one width, so that nothing jitters sideways."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from overlays.draw.patch import Layer, Patch, Rect, Written, lay_over
from overlays.draw.text import Face
from overlays.numbers import MINUS, fixed
from overlays.style.colour import Colour

__all__ = ["Numerals", "widest_number"]

_MARKS = ".,"
# A decimal mark in a cell as wide as its advance looks lost between even digits.
_MARK_SHARE = 0.78


@dataclass(frozen=True, slots=True)
class Numerals:
    """Draws numbers from digits drawn once.

    Parameters
    ----------
    face : Face
        The font.
    colour : Colour
        Of the digits.
    """

    face: Face
    colour: Colour

    @property
    def cell(self) -> int:
        """Width of a digit's cell, and of the minus sign's."""
        return max(self.face.width(digit) for digit in "0123456789")

    def width(self, text: str) -> int:
        """Return how wide a number is, in pixels."""
        return sum(_cell(self, character)[1] for character in text)

    def layers(self, text: str, right: int, baseline: int) -> tuple[Layer, ...]:
        """Set a number so that it ends at `right`; with fixed decimals the mark stays in place."""
        layers: list[Layer] = []
        x = right - self.width(text)
        for character in text:
            drawn, advance = _cell(self, character)
            if not character.isspace():
                layers.append(Layer(drawn.patch, x + drawn.left, baseline + drawn.top))
            x += advance
        return tuple(layers)

    def layer(self, text: str, right: int, baseline: int) -> Layer:
        """Set a number that stays, as one layer, digits in the same cells."""
        parts = self.layers(text, right, baseline)
        if len(parts) == 1:
            return parts[0]
        left = min(part.covers.left for part in parts)
        top = min(part.covers.top for part in parts)
        bottom = max(part.covers.bottom for part in parts)
        end = max(part.covers.right for part in parts)
        pixels = np.zeros((bottom - top, end - left, 4), np.uint8)
        lay_over(pixels, (left, top), parts)
        rect = Rect(0, 0, end - left, bottom - top)
        return Layer(Patch(pixels, written=(self.written(text, rect),)), left, top)

    def written(self, text: str, rect: Rect) -> Written:
        """Return a number as a line of text whose ink lies within `rect`."""
        colour = (*self.colour.rgb, self.colour.alpha)
        return Written(text, self.face.files, self.face.size, colour, rect)


@lru_cache(maxsize=4096)
def _cell(numerals: Numerals, character: str) -> tuple[Layer, int]:
    """Draw one cell with its baseline's start at (0, 0); return it with its width."""
    face = numerals.face
    if character in _MARKS:
        advance = round(face.width(character) * _MARK_SHARE)
    elif character.isdigit() or character == MINUS:
        advance = numerals.cell
    else:
        advance = face.width(character)
    return face.layer(character, advance // 2, 0, numerals.colour, "centre"), advance


def widest_number(values: Iterable[float], places: int) -> str:
    """Return a number as wide as any between the given ones, written with `places` decimals."""
    texts = [fixed(value, places) for value in values]
    longest = max(len(text.lstrip("-")) for text in texts)
    sign = "-" if any(text.startswith("-") for text in texts) else ""
    digits = "0" * (longest - places - 1) + "." + "0" * places if places else "0" * longest
    return sign + digits
