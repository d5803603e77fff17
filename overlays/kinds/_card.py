"""Cards that several kinds stand on: where they stand, and the numbered rule along their foot."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from overlays.draw.axis import Scale, Ticks, nice_ticks
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Patch, Rect, lay_over, written_in
from overlays.draw.rule import engraved, strip
from overlays.draw.sheet import Sheet, block
from overlays.numbers import fixed
from overlays.style.colour import Colour

__all__ = [
    "FOOT",
    "bar",
    "clear_foot",
    "foot",
    "lines",
    "merged",
    "moved",
    "numbered",
    "room",
    "stand",
    "ticks_for",
    "tinted",
]

# Height of a numbered rule, in a style's lengths.
FOOT = 44
# How wide a card of rows grows on a wide canvas: what is filmed keeps the rest.
_WIDEST = 1240
# On a tall canvas the lowest part belongs to a player's own controls.
_TALL_SHARE = 0.82
# How much of an entry's colour tints its row.
_TINT = 0.16
_MOST_NUMBERED = 10


def clear_foot(page: Page) -> int:
    """Return how low things may stand: in the safe area, and clear of a player's own controls."""
    return round(page.height * _TALL_SHARE) if page.shape == "tall" else page.graphics.bottom


def room(page: Page) -> Rect:
    """Return where a card may stand: in the graphics-safe area, and no wider than it needs."""
    safe = page.graphics
    right = min(safe.right, safe.left + page.px(_WIDEST)) if page.shape == "wide" else safe.right
    return Rect(safe.left, safe.top, right, clear_foot(page))


def stand(page: Page, height: int) -> Rect:
    """Stand a card at the foot of its room; at most as high as that."""
    left, top, right, bottom = room(page)
    return Rect(left, max(top, bottom - height), right, bottom)


def foot(
    rect: Rect, scale: Scale, ticks: Ticks, page: Page, *, says: str = ""
) -> tuple[Layer, ...]:
    """Rule the foot of a card.

    Parameters
    ----------
    rect : Rect
        The card.
    scale : Scale
        From values to canvas pixels across.
    ticks : Ticks
        The numbered ones.
    says : str
        Stands on the rule where it is not ruled, at its left end, if there is room.
    """
    body = Rect(rect.left, rect.bottom - page.px(FOOT), rect.right, rect.bottom)
    face = page.face("strong", page.style.type.floor)
    left = rect.left + page.px(page.style.space.pad)
    says = says if left + face.width(says) + page.px(16) <= min(scale.start, scale.end) else ""
    word = face.layer(says, left, body.bottom - page.px(8), page.colours.engraved)
    return (*numbered(body, scale, ticks, page), *((word,) if says else ()))


def ticks_for(low: float, high: float, length: float, page: Page) -> Ticks:
    """Return as many numbered ticks as leave room for their numbers, beside the half ticks too.

    Parameters
    ----------
    low, high : float
        Values at the ends of a rule.
    length : float
        Pixels between them.
    """
    face = page.face("strong", page.style.type.floor)
    ticks = nice_ticks(low, high, 1)
    for most in range(_MOST_NUMBERED, 1, -1):
        ticks = nice_ticks(low, high, most)
        texts = [page.number(fixed(tick, ticks.places)) for tick in ticks.numbered]
        half = float(ticks.step) / 2 * length / (high - low)
        if half >= max((face.width(text) for text in texts), default=0) + page.px(12):
            break
    return ticks


def numbered(body: Rect, scale: Scale, ticks: Ticks, page: Page) -> tuple[Layer, ...]:
    """Lay a rule, `FOOT` high, with a number before every tick that has room for it."""
    face = page.face("strong", page.style.type.floor)
    layers = [strip(body, page), engraved(body, "top", scale, ticks, page)]
    free = max(body.left, round(min(scale.start, scale.end)) - page.px(8))
    for tick in ticks.numbered:
        x = round(scale.at(float(tick))) - page.px(6)
        text = page.number(fixed(tick, ticks.places))
        if x - face.width(text) > free:
            baseline = body.bottom - page.px(8)
            layers.append(face.layer(text, x, baseline, page.colours.engraved, "right"))
            free = x
    return tuple(layers)


def lines(area: Rect, scale: Scale, ticks: Ticks, page: Page) -> Layer:
    """Draw quiet upright lines over an area, one a numbered tick."""
    hair = page.px(page.style.strokes.hair)
    sheet = Sheet(Rect(area.left, area.top, area.right + hair, area.bottom))
    for tick in ticks.numbered:
        x = round(scale.at(float(tick)) - hair / 2)
        colour = page.colours.line if tick == 0 else page.colours.grid
        sheet.rect(Rect(x, area.top, x + hair, area.bottom), colour)
    return sheet.layer()


def bar(scale: Scale, start: float, end: float, top: int, height: int) -> Rect:
    """Return a bar between two values, at least one pixel long."""
    low, high = sorted((round(scale.at(start)), round(scale.at(end))))
    return Rect(low, top, max(low + 1, high), top + height)


def merged(layers: Sequence[Layer]) -> Layer:
    """Put layers together into one, to be placed as a whole."""
    area = layers[0].covers
    for layer in layers[1:]:
        area = area.join(layer.covers)
    pixels = np.zeros((max(1, area.bottom - area.top), max(1, area.right - area.left), 4), np.uint8)
    lay_over(pixels, (area.left, area.top), layers)
    written = written_in(layers, area.left, area.top)
    return Layer(Patch(pixels, written=written), area.left, area.top)


def moved(layer: Layer, dx: int, dy: int) -> Layer:
    """Shift a layer, its clip included."""
    if not (dx or dy):
        return layer
    clip = None if layer.clip is None else layer.clip.moved(dx, dy)
    return Layer(layer.patch, layer.left + dx, layer.top + dy, clip, layer.opacity)


def tinted(rect: Rect, entry: int | None, page: Page) -> Layer:
    """Lay a row's ground: the panel's tone, opaque, with a breath of an entry's colour if any."""
    ground = Colour(*page.colours.panel.rgb)
    if entry is not None:
        ground = page.colours.entry(entry).faded(_TINT).over(ground)
    return block(rect, ground)
