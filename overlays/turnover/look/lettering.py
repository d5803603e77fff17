"""The house's letters on paper: measured, broken into lines, and never a hollow box.

A letter that the house's font has not is taken from the one that stands in for it, and one that
neither has is shown as U+FFFD: a look at the runs must not fail over a bench's remark.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from overlays.model.plain_text import clean_text

if TYPE_CHECKING:
    from matplotlib.font_manager import FontProperties
    from matplotlib.ft2font import FT2Font

__all__ = ["Lettering", "Span", "legible"]

_FONTS = {
    500: ("HankenGrotesk-Medium.otf", "DejaVuSans.ttf"),
    700: ("HankenGrotesk-Bold.otf", "DejaVuSans-Bold.ttf"),
}
_UNKNOWN = "\N{REPLACEMENT CHARACTER}"
_ELLIPSIS = "…"
_MEASURED_AT = 100


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of text in one font.

    Parameters
    ----------
    text : str
        Its letters.
    file : str
        The font's file.
    start : float
        Where it begins, in ems from the beginning of the text.
    """

    text: str
    file: str
    start: float


@dataclass(frozen=True, slots=True)
class Lettering:
    """Letters of one size and weight.

    Parameters
    ----------
    size : int
        Pixels to the em.
    weight : {500, 700}
        Medium or bold.
    """

    size: int
    weight: Literal[500, 700] = 500

    @property
    def line(self) -> int:
        """Distance from one baseline to the next."""
        return round(self.size * 1.35)

    def width(self, text: str) -> float:
        """Return how far a text runs, in pixels."""
        return self.size * sum(_advance(span.file, span.text) for span in self.spans(text))

    def spans(self, text: str) -> tuple[Span, ...]:
        """Cut a text where its font changes."""
        found: list[Span] = []
        start = 0.0
        for file, signs in groupby(legible(text), key=lambda sign: _file_for(sign, self.weight)):
            found.append(Span("".join(signs), file, start))
            start += _advance(file, found[-1].text)
        return tuple(found)

    def fitted(self, text: str, width: float) -> str:
        """Return a text, cut and ended by an ellipsis where it runs wider than `width`."""
        if self.width(text) <= width:
            return text
        kept = text
        while kept and self.width(kept.rstrip() + _ELLIPSIS) > width:
            kept = kept[:-1]
        return kept.rstrip() + _ELLIPSIS

    def wrapped(self, text: str, width: float) -> list[str]:
        """Break a text between words into lines no wider than `width`; at least one line."""
        lines: list[str] = []
        for word in text.split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.width(longer) <= width:
                lines[-1] = longer
            else:
                lines += self._broken(word, width)
        return lines or [""]

    def _broken(self, word: str, width: float) -> list[str]:
        """Break a word that is longer than a line, such as a path."""
        pieces = [""]
        for letter in word:
            if pieces[-1] and self.width(pieces[-1] + letter) > width:
                pieces.append("")
            pieces[-1] += letter
        return pieces

    def properties(self, span: Span) -> FontProperties:
        """Return the letters of a span as matplotlib names them."""
        from matplotlib.font_manager import FontProperties

        return FontProperties(fname=span.file, size=self.size)


@lru_cache(maxsize=4096)
def legible(text: str) -> str:
    """Return plain text with every character that no font here has replaced by U+FFFD."""
    fonts = _files(500)
    signs = clean_text(text)
    return "".join(sign if any(_has(file, sign) for file in fonts) else _UNKNOWN for sign in signs)


@cache
def _files(weight: int) -> tuple[str, str]:
    """Return the house's font of a weight, and the one that stands in for it."""
    import font_hanken_grotesk
    import matplotlib as mpl

    house, other = _FONTS[weight]
    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    return str(Path(font_hanken_grotesk.font_directory) / house), str(folder / other)


@cache
def _file_for(sign: str, weight: int) -> str:
    house, other = _files(weight)
    return house if _has(house, sign) else other


@cache
def _has(file: str, sign: str) -> bool:
    return _font(file).get_char_index(ord(sign)) > 0


@cache
def _font(file: str) -> FT2Font:
    from matplotlib.ft2font import FT2Font

    return FT2Font(file)


@lru_cache(maxsize=8192)
def _advance(file: str, text: str) -> float:
    """Return how far a text runs in one font, in ems."""
    from matplotlib.ft2font import LoadFlags

    font = _font(file)
    font.set_size(_MEASURED_AT, 72)
    font.set_text(text, 0.0, flags=LoadFlags.NO_HINTING)
    width, _ = font.get_width_height()
    return float(width) / 64 / _MEASURED_AT
