"""matplotlib's Agg renderer, as a surface of pixels to fill and stroke outlines on.

The only place that talks to the renderer. Agg keeps straight alpha; snapping and simplification are
switched off, so that what is drawn is drawn to the sub-pixel and no setting of a user's own
matplotlib can change it. Here y runs upwards, as the renderer has it.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from overlays.draw.patch import Pixels
from overlays.style.colour import Colour

__all__ = ["Agg", "Cap", "Join"]

Cap = Literal["butt", "round", "projecting"]
Join = Literal["miter", "round", "bevel"]
Floats = NDArray[np.float64]


class Agg:
    """A surface, clear at first.

    Parameters
    ----------
    width, height : int
        In pixels, at least one.
    """

    def __init__(self, width: int, height: int) -> None:
        from matplotlib.backends.backend_agg import RendererAgg

        # At 72 dots per inch a point, matplotlib's unit of line width, is a pixel.
        self._renderer = RendererAgg(width, height, 72)  # type: ignore[no-untyped-call]

    def fill(self, points: Floats, colour: Colour, codes: NDArray[np.uint8] | None = None) -> None:
        """Fill an outline; without matplotlib path codes it is one closed polygon."""
        if codes is None:
            points = np.vstack([points, points[:1]])
        self._draw(points, codes, closed=codes is None, face=colour, edge=colour, width=0.0)

    def stroke(self, points: Floats, colour: Colour, width: float, *, cap: Cap, join: Join) -> None:
        """Draw a line along points of shape (N, 2), N ≥ 2."""
        self._draw(points, None, face=None, edge=colour, width=width, cap=cap, join=join)

    @property
    def pixels(self) -> Pixels:
        """What was drawn: a view of shape (H, W, 4), the uppermost row first."""
        return np.asarray(self._renderer.buffer_rgba())  # type: ignore[no-untyped-call]

    def _draw(
        self,
        points: Floats,
        codes: NDArray[np.uint8] | None,
        *,
        face: Colour | None,
        edge: Colour,
        width: float,
        cap: Cap = "butt",
        join: Join = "miter",
        closed: bool = False,
    ) -> None:
        from matplotlib.backend_bases import GraphicsContextBase
        from matplotlib.path import Path
        from matplotlib.transforms import IdentityTransform

        context = GraphicsContextBase()
        context.set_foreground(_unit(edge), isRGBA=True)
        context.set_linewidth(width)
        context.set_capstyle(cap)
        context.set_joinstyle(join)
        context.set_antialiased(True)
        context.set_snap(False)
        path = Path(points, codes, closed=closed)
        path.should_simplify = False
        paint = None if face is None else _unit(face)
        self._renderer.draw_path(  # type: ignore[no-untyped-call]
            context, path, IdentityTransform(), paint
        )


def _unit(colour: Colour) -> tuple[float, float, float, float]:
    return (colour.red / 255, colour.green / 255, colour.blue / 255, colour.alpha / 255)
