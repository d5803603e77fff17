"""Frames of a card whose rows come one after another, each part by part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from overlays.draw.motion import Move, staged
from overlays.draw.patch import Layer, Rect, through
from overlays.model.clip import Stage
from overlays.style.house import Style

__all__ = ["Part", "RowsScene"]


@dataclass(frozen=True, slots=True)
class Part:
    """Something of a row that comes in one stroke.

    Parameters
    ----------
    layers : tuple of Layer
        What comes, at its place.
    since, until : float
        When it does, as shares of its row's time.
    towards : {"right", "left"}
        Which way it grows.
    """

    layers: tuple[Layer, ...]
    since: float = 0.0
    until: float = 1.0
    towards: Literal["right", "left"] = "right"

    def at(self, move: Move, frame: int) -> list[Layer]:
        """Return what is seen of it at a frame."""
        first = move.first + round(self.since * (move.frames - 1))
        own = Move(first, max(1, move.first + round(self.until * move.frames) - first))
        if frame < own.first or not self.layers:
            return []
        area = self.layers[0].covers
        for layer in self.layers[1:]:
            area = area.join(layer.covers)
        grown = own.grown(frame, area.right - area.left)
        left, right = (
            (area.left, area.left + grown)
            if self.towards == "right"
            else (area.right - grown, area.right)
        )
        return [through(layer, Rect(left, area.top, right, area.bottom)) for layer in self.layers]


class RowsScene:
    """The panel comes, then its scale, then row after row; and stands.

    Parameters
    ----------
    rect : Rect
        The card.
    plate, ruled : sequence of Layer
        What comes with the panel, and what after it.
    rows : sequence of (sequence of Part)
        In the order in which they come.
    step : float
        How long a row takes, in steps of the style's motion.
    """

    def __init__(
        self,
        stage: Stage,
        style: Style,
        *,
        rect: Rect,
        plate: Sequence[Layer],
        ruled: Sequence[Layer],
        rows: Sequence[Sequence[Part]],
        step: float,
    ) -> None:
        self.width, self.height, self.frames = stage.width, stage.height, stage.frames
        self._rect = rect
        self._plate, self._ruled, self._rows = tuple(plate), tuple(ruled), tuple(rows)
        motion, rate = style.motion, float(stage.rate)
        hold = min(stage.frames // 4, round(1.5 * rate))
        wanted = [motion.panel, motion.axes, *(step * motion.step for _ in rows)]
        self._moves = staged(wanted, stage.rate, max(1, stage.frames - hold))

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of a frame, back to front."""
        rect, (panel, axes, *rows) = self._rect, self._moves
        layers: list[Layer] = []
        for move, parts in ((panel, self._plate), (axes, self._ruled)):
            if frame >= move.first:
                along = rect.left + move.grown(frame, rect.right - rect.left)
                layers += [through(layer, Rect(0, 0, along, self.height)) for layer in parts]
        for move, row in zip(rows, self._rows, strict=True):
            for part in row:
                layers += part.at(move, frame)
        return layers
