"""Motion: when things happen, and how far they have come at a frame.

Progress at frame *i* of *N* is (i + 1) / N, so that something is seen on the first frame and
everything on the last. Easing only slows down towards the end; nothing overshoots.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from overlays.draw.patch import Layer, Rect, through

__all__ = ["Move", "eased", "staged", "wiped"]


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
