"""The page: a canvas and its style; shape, safe areas, and tokens turned into pixels.

EBU R 95 and SMPTE ST 2046-1:2009 keep action within 93 % and graphics (titles) within 90 % of the
width and height: margins of 3.5 % and 5 % on every side. Glossaries swap the two; the standards do
not. They speak of 16:9; the same shares are used at any other canvas. The published pixels at
1920x1080, action 67 to 1852 by 38 to 1041 and graphics 96 to 1823 by 54 to 1025, are these margins
rounded half up (the pixels from memory, equal to the computed ones).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from overlays.draw.patch import Rect
from overlays.draw.text import Face, Weight, face
from overlays.numbers import typeset
from overlays.style.house import Colours, Style

__all__ = ["MARGINS_PERMILLE", "Area", "Page", "Shape", "safe_rect"]

Area = Literal["action", "graphics"]
Shape = Literal["wide", "square", "tall"]

MARGINS_PERMILLE: dict[Area, int] = {"action": 35, "graphics": 50}


def safe_rect(width: int, height: int, *, area: Area = "graphics") -> Rect:
    """Return the safe area of a canvas.

    Examples
    --------
    >>> safe_rect(1920, 1080)
    Rect(left=96, top=54, right=1824, bottom=1026)
    """
    across, down = ((side * MARGINS_PERMILLE[area] * 2 + 1000) // 2000 for side in (width, height))
    return Rect(across, down, width - across, height - down)


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
        return safe_rect(self.width, self.height, area="action")

    @property
    def graphics(self) -> Rect:
        """The graphics-safe area: 5 % free at every side; text stays inside."""
        return safe_rect(self.width, self.height)
