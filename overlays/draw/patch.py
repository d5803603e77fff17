"""Patches of straight-alpha pixels, where they lie, and how they come together.

Straight alpha all the way: colour is never multiplied by alpha in storage. Placing one patch over
another follows Porter and Duff, "Compositing Digital Images" (1984), the operator *over*, written
for straight colour::

    a = a_s + a_d (1 - a_s)
    c = (c_s a_s + c_d a_d (1 - a_s)) / a
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Layer",
    "Patch",
    "Pixels",
    "Rect",
    "Scene",
    "Written",
    "lay_over",
    "through",
    "written_in",
]

Pixels = NDArray[np.uint8]


class Rect(NamedTuple):
    """A rectangle of whole pixels, half open: `right` and `bottom` lie outside.

    A tuple, because thousands are made a second.
    """

    left: int
    top: int
    right: int
    bottom: int

    @property
    def empty(self) -> bool:
        """Whether it holds no pixel."""
        return self.right <= self.left or self.bottom <= self.top

    @property
    def area(self) -> int:
        """Pixels inside."""
        return 0 if self.empty else (self.right - self.left) * (self.bottom - self.top)

    def meet(self, other: Rect) -> Rect:
        """Return the part that both cover; may be empty."""
        return Rect(
            max(self.left, other.left),
            max(self.top, other.top),
            min(self.right, other.right),
            min(self.bottom, other.bottom),
        )

    def join(self, other: Rect) -> Rect:
        """Return the smallest rectangle around both."""
        return Rect(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def moved(self, dx: int, dy: int) -> Rect:
        """Return it shifted."""
        return Rect(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)


class Written(NamedTuple):
    """A line of text in a patch, so that what is on screen can be checked.

    Parameters
    ----------
    text : str
        As set.
    files : tuple of str
        The font's file and its fallbacks.
    size : int
        Pixels to the em.
    colour : (int, int, int, int)
        Straight RGBA.
    rect : Rect
        Its ink, from the patch's upper left corner.
    clear : bool
        Whether nothing in the patch lies over it.
    """

    text: str
    files: tuple[str, ...]
    size: int
    colour: tuple[int, int, int, int]
    rect: Rect
    clear: bool = True


class Patch:
    """Pixels drawn once: an ndarray of shape (H, W, 4), uint8 RGBA, straight alpha, read-only.

    Two patches are the same only if they are the same object; whoever draws them keeps them.

    Parameters
    ----------
    pixels : ndarray of shape (H, W, 4)
        Not to be changed any more.
    solid : (int, int)
        Rows, half open, known to be opaque throughout; they are copied and not mixed.
    written : sequence of Written
        The lines of text in it.
    """

    __slots__ = ("pixels", "solid", "written")

    def __init__(
        self,
        pixels: Pixels,
        *,
        solid: tuple[int, int] = (0, 0),
        written: Sequence[Written] = (),
    ) -> None:
        self.pixels = pixels
        self.solid = solid
        self.written = tuple(written)
        self.pixels.setflags(write=False)

    @property
    def width(self) -> int:
        """Columns."""
        return int(self.pixels.shape[1])

    @property
    def height(self) -> int:
        """Rows."""
        return int(self.pixels.shape[0])


@dataclass(frozen=True, slots=True)
class Layer:
    """A patch placed on the canvas.

    Parameters
    ----------
    patch : Patch
        What.
    left, top : int
        Where its upper left pixel lies; whole pixels, so that a frame is a pure function of its
        layers.
    clip : Rect or None
        Only this part of the canvas shows it.
    opacity : int
        0 to 255; multiplies the patch's alpha.
    """

    patch: Patch
    left: int
    top: int
    clip: Rect | None = None
    opacity: int = 255
    covers: Rect = field(init=False, compare=False, repr=False)
    """The canvas pixels it may touch."""

    def __post_init__(self) -> None:
        patch = self.patch
        whole = Rect(self.left, self.top, self.left + patch.width, self.top + patch.height)
        covers = whole if self.clip is None else whole.meet(self.clip)
        object.__setattr__(self, "covers", covers)


def written_in(layers: Sequence[Layer], left: int, top: int) -> tuple[Written, ...]:
    """Return the lines of text of layers that are put together in one patch at (left, top)."""
    found: list[Written] = []
    for index, layer in enumerate(layers):
        for line in layer.patch.written:
            rect = line.rect.moved(layer.left, layer.top)
            clear = line.clear and all(
                other.covers.meet(rect).empty for other in layers[index + 1 :]
            )
            found.append(line._replace(rect=rect.moved(-left, -top), clear=clear))
    return tuple(found)


def through(layer: Layer, window: Rect) -> Layer:
    """Show a layer through a window; whole where the window holds all of it."""
    covers = layer.covers
    if covers.meet(window) == covers:
        return layer
    # What an earlier window hid stays hidden.
    return Layer(layer.patch, layer.left, layer.top, covers.meet(window), layer.opacity)


class Scene(Protocol):
    """What an overlay kind lays out: a size, and the layers of every frame, back to front.

    ``layers(n)`` is a pure function of `n`, defined for 0 ≤ n < frames. The plate is simply a layer
    that stays. Equal layers (same patch object, place, clip, opacity) mean equal pixels, so a
    scene keeps its patches and returns the same objects for the same content.
    """

    @property
    def width(self) -> int:
        """Canvas width in pixels."""
        ...

    @property
    def height(self) -> int:
        """Canvas height in pixels."""
        ...

    @property
    def frames(self) -> int:
        """Length of the cue in frames."""
        ...

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of one frame, back to front."""
        ...


def lay_over(
    target: Pixels, origin: tuple[int, int], layers: Iterable[Layer], *, clear: bool = False
) -> None:
    """Place layers over `target`, an array of shape (H, W, 4) whose upper left pixel is `origin`.

    Every pixel's result depends on that pixel of the layers alone, so any split of a canvas into
    rectangles gives the same pixels. `clear` says that what `target` holds is to be taken as
    nothing, whatever it is.
    """
    height, width = target.shape[:2]
    x0, y0 = origin
    x1, y1 = x0 + width, y0 + height
    for layer in layers:
        left, top, right, bottom = layer.covers
        if left >= x1 or top >= y1 or right <= x0 or bottom <= y0 or layer.opacity == 0:
            continue
        left, top = max(left, x0), max(top, y0)
        right, bottom = min(right, x1), min(bottom, y1)
        if left >= right or top >= bottom:
            continue
        over = layer.patch.pixels[
            top - layer.top : bottom - layer.top, left - layer.left : right - layer.left
        ]
        if clear:
            clear = False
            # Over nothing a layer is itself. Most often that is a panel, all over the window.
            if over.shape[:2] == (height, width) and layer.opacity == 255 and over[..., 3].all():
                target[...] = over
                continue
            target[...] = 0
        under = target[top - y0 : bottom - y0, left - x0 : right - x0]
        first, last = layer.patch.solid
        first, last = max(first + layer.top, top) - top, min(last + layer.top, bottom) - top
        if first < last and layer.opacity == 255:
            under[first:last] = over[first:last]
            _over(under[:first], over[:first], 255)
            _over(under[last:], over[last:], 255)
        else:
            _over(under, over, layer.opacity)
    if clear:
        target[...] = 0


# Rows are mixed a few at a time, so that what is in between stays in the processor's cache.
_BAND_PIXELS = 16384


def _over(under: Pixels, over: Pixels, opacity: int) -> None:
    rows = max(1, _BAND_PIXELS // max(1, over.shape[1]))
    for first in range(0, over.shape[0], rows):
        _over_band(under[first : first + rows], over[first : first + rows], opacity)


def _over_band(under: Pixels, over: Pixels, opacity: int) -> None:
    alpha = over[..., 3]
    if opacity != 255:
        mixing = alpha != 0
    else:
        opaque = alpha == 255
        if opaque.all():
            under[...] = over
            return
        # Opaque pixels are copied, clear ones skipped; those between, as alpha + 1 wraps, remain.
        np.copyto(under.view(np.uint32)[..., 0], over.view(np.uint32)[..., 0], where=opaque)
        mixing = alpha + np.uint8(1) > 1
    at = np.flatnonzero(mixing)
    if 3 * len(at) > alpha.size:
        under[...] = _mixed(under, over, opacity)
    elif len(at):
        # Thin strokes and edges: only their pixels are gathered and mixed.
        place = np.divmod(at, alpha.shape[1])
        under[place] = _mixed(under[place], over[place], opacity)


def _mixed(under: Pixels, over: Pixels, opacity: int) -> Pixels:
    """Return pixels of shape (..., 4) laid over others, each channel rounded to the nearest code.

    Single precision is enough: its error is some 1e-5 of a code. Every operation is correctly
    rounded (IEEE 754), so a pixel comes out the same however pixels are grouped.
    """
    # One long row a channel: numpy is slow on many short ones.
    upper, lower = over.reshape(-1, 4), under.reshape(-1, 4)
    alpha = upper[:, 3].astype(np.float32)
    if opacity != 255:
        alpha = np.rint(alpha * np.float32(opacity) / np.float32(255))
    front = alpha * np.float32(255)
    total = front + lower[:, 3] * (np.float32(255) - alpha)
    share = front / np.maximum(total, np.float32(1))
    result = np.empty(upper.shape, np.uint8)
    for channel in range(3):
        below = lower[:, channel].astype(np.float32)
        # Where the layer shows nothing its share is zero, and what was there stays.
        below += (upper[:, channel] - below) * share
        below += np.float32(0.5)
        result[:, channel] = below
    result[:, 3] = total / np.float32(255) + np.float32(0.5)
    return result.reshape(over.shape)
