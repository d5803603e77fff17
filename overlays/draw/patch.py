"""Patches of straight-alpha pixels, where they lie, and how they come together.

Straight alpha all the way: colour is never multiplied by alpha in storage. Placing one patch over
another follows Porter and Duff, "Compositing Digital Images" (1984), the operator *over*, written
for straight colour::

    a = a_s + a_d (1 - a_s)
    c = (c_s a_s + c_d a_d (1 - a_s)) / a
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = ["Layer", "Patch", "Pixels", "Rect", "Scene", "lay_over"]

Pixels = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, order=True)
class Rect:
    """A rectangle of whole pixels, half open: `right` and `bottom` lie outside."""

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


class Patch:
    """Pixels drawn once: an ndarray of shape (H, W, 4), uint8 RGBA, straight alpha, read-only.

    Two patches are the same only if they are the same object; whoever draws them keeps them.
    """

    __slots__ = ("pixels",)

    def __init__(self, pixels: Pixels) -> None:
        self.pixels = pixels
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

    @property
    def covers(self) -> Rect:
        """The canvas pixels it may touch."""
        whole = Rect(
            self.left, self.top, self.left + self.patch.width, self.top + self.patch.height
        )
        return whole if self.clip is None else whole.meet(self.clip)


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


def lay_over(target: Pixels, origin: tuple[int, int], layers: Iterable[Layer]) -> None:
    """Place layers over `target`, an array of shape (H, W, 4) whose upper left pixel is `origin`.

    Every pixel's result depends on that pixel of the layers alone, so any split of a canvas into
    rectangles gives the same pixels.
    """
    height, width = target.shape[:2]
    window = Rect(origin[0], origin[1], origin[0] + width, origin[1] + height)
    for layer in layers:
        part = layer.covers.meet(window)
        if part.empty or layer.opacity == 0:
            continue
        under = target[
            part.top - window.top : part.bottom - window.top,
            part.left - window.left : part.right - window.left,
        ]
        over = layer.patch.pixels[
            part.top - layer.top : part.bottom - layer.top,
            part.left - layer.left : part.right - layer.left,
        ]
        _over(under, over, layer.opacity)


def _over(under: Pixels, over: Pixels, opacity: int) -> None:
    alpha = over[..., 3].astype(np.uint32)
    if opacity != 255:
        alpha = (alpha * opacity + 127) // 255
    behind = under[..., 3].astype(np.uint32) * (255 - alpha)  # scaled by 255²
    front = alpha * 255
    total = front + behind
    safe = np.maximum(total, 1)[..., None]
    mixed = (
        over[..., :3] * front[..., None] + under[..., :3] * behind[..., None] + safe // 2
    ) // safe
    # Where nothing is visible the colour under it stays as it was.
    under[..., :3] = np.where(total[..., None] > 0, mixed, under[..., :3])
    under[..., 3] = (total + 127) // 255
