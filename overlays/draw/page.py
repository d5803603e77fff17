"""The page: a canvas and its style; shape, safe areas, and tokens turned into pixels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from overlays.draw.patch import Rect
from overlays.draw.text import Face, Weight, face
from overlays.numbers import typeset
from overlays.style.house import Colours, Style

__all__ = ["Page", "Shape"]

Shape = Literal["wide", "square", "tall"]

# Shares of each side left free: EBU R 95 and SMPTE ST 2046-1, 16:9 production.
_ACTION = 0.035
_GRAPHICS = 0.05


@dataclass(frozen=True, slots=True)
class Page:
    """A canvas to lay out in a style.

    Parameters
    ----------
    width, height : int
        In pixels.
    style : Style
        Whose tokens are used.
    decimal_mark : str
        As the session says.
    """

    width: int
    height: int
    style: Style
    decimal_mark: str = "."

    @property
    def colours(self) -> Colours:
        """The style's colour roles."""
        return self.style.colours

    def face(self, weight: Weight, size: float) -> Face:
        """Return one of the style's fonts; `size` is one of its lengths."""
        return face(self.style, weight, self.px(max(size, self.style.type.floor)))

    def number(self, written: str) -> str:
        """Set a number written by `overlays.numbers.fixed` for the screen."""
        return typeset(written, decimal_mark=self.decimal_mark)

    @property
    def whole(self) -> Rect:
        """The canvas."""
        return Rect(0, 0, self.width, self.height)

    @property
    def shape(self) -> Shape:
        """What layouts are made for: wide like 16:9, tall like 9:16, or neither."""
        if self.width * 4 >= self.height * 5:
            return "wide"
        return "tall" if self.height * 4 >= self.width * 5 else "square"

    @property
    def scale(self) -> float:
        """Pixels to one unit of a style's lengths."""
        return min(self.width, self.height) / 1080

    def px(self, length: float) -> int:
        """Return a style's length in whole pixels, at least one."""
        return max(1, round(length * self.scale))

    @property
    def action(self) -> Rect:
        """The action-safe area: 3.5 % free at every side."""
        return self._inside(_ACTION)

    @property
    def graphics(self) -> Rect:
        """The graphics-safe area: 5 % free at every side; text stays inside."""
        return self._inside(_GRAPHICS)

    def _inside(self, share: float) -> Rect:
        # Rounded half up, so that 1920x1080 gives 67, 38 and 96, 54.
        across, down = int(self.width * share + 0.5), int(self.height * share + 0.5)
        return Rect(across, down, self.width - across, self.height - down)
