"""Heads of curves: where they are at every frame of the data, and what their flags say."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from overlays.draw.axis import Axes
from overlays.draw.curve import Curve, Floats
from overlays.draw.flags import Heads, Ints
from overlays.kinds._curve_timing import Timing

__all__ = ["columns_at", "follow"]


def columns_at(times: Floats, axes: Axes) -> Ints:
    """Return the first pixel column not drawn yet at each time."""
    area = axes.plot
    columns = np.floor(axes.time.px(times) + 0.5).astype(np.int64)
    return np.clip(columns, area.left + 1, area.right)


def follow(
    curves: Sequence[tuple[Curve, Axes]], timing: Timing, *, in_turn: bool
) -> tuple[Floats, Heads]:
    """Follow every curve through the frames of the data.

    Returns
    -------
    values : ndarray of shape (F, K)
        At the heads, NaN inside gaps; a curve that has ended keeps its last value.
    heads : Heads
        Where they are.
    """
    frames = range(timing.data.first, timing.data.end)
    values, xs, ys, begun = [], [], [], []
    for index, (curve, axes) in enumerate(curves):
        turn = index if in_turn else 0
        times = np.array([timing.elapsed_s(frame, turn) for frame in frames])
        ends_s = curve.time_s[np.isfinite(curve.values)][-1]
        until = np.minimum(times, ends_s)
        value = np.interp(until, curve.time_s, curve.values)
        values.append(value)
        xs.append(columns_at(until, axes))
        rows = _held(axes.value.px(value), float(axes.plot.bottom))
        ys.append(np.clip(rows, axes.plot.top, axes.plot.bottom))
        begun.append(times > 0)
    heads = Heads(np.stack(xs, axis=1), np.stack(ys, axis=1), np.stack(begun, axis=1), in_turn)
    return np.stack(values, axis=1), heads


def _held(rows: Floats, nowhere: float) -> Floats:
    """Fill gaps with the row before them, and a leading one with the first row there is."""
    good = np.isfinite(rows)
    if not good.any():
        return np.full_like(rows, nowhere)
    last = np.maximum.accumulate(np.where(good, np.arange(len(rows)), -1))
    return np.where(last >= 0, rows[np.maximum(last, 0)], rows[good][0])
