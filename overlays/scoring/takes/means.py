"""Mean, value at a time, slope, fade, settled value."""

from __future__ import annotations

import numpy as np

from overlays.model.figurespec import (
    AtFigure,
    FadeFigure,
    MeanFigure,
    SettledFigure,
    SlopeFigure,
    WindowFigure,
)
from overlays.scoring.takes.levels import is_share
from overlays.scoring.takes.view import Piece, Taken, View, no_value, value_at
from overlays.units import difference_unit, is_offset, per, same_dimension

__all__ = ["at", "fade", "mean", "settled", "settling_time", "slope"]


def mean(figure: MeanFigure, view: View) -> Taken:
    """Return the mean over time: the area divided by the time, so that uneven steps weigh right."""
    piece = view.piece(figure)
    return _mean(piece), piece.unit


def _mean(piece: Piece) -> float:
    length_s = piece.length_s()
    return piece.area() / length_s if length_s > 0 else float(piece.values.mean())


def at(figure: AtFigure, view: View) -> Taken:
    """Return the value at a time, on the straight line between the samples around it."""
    trace = view.trace(figure)
    time_s = figure.at.to("s")
    if not trace.time_s[0] <= time_s <= trace.time_s[-1]:
        raise no_value(
            f"{trace.channel} goes from {trace.time_s[0]:.3f} s to {trace.time_s[-1]:.3f} s, "
            f"which leaves out {time_s:g} s"
        )
    value = value_at(trace, time_s)
    if not np.isfinite(value):
        raise no_value(f"{trace.channel} has a gap at {time_s:g} s")
    return value, trace.unit


def slope(figure: SlopeFigure, view: View) -> Taken:
    """Return the slope of the least-squares straight line through the samples.

    Σ(t - mean t)(v - mean v) / Σ(t - mean t)², as in the NIST/SEMATECH e-Handbook, 4.4.3.1.
    """
    piece = view.piece(figure)
    if len(piece.time_s) < 3:
        raise no_value("a slope needs three samples in its window")
    times = piece.time_s - piece.time_s.mean()
    values = piece.values - piece.values.mean()
    unit = per(difference_unit(piece.unit), "s")
    return float(np.dot(times, values) / np.dot(times, times)), unit


def fade(figure: FadeFigure, view: View) -> Taken:
    """Return the drop of the mean from the first window to the later one.

    In % of the first mean; in the channel's unit where the figure's unit is one of those.
    """
    first = view.piece(figure)
    later_s = (figure.then_start.to("s"), figure.then_end.to("s"))
    later = view.piece(figure, start_s=later_s[0], end_s=later_s[1])
    before, after = _mean(first), _mean(later)
    absolute = figure.unit is not None and not same_dimension(figure.unit, "%")
    if absolute:
        return before - after, difference_unit(first.unit)
    if before == 0 or is_offset(first.unit):
        why = "the first window's mean is 0" if before == 0 else f"{first.unit} has no true zero"
        raise no_value(f"{why}, so that there is no share of it; give the figure another unit")
    return (before - after) / before * 100, "%"


def _settling(figure: SettledFigure, view: View) -> tuple[Piece, float, float]:
    """Return the window, the value settled at and the half-width of the band."""
    piece = view.piece(figure)
    end_s = float(piece.time_s[-1])
    last = view.piece(_without_start(figure), start_s=end_s - figure.over.to("s"), end_s=end_s)
    value = _mean(last)
    if is_share(figure.band, piece):
        band = figure.band.to("") * abs(value)
    else:
        band = figure.band.to(difference_unit(piece.unit))
    if np.any(np.abs(last.values - value) > band):
        raise no_value(
            f"it has not settled: in the last {figure.over.to('s'):g} s it leaves the band of "
            f"{figure.band.value:g} {figure.band.unit} around {value:g} {piece.unit}"
        )
    return piece, value, band


def _without_start(figure: WindowFigure) -> WindowFigure:
    return figure.model_copy(update={"start": None, "end": None})


def settled(figure: SettledFigure, view: View) -> Taken:
    """Return the mean of the window's last part, if it all lies within the band around it."""
    piece, value, _band = _settling(figure, view)
    return value, piece.unit


def settling_time(figure: SettledFigure, view: View) -> Taken:
    """Return the time after which the trace stays within the band around the settled value.

    Counted from the window's start; the crossing is taken on the straight line between samples.
    """
    piece, value, band = _settling(figure, view)
    away = np.abs(piece.values - value)
    outside = np.flatnonzero(away > band)
    if len(outside) == 0:
        return 0.0, "s"
    last = int(outside[-1])
    edge = value + np.copysign(band, piece.values[last] - value)
    step = piece.values[last + 1] - piece.values[last]
    share = float((edge - piece.values[last]) / step)
    time_s = piece.time_s[last] + share * (piece.time_s[last + 1] - piece.time_s[last])
    return float(time_s - piece.time_s[0]), "s"
