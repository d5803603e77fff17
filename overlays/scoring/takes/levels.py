"""Highest, lowest, range, percentile, and the level a figure names."""

from __future__ import annotations

import numpy as np

from overlays.errors import FigureError
from overlays.model.figurespec import (
    MinimumFigure,
    PeakFigure,
    PercentileFigure,
    RangeFigure,
)
from overlays.scoring.takes.view import Piece, Taken, View, no_value
from overlays.units import Quantity, difference_unit, is_offset, same_dimension

__all__ = ["is_share", "level_value", "minimum", "peak", "percentile", "value_range"]


def peak(figure: PeakFigure, view: View) -> Taken:
    """Return the highest value in the window."""
    piece = view.piece(figure)
    return float(piece.values.max()), piece.unit


def minimum(figure: MinimumFigure, view: View) -> Taken:
    """Return the lowest value in the window."""
    piece = view.piece(figure)
    return float(piece.values.min()), piece.unit


def value_range(figure: RangeFigure, view: View) -> Taken:
    """Return the highest value minus the lowest."""
    piece = view.piece(figure)
    return float(piece.values.max() - piece.values.min()), difference_unit(piece.unit)


def percentile(figure: PercentileFigure, view: View) -> Taken:
    """Return the value that the trace stays at or below for a share of the time.

    Each sample weighs the time it stands for (half the steps beside it), so that uneven sampling
    does not move the figure; between samples it lies on the straight line through the middles of
    their weights, which for even weights is the Hazen position (i - 1/2)/n (Hyndman and Fan 1996,
    definition 5).
    """
    piece = view.piece(figure)
    steps = np.where(piece.joined, np.diff(piece.time_s), 0.0)
    weights = (np.append(steps, 0.0) + np.append(0.0, steps)) / 2
    if not weights.any():
        weights = np.ones(len(piece.values))
    order = np.argsort(piece.values, kind="stable")
    places = np.cumsum(weights[order]) - weights[order] / 2
    share = figure.share.to("") * weights.sum()
    return float(np.interp(share, places, piece.values[order])), piece.unit


def level_value(level: Quantity, piece: Piece) -> float:
    """Return a level in the piece's unit; one in % is a share of the piece's peak.

    Raises
    ------
    FigureError
        If it is a share on a scale that has no true zero, or of a peak that is not positive.
    UnitError
        If the level's unit fits neither.
    """
    if is_share(level, piece):
        peak = float(piece.values.max())
        if peak <= 0:  # half of -4 lies above it
            raise no_value(f"the peak is {peak:g} {piece.unit}, and a share of it is no level")
        return level.to("") * peak
    return level.to(piece.unit)


def is_share(quantity: Quantity, piece: Piece) -> bool:
    """Say whether a quantity in % is a share of values of the piece, rather than one of them.

    Raises
    ------
    FigureError
        If it is, and the piece's scale has no true zero: 90 % of 20 °C is another temperature
        than 90 % of 68 °F.
    """
    if not same_dimension(quantity.unit, "%") or same_dimension(piece.unit, "%"):
        return False
    if is_offset(piece.unit):
        raise FigureError(
            f"a share of {piece.unit} means nothing: that scale has no true zero.",
            code="offset-ratio",
            remedy="Give it in a unit of temperature, or zero the channel.",
        )
    return True
