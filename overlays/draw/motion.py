"""Motion: when things happen, and how far they have come at a frame.

Progress at frame *i* of *N* is (i + 1) / N, so that something is seen on the first frame and
everything on the last. Easing only slows down towards the end; nothing overshoots. What leaves does
so as what comes, backwards: it gathers speed, and on its last frame is gone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from overlays.draw.patch import Layer, Rect, through

__all__ = ["Leaving", "Move", "eased", "leaving", "staged", "wiped"]


def eased(progress: float) -> float:
    """Return progress 0–1 slowed down towards its end: 1 − (1 − p)³."""
    left = 1.0 - min(max(progress, 0.0), 1.0)
    return 1.0 - left * left * left


@dataclass(frozen=True, slots=True)
class Move:
    """A stretch of frames in which one thing happens."""

    first: int
    frames: int

    @property
    def end(self) -> int:
        """The first frame after it."""
        return self.first + self.frames

    def progress(self, frame: int) -> float:
        """Return how far it has come, 0 before and 1 from its last frame on."""
        if frame < self.first:
            return 0.0
        return 1.0 if frame + 1 >= self.end else (frame - self.first + 1) / self.frames

    def eased(self, frame: int) -> float:
        """Return its progress, slowed down towards the end."""
        return eased(self.progress(frame))

    def grown(self, frame: int, pixels: int) -> int:
        """Return how many of `pixels` are shown: at least one once it has begun, all at its end."""
        progress = self.progress(frame)
        return 0 if progress == 0 else max(1, round(eased(progress) * pixels))


def wiped(layers: Sequence[Layer], move: Move, frame: int) -> list[Layer]:
    """Show layers from their common left edge up to where a move has come."""
    left = min(layer.covers.left for layer in layers)
    right = max(layer.covers.right for layer in layers)
    top = min(layer.covers.top for layer in layers)
    bottom = max(layer.covers.bottom for layer in layers)
    window = Rect(left, top, left + move.grown(frame, right - left), bottom)
    return [through(layer, window) for layer in layers]


def staged(lengths_s: Sequence[float], rate: Fraction, frames: int) -> tuple[Move, ...]:
    """Place stages one after another.

    Each is as long as asked, at least one frame. Where the whole is longer than `frames`, what is
    over one frame each is shortened in proportion.

    Parameters
    ----------
    lengths_s : sequence of float
        Wanted lengths in seconds.
    rate : Fraction
        Frames per second.
    frames : int
        Frames available.
    """
    over = [max(0.0, length * float(rate) - 1) for length in lengths_s]
    spare = max(0, frames - len(over))
    shrink = min(1.0, spare / sum(over)) if sum(over) > 0 else 0.0
    moves: list[Move] = []
    passed = 0.0
    for index, length in enumerate(over):
        first = round(passed) + index
        passed += length * shrink
        moves.append(Move(first, round(passed) + index + 1 - first))
    return tuple(moves)


@dataclass(frozen=True, slots=True)
class Leaving:
    """How an overlay leaves: first what lies on its panel, then the panel.

    Parameters
    ----------
    moves : tuple of Move
        Of the two, counted from the first frame of leaving; none where all goes at once.
    frames : int
        How long it takes; on the last of them nothing is left.
    """

    moves: tuple[Move, ...]
    frames: int

    def rest(
        self, layers: Sequence[Layer], frame: int, *, towards: Literal["left", "right"] = "left"
    ) -> list[Layer]:
        """Return what is left of the layers of a complete overlay, back to front.

        Parameters
        ----------
        layers : sequence of Layer
            The lowest is the panel, or what takes its part.
        frame : int
            Counted from the first of leaving.
        towards : {"left", "right"}
            The side that what lies on the panel is seen at last.
        """
        if not self.moves:
            return []
        (data, panel), left = self.moves, list(layers)
        return _uncovered(left[:1], panel, frame, "left") + _uncovered(
            left[1:], data, frame, towards
        )


def _uncovered(
    layers: Sequence[Layer], move: Move, frame: int, towards: Literal["left", "right"]
) -> list[Layer]:
    """Hide layers from one side up to where a move has come; none are left at its end."""
    gone = move.progress(frame)
    if gone == 0 or not layers:
        return list(layers)
    if gone == 1:
        return []
    box = layers[0].covers
    for layer in layers[1:]:
        box = box.join(layer.covers)
    stays = round(eased(1 - gone) * (box.right - box.left))
    start = box.left if towards == "left" else box.right - stays
    window = Rect(start, box.top, start + stays, box.bottom)
    return [through(layer, window) for layer in layers]


def leaving(lengths_s: Sequence[float], rate: Fraction, frames: int) -> Leaving:
    """Place what leaves one after another.

    Parameters
    ----------
    lengths_s : sequence of float
        Wanted lengths in seconds, of the data's leaving and of the panel's; none for all at once.
    rate : Fraction
        Frames per second.
    frames : int
        Frames available; fewer are taken where fewer are wanted.
    """
    if not lengths_s:
        return Leaving((), frames)
    moves = staged(lengths_s, rate, frames)
    return Leaving(moves, moves[-1].end)
