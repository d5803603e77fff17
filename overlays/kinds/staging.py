"""A kind's scene on its stage: put where it was asked for, calm where motion is reduced, leaving.

A kind lays out its panel where it would stand by itself, comes in its own way, and stands. What a
cue may ask of any kind is done here to the scene as a whole, so that no kind needs to know of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Literal

from overlays.draw.axis import Axes, Scale
from overlays.draw.canvas import shown_box
from overlays.draw.curve import Curve, CurveScene, draws_curves
from overlays.draw.motion import Leaving, leaving
from overlays.draw.page import Page
from overlays.draw.patch import Layer, Rect, Scene
from overlays.kinds._calm import settled_frames
from overlays.kinds._card import clear_foot, moved
from overlays.kinds.base import Content, Overlay
from overlays.model.clip import Place, Stage
from overlays.style.house import Motion, Style

__all__ = ["full_frame", "lay_out", "leave_frames"]

# How far across the free room, and how far down.
_SHARES: Mapping[Place, tuple[float, float]] = MappingProxyType(
    {
        "head-left": (0, 0), "head": (0.5, 0), "head-right": (1, 0),
        "left": (0, 0.5), "middle": (0.5, 0.5), "right": (1, 0.5),
        "foot-left": (0, 1), "foot": (0.5, 1), "foot-right": (1, 1),
    }
)  # fmt: skip
# Most of a cue is for what it shows; leaving takes this share of it at most.
_MOST_LEAVING = 4


def lay_out(kind: type[Overlay[Any]], content: Content, stage: Stage, style: Style) -> Scene:
    """Lay an overlay out as its cue and session ask for it; the one way to a clip's scene.

    Raises
    ------
    StyleError
        If a font lacks a glyph.
    """
    scene: Scene = kind.lay_out(content, stage.before_leaving, style)
    if stage.place is None and not stage.leave and stage.motion == "full":
        return scene
    return (_StagedCurves if draws_curves(scene) else _Staged)(scene, stage, style)


def full_frame(scene: Scene) -> int:
    """Return the last frame on which a scene stands complete."""
    return int(getattr(scene, "standing", scene.frames)) - 1


def leave_frames(frames: int, rate: Fraction, motion: Motion, *, reduced: bool) -> int:
    """Return how many frames of a cue an overlay takes to leave; 0 where the cue is too short.

    Parameters
    ----------
    frames : int
        Of the cue.
    rate : Fraction
        Frames per second.
    motion : Motion
        Of the style: it leaves as slowly as its axes and its panel come.
    reduced : bool
        Whether it goes at once.
    """
    if reduced:
        return 1 if frames > 1 else 0
    most = frames // _MOST_LEAVING
    return leaving((motion.axes, motion.panel), rate, most).frames if most > 1 else 0


class _Staged:
    """A scene as its stage wants it; `standing` frames of it come and stand, the rest leave."""

    def __init__(self, scene: Scene, stage: Stage, style: Style) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self.standing = stage.standing
        self._scene = scene
        self._exit = _exit(stage, style)
        self._towards: Literal["left", "right"] = getattr(scene, "exits", "left")
        calm = stage.motion == "reduced"
        self._shown = settled_frames(scene, stage.rate) if calm else range(stage.standing)
        self._dx, self._dy = (0, 0) if stage.place is None else _way(scene, stage.place, style)
        # The same layer moved is the same object, which is how a hold is recognised.
        self._moved = lru_cache(maxsize=4096)(self._move)

    def _move(self, layer: Layer) -> Layer:
        return moved(layer, self._dx, self._dy)

    def _at(self, frame: int) -> int:
        """Return the frame of the kind's own scene that is shown, complete while it leaves."""
        return self._shown[min(frame, self.standing - 1)]

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        layers = self._scene.layers(self._at(frame))
        if self._dx or self._dy:
            layers = [self._moved(layer) for layer in layers]
        if frame < self.standing:
            return layers
        return self._exit.rest(layers, frame - self.standing, towards=self._towards)


class _StagedCurves(_Staged):
    """The same of a scene that can be held to its data."""

    _scene: CurveScene

    @property
    def curves(self) -> Sequence[Curve]:
        """What it draws, back to front."""
        return self._scene.curves

    def axes_of(self, frame: int, curve: Curve) -> Axes:
        """Return from pixels to seconds and a curve's values, as they are at a frame."""
        axes = self._scene.axes_of(self._at(frame), curve)
        return Axes(
            _along(axes.time, self._dx),
            _along(axes.value, self._dy),
            axes.plot.moved(self._dx, self._dy),
            axes.unit,
        )

    def drawn_to_s(self, frame: int, curve: Curve) -> float | None:
        """Return up to which time a curve is drawn at a frame; None before it begins."""
        return self._scene.drawn_to_s(self._at(frame), curve)

    def covered(self, frame: int) -> Sequence[Rect]:
        """Return where something else may lie over the curves at a frame."""
        rects = self._scene.covered(self._at(frame))
        return tuple(rect.moved(self._dx, self._dy) for rect in rects)


def _along(scale: Scale, by: int) -> Scale:
    return replace(scale, start=scale.start + by, end=scale.end + by)


def _exit(stage: Stage, style: Style) -> Leaving:
    if stage.motion == "reduced":
        return leaving((), stage.rate, stage.leave)
    return leaving((style.motion.axes, style.motion.panel), stage.rate, stage.leave)


def _way(scene: Scene, place: Place, style: Style) -> tuple[int, int]:
    """Return how far everything shown is to be moved, to stand at a place in the safe area."""
    page, box = Page(scene.width, scene.height, style), shown_box(scene)
    safe, (across, down) = page.graphics, _SHARES[place]
    left = safe.left + round(across * (safe.right - safe.left - (box.right - box.left)))
    top = safe.top + round(down * (safe.bottom - safe.top - (box.bottom - box.top)))
    top = max(safe.top, min(top, clear_foot(page) - (box.bottom - box.top)))
    return left - box.left, top - box.top
