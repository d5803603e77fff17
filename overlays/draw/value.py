"""Figures as they are set: large, the unit small and raised; and struck through, yet readable."""

from __future__ import annotations

from dataclasses import dataclass

from overlays.draw.numerals import Numerals
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import Sheet
from overlays.draw.text import Face
from overlays.style.colour import Colour

__all__ = ["Value", "struck"]


@dataclass(frozen=True, slots=True)
class Value:
    """How a figure with its unit is set.

    Parameters
    ----------
    large, small : Face
        For the digits and for the unit.
    ink, quiet : Colour
        Of the digits and of the unit.
    """

    large: Face
    small: Face
    ink: Colour
    quiet: Colour

    @property
    def space(self) -> int:
        """Between the digits and the unit."""
        return max(2, round(self.large.size * 0.12))

    @property
    def height(self) -> int:
        """From the baseline to the top of the digits."""
        return self.large.cap_height

    def digits_width(self, text: str) -> int:
        """Return the width of the digits alone."""
        return Numerals(self.large, self.ink).width(text)

    def width(self, text: str, unit: str) -> int:
        """Return the width of digits and unit."""
        return self.digits_width(text) + (self.space + self.small.width(unit) if unit else 0)

    def layers(self, text: str, unit: str, left: int, baseline: int) -> tuple[Layer, ...]:
        """Set the figure, its digits beginning at `left`."""
        right = left + self.digits_width(text)
        digits = Numerals(self.large, self.ink).layer(text, right, baseline)
        if not unit:
            return (digits,)
        raised = baseline - self.large.cap_height + self.small.cap_height
        return (digits, self.small.layer(unit, right + self.space, raised, self.quiet))


def struck(covers: Rect, width: int, colour: Colour) -> Layer:
    """Draw the stroke through a value that no longer holds.

    It rises from below the first digit to above the last, so that a minus sign in front, which
    lies level, stays a minus sign. Through a single digit it runs on at both sides, so as not to
    stand as steep as the strokes of the digit itself.
    """
    high, wide = covers.bottom - covers.top, covers.right - covers.left
    over = max(3, high // 4, (2 * high - wide) // 2)
    area = Rect(
        covers.left - over - width, covers.top - width, covers.right + over + width,
        covers.bottom + width,
    )  # fmt: skip
    rise = high * 0.12
    ends = [(covers.left - over, covers.bottom - rise), (covers.right + over, covers.top + rise)]
    return Sheet(area).stroke(ends, colour, width, cap="round").layer()
