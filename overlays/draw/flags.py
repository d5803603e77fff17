"""Flags on pins: the value at a curve's head, beside it, in order, never over one another.

Where a flag stands at every frame is worked out beforehand, so that a frame stays a pure function
of its number. Flags keep the order of their heads; two change places only when their heads have
clearly passed each other, and then glide. A running mean over time keeps ripple out of them; a
mean of places that are in order and apart is itself in order and apart.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from overlays.draw.labels import place
from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.panel import flag
from overlays.draw.patch import Layer, Patch, Pixels, Rect, lay_over, written_in
from overlays.draw.sheet import Sheet
from overlays.draw.text import Face, fitted
from overlays.style.colour import Colour

__all__ = ["FlagShape", "Flags", "Heads", "flag_shape", "settled"]

# Space inside a flag, left and right of what it says.
_SIDE = 14

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Heads:
    """Where the heads of all curves are at every frame of the data.

    Parameters
    ----------
    x : ndarray of shape (F, K)
        Whole pixel columns: the first one not drawn yet.
    y : ndarray of shape (F, K)
        Pixels, not NaN: inside a gap the last place holds.
    begun : ndarray of shape (F, K)
        Whether a curve has begun; before that it has no flag.
    in_turn : bool
        Whether each flag goes with its own head, and not all of them with the foremost.
    """

    x: Ints
    y: Floats
    begun: NDArray[np.bool_]
    in_turn: bool = False


def _running_mean(rows: Floats, width: int) -> Floats:
    """Return the mean of `width` frames around each, the ends held; shape as given."""
    before = width // 2
    padded = np.pad(rows, [(before + 1, width - 1 - before), (0, 0)], mode="edge")
    sums = np.cumsum(padded, axis=0)
    return np.asarray((sums[width:] - sums[:-width]) / width, np.float64)


def _in_order(y: Floats, margin: float, window: int) -> Ints:
    """Return for each frame the curves from top to bottom, shape (F, K).

    What counts is the heads' running mean, so that ripple changes nothing. Neighbours change
    places once they have passed each other by `margin` pixels; on the last frame the order is that
    of the heads exactly.
    """
    frames, count = y.shape
    calm = _running_mean(y, 2 * window)
    order = np.argsort(calm[0], kind="stable")
    result = np.empty((frames, count), np.int64)
    for frame in range(frames):
        last = frame + 1 == frames
        heads, slack = (y[frame], 0.0) if last else (calm[frame], margin)
        for _ in range(count * count):
            passed = np.flatnonzero(heads[order][:-1] > heads[order][1:] + slack)
            if not len(passed):
                break
            first = int(passed[0])
            order[[first, first + 1]] = order[[first + 1, first]]
        result[frame] = order
    return result


def settled(
    y: Floats,
    apart: float,
    low: float,
    high: float,
    window: int,
    *,
    begun: NDArray[np.bool_] | None = None,
) -> Ints:
    """Return the flags' centres at every frame, and for `window` frames past the last.

    Parameters
    ----------
    y : ndarray of shape (F, K)
        The heads.
    apart : float
        Least distance of centres.
    low, high : float
        Bounds of the centres.
    window : int
        Frames a change takes.
    begun : ndarray of shape (F, K), optional
        Which flags there are; the others need no room.

    Returns
    -------
    ndarray of shape (F + window, K)
        In whole pixels.
    """
    order = _in_order(y, apart * 0.12, window)
    wanted = y.copy()
    for frame, every in enumerate(order):
        ranks = every if begun is None else every[begun[frame, every]]
        wanted[frame, ranks] = place(y[frame, ranks], apart, low, high)
    held = np.pad(wanted, [(0, window), (0, 0)], mode="edge")
    # Two running means of half the window each: a change starts and ends softly.
    half = max(1, window // 2)
    return _steady(_running_mean(_running_mean(held, half), half))


def _steady(places: Floats) -> Ints:
    """Round to whole pixels; a place that wavers about a half stays where it was."""
    result = np.empty(places.shape, np.int64)
    current = np.round(places[0])
    for frame, wanted in enumerate(places):
        moved = np.abs(wanted - current) > 0.8
        current = np.where(moved, np.round(wanted), current)
        result[frame] = current
    # The last state does not depend on how it was reached.
    result[-1] = np.round(places[-1])
    return result


@dataclass(frozen=True, slots=True)
class FlagShape:
    """How large flags are, and whether the value stands under the name or beside it."""

    width: int
    height: int
    stacked: bool
    name_width: int
    value_width: int
    pin: int

    @property
    def apart(self) -> int:
        """Least distance of centres."""
        return self.height + max(2, self.height // 10)


def flag_shape(names: Sequence[str], widest: str, room: int, page: Page) -> FlagShape:
    """Choose a flag that suits the page.

    Parameters
    ----------
    names : sequence of str
        The entries' names.
    widest : str
        A value as wide as any that will be shown.
    room : int
        Height all flags together may take.
    """
    small, value = _faces(page)
    name_width = min(max(small.width(name) for name in names), page.px(230))
    value_width = Numerals(value, page.colours.on_entry).width(widest)
    side, between = page.px(_SIDE), page.px(18)
    pin = page.px(40)
    # As high as its lines of capitals and the space around them, on any canvas.
    stacked_height = small.cap_height + value.cap_height + page.px(14) * 3
    if page.shape != "wide" and stacked_height * len(names) <= room:
        width = max(name_width, value_width) + 2 * side
        return FlagShape(width, stacked_height, True, name_width, value_width, pin)
    width = name_width + value_width + 2 * side + between
    return FlagShape(width, value.cap_height + 2 * page.px(12), False, name_width, value_width, pin)


def _faces(page: Page) -> tuple[Face, Face]:
    return page.face("strong", page.style.type.small), page.face("loud", page.style.type.value)


def _copy(cell: Pixels, pixels: Pixels, x: int, top: int) -> None:
    """Copy a picture into a larger one; what does not fit a flag, such as huge type, is cut."""
    row, column = max(0, -top), max(0, -x)
    part = cell[row : max(row, pixels.shape[0] - top), column : max(column, pixels.shape[1] - x)]
    pixels[top + row : top + row + part.shape[0], x + column : x + column + part.shape[1]] = part


class Flags:
    """Draws the pins and flags of a set of curves.

    Parameters
    ----------
    names : sequence of str
        What each flag says.
    colours : sequence of Colour
        One a flag.
    heads : Heads
        Where the curves' heads are.
    text : callable
        ``text(frame, curve)`` gives the value as shown.
    shape : FlagShape
        From `flag_shape`.
    low, high : int
        Where flags may stand, in canvas rows.
    window : int
        Frames a change of order takes.
    """

    def __init__(
        self,
        *,
        names: Sequence[str],
        colours: Sequence[Colour],
        heads: Heads,
        text: Callable[[int, int], str],
        shape: FlagShape,
        low: int,
        high: int,
        window: int,
        page: Page,
    ) -> None:
        self._heads = heads
        self._text = text
        self._shape = shape
        self._colours = colours
        self._line = page.px(page.style.strokes.hair)
        self._collar = (page.px(4), page.px(20))
        self._cut = round(page.style.corner.flag * page.scale)
        half = shape.height / 2
        self._centres = settled(
            heads.y, shape.apart, low + half, high - half, window, begun=heads.begun
        )
        small, value = _faces(page)
        ink = page.colours.on_entry
        self._numerals = Numerals(value, ink)
        self._blank = [
            self._draw_blank(fitted(small, name, shape.name_width), colour, small, page)
            for name, colour in zip(names, colours, strict=True)
        ]
        self._value_at = (
            (page.px(_SIDE) + shape.value_width, shape.height - page.px(_SIDE))
            if shape.stacked
            else (shape.width - page.px(_SIDE), (shape.height + value.cap_height) // 2)
        )
        # Drawn when first asked for and kept: the same pin or value comes back often.
        self._pin = lru_cache(maxsize=1024)(self._draw_pin)
        self._flag = lru_cache(maxsize=256)(self._draw_flag)
        self._cell = lru_cache(maxsize=256)(self._draw_cell)

    @property
    def frames(self) -> int:
        """How many frames of their own the flags have: the data's, and some to settle in."""
        return len(self._centres)

    def _draw_blank(self, name: str, colour: Colour, small: Face, page: Page) -> Patch:
        shape, side = self._shape, page.px(_SIDE)
        ground = flag(Rect(0, 0, shape.width, shape.height), self._cut, colour)
        pixels = ground.patch.pixels.copy()
        below = side if shape.stacked else (shape.height - small.cap_height) // 2
        text = small.layer(name, side, below + small.cap_height, page.colours.on_entry)
        lay_over(pixels, (0, 0), [text])
        return Patch(pixels, written=written_in([text], 0, 0))

    def _draw_flag(self, curve: int, text: str) -> Patch:
        blank = self._blank[curve]
        pixels = blank.pixels.copy()
        x = self._value_at[0] - self._numerals.width(text)
        ink = Rect(x, self._value_at[1], x, self._value_at[1])
        for character in text:
            top, cell = self._cell(curve, character)
            _copy(cell, pixels, x, top)
            ink = ink.join(Rect(x, top, x + cell.shape[1], top + cell.shape[0]))
            x += cell.shape[1]
        value = self._numerals.written(text, ink)
        solid = (0, self._shape.height - self._cut)
        return Patch(pixels, solid=solid, written=(*blank.written, value))

    def _draw_cell(self, curve: int, character: str) -> tuple[int, Pixels]:
        """Draw a digit on the flag's own colour, to be copied into it; return its row, too."""
        (ink,) = self._numerals.layers(character, 0, self._value_at[1])
        pixels = np.empty((ink.patch.height, self._numerals.width(character), 4), np.uint8)
        pixels[...] = (*self._colours[curve].rgb, 255)
        lay_over(pixels, (-pixels.shape[1], ink.top), [ink])
        return ink.top, pixels

    def _draw_pin(self, curve: int, dx: int, dy: int) -> Layer:
        """Draw a pin from the head at (0, 0) to the flag's hoist at (dx, dy)."""
        wide, tall = self._collar
        colour = self._colours[curve]
        sheet = Sheet(Rect(-wide, min(-tall, dy) - 4, dx + 1, max(tall, dy) + 4))
        knee = self._shape.pin // 3
        bend = dx - self._shape.pin + knee
        points = [(0, 0.5), (bend, 0.5), (dx - knee // 2, dy + 0.5), (dx + 1, dy + 0.5)]
        sheet.stroke(points, colour, self._line, join="round")
        collar = Rect(-(wide // 2), -(tall // 2), wide - wide // 2, tall - tall // 2)
        return sheet.rect(collar, colour).layer()

    def place_of(self, frame: int, curve: int) -> Rect:
        """Return where a flag stands."""
        data = min(frame, len(self._heads.x) - 1)
        x = self._heads.x[data]
        left = int(x[curve] if self._heads.in_turn else x.max()) + self._shape.pin
        top = int(self._centres[min(frame, self.frames - 1), curve]) - self._shape.height // 2
        return Rect(left, top, left + self._shape.width, top + self._shape.height)

    def layers(self, frame: int) -> list[Layer]:
        """Return pins and flags at a frame counted from the first one of the data."""
        data = min(frame, len(self._heads.x) - 1)
        pins: list[Layer] = []
        flags: list[Layer] = []
        for curve in np.flatnonzero(self._heads.begun[data]).tolist():
            x, y = int(self._heads.x[data, curve]), round(float(self._heads.y[data, curve]))
            place = self.place_of(frame, curve)
            middle = place.top + self._shape.height // 2
            pin = self._pin(curve, place.left - x, middle - y)
            pins.append(Layer(pin.patch, pin.left + x, pin.top + y))
            flags.append(
                Layer(
                    self._flag(curve, self._text(data, curve)),
                    place.left,
                    place.top,
                )
            )
        return pins + flags
