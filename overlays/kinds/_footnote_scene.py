"""A strip of small type at the foot of the picture, its lines broken to suit the canvas."""

from __future__ import annotations

import unicodedata
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from overlays.draw.heading import JOINT
from overlays.draw.page import Page
from overlays.draw.panel import panel
from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import block
from overlays.draw.text import Face, wrapped
from overlays.kinds._card import room, stand
from overlays.kinds._rows_scene import Part, RowsScene
from overlays.kinds.base import Content
from overlays.model.clip import Stage
from overlays.style.colour import Colour
from overlays.style.house import Style

__all__ = ["FootnoteContent", "footnote_scene"]

# Up to so many lines are set in the style's small type, more in its smallest.
_FEW_LINES = 4
# Space around the lines; the short line over them, as over footnotes in print, and its share of
# the strip; a caution's bar, and its distance from the words.
_AROUND, _OVER, _OVER_SHARE, _BAR, _BESIDE = 26, 18, 0.18, 6, 14


@dataclass(frozen=True, slots=True)
class FootnoteContent(Content):
    """What a footnote says.

    Parameters
    ----------
    said : tuple of str
        How it was measured, phrase by phrase.
    text : str
        The cue's own words; may be empty.
    cautions : tuple of str
        What to beware of.
    """

    said: tuple[str, ...]
    text: str
    cautions: tuple[str, ...]

    @property
    def signs(self) -> int:
        """How much there is to read."""
        return sum(len(part) for part in (*self.said, self.text, *self.cautions))


@dataclass(frozen=True, slots=True)
class _Paragraph:
    """Lines that belong together; `bar` is the colour of the bar beside them, if they have one."""

    lines: tuple[str, ...]
    face: Face
    ink: Colour
    bar: Colour | None = None


def footnote_scene(content: FootnoteContent, stage: Stage, style: Style) -> RowsScene:
    """Lay a strip out: as wide as its lines, at most as the graphics-safe area."""
    page = Page(stage.width, stage.height, style, stage.decimal_mark)
    pad, around, near = (page.px(x) for x in (style.space.pad, _AROUND, style.space.near))
    most = page.graphics.right - room(page).left
    for size in (style.type.small, style.type.floor):
        told = _paragraphs(content, most - 2 * pad, page, size)
        count = sum(len(one.lines) for one in told)
        if count <= _FEW_LINES:
            break
    face = told[0].face
    high = face.cap_height + (count - 1) * face.line + near * (len(told) - 1)
    left, top, _, bottom = stand(page, high + 2 * around + page.px(_OVER))
    wide = max(one.face.width(line) for one in told for line in one.lines)
    rect = Rect(left, top, left + min(most, wide + 2 * pad), bottom)
    x, y = left + pad, top + around
    over = Rect(x, y, x + round(_OVER_SHARE * wide), y + page.px(style.strokes.hair))
    baseline = y + page.px(_OVER) + face.cap_height
    rows: list[Sequence[Part]] = []
    for one in told:
        rows.append((Part(_set(one, x, baseline, page)),))
        baseline += len(one.lines) * face.line + near
    return RowsScene(
        stage,
        style,
        rect=rect,
        plate=(panel(rect, page),),
        ruled=(block(over, page.colours.line),),
        rows=rows,
        step=1.0,
    )


def _paragraphs(content: FootnoteContent, width: int, page: Page, size: float) -> list[_Paragraph]:
    colours, text, strong = page.colours, page.face("text", size), page.face("strong", size)
    found: list[_Paragraph] = []
    if content.said:
        # A phrase that is wider than a line is broken between its words.
        short = [line for part in content.said for line in _broken(text, part, width)]
        lines = tuple(wrapped(text, short, JOINT, width))
        found.append(_Paragraph(lines, text, colours.quiet))
    if content.text:
        found.append(_Paragraph(_broken(text, content.text, width), text, colours.quiet))
    for caution in content.cautions:
        lines = _broken(strong, f"Caution: {caution}", width)
        found.append(_Paragraph(lines, strong, colours.ink, colours.strike))
    return found


def _broken(face: Face, text: str, width: int) -> tuple[str, ...]:
    """Break a text between its words; within one only where it is wider than a line.

    Scripts without spaces between words are broken between any two signs.
    """
    parts = [part for word in text.split() for part in _parts(face, word, width)]
    return tuple(wrapped(face, parts, " ", width))


def _parts(face: Face, word: str, width: int) -> list[str]:
    parts: list[str] = []
    while face.width(word) > width:
        fits = bisect_right(range(len(word)), width, key=lambda n: face.width(word[:n])) - 1
        # A mark stays with the letter it stands over.
        while fits > 1 and unicodedata.combining(word[fits]):
            fits -= 1
        parts.append(word[: max(1, fits)])
        word = word[max(1, fits) :]
    return [*parts, word]


def _set(one: _Paragraph, left: int, baseline: int, page: Page) -> tuple[Layer, ...]:
    layers = [
        one.face.layer(line, left, baseline + i * one.face.line, one.ink)
        for i, line in enumerate(one.lines)
    ]
    if one.bar is not None:
        right = left - page.px(_BESIDE)
        bottom = baseline + (len(one.lines) - 1) * one.face.line
        area = Rect(right - page.px(_BAR), baseline - one.face.cap_height, right, bottom)
        layers.append(block(area, one.bar))
    return tuple(layers)
