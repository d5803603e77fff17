"""The picture tells the truth: curves read back from pixels, and held to the data.

Nothing here uses the drawing code. From the data alone it is worked out where a round pen of the
curve's width, run along the trace, must leave ink (a dilation by a disc); from the picture it is
read where that curve's colour is. Works on drawn frames and on decoded ones.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlays.draw.axis import SLACK, Axes
from overlays.draw.curve import Curve, CurveScene
from overlays.draw.patch import Pixels, Rect
from overlays.model.trace import Trace

__all__ = ["Reading", "ink_share", "read_back"]

Floats = NDArray[np.float64]

# How densely the trace is followed between samples, in pixels.
_STEP_PX = 0.125
# At how many places across a pixel column the ink's edges are worked out.
_FINE = 16
# Other curves nearer than this, in pixels, may lie over the one that is read.
_CLEAR_PX = 3.0
# Codes by which a pixel may miss the mix of ground and ink and still be one; encoders stray by 2.
_STRAY = 14.0
# How far from a dashed line its ink is looked for; what lies further off leaves it bare.
_ASTRAY_PX = 8.0


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read of one curve in one frame.

    Parameters
    ----------
    frame : int
        Of the overlay.
    curve : str
        Which, by its key.
    columns : int
        How many pixel columns could be read.
    worst_px : float
        The largest distance, up or down, between the ink read and where it must be, in pixels.
    worst_value : float
        The same in the unit of the values.
    at_s : float
        Time of the run at which that was.
    stray : int
        Pixels of the curve's colour where the trace has none: inside gaps and past its head.
    """

    frame: int
    curve: str
    columns: int
    worst_px: float
    worst_value: float
    at_s: float
    stray: int


def read_back(
    scene: CurveScene,
    frame: int,
    pixels: Pixels,
    traces: Mapping[str, Trace],
    *,
    most: int = 200,
) -> tuple[Reading, ...]:
    """Read every curve of a frame, and compare it with its trace.

    Parameters
    ----------
    scene : CurveScene
        Says how pixels turn into seconds and values, up to when it has drawn, and where it has
        put other things over the curves. Not asked for its data.
    frame : int
        Of the overlay, at which `pixels` was drawn.
    pixels : ndarray of shape (H, W, 4)
        Straight RGBA, drawn or decoded.
    traces : Mapping[str, Trace]
        The conditioned trace of each curve, by its key.
    most : int
        Columns read at most, spread evenly.

    Returns
    -------
    tuple of Reading
        One a curve; none before the curves begin. A curve that is nowhere clear of the others has
        ``columns`` 0.
    """
    begun = [
        (curve, until_s)
        for curve in scene.curves
        if (until_s := scene.drawn_to_s(frame, curve)) is not None
    ]
    covered = scene.covered(frame)
    edges = {
        curve.key: _ink_edges(
            scene.axes_of(frame, curve), traces[curve.key], until_s, curve.width / 2
        )
        for curve, until_s in begun
    }
    readings: list[Reading] = []
    for curve, until_s in begun:
        axes, own = scene.axes_of(frame, curve), edges[curve.key]
        head = int(np.floor(axes.time.at(until_s) + 0.5)) - axes.plot.left
        others = [edges[key] for key in edges if key != curve.key]
        seen = _Seen(pixels, axes.plot, curve, covered)
        columns = [c for c in seen.readable(own) if c < head and _apart(c, own, others)]
        chosen = columns[:: max(1, -(-len(columns) // most))]
        off = [(seen.distance(column, own[..., column]), column) for column in chosen]
        bare = seen.bare(columns, own)
        if bare is not None:
            off.append((float("inf"), bare))
        worst, at = max(off, default=(0.0, 0))
        y = float(own[..., at].mean()) if off else float(axes.plot.bottom)
        readings.append(
            Reading(
                frame=frame,
                curve=curve.key,
                columns=len(chosen),
                worst_px=worst,
                worst_value=abs(axes.value.value(y - worst) - axes.value.value(y)),
                at_s=axes.time.value(axes.plot.left + at + 0.5),
                stray=seen.stray(own, head),
            )
        )
    return tuple(readings)


def _ink_edges(axes: Axes, trace: Trace, until_s: float, radius: float) -> Floats:
    """Return where the ink's upper and lower edge must lie at every column.

    A pixel shows the mean over its width, so its half-covered row lies between the edges met across
    it: shape (2, 2, W) holds, for the upper and the lower edge, the smallest and largest row; NaN
    where there is no ink.
    """
    plot = axes.plot
    x, y = _followed(axes, trace, until_s)
    # Points are gathered in stretches a sixteenth of a pixel wide; where the pen has its centre
    # within a stretch, its edges at a place differ by less than reading can tell.
    reach = int(np.ceil((radius + 0.5) * _FINE))
    count = (plot.right - plot.left) * _FINE
    lowest, highest = np.full(count + 2 * reach, np.inf), np.full(count + 2 * reach, -np.inf)
    stretch = np.floor((x - plot.left) * _FINE).astype(np.int64) + reach
    inside = (stretch >= 0) & (stretch < len(lowest))
    np.minimum.at(lowest, stretch[inside], y[inside])
    np.maximum.at(highest, stretch[inside], y[inside])
    upper, lower = np.full(count, np.inf), np.full(count, -np.inf)
    for step in range(-reach, reach + 1):
        dx = abs(step) / _FINE
        if dx < radius:
            half = np.sqrt(radius**2 - dx**2)
            there = slice(reach + step, reach + step + count)
            np.minimum(upper, lowest[there] - half, out=upper)
            np.maximum(lower, highest[there] + half, out=lower)
    edges = np.empty((2, 2, plot.right - plot.left))
    for edge, rows in zip(edges, (upper, lower), strict=True):
        across = rows.reshape(-1, _FINE)
        met = np.isfinite(across)
        edge[0] = np.where(met, across, np.inf).min(axis=1)
        edge[1] = np.where(met, across, -np.inf).max(axis=1)
        edge[:, ~met[:, _FINE // 2]] = np.nan
    return edges


def _followed(axes: Axes, trace: Trace, until_s: float) -> tuple[Floats, Floats]:
    """Return points along the trace, densely, in pixels and in order; none inside gaps."""
    shown = (trace.time_s >= axes.time.low) & (trace.time_s <= axes.time.high)
    start, end = axes.time.low, min(axes.time.high, until_s)
    times = np.union1d(trace.time_s[shown & (trace.time_s <= end)], [start, end])
    inside = times[(times >= trace.time_s[0]) & (times <= trace.time_s[-1])]
    x, y = axes.time.px(inside), axes.value.px(np.interp(inside, trace.time_s, trace.values))
    lengths = np.hypot(np.diff(x), np.diff(y))
    good = np.isfinite(lengths)
    counts = np.where(good, np.ceil(np.where(good, lengths, 0) / _STEP_PX), 1).astype(np.int64)
    counts = np.maximum(counts, 1)
    index = np.repeat(np.arange(len(counts)), counts)
    share = (np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[
        index
    ]
    along_x = np.append(x[index] + share * np.diff(x)[index], x[-1])
    along_y = np.append(y[index] + share * np.diff(y)[index], y[-1])
    # A sample beside a gap is drawn although the stretch after it is not.
    along_x, along_y = np.append(along_x, x), np.append(along_y, y)
    drawn = np.isfinite(along_x) & np.isfinite(along_y)
    order = np.argsort(along_x[drawn], kind="stable")
    return along_x[drawn][order], along_y[drawn][order]


class _Seen:
    """How much of each pixel around the plot is a curve's ink; NaN where something may lie over."""

    def __init__(self, pixels: Pixels, plot: Rect, curve: Curve, covered: Sequence[Rect]) -> None:
        room = int(np.ceil(curve.width + SLACK * (plot.bottom - plot.top))) + 2
        self._top = plot.top - room
        part = pixels[self._top : plot.bottom + room, plot.left : plot.right]
        self._share = ink_share(part, curve)
        # How many columns on end a dash may leave bare, with the blur at its two ends.
        self._most_bare = int(np.ceil(max(curve.dash[1::2], default=0.0))) + 2
        self._dashed = bool(curve.dash)
        for rect in covered:
            rows = slice(max(rect.top - self._top, 0), max(rect.bottom - self._top, 0))
            columns = slice(max(rect.left - plot.left, 0), max(rect.right - plot.left, 0))
            self._share[rows, columns] = np.nan

    def readable(self, edges: Floats) -> list[int]:
        """Return the columns in which a curve has ink, with nothing over it."""
        found: list[int] = []
        for column in np.flatnonzero(np.isfinite(edges[0, 0])).tolist():
            first, last = edges[0, 0, column] - self._top, edges[1, 1, column] - self._top
            if first < 0 or last > len(self._share):
                continue  # outside the plot, where nothing is drawn
            rows = slice(max(0, int(first) - 1), max(0, int(last) + 2))
            if not np.isnan(self._share[rows, column]).any():
                found.append(column)
        return found

    def distance(self, column: int, expected: Floats) -> float:
        """Return how far the ink in a column is from where it must be; inf where there is none.

        Of a dashed line there may be less ink in a column, or none, but never more.
        """
        share, middle = self._share[:, column], expected.mean(axis=1) - self._top
        if self._dashed:
            share = np.where(self._near(expected[0, 0], expected[1, 1], _ASTRAY_PX), share, 0.0)
        seen = _seen_edges(share, middle)
        if seen is None:
            return 0.0 if self._dashed else float("inf")
        rows = seen + self._top
        off = np.maximum(expected[:, 0] - rows, rows - expected[:, 1])
        if self._dashed:
            off = np.array([expected[0, 0] - rows[0], rows[1] - expected[1, 1]])
        return float(np.maximum(off, 0.0).max())

    def _near(self, upper: float, lower: float, reach: float) -> NDArray[np.bool_]:
        """Return which rows lie between two edges, or no further from them than `reach`."""
        rows = np.arange(len(self._share)) + self._top
        return np.asarray((rows + 1 > upper - reach) & (rows < lower + reach), np.bool_)

    def bare(self, columns: Sequence[int], edges: Floats) -> int | None:
        """Return a column where a dashed line lacks more ink than its dashes leave out, or None.

        Ink counts where the line must be: one that lies elsewhere is bare all along.
        """
        run, last = 0, -2
        for column in columns if self._dashed else ():
            here = self._near(edges[0, 0, column], edges[1, 1, column], 0.0)
            inked = bool((self._share[here, column] >= 0.5).any())
            run = 0 if inked else run + 1 if column == last + 1 else 1
            if run > self._most_bare:
                return column
            last = column
        return None

    def stray(self, edges: Floats, head: int) -> int:
        """Count pixels of a curve's ink in columns where it has none, or past its head."""
        none = ~np.isfinite(edges[0, 0])
        # The mean over a column beside an end may still be more than half ink.
        none[1:-1] &= none[:-2] & none[2:]
        none[max(0, head + 1) :] = True
        return int(np.count_nonzero(self._share[:, none] > 0.5))


def _apart(column: int, own: Floats, others: Sequence[Floats]) -> bool:
    """Say whether no other curve comes near one at a column."""
    low, high = own[0, 0, column], own[1, 1, column]
    for other in others:
        near = other[..., max(0, column - 2) : column + 3]
        if ((near[0, 0] < high + _CLEAR_PX) & (near[1, 1] > low - _CLEAR_PX)).any():
            return False
    return True


def ink_share(part: Pixels, curve: Curve) -> Floats:
    """Return how much of each pixel is the curve's ink, 0 where it is something else.

    The ground is the commonest colour there is; a pixel counts as far as it lies on the straight
    line from the ground to the ink.
    """
    packed = np.ascontiguousarray(part).view(np.uint32)[..., 0]
    codes, counts = np.unique(packed[::8, ::8], return_counts=True)
    common = codes[counts.argmax()]
    ground = np.array([common]).view(np.uint8)[:3].astype(np.float32)
    way = np.array(curve.colour.rgb, np.float32) - ground
    share = np.zeros(packed.shape, np.float64)
    # Most of the plot is bare ground.
    other = np.flatnonzero(packed != common)
    from_ground = part.reshape(-1, 4)[other, :3].astype(np.float32) - ground
    along = from_ground @ way / (way @ way)
    stray = np.abs(from_ground - along[:, None] * way).max(axis=-1)
    share.reshape(-1)[other] = np.where(stray <= _STRAY, np.clip(along, 0, 1), 0.0)
    return share


def _seen_edges(share: Floats, expected: Floats) -> Floats | None:
    """Return the upper and lower edge of the ink in one column: where half a pixel is covered.

    The run of ink nearest to where it should be is taken; None where there is none.
    """
    inked = np.flatnonzero(share >= 0.5)
    if not len(inked):
        return None
    runs = np.split(inked, np.flatnonzero(np.diff(inked) > 1) + 1)
    middle = expected.mean()
    run = min(runs, key=lambda rows: abs((rows[0] + rows[-1] + 1) / 2 - middle))
    first, last = int(run[0]), int(run[-1])
    upper = _crossing(share, first - 1, first)
    lower = _crossing(share, last + 1, last)
    return np.array([upper, lower])


def _crossing(share: Floats, outside: int, inside: int) -> float:
    """Return the row at which the share passes one half, between two neighbouring rows."""
    before = share[outside] if 0 <= outside < len(share) else 0.0
    step = (0.5 - before) / (share[inside] - before)
    return float(outside + 0.5 + step * (inside - outside))
