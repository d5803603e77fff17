"""Curves: drawn once as a patch, revealed by whole pixel columns.

What a frame costs does not depend on how many samples a trace has, and what drawing it costs hardly
does: samples are reduced to four per narrow column (first, lowest, highest, last), after Jugel,
Jerzak, Hackenbroich and Markl, "M4: A Visualization-Oriented Time Series Data Aggregation" (2014).
That is exact for lines a pixel wide and columns as wide. A wider pen shows where within a pixel an
extreme lies (measured: up to 3 pixels off on white noise), so the columns here are narrower.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, TypeGuard

import numpy as np
from numpy.typing import NDArray

from overlays.draw.axis import SLACK, Axes
from overlays.draw.dash import dashed
from overlays.draw.patch import Layer, Rect, Scene
from overlays.draw.sheet import Sheet, pieces
from overlays.style.colour import Colour

__all__ = ["Curve", "CurveScene", "drawn", "draws_curves", "reduced", "value_at"]

Floats = NDArray[np.float64]

_PER_PIXEL = 4


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A trace to be drawn.

    Parameters
    ----------
    key : str
        Which it is; no other curve of a scene has the same.
    time_s, values : ndarray of shape (N,)
        Strictly increasing times; NaN is a gap.
    colour : Colour
        Opaque.
    width : float
        Of the line, in pixels.
    dash : tuple of float
        Pixels of ink and of none in turn, an even number of them; empty for a solid line.
    """

    key: str
    time_s: Floats
    values: Floats
    colour: Colour
    width: float
    dash: tuple[float, ...] = ()


class CurveScene(Scene, Protocol):
    """A scene that draws curves, and can be held to the data it drew them from."""

    @property
    def curves(self) -> Sequence[Curve]:
        """What it draws, back to front."""
        ...

    def axes_of(self, frame: int, curve: Curve) -> Axes:
        """Return from pixels to seconds and a curve's values, as they are at a frame."""
        ...

    def drawn_to_s(self, frame: int, curve: Curve) -> float | None:
        """Return up to which time a curve is drawn at a frame; None before it begins."""
        ...

    def covered(self, frame: int) -> Sequence[Rect]:
        """Return where something else may lie over the curves at a frame."""
        ...


def draws_curves(scene: object) -> TypeGuard[CurveScene]:
    """Say whether a scene can be held to its data."""
    return all(hasattr(scene, name) for name in ("axes_of", "curves", "drawn_to_s", "covered"))


def value_at(time_s: Floats, values: Floats, at_s: float) -> float | None:
    """Return a trace's value at a time, on the straight line between its two neighbours.

    None before its start, after its end and inside a gap.
    """
    if not len(time_s) or at_s < time_s[0] or at_s > time_s[-1]:
        return None
    after = int(np.searchsorted(time_s, at_s))
    if time_s[after] == at_s:
        exact = float(values[after])
        return exact if np.isfinite(exact) else None
    share = (at_s - time_s[after - 1]) / (time_s[after] - time_s[after - 1])
    value = float(values[after - 1] + share * (values[after] - values[after - 1]))
    return value if np.isfinite(value) else None


def reduced(points: Floats) -> Floats:
    """Keep the first, lowest, highest and last point of every quarter of a pixel column.

    Parameters
    ----------
    points : ndarray of shape (N, 2)
        In order of x, not NaN.

    Returns
    -------
    ndarray of shape (M, 2)
        At most four points a quarter column, in their order; all of them where that is fewer.
    """
    column = np.floor(points[:, 0] * _PER_PIXEL).astype(np.int64)
    starts = np.flatnonzero(np.diff(column, prepend=column[0] - 1))
    if len(points) <= 4 * len(starts):
        return points
    ends = np.append(starts[1:], len(points))
    kept = np.zeros(len(points), np.bool_)
    kept[starts] = kept[ends - 1] = True
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        inside = points[start:end, 1]
        kept[start + int(inside.argmin())] = kept[start + int(inside.argmax())] = True
    return points[kept]


def _near(part: Floats, span: tuple[float, float]) -> Floats:
    """Keep the points of a piece that lie within columns, and their neighbours."""
    first = max(0, int(np.searchsorted(part[:, 0], span[0])) - 1)
    last = int(np.searchsorted(part[:, 0], span[1], side="right")) + 1
    return part[first:last]


def drawn(curve: Curve, axes: Axes) -> Layer:
    """Draw a whole curve as one layer, cut to the plot.

    Gaps stay open; a point between two gaps is drawn as a dot of the line's width. Dashes count
    from the curve's start, so that they stand still while more and more of it is revealed.
    """
    points = axes.points(curve.time_s, curve.values)
    plot = axes.plot
    room = int(np.ceil(curve.width + SLACK * (plot.bottom - plot.top)))
    sheet = Sheet(Rect(plot.left, plot.top - room, plot.right, plot.bottom + room))
    parts = [reduced(piece) for piece in pieces(points)]
    # What lies further out than the pen reaches leaves no ink in the plot.
    span = (plot.left - curve.width, plot.right + curve.width)
    if curve.dash and parts:
        parts = dashed(parts, curve.dash, curve.width, span)
    for part in (_near(part, span) for part in parts):
        sheet.stroke(part, curve.colour, curve.width, cap="round", join="round")
    return sheet.layer()
