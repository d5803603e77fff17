"""Reduced motion: of everything that comes or changes, only what it comes to is shown.

A scene is not asked to move otherwise. Each of its frames that is on the way to a state that stands
is replaced by that state, which therefore is there from when the change would have begun; times of
the data stay where they are. Curves that are being drawn, and values that are being read, are left
alone: how far they have come is what they tell.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from overlays.draw.growing import growing_frames
from overlays.draw.patch import Scene

__all__ = ["settled_frames"]

# What stands for less is on its way: a move that slows down ends with a few frames alike.
_STANDS_S = 0.4


def settled_frames(scene: Scene, rate: Fraction) -> tuple[int, ...]:
    """Return for every frame of a scene the one that is shown instead.

    Parameters
    ----------
    scene : Scene
        In full motion. One that draws or reads data keeps every frame on which it goes along
        (`overlays.draw.growing.growing_frames`). One that has ``stops``, frames in order, shows
        their states too, though they do not stand, as far as they are not too near one another.
    rate : Fraction
        Frames per second.
    """
    alike = _alike(scene)
    growing = growing_frames(scene)
    least = max(2, round(_STANDS_S * float(rate)))
    stands = _stands(alike, least)
    shown_until = -1
    for stop in getattr(scene, "stops", ()):
        if stop - shown_until >= least and scene.frames - 1 - stop >= least:
            stands[stop], shown_until = True, stop
    shown = list(range(scene.frames))
    for frame in reversed(range(scene.frames - 1)):
        arrived = growing[frame] or growing[frame + 1] or stands[frame]
        shown[frame] = frame if arrived else shown[frame + 1]
    return tuple(shown)


def _alike(scene: Scene) -> list[bool]:
    """Say of every frame but the last whether the next one shows the same."""
    every = (list(scene.layers(frame)) for frame in range(scene.frames))
    return [now == then for now, then in pairwise(every)]


def _stands(alike: Sequence[bool], least: int) -> list[bool]:
    """Say of every frame whether it belongs to so many alike, or to those alike at the end."""
    stands = [False] * (len(alike) + 1)
    first = 0
    for frame in range(len(stands)):
        last = frame == len(alike)
        if last or not alike[frame]:
            if last or frame - first + 1 >= least:
                stands[first : frame + 1] = [True] * (frame + 1 - first)
            first = frame + 1
    return stands
