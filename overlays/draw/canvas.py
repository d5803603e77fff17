"""The canvas: keeps one frame, redraws only what changed, and says where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from overlays.draw.patch import Layer, Pixels, Rect, Scene, lay_over

__all__ = ["Canvas", "changed_rects", "draw_alone", "draw_range"]


def changed_rects(before: Sequence[Layer], after: Sequence[Layer]) -> tuple[Rect, ...]:
    """Return rectangles that hold every pixel in which two lists of layers may differ.

    Layers at the same place in both lists are compared by value: a layer whose clip merely grew
    changes only the strip it grew by.
    """
    if before is after:
        return ()
    rects: list[Rect] = []
    same_shape = len(before) == len(after)
    pairs = zip(before, after, strict=True) if same_shape else ()
    for old, new in pairs:
        if old != new:
            rects.extend(_difference(old, new))
    if not same_shape:
        kept = set(before) & set(after)
        in_order = [x for x in before if x in kept] == [x for x in after if x in kept]
        gone = before if not in_order else [x for x in before if x not in kept]
        come = after if not in_order else [x for x in after if x not in kept]
        rects.extend(layer.covers for layer in (*gone, *come))
    return _merged([rect for rect in rects if not rect.empty])


def _difference(old: Layer, new: Layer) -> list[Rect]:
    a, b = old.covers, new.covers
    same_pixels = (old.patch, old.left, old.top, old.opacity) == (
        new.patch, new.left, new.top, new.opacity,
    )  # fmt: skip
    if not same_pixels or (a.top, a.bottom, a.left) != (b.top, b.bottom, b.left):
        return [a, b]
    return [Rect(min(a.right, b.right), a.top, max(a.right, b.right), a.bottom)]


def _merged(rects: list[Rect]) -> tuple[Rect, ...]:
    """Join rectangles that overlap, where joining covers no more than the parts do."""
    result: list[Rect] = []
    for rect in sorted(rects):
        current = rect
        for other in list(result):
            joined = current.join(other)
            if joined.area <= current.area + other.area:
                result.remove(other)
                current = joined
        result.append(current)
    return tuple(result)


class Canvas:
    """Draws frames of a scene in any order; each equals the same frame drawn alone, bit for bit.

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

    def draw(self, frame: int) -> tuple[Rect, ...]:
        """Draw a frame into `pixels`; -1 is the empty canvas before the cue.

        Returns
        -------
        tuple of Rect
            Where `pixels` may differ from what it held before; empty for a hold.
        """
        layers = self.scene.layers(frame) if frame >= 0 else ()
        rects = changed_rects(self._layers, layers)
        rects = tuple(r for r in (rect.meet(self._whole) for rect in rects) if not r.empty)
        for rect in rects:
            part = self.pixels[rect.top : rect.bottom, rect.left : rect.right]
            part[...] = 0
            lay_over(part, (rect.left, rect.top), layers)
        self._layers = layers
        return rects


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
