"""Frames on which data is being drawn or read: what moves then is what the test did."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Protocol, TypeGuard

from overlays.draw.curve import draws_curves
from overlays.draw.patch import Scene

__all__ = ["ReadingScene", "growing_frames"]


class ReadingScene(Scene, Protocol):
    """A scene that goes along a run with something other than a curve."""

    def pointer_s(self, frame: int) -> float | None:
        """Return the time of the run that is shown at a frame; None before it begins."""
        ...


def growing_frames(scene: Scene) -> list[bool]:
    """Say of every frame of a scene whether more of a run comes to be shown on it.

    Of none where a scene neither draws curves (`overlays.draw.curve.CurveScene`) nor reads a run
    (`ReadingScene`).
    """
    growing = [False] * scene.frames
    for until in _followed(scene):
        for frame, (now, then) in enumerate(pairwise(until)):
            if now is not None and then is not None and now != then:
                growing[frame] = growing[frame + 1] = True
    return growing


def _followed(scene: Scene) -> Iterator[list[float | None]]:
    """Yield up to which time of the run is shown at every frame, of each thing that goes along."""
    frames = range(scene.frames)
    if draws_curves(scene):
        for curve in scene.curves:
            yield [scene.drawn_to_s(frame, curve) for frame in frames]
    if _reads(scene):
        yield [scene.pointer_s(frame) for frame in frames]


def _reads(scene: object) -> TypeGuard[ReadingScene]:
    return hasattr(scene, "pointer_s")
