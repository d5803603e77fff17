"""Text: measured, set by matplotlib's FreeType with HarfBuzz shaping, kept once drawn.

Sizes are pixels to the em. Places are baselines at whole pixels. A glyph no font has is an error
that names it; nothing is ever drawn as a hollow box.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from overlays.draw.agg import Agg
from overlays.draw.patch import Layer, Patch, Rect, Written
from overlays.errors import StyleError
from overlays.files import size_text
from overlays.style.colour import Colour
from overlays.style.house import Style

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font

__all__ = ["Face", "Weight", "face", "fitted", "font_files", "paragraph", "wrapped"]

Weight = Literal["text", "strong", "loud"]
Align = Literal["left", "centre", "right"]
_ELLIPSIS = "…"
LARGEST_GLYPH = 20  # ems; the widest there are in fonts of any script are about ten
_FONT_ENDINGS, _LARGEST_FONT = (".otf", ".ttf"), 50_000_000
_WHITE = Colour(255, 255, 255)


@dataclass(frozen=True, slots=True)
class Face:
    """A font at a size.

    Parameters
    ----------
    files : tuple of str
        The font's file and those asked for glyphs that it has not.
    size : int
        Pixels to the em.
    """

    files: tuple[str, ...]
    size: int

    def width(self, text: str) -> int:
        """Return how far the text runs, in whole pixels, rounded up."""
        return math.ceil(_advance(self, text)) if text else 0

    @property
    def cap_height(self) -> int:
        """Height of a capital above the baseline."""
        return math.ceil(_drawn(self, "H").above)

    @property
    def ascent(self) -> int:
        """Room a line needs above its baseline, accents included."""
        return math.ceil(_drawn(self, "ÅÜ").above)

    @property
    def descent(self) -> int:
        """Room a line needs below its baseline."""
        return math.ceil(_drawn(self, "gjpqy").below)

    @property
    def line(self) -> int:
        """Distance from one baseline to the next."""
        return round(self.size * 1.24)

    def layer(
        self, text: str, x: int, baseline: int, colour: Colour, align: Align = "left"
    ) -> Layer:
        """Set a line of text with its left end, middle or right end at `x`."""
        drawn, advance = _drawn(self, text), _advance(self, text)
        shift = {"left": 0.0, "centre": -advance / 2, "right": -advance}[align]
        return Layer(
            _coloured(self, text, colour), x + round(shift) + drawn.left, baseline + drawn.top
        )


def face(style: Style, weight: Weight, size: int) -> Face:
    """Return one of the style's fonts at a size in pixels.

    Raises
    ------
    StyleError
        If a file of it is not there, or lies outside the style's folder.
    """
    names = (getattr(style.fonts, weight), *style.fonts.fallback)
    own = tuple(_font_file(name, str(style.folder)) for name in names)
    return Face((*own, *_east_asian()), size)


def font_files(style: Style) -> tuple[Path, ...]:
    """Return every font file of a style, each once, sorted; raises as `face`."""
    fonts = style.fonts
    names = (fonts.text, fonts.strong, fonts.loud, *fonts.fallback)
    own = {Path(_font_file(name, str(style.folder))) for name in names}
    return tuple(sorted(own | {Path(file) for file in _east_asian()}))


@cache
def _east_asian() -> tuple[str, ...]:
    """Return the font of the extra `cjk`, asked last of all; none where it is not installed."""
    try:
        from noto_cjk_sans_jp_regular import FONT_PATH
    except ImportError:
        return ()
    return (str(FONT_PATH),)


@cache
def _font_file(name: str, folder: str) -> str:
    import font_hanken_grotesk
    import matplotlib as mpl

    inside = (Path(folder) / name).resolve()
    places = (
        inside if inside.is_relative_to(Path(folder).resolve()) else None,
        Path(font_hanken_grotesk.font_directory) / Path(name).name,
        Path(mpl.get_data_path()) / "fonts" / "ttf" / Path(name).name,
    )
    for place in places:
        if place is not None and place.is_file():
            _check_font(place)
            return str(place)
    raise StyleError(
        f"there is no font file {name!r}.",
        code="missing-font",
        field="fonts",
        remedy="Put the file into the style's folder, or name a packaged one.",
    )


def _check_font(file: Path) -> None:
    """Refuse what no font of a style is, before a library looks into it."""
    kind, size = file.suffix.lower(), file.stat().st_size
    if kind in _FONT_ENDINGS and size <= _LARGEST_FONT:
        return
    found = f"is {size_text(size)} large" if kind in _FONT_ENDINGS else f"ends in {kind[:20]!r}"
    raise StyleError(
        f"the font file {file.name[:60]!r} {found}; expected {' or '.join(_FONT_ENDINGS)}, "
        f"{size_text(_LARGEST_FONT)} at most.",
        code="bad-font",
        field="fonts",
        remedy="Use an OpenType or TrueType file.",
    )


@dataclass(frozen=True, slots=True)
class _Drawn:
    """Coverage of a line of text, and where it lies from the start of its baseline."""

    mask: NDArray[np.uint8]
    left: int
    top: int

    @property
    def above(self) -> int:
        return -self.top

    @property
    def below(self) -> int:
        return self.top + int(self.mask.shape[0])


@lru_cache(maxsize=4096)
def _drawn(face: Face, text: str) -> _Drawn:
    """Draw a line of text as coverage, its outlines filled without hinting."""
    points, codes, _ = _outline(face.files, _checked(face.files, text))
    if not len(points):
        return _Drawn(np.zeros((1, 1), np.uint8), 0, 0)
    points = points * face.size
    # Where an outline closes, matplotlib has a point at (0, 0) that means nothing.
    inked = points[codes != _CLOSE]
    left, bottom = (int(edge) for edge in np.floor(inked.min(axis=0)))
    right, top = (int(edge) for edge in np.ceil(inked.max(axis=0)))
    if max(right - left, top - bottom) > LARGEST_GLYPH * face.size * len(text):
        raise _bad_font(
            face.files[0], f"draws {text[:20]!r} more than {LARGEST_GLYPH} times its size"
        )
    agg = Agg(max(1, right - left), max(1, top - bottom))
    agg.fill(points - np.array([left, bottom]), _WHITE, codes)
    return _Drawn(agg.pixels[..., 3].copy(), left, -top)


def _advance(face: Face, text: str) -> float:
    return _outline(face.files, _checked(face.files, text))[2] * face.size


@lru_cache(maxsize=4096)
def _coloured(face: Face, text: str, colour: Colour) -> Patch:
    mask = _drawn(face, text).mask
    pixels = np.empty((*mask.shape, 4), np.uint8)
    pixels[..., :3] = colour.rgb
    pixels[..., 3] = (mask.astype(np.uint16) * colour.alpha + 127) // 255
    rect = Rect(0, 0, mask.shape[1], mask.shape[0])
    line = Written(text, face.files, face.size, (*colour.rgb, colour.alpha), rect)
    return Patch(pixels, written=(line,) if text.strip() else ())


def _checked(files: tuple[str, ...], text: str) -> str:
    """Return the text composed (NFC), every character of it being in some font."""
    composed = unicodedata.normalize("NFC", text)
    for character in composed:
        # Joiners and direction marks have no shape of their own; shaping consumes them.
        if unicodedata.category(character) != "Cf" and not _has_glyph(files, character):
            raise StyleError(
                f"no font has U+{ord(character):04X} "
                f"({unicodedata.name(character, 'unnamed')}), in {composed[:60]!r}.",
                code="missing-glyph",
                field="fonts.fallback",
                remedy=_remedy(character),
            )
    return composed


# Kana, ideographs and their punctuation, Hangul; and the planes of rarer ideographs.
_EAST_ASIAN = ((0x2E80, 0x9FFF), (0xAC00, 0xD7FF), (0xF900, 0xFAFF), (0xFF00, 0xFFEF))
_RARE = (0x20000, 0x3FFFF)


def _remedy(character: str) -> str:
    """Return what to do about a character that no font has."""
    code = ord(character)
    if not _east_asian() and any(low <= code <= high for low, high in (*_EAST_ASIAN, _RARE)):
        return 'Install the font: python -m pip install "tracereel[cjk]".'
    if unicodedata.category(character) == "So":
        return "Leave the symbol out; or add an outline font that has it to the style's fallback."
    return "Add a font that has it to the style's fallback fonts."


@lru_cache(maxsize=4096)
def _has_glyph(files: tuple[str, ...], character: str) -> bool:
    return any(int(_font((name,)).get_char_index(ord(character))) > 0 for name in files)


def _font(files: tuple[str, ...]) -> FT2Font:
    import matplotlib as mpl
    from matplotlib.font_manager import get_font

    # A user's own matplotlib settings must not change what a clip looks like.
    with mpl.rc_context({"text.kerning_factor": None, "font.enable_last_resort": False}):
        try:
            return get_font(files)
        except (OSError, RuntimeError, ValueError) as error:
            raise _bad_font(files[0], f"cannot be read as a font: {error}") from error


def _bad_font(file: str, why: str) -> StyleError:
    return StyleError(
        f"{Path(file).name[:60]} {why}.",
        code="bad-font",
        field="fonts",
        remedy="Use an OpenType or TrueType file.",
    )


_LAYOUT_SIZE = 100
_CLOSE = 79  # matplotlib.path.Path.CLOSEPOLY


@lru_cache(maxsize=4096)
def _outline(
    files: tuple[str, ...], text: str
) -> tuple[NDArray[np.float64], NDArray[np.uint8], float]:
    """Return outline points of shape (N, 2) in ems, y upwards, their codes, and the advance."""
    from matplotlib.ft2font import LoadFlags
    from matplotlib.textpath import TextToPath

    font = _font(files)
    font.set_size(_LAYOUT_SIZE, 72)
    glyphs, shapes, _ = TextToPath().get_glyphs_with_font(font, text)
    points = [np.empty((0, 2))]
    codes = [np.empty(0, np.uint8)]
    for name, x, y, _ in glyphs:
        shape, shape_codes = shapes[name]
        if len(shape):
            points.append(np.asarray(shape, np.float64) + np.array([x, y]))
            codes.append(np.asarray(shape_codes, np.uint8))
    font.set_text(text, 0.0, flags=LoadFlags.NO_HINTING)
    advance = font.get_width_height()[0] / 64
    return np.vstack(points) / _LAYOUT_SIZE, np.concatenate(codes), advance / _LAYOUT_SIZE


def fitted(face: Face, text: str, width: int) -> str:
    """Return the text, cut and ended by an ellipsis if it runs wider than `width` pixels."""
    if face.width(text) <= width:
        return text
    # The longest beginning that fits is found by halving; widths only grow with length.
    fits, too_long = 0, len(text)
    while too_long - fits > 1:
        middle = (fits + too_long) // 2
        if face.width(text[:middle].rstrip() + _ELLIPSIS) <= width:
            fits = middle
        else:
            too_long = middle
    return text[:fits].rstrip() + _ELLIPSIS


def wrapped(face: Face, parts: Sequence[str], joint: str, width: int) -> list[str]:
    """Join parts into lines no wider than `width` pixels, breaking between parts only.

    A part that is wider by itself is cut with an ellipsis.
    """
    lines: list[str] = []
    for part in (fitted(face, text, width) for text in parts if text):
        joined = f"{lines[-1]}{joint}{part}" if lines else part
        if lines and face.width(joined) <= width:
            lines[-1] = joined
        else:
            lines.append(part)
    return lines


def paragraph(face: Face, text: str, width: int, *, most: int) -> list[str]:
    """Break words into at most `most` lines no wider than `width` pixels.

    What does not fit is cut from the last line, which then ends in an ellipsis.
    """
    lines = wrapped(face, text.split(), " ", width)
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], fitted(face, " ".join(lines[most - 1 :]), width)]
