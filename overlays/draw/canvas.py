"""The canvas: keeps one frame, redraws only what changed, and says where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import reduce

import numpy as np

from overlays.draw.patch import Layer, Pixels, Rect, Scene, lay_over

__all__ = ["Canvas", "changed_rects", "draw_alone", "draw_range", "shown_box"]


def changed_rects(before: Sequence[Layer], after: Sequence[Layer]) -> tuple[Rect, ...]:
    """Return rectangles that hold every pixel in which two lists of layers may differ.

    Layers at the same place in both lists are compared by value: a layer whose clip merely grew
    changes only the strip it grew by.
    """
    if before is after:
        return ()
    rects: list[Rect] = []
    if len(before) == len(after):
        for old, new in zip(before, after, strict=True):
            if old is not new and old != new:
                rects.extend(_difference(old, new))
    else:
        kept = set(before) & set(after)
        in_order = [x for x in before if x in kept] == [x for x in after if x in kept]
        gone = before if not in_order else [x for x in before if x not in kept]
        come = after if not in_order else [x for x in after if x not in kept]
        rects.extend(layer.covers for layer in (*gone, *come))
    return _merged(rects)


def _same_place(old: Layer, new: Layer) -> bool:
    """Say whether two layers show the same pixels at the same place, but for their clips."""
    return old is new or (
        old.patch is new.patch
        and old.left == new.left
        and old.top == new.top
        and old.opacity == new.opacity
    )


def _difference(old: Layer, new: Layer) -> list[Rect]:
    a, b = old.covers, new.covers
    if not _same_place(old, new) or a[:2] != b[:2] or a.bottom != b.bottom:
        return [a, b]
    return [Rect(min(a.right, b.right), a.top, max(a.right, b.right), a.bottom)]


def _merged(rects: Sequence[Rect]) -> tuple[Rect, ...]:
    """Join rectangles that overlap, where joining covers no more than the parts do."""
    result: list[Rect] = []
    for rect in sorted(rects):
        if rect.empty:
            continue
        current = rect
        for other in list(result):
            joined = current.join(other)
            if joined.area <= current.area + other.area:
                result.remove(other)
                current = joined
        result.append(current)
    return tuple(result)


# Layers at the bottom that have stayed for so many frames are put together once.
_STEADY_FRAMES = 6


class Canvas:
    """Draws frames of a scene in any order; each equals the same frame drawn alone, bit for bit.

    The lowest layers, as long as they stay, are kept put together in an array of their own, and
    changed places are restored from there. Placing layers is a fold from the bottom up, so where it
    is cut changes no pixel.

    Parameters
    ----------
    scene : Scene
        What to draw.

    Attributes
    ----------
    pixels : ndarray of shape (H, W, 4)
        The frame drawn last, straight RGBA. Valid until the next `draw`.
    """

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.pixels: Pixels = np.zeros((scene.height, scene.width, 4), np.uint8)
        self._whole = Rect(0, 0, scene.width, scene.height)
        self._layers: Sequence[Layer] = ()
        self._ground: Pixels = np.zeros((scene.height, scene.width, 4), np.uint8)
        self._kept = 0
        self._could_keep = 0
        self._steady = 0

    def draw(self, frame: int) -> tuple[Rect, ...]:
        """Draw a frame into `pixels`; -1 is the empty canvas before the cue.

        Returns
        -------
        tuple of Rect
            Where `pixels` may differ from what it held before; empty for a hold.
        """
        layers = self.scene.layers(frame) if frame >= 0 else ()
        rects = self._inside(changed_rects(self._layers, layers))
        if rects:
            self._keep(layers)
        for rect in rects:
            left, top, right, bottom = rect
            part = self.pixels[top:bottom, left:right]
            part[...] = self._ground[top:bottom, left:right]
            lay_over(part, (left, top), layers[self._kept :])
        self._layers = layers
        return rects

    def _inside(self, rects: Sequence[Rect]) -> tuple[Rect, ...]:
        return tuple(r for r in (rect.meet(self._whole) for rect in rects) if not r.empty)

    def _keep(self, layers: Sequence[Layer]) -> None:
        """Bring the ground up to the new layers; take more into it once they have stayed."""
        staying = 0
        for old, new in zip(self._layers, layers, strict=False):
            if not _same_place(old, new):
                break
            staying += 1
        if staying < self._kept:
            self._ground[...] = 0
            self._kept = 0
        below = changed_rects(self._layers[: self._kept], layers[: self._kept])
        for left, top, right, bottom in self._inside(below):
            part = self._ground[top:bottom, left:right]
            lay_over(part, (left, top), layers[: self._kept], clear=True)
        self._steady = self._steady + 1 if staying >= self._could_keep > self._kept else 0
        if self._steady >= _STEADY_FRAMES:
            lay_over(self._ground, (0, 0), layers[self._kept : self._could_keep])
            self._kept, self._steady = self._could_keep, 0
        if self._steady == 0:
            self._could_keep = staying


def draw_alone(scene: Scene, frame: int) -> Pixels:
    """Draw one frame from nothing: the reference that every other way must equal."""
    canvas = Canvas(scene)
    canvas.draw(frame)
    return canvas.pixels


def draw_range(scene: Scene, frames: Sequence[int]) -> Iterator[tuple[Pixels, tuple[Rect, ...]]]:
    """Draw frames in turn, yielding the pixels (one array, overwritten) and what changed."""
    canvas = Canvas(scene)
    for frame in frames:
        changed = canvas.draw(frame)
        yield canvas.pixels, changed


def shown_box(scene: Scene) -> Rect:
    """Return the box around everything a scene ever shows, looking at every fourth frame."""
    frames = {*range(0, scene.frames, 4), scene.frames - 1}
    covers = [layer.covers for frame in frames for layer in scene.layers(frame)]
    shown = [rect for rect in covers if not rect.empty]
    return reduce(Rect.join, shown) if shown else Rect(0, 0, 0, 0)
