"""A colour, as it is stored in a clip: sRGB with straight alpha."""

from __future__ import annotations

import re
from dataclasses import dataclass

from overlays.errors import StyleError

__all__ = ["Colour"]

_HEX = re.compile(r"#([0-9A-Fa-f]{6})([0-9A-Fa-f]{2})?")


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour, each part 0 to 255; alpha is straight."""

    red: int
    green: int
    blue: int
    alpha: int = 255

    @classmethod
    def parse(cls, text: str) -> Colour:
        """Read ``"#RRGGBB"`` or ``"#RRGGBBAA"``.

        Raises
        ------
        StyleError
            If it is written any other way.
        """
        match = _HEX.fullmatch(text)
        if match is None:
            raise StyleError(
                f"{text[:40]!r} is not a colour; expected #RRGGBB or #RRGGBBAA.",
                code="bad-colour",
                remedy='Write it in hexadecimal, such as "#1B2227" or "#1B2227EB".',
            )
        red, green, blue = bytes.fromhex(match[1])
        return cls(red, green, blue, int(match[2] or "ff", 16))

    @property
    def rgb(self) -> tuple[int, int, int]:
        """Red, green and blue."""
        return (self.red, self.green, self.blue)

    @property
    def text(self) -> str:
        """The colour as `parse` reads it.

        Examples
        --------
        >>> Colour(27, 34, 39, 235).text, Colour(27, 34, 39).text
        ('#1B2227EB', '#1B2227')
        """
        alpha = "" if self.alpha == 255 else f"{self.alpha:02X}"
        return f"#{self.red:02X}{self.green:02X}{self.blue:02X}{alpha}"

    def faded(self, share: float) -> Colour:
        """Return it with its alpha multiplied by `share`, 0 to 1."""
        return Colour(*self.rgb, round(self.alpha * share))

    def over(self, under: Colour) -> Colour:
        """Return the opaque colour it gives over an opaque one (Porter and Duff, *over*)."""
        share = self.alpha / 255
        red, green, blue = (
            round(a * share + b * (1 - share)) for a, b in zip(self.rgb, under.rgb, strict=True)
        )
        return Colour(red, green, blue)
