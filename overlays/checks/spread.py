"""The spread of repeats, read back from pixels and held to the data, as `truth` does for curves.

A band is pale, so that it is read edge by edge: where halfway between what lies inside and what
lies outside the colour changes. Nothing here uses the drawing code.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.checks.truth import ink_share
from overlays.draw.axis import Axes
from overlays.draw.curve import Curve, CurveScene
from overlays.draw.patch import Pixels

__all__ = ["Spread", "SpreadReading", "read_spreads"]

Floats = NDArray[np.float64]

# At how many places across a pixel column an edge is worked out, and how far on either side of it
# nothing else may lie, in pixels.
_FINE, _CLEAR_PX = 8, 5
# How much of its colour a band has at least.
_LEAST_SHARE = 0.08


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """The data of a band: least and greatest value at each time; NaN is a gap."""

    time_s: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class SpreadReading:
    """What was read of one band in one frame.

    Parameters
    ----------
    frame : int
        Of the overlay.
    curve : str
        Whose band, by the key of the curve.
    edges : int
        How many edges could be read, two a column at most.
    off : int
        How many of them are further from the data than a pixel, or not there.
    """

    frame: int
    curve: str
    edges: int
    off: int


def read_spreads(
    scene: CurveScene, frame: int, pixels: Pixels, spreads: Mapping[str, Spread], *, most: int = 150
) -> tuple[SpreadReading, ...]:
    """Read every band of a frame, and compare its edges with the data.

    Parameters
    ----------
    scene : CurveScene
        Says how pixels turn into seconds and values, and how far it has drawn.
    frame : int
        Of the overlay, at which `pixels` was drawn.
    pixels : ndarray of shape (H, W, 4)
        Straight RGBA, drawn or decoded.
    spreads : Mapping[str, Spread]
        By the key of the curve.
    most : int
        Columns read at most, spread evenly.
    """
    readings: list[SpreadReading] = []
    for curve in scene.curves:
        until_s = scene.drawn_to_s(frame, curve)
        if curve.key not in spreads or until_s is None:
            continue
        axes = scene.axes_of(frame, curve)
        plot = axes.plot
        head = int(np.floor(min(axes.time.at(until_s), plot.right))) - 1
        columns = np.arange(plot.left + 1, head)
        columns = columns[:: max(1, -(-len(columns) // most))]
        share = ink_share(pixels[:, plot.left : plot.right], curve)
        edges = off = 0
        others = _others(scene, frame, curve, spreads, columns)
        covered = scene.covered(frame)
        for upper, rows in zip(
            (True, False), _edges(axes, spreads[curve.key], columns), strict=True
        ):
            middle = rows.mean(axis=0)
            clear = np.isfinite(middle) & (np.abs(others - middle) > _CLEAR_PX + 1).all(axis=0)
            clear &= (middle > plot.top + _CLEAR_PX) & (middle < plot.bottom - _CLEAR_PX)
            for rect in covered:
                inside = (columns >= rect.left) & (columns < rect.right)
                clear &= ~(inside & (middle > rect.top - 9) & (middle < rect.bottom + 9))
            for index in np.flatnonzero(clear).tolist():
                strip = share[:, int(columns[index]) - plot.left]
                found = _edge_in(strip, float(middle[index]), inwards=1 if upper else -1)
                edges += 1
                far = max(rows[:, index].min() - found, found - rows[:, index].max())
                off += bool(far > 1.0)
        readings.append(SpreadReading(frame, curve.key, edges, off))
    return tuple(readings)


def _edges(axes: Axes, spread: Spread, columns: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Return the rows of the upper and the lower edge across each column, shape (F, W)."""
    across = columns[None, :] + (np.arange(-2, _FINE + 3) / _FINE)[:, None]
    share = (across - axes.time.start) / (axes.time.end - axes.time.start)
    times = axes.time.low + share * (axes.time.high - axes.time.low)
    rows = [
        axes.value.px(np.interp(times, spread.time_s, values, left=np.nan, right=np.nan))
        for values in (spread.high, spread.low)
    ]
    return rows[0], rows[1]


def _others(
    scene: CurveScene,
    frame: int,
    own: Curve,
    spreads: Mapping[str, Spread],
    columns: NDArray[np.int64],
) -> Floats:
    """Return the rows of everything that may lie near an edge: curves, and others' edges.

    What lies between the edges of another band is told by rows as close as the reading looks.
    """
    rows: list[Floats] = []
    for curve in scene.curves:
        axes = scene.axes_of(frame, curve)
        line = Spread(curve.time_s, curve.values, curve.values)
        middle = _edges(axes, line, columns)[0]
        half = curve.width / 2
        rows += [middle.min(axis=0) - half, middle.mean(axis=0), middle.max(axis=0) + half]
        if curve.key in spreads and curve.key != own.key:
            upper, lower = (part.mean(axis=0) for part in _edges(axes, spreads[curve.key], columns))
            rows += [upper + part * (lower - upper) for part in np.linspace(0, 1, 40)]
    return np.where(np.isfinite(np.array(rows)), np.array(rows), np.inf)


def _edge_in(share: Floats, near: float, *, inwards: int) -> float:
    """Return the row at which the colour changes halfway; inf where it does not."""
    row = int(near)
    steps = np.arange(-_CLEAR_PX, _CLEAR_PX + 1) * inwards
    strip = share[row + steps]
    outside, inside = float(np.median(strip[:3])), float(np.median(strip[-3:]))
    if inside - outside < _LEAST_SHARE:
        return float("inf")
    half = (inside + outside) / 2
    first = int(np.argmax(strip >= half))
    if first == 0:
        return float("inf")
    part = (half - strip[first - 1]) / (strip[first] - strip[first - 1])
    # Rows count from a pixel's edge, and a pixel's share is that of its middle.
    return float(row + 0.5 + inwards * (-_CLEAR_PX + first - 1 + part))
