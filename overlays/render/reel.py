"""Several overlays on one timeline, as one scene."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from overlays.draw.patch import Layer, Scene

__all__ = ["Reel", "Shot"]


@dataclass(slots=True, eq=False)
class Shot:
    """One overlay on the timeline, laid out when it is first shown.

    Parameters
    ----------
    first_frame, frames : int
        Where it stands, counted from the reel's beginning.
    lay_out : callable
        Returns its scene.
    """

    first_frame: int
    frames: int
    lay_out: Callable[[], Scene]
    _scene: Scene | None = field(default=None, init=False)

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return its layers at a frame of the reel; none where it is not on screen."""
        own = frame - self.first_frame
        if not 0 <= own < self.frames:
            # A long episode has hundreds of overlays; one that has been is not kept.
            self._scene = None
            return ()
        if self._scene is None:
            self._scene = self.lay_out()
        return self._scene.layers(own)


@dataclass(frozen=True, slots=True, eq=False)
class Reel:
    """A scene of shots, later ones in front.

    Parameters
    ----------
    width, height, frames : int
        Of the whole.
    shots : sequence of Shot
        In order of time.
    """

    width: int
    height: int
    frames: int
    shots: Sequence[Shot]

    def layers(self, frame: int) -> Sequence[Layer]:
        """Return the layers of everything on screen, back to front."""
        return tuple(layer for shot in self.shots for layer in shot.layers(frame))
